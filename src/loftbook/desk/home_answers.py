"""Between camps: the form that goes with a letter, and the answers that come back, taken in once each."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum
from hashlib import sha256
from uuid import UUID

from loftbook.book.answer_file import read_answers
from loftbook.book.answering import (
    Asked,
    HomeAnswer,
    HomeForm,
    Sent,
    TrainedItem,
    by_the_clock,
    checked,
    digest_of,
    is_sealed,
    sealed,
    standing_answers,
)
from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.letters import letter_of_one
from loftbook.desk.printing import file_name
from loftbook.desk.standing import up_to_date
from loftbook.errors import LoftbookError, Refused, UnknownThing
from loftbook.reports.sheets.home_form.compose import compose
from loftbook.reports.sheets.letter.compose import LetterFacts
from loftbook.store import camps, home_answers, meta, people, standings
from loftbook.store.database import Connection

_KEY = "home_answers.key"  # of the book's settings; it never leaves the machine
_AGAIN = "ask for the answer to the letter that this book wrote"


class Became(Enum):
    """What became of one answer."""

    WRITTEN = "written into the book"
    PUT_RIGHT = "written; it puts an earlier answer right, which stays readable"
    OLDER = "written; a later answer to the same letter is in the book already and stands"
    SAME = "in the book already; nothing was changed"
    REFUSED = "not taken in"


@dataclass(frozen=True)
class TakenIn:
    """What became of one answer of one file; `why` is a sentence where it was refused."""

    file: str
    became: Became
    who: str = ""
    athlete: UUID | None = None
    by: str = ""
    why: str = ""


def home_form(desk: Desk, facts: LetterFacts) -> HomeForm:
    """What the form to a letter carries: her first name and what the letter set, sealed. No surname, no birth date."""
    key, mark = _key(desk)
    bare = HomeForm(
        book=mark,
        athlete=facts.athlete.id,
        camp=facts.camp.id,
        given=facts.athlete.name.given or facts.athlete.name.full,
        camp_name=facts.camp.name,
        made=facts.written,
        asked=tuple(Asked(one.rung, one.title) for one in facts.priorities.items),
    )
    return replace(bare, seal=sealed(bare, key))


def home_form_file(desk: Desk, athlete_id: UUID, camp_id: UUID | None = None) -> tuple[str, bytes]:
    """The form to her letter as one HTML file, and how it is called."""
    return form_of_letter(desk, letter_of_one(desk, athlete_id, camp_id))


def form_of_letter(desk: Desk, facts: LetterFacts) -> tuple[str, bytes]:
    """The same for a letter whose facts are at hand."""
    stem = file_name("answer", facts.athlete).removesuffix(".pdf")
    text = compose(
        home_form(desk, facts),
        cautions=facts.ladder.cautions,
        file=f"home-{stem}.json",
        invented=facts.athlete.invented or facts.camp.invented,
    )
    return f"{stem}.html", text.encode()


def take_answers(desk: Desk, files: Iterable[tuple[str, bytes]]) -> tuple[TakenIn, ...]:
    """Takes answers in, file by file; the same twice changes nothing, and one that is refused loses no other."""
    done: list[TakenIn] = []
    for name, data in files:
        shown = "".join(letter for letter in name if letter.isprintable())[:100]
        try:
            sent = read_answers(data)
        except LoftbookError as error:
            done.append(TakenIn(shown, Became.REFUSED, why=error.sentence()))
            continue
        done += [_take(desk, one, shown) for one in sent]
    return tuple(done)


def _take(desk: Desk, sent: Sent, name: str) -> TakenIn:
    try:
        key, mark = _key(desk)
        _must_be_ours(sent.form, key=key, mark=mark)
        said = (sent.by, sent.items, sent.more)
        with desk.store.write() as connection:
            return _keep(desk, connection, sent.form, said, written=sent.written, way=name)
    except LoftbookError as error:
        return TakenIn(name, Became.REFUSED, by=sent.by[:100], why=error.sentence())


def _must_be_ours(form: HomeForm, *, key: str, mark: str) -> None:
    if form.book != mark:
        raise Refused("an answer to the letter of another book", "one to a letter of this book", _AGAIN)
    if not is_sealed(form, key):
        raise Refused(
            "an answer whose seal does not fit: the child, the camp or what was asked was changed on the way",
            "the file as the form saved it",
            "ask for the file again, and if this stays so, write the answer down by hand on her page",
        )


@dataclass(frozen=True)
class Typed:
    """An answer that came on paper or by word, as somebody types it; one item for each thing that the letter set."""

    by: str
    items: tuple[TrainedItem, ...]
    more: str = ""


def type_answer(desk: Desk, athlete_id: UUID, camp_id: UUID | None, typed: Typed) -> TakenIn:
    """Writes down an answer that came on paper or by word.

    Raises Refused where it says nothing or nobody is named, UnknownThing as the letter does.
    """
    facts = letter_of_one(desk, athlete_id, camp_id)
    asked = [Asked(one.rung, one.title) for one in facts.priorities.items]
    items = tuple(
        replace(item, rung=one.rung, title=one.title) for one, item in zip(asked, typed.items, strict=False)
    )
    form = HomeForm("", athlete_id, facts.camp.id, "", "", facts.written, tuple(asked))
    with desk.store.write() as connection:
        said = (typed.by.strip(), items, typed.more.strip())
        return _keep(desk, connection, form, said, written=None, way="typed")


def _keep(
    desk: Desk,
    connection: Connection,
    form: HomeForm,
    said: tuple[str, tuple[TrainedItem, ...], str],
    *,
    written: datetime | None,
    way: str,
) -> TakenIn:
    """Writes an answer down, or says that it is there; without `written` it is of this moment."""
    by, items, more = said
    who, now = _whose(connection, form), desk.clock()
    known = home_answers.answers_of(connection, [form.athlete])
    hers = [one for one in known if one.camp == form.camp]
    stands = next(iter(standing_answers(hers)), None)
    moment = written.isoformat() if written else "typed"
    digest = digest_of((form.athlete, form.camp), (by, moment, items, more))
    told = TakenIn(way, Became.SAME, who.name.full, who.id, by)
    if any(one.digest == digest for one in hers) or (
        stands and (stands.by, stands.items, stands.more) == said
    ):
        return told
    if written is None:  # the same words typed once more after others: a new fact all the same
        digest = digest_of((form.athlete, form.camp), (by, now.isoformat(), items, more))
    at = by_the_clock(written, now) if written else now
    new = HomeAnswer(
        id=same_fact("home answer", digest),
        athlete=form.athlete,
        camp=form.camp,
        written=at,
        by=by,
        items=items,
        more=more,
        at=now,
        way=way,
        digest=digest,
    )
    home_answers.add_answers(connection, [checked(new)])
    first = standing_answers([*hers, new])[0] is new
    return replace(told, became=Became.WRITTEN if not hers else Became.PUT_RIGHT if first else Became.OLDER)


def _whose(connection: Connection, form: HomeForm) -> Athlete:
    """The child and camp that it is about, both in the book."""
    try:
        who = people.athlete(connection, form.athlete)
        camps.camp(connection, form.camp)
    except UnknownThing as error:
        raise Refused(
            "an answer about a child or a camp that this book no longer has",
            "a gymnast of the book",
            "nothing, if she was erased; otherwise open the book that wrote the letter",
        ) from error
    return who


def _key(desk: Desk) -> tuple[str, str]:
    """The key of the seals, made once, and the mark by which a form knows its book."""
    with desk.store.read() as connection:
        found, book = meta.settings(connection).get(_KEY), meta.book_id(connection)
    mark = sha256(f"loftbook home answers {book}".encode()).hexdigest()[:16]
    if found:
        return str(found), mark
    with desk.store.write() as connection:
        again = meta.settings(connection).get(_KEY)
        if not again:
            meta.choose(connection, _KEY, again := secrets.token_hex(32))
    return str(again), mark


@dataclass(frozen=True)
class FromHome:
    """An answer beside the camp about whose letter it is; `earlier` are those that it puts right."""

    answer: HomeAnswer
    camp: Camp
    earlier: tuple[HomeAnswer, ...] = ()


def answers_about(connection: Connection, athletes: Iterable[UUID]) -> Mapping[UUID, tuple[FromHome, ...]]:
    """What was answered about each of these children, the newest first."""
    found = home_answers.answers_of(connection, tuple(athletes))
    known = {one.id: one for one in camps.camps(connection, {one.camp for one in found})} if found else {}
    told: dict[UUID, tuple[FromHome, ...]] = {}
    for one in standing_answers(found):
        earlier = tuple(a for a in found if (a.athlete, a.camp) == (one.athlete, one.camp) and a.id != one.id)
        told[one.athlete] = (*told.get(one.athlete, ()), FromHome(one, known[one.camp], earlier))
    return told


def before_camp(answers: Iterable[FromHome], camp: Camp) -> FromHome | None:
    """The answer that belongs beside a camp: to the letter of the last camp before it."""
    earlier = (one for one in answers if one.camp.place_in_time < camp.place_in_time)
    return max(earlier, key=lambda one: one.camp.place_in_time, default=None)


@dataclass(frozen=True)
class CampFromHome:
    """What came from home before one camp: the answers, and of whom none came, in the order of the squad."""

    camp: Camp
    athletes: Mapping[UUID, Athlete]
    answers: Mapping[UUID, FromHome]
    silent: tuple[UUID, ...]
    invented: bool


def camp_from_home(desk: Desk, camp_id: UUID) -> CampFromHome:
    """What the home coaches answered about those who are expected at a camp or were there, since the camp before."""
    with up_to_date(desk) as connection:
        camp = camps.camp(connection, camp_id)
        there = {one.athlete for one in standings.standings_of_camp(connection, camp_id)}
        here = people.athletes(connection, there | set(camps.expected(connection, camp_id)))
        about = answers_about(connection, [one.id for one in here])
        before = {
            one
            for one, hers in camps.camps_of(connection, [one.id for one in here]).items()
            if any(seen.place_in_time < camp.place_in_time for seen in hers)
        }
    found = {who: one for who, hers in about.items() if (one := before_camp(hers, camp))}
    return CampFromHome(
        camp=camp,
        athletes={one.id: one for one in here},
        answers={one.id: found[one.id] for one in here if one.id in found},
        silent=tuple(one.id for one in here if one.id not in found and one.id in before),
        invented=camp.invented,
    )


def latest_from_home(desk: Desk) -> CampFromHome | None:
    """Who has answered the letters of the last camp at which somebody was; None in a book without one."""
    with up_to_date(desk) as connection:
        for camp in reversed(camps.camps(connection)):
            here = {
                one.athlete
                for one in standings.standings_of_camp(connection, camp.id)
                if not one.state.is_away
            }
            if here:
                return _answered(connection, camp, people.athletes(connection, here))
    return None


def _answered(connection: Connection, camp: Camp, here: tuple[Athlete, ...]) -> CampFromHome:
    about = answers_about(connection, [one.id for one in here])
    found = {who: one for who, hers in about.items() for one in hers if one.camp.id == camp.id}
    return CampFromHome(
        camp=camp,
        athletes={one.id: one for one in here},
        answers={one.id: found[one.id] for one in here if one.id in found},
        silent=tuple(one.id for one in here if one.id not in found),
        invented=camp.invented,
    )


def answers_of_one(desk: Desk, athlete_id: UUID) -> tuple[FromHome, ...]:
    """What was answered about one child, the newest first."""
    with desk.store.read() as connection:
        people.athlete(connection, athlete_id)
        return answers_about(connection, [athlete_id]).get(athlete_id, ())
