"""The fixed cast of the web's tests: two camps, five children, one head coach, a fixed clock."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from loftbook.book.entries import Entry
from loftbook.book.identity import same_fact
from loftbook.book.people import (
    Athlete,
    Camp,
    ClubStay,
    FilmConsent,
    Height,
    Name,
    TwistNote,
)
from loftbook.desk import Desk
from loftbook.desk.entry import write_entries
from loftbook.desk.opening import open_desk
from loftbook.ladder.scales import TwistSide
from loftbook.store import camps, people

NOW = datetime(2026, 4, 11, 15, 0, tzinfo=UTC)
SPRING_NOTE = "spring-note-that-must-stay-hidden"
HOSTILE = "<script>alert(1)</script>"
FORMULA = "=cmd('calc')"


@dataclass(frozen=True)
class Cast:
    """The desk, and who is who."""

    desk: Desk
    autumn: UUID
    spring: UUID
    mira: UUID
    noa: UUID
    hostile: UUID
    formula: UUID
    everyone: tuple[UUID, ...] = field(default=())


def cast(book: str = ":memory:") -> Cast:
    """A small book: autumn is over, spring has just begun and nothing is written yet."""
    desk = open_desk(book, clock=lambda: NOW)
    autumn, spring = same_fact("autumn"), same_fact("spring")
    named = (("Mira", "Moss"), ("Noa", "O’Nettle"), (HOSTILE, "Bracket"), (FORMULA, "Sheet"), ("ليلى", "نور"))
    children = tuple(_child(number, given, family) for number, (given, family) in enumerate(named))
    ids = tuple(child.id for child in children)
    with desk.store.write() as connection:
        people.add_athletes(connection, children)
        camps.add_camp(connection, _camp(desk, autumn, "Autumn camp", date(2025, 10, 18)))
        camps.add_camp(connection, _camp(desk, spring, "Spring camp", date(2026, 4, 11)))
        for camp in (autumn, spring):
            camps.expect(connection, camp, {who: str(bib) for bib, who in enumerate(ids, 1)})
    made = Cast(desk, autumn, spring, *ids[:4], everyone=ids)
    written = write_entries(desk, tuple(_autumn(made)))
    assert {one.status for one in written} == {"stored"}, written
    return made


def payload(entry_id: UUID | str, **changes: str) -> dict[str, str]:
    """What the entry form sends for a good turn, with what a test wants otherwise."""
    sent = {
        "id": str(entry_id),
        "rung": "double_tuck",
        "outcome": "did_it",
        "help": "nobody_in",
        "rotation": "on",
        "take_off": "",
        "landing": "",
        "note": "",
        "rater": "H. Coach",
    }
    return sent | changes


def _child(number: int, given: str, family: str) -> Athlete:
    day = date(2025, 10, 18)
    return Athlete(
        id=same_fact("child", str(number)),
        names=(Name(given, family),),
        born=date(2014, 5, 1 + number) if number != 4 else None,
        clubs=(ClubStay("Tollgate Gym", "B. Penhallow", "coach@tollgate.example"),),
        heights=(Height(1.40, day), Height(1.43, date(2026, 4, 11))) if number < 2 else (),
        twists=(TwistNote(TwistSide.LEFT, "", day),) if number == 0 else (),
        consents=(FilmConsent(allowed=True, on=day, said_by="a parent"),) if number == 0 else (),
        invented=True,
    )


def _camp(desk: Desk, camp: UUID, name: str, day: date) -> Camp:
    return Camp(
        id=camp,
        name=name,
        starts=day,
        ends=day + timedelta(days=1),
        edition=desk.ladder.edition,
        place="Saltmarsh hall",
        bed="bed A",
        raters=("H. Coach",),
        invented=True,
        recorded=NOW,
    )


def _autumn(made: Cast) -> list[Entry]:
    """Mira alone on both, Noa with a belt and short; the rest tried, stopped and were away."""
    results = (
        (made.mira, "double_tuck", "did_it", "nobody_in", "on"),
        (made.mira, "double_pike", "did_it", "nobody_in", "on"),
        (made.noa, "double_tuck", "did_it", "belt_light", "on"),
        (made.noa, "double_pike", "tried", "belt_light", "short"),
        (made.hostile, "double_tuck", "stopped", "", ""),
        (made.formula, "double_tuck", "absent", "", ""),
    )
    return [
        Entry(
            id=same_fact("turn", str(number)),
            camp=made.autumn,
            athlete=who,
            rung=rung,
            outcome=outcome,
            at=datetime(2025, 10, 18, 10, number, tzinfo=UTC),
            rater="H. Coach",
            help=helped,
            rotation=rotation,
            marks={"lift": 2} if outcome == "did_it" else {},
            note=SPRING_NOTE if who == made.mira else "",
        )
        for number, (who, rung, outcome, helped, rotation) in enumerate(results)
    ]
