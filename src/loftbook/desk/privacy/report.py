"""What is held about children, since when, until when, and what is overdue: for whoever answers for the book."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from loftbook.book.consent import Purpose
from loftbook.book.people import Athlete, Camp
from loftbook.book.rotation import Rotation
from loftbook.desk import Desk
from loftbook.desk.privacy.backups import backups_of
from loftbook.desk.privacy.daily import LISTS_WAIT, UNKNOWN_FILMS_WAIT, unknown_films
from loftbook.desk.standing import up_to_date
from loftbook.store import camps, clips, devices, erasing, imports, leaving, people, received
from loftbook.store.database import Connection

#: So long after her last camp a child's record is asked about. Common practice, no source: four camps have gone by.
ASKED_AFTER = timedelta(days=730)
BACKUP_LATE = timedelta(days=2)  # a laptop that was open yesterday has one from then


@dataclass(frozen=True)
class Holding:
    """One kind of thing that is held: how many, since when, until when and by which rule, and what is overdue."""

    what: str
    count: int
    since: date | None
    until: str
    rule: str
    overdue: tuple[str, ...] = ()


def retention(desk: Desk) -> tuple[Holding, ...]:
    """Everything that is held about children, kind by kind."""
    today = desk.clock().date()
    with up_to_date(desk) as connection:
        found = (
            _children(connection, today),
            _films(connection, today),
            _agreements(connection, today),
            _lists(connection, today),
            _aside(connection),
            _tablets(desk, connection),
            _left(connection),
            _erased(connection),
        )
    return (*found, *_beside(desk, today))


def retention_lines(found: Iterable[Holding]) -> Iterator[str]:
    """The report for a terminal."""
    for one in found:
        since = f", since {one.since}" if one.since else ""
        yield f"{one.what}: {one.count}{since}; {one.until}"
        yield f"  {one.rule}"
        yield from (f"  OVERDUE: {line}" for line in one.overdue)


def _children(connection: Connection, today: date) -> Holding:
    everyone = people.athletes(connection)
    held = camps.camps_of(connection, [one.id for one in everyone])
    late = [
        f"{who.name.full}, last at {held[who.id][-1].name} {held[who.id][-1].starts}: keep her, or erase her"
        for who in everyone
        if held[who.id] and today - held[who.id][-1].ends > ASKED_AFTER
    ]
    return Holding(
        "Children with their results",
        len(everyone),
        _first(held.values()),
        "until they are erased",
        "Nothing is erased by itself; two years after her last camp each is asked about here.",
        tuple(late),
    )


def _first(held: Iterable[Sequence[Camp]]) -> date | None:
    return min((camp.starts for some in held for camp in some), default=None)


def _films(connection: Connection, today: date) -> Holding:
    films = clips.clips(connection)
    last = max((one.keep_until for one in films), default=None)
    late = [f"{one.name}: its last day was {one.keep_until}" for one in films if one.keep_until < today]
    return Holding(
        "Films",
        len(films),
        min((one.attached.date() for one in films), default=None),
        f"each until its own last day, the last of them {last}" if last else "none",
        "Deleted by itself after its last day, with every picture, track and number: while the pages are served, or "
        "by the command loftbook privacy expire.",
        tuple(late),
    )


def _agreements(connection: Connection, today: date) -> Holding:
    everyone = {one.id: one for one in people.athletes(connection)}
    said = clips.consents_of(connection, tuple(everyone))
    last = {(one.athlete, one.purpose): one for one in sorted(said, key=lambda one: (one.on, one.at))}
    over = [
        f"{everyone[who].name.full}: the yes to {purpose.words} ended {one.until}"
        for (who, purpose), one in last.items()
        if one.allowed and one.until is not None and one.until < today
    ]
    none = _without(everyone.values(), {who for who, purpose in last if purpose is Purpose.HOME_COACH})
    return Holding(
        "Words of agreement",
        len(said),
        min((one.on for one in said), default=None),
        f"without a word on letters home: {len(none)}",
        "Kept as facts as long as the child is in the book; a yes may have a last day.",
        tuple(over),
    )


def _without(everyone: Iterable[Athlete], asked: set[object]) -> list[Athlete]:
    return [one for one in everyone if one.id not in asked]


def _lists(connection: Connection, today: date) -> Holding:
    waiting = imports.all_pending(connection)
    late = [
        f"{one.name} waits since {one.at:%Y-%m-%d}" for one in waiting if today - one.at.date() > LISTS_WAIT
    ]
    return Holding(
        "Lists that wait for answers",
        len(waiting),
        min((one.at.date() for one in waiting), default=None),
        f"{LISTS_WAIT.days} days at most",
        "The typed file is in the book until its questions are answered; then its bytes go and the report stays.",
        tuple(late),
    )


def _aside(connection: Connection) -> Holding:
    aside = received.aside(connection)
    return Holding(
        "Records set aside for the head coach",
        len(aside),
        min((one.at.date() for one in aside), default=None),
        "until they are dealt with",
        "What a device sent and could not become a fact, on the camp's page of what is to be settled.",
    )


def _tablets(desk: Desk, connection: Connection) -> Holding:
    now = desk.clock()
    inside = [one for one in devices.devices(connection) if one.stands(now)]
    last = max((one.until.date() for one in inside), default=None)
    return Holding(
        "Devices that are let in",
        len(inside),
        min((one.made.date() for one in inside), default=None),
        f"the last until {last}" if last else "none",
        "Each holds first names and numbers of a day, and what it has not sent. Shut out what is not in the hall.",
    )


def _left(connection: Connection) -> Holding:
    lines = leaving.latest(connection, most=100_000)
    return Holding(
        "Lines of what left the machine",
        len(lines),
        lines[-1].at.date() if lines else None,
        "as long as the book",
        "Without the child once she is erased. All of them: the command loftbook privacy log.",
    )


def _erased(connection: Connection) -> Holding:
    lines = erasing.erasures(connection)
    kept = sum(erasing.counts_kept(connection).values())
    return Holding(
        "Children who were erased",
        len(lines),
        lines[0].at.date() if lines else None,
        f"{kept} counts by camp and rung stay, without a name",
        "A fingerprint of her number stays, so that an old tablet or backup cannot bring her back.",
    )


def _beside(desk: Desk, today: date) -> Iterator[Holding]:
    if desk.store.path is None:
        return
    made = backups_of(desk.store.path)
    late = (
        (
            "the last one is of "
            + (f"{made[0].at:%Y-%m-%d}" if made else "never")
            + ": run loftbook book backup",
        )
        if not made or today - made[0].at.date() > BACKUP_LATE
        else ()
    )
    yield Holding(
        "Automatic backups of the book",
        len(made),
        made[-1].at.date() if made else None,
        Rotation().words,
        "Each holds whatever the book held. All are deleted, and one is made anew, when a child is erased.",
        late,
    )
    unknown = unknown_films(desk)
    yield Holding(
        "Films beside the book that it does not know",
        len(unknown),
        min((at.date() for _, at in unknown), default=None),
        f"{UNKNOWN_FILMS_WAIT.days} days",
        "They are left when an older backup is restored, and deleted by themselves.",
    )
