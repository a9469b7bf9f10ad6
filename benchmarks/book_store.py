"""How reading keeps up as a book grows: the same camp and gymnast in ever larger books.

A squad is 60 gymnasts who meet at 16 camps and show 12 rungs, 12 or 13 turns each: 12,000
turns. Larger books hold more squads like it, as a federation's would; one camp and one
gymnast stay the same size, so that what grows is only the book.

The environment variable LOFTBOOK_BENCH_SQUADS names the sizes, smallest first; the
default is `1,10`. `1,10,84` ends with 5,040 gymnasts and a million turns and takes some
minutes, most of them to fill the book.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from time import perf_counter
from uuid import UUID

from benchmarks.registry import Row, bench, median_of, seconds
from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp, ClubStay, Height, Name
from loftbook.desk import Desk
from loftbook.desk.answers import athlete_answer, camp_answer
from loftbook.desk.standing import remake_all
from loftbook.insight.standing import camp_standings
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff
from loftbook.ladder.shipped import shipped_ladder
from loftbook.store import attempts, camps, people, standings
from loftbook.store.database import Store, open_book

GYMNASTS, CAMPS, RUNGS = 60, 16, 12
LIMIT = 300.0  # ms; asked of a book with a million turns


@dataclass(frozen=True)
class Filled:
    """A book that was filled, and what to ask it."""

    desk: Desk
    camp: Camp  # the last camp of the first squad
    athlete: UUID
    turns: int
    seconds: float


def new_id(chance: Random) -> UUID:
    """An id from a seed."""
    return UUID(int=chance.getrandbits(128), version=4)


def squad(chance: Random, number: int) -> tuple[list[Athlete], list[Camp]]:
    """Sixty invented gymnasts and their camps, every half year."""
    club = ClubStay(f"Invented club {number}", "Invented Coach", "coach@example.org")
    athletes = [
        Athlete(
            new_id(chance),
            (Name(f"Given{place}", f"Family{number}"),),
            born=date(2008, 1, 1) + timedelta(days=chance.randint(0, 1500)),
            clubs=(club,),
            heights=tuple(Height(1.25 + 0.03 * year, date(2018 + year, 4, 1)) for year in range(4)),
            invented=True,
        )
        for place in range(GYMNASTS)
    ]
    first = date(2018, 4, 1) + timedelta(days=number % 30)
    days = [first + timedelta(days=182 * turn) for turn in range(CAMPS)]
    made = [
        Camp(new_id(chance), f"Camp {day}", day, day, "bench", raters=("Coach Q",), invented=True)
        for day in days
    ]
    return athletes, made


def turns_at(
    chance: Random, camp: Camp, athletes: list[Athlete], *, rungs: list[str], visit: int
) -> Iterator[Attempt]:
    """What a squad shows at a camp: more of it alone as the years go by."""
    at = datetime(camp.starts.year, camp.starts.month, camp.starts.day, 9, tzinfo=UTC)
    for place, athlete in enumerate(athletes):
        again = [chance.choice(rungs)] if place % 2 else []
        for rung in (*rungs, *again):
            at += timedelta(seconds=20)
            done = chance.random() < 0.2 + 0.04 * visit
            alone = chance.random() < 0.3 + 0.04 * visit
            yield Attempt(
                id=new_id(chance),
                camp=camp.id,
                athlete=athlete.id,
                rung=rung,
                outcome=Outcome.DID_IT if done else chance.choice((Outcome.TRIED, Outcome.NOT_TRIED)),
                at=at,
                rater="Coach Q",
                edition="bench",
                help=Help.NOBODY_IN if alone else Help.HAND_LIGHT,
                take_off=TakeOff.TRAMPOLINE,
                landing=Landing.SOFT_FLAT_MAT,
                rotation=Rotation.ON if done else Rotation.SHORT,
                marks={"lift": chance.randint(1, 3), "landing": chance.randint(1, 3)},
                source="entry",
            )


def rungs_of(ladder: Ladder) -> list[str]:
    """Twelve rungs: those of the test, and the first others."""
    tested = [rung.key for rung in ladder.test_rungs]
    return (tested + [rung.key for rung in ladder.rungs if rung.key not in tested])[:RUNGS]


def fill(path: Path | str, squads: int) -> Filled:
    """Fills a book through the functions that the product itself uses, and works out all standings."""
    begun, chance, ladder = perf_counter(), Random(squads), shipped_ladder()
    store = open_book(path)
    desk, rungs, count = Desk(store, ladder, lambda: datetime(2026, 1, 1, tzinfo=UTC)), rungs_of(ladder), 0
    first: tuple[list[Athlete], list[Camp]] | None = None
    for number in range(squads):
        athletes, made = squad(chance, number)
        first = first or (athletes, made)
        with store.write() as connection:
            people.add_athletes(connection, athletes)
            for visit, camp in enumerate(made):
                camps.add_camp(connection, camp)
                camps.expect(connection, camp.id, {who.id: str(place) for place, who in enumerate(athletes)})
                shown = list(turns_at(chance, camp, athletes, rungs=rungs, visit=visit))
                count += len(attempts.add_attempts(connection, shown))
    remake_all(desk)
    assert first is not None
    return Filled(desk, first[1][-1], first[0][0].id, count, perf_counter() - begun)


def read_camp(store: Store, camp: Camp) -> int:
    """All that the page of a camp needs."""
    with store.read() as connection:
        ids = camps.expected(connection, camp.id)
        found = (
            people.athletes(connection, ids),
            attempts.attempts_of_camp(connection, camp.id),
            standings.standings_of_athletes(connection, ids),
            standings.pair_counts(connection, before=camp),
            camps.camps(connection),
        )
        return sum(map(len, found))


def read_athlete(store: Store, athlete: UUID) -> int:
    """All that the page of a gymnast needs."""
    with store.read() as connection:
        people.athlete(connection, athlete)
        seen = camps.camps_of(connection, [athlete])[athlete]
        turns = attempts.attempts_of_athlete(connection, athlete, all=True)
        return len(seen) + len(turns) + len(standings.standings_of_athletes(connection, [athlete]))


def answer_anew(filled: Filled) -> object:
    """A camp's answer worked out anew, as after any write; the desk keeps it until then."""
    filled.desk.answers.clear()
    return camp_answer(filled.desk, filled.camp.id)


def write_one(filled: Filled, chance: Random) -> None:
    """One turn more, synced to the disk, with her standings and the pairs of the camp."""
    turn = Attempt(
        id=new_id(chance),
        camp=filled.camp.id,
        athlete=filled.athlete,
        rung=rungs_of(filled.desk.ladder)[0],
        outcome=Outcome.TRIED,
        at=datetime(2025, 10, 1, tzinfo=UTC),
        rater="Coach Q",
        edition="bench",
    )
    with filled.desk.store.write() as connection:
        attempts.add_attempts(connection, [turn])
        rows = attempts.attempts_of_camp(connection, turn.camp, [turn.athlete])
        made = camp_standings(rows, filled.desk.ladder)
        standings.replace_standings(connection, turn.camp, [turn.athlete], made)


def rows_for(filled: Filled) -> dict[str, float]:
    """What was measured in one book, in milliseconds unless the name says otherwise."""
    store, chance = filled.desk.store, Random(1)
    assert store.path is not None
    cold = 1e3 * seconds(lambda: answer_anew(filled))  # before anything else was read
    return {
        "filling, microseconds a turn": 1e6 * filled.seconds / filled.turns,
        "size of the file, MB": store.path.stat().st_size / 1e6,
        "opening the book": 1e3 * median_of(lambda: open_book(store.path or "").close(), repeats=3),
        "reading a camp": 1e3 * median_of(lambda: read_camp(store, filled.camp)),
        "reading a gymnast": 1e3 * median_of(lambda: read_athlete(store, filled.athlete)),
        "a camp's first answer": cold,
        "a camp's whole answer": 1e3 * median_of(lambda: answer_anew(filled)),
        "a gymnast's whole answer": 1e3 * median_of(lambda: athlete_answer(filled.desk, filled.athlete)),
        "writing one turn": 1e3 * median_of(lambda: write_one(filled, chance)),
    }


@bench("book store", "reading one camp (60 gymnasts) and one gymnast (16 camps) as the book grows")
def book_store() -> list[Row]:
    """Each size in its own temporary folder; the last rows say how reading grew."""
    sizes = [int(word) for word in os.environ.get("LOFTBOOK_BENCH_SQUADS", "1,10").split(",")]
    found: dict[int, dict[str, float]] = {}
    turns: dict[int, int] = {}
    for size in sizes:
        with tempfile.TemporaryDirectory() as folder:
            filled = fill(Path(folder) / "bench.book", size)
            found[size], turns[size] = rows_for(filled), filled.turns
            filled.desk.store.close()
    rows = []
    for size, measured in found.items():
        for what, value in measured.items():
            unit = "us" if "microseconds" in what else "MB" if "MB" in what else "ms"
            target = LIMIT if "answer" in what else None
            rows.append(Row(f"{turns[size]:,} turns: {what.split(',')[0]}", value, unit, target))
    for what in ("reading a camp", "reading a gymnast", "a camp's whole answer", "a gymnast's whole answer"):
        grown = found[sizes[-1]][what] / found[sizes[0]][what]
        rows.append(Row(f"{turns[sizes[-1]] / turns[sizes[0]]:.0f} times the turns: {what}", grown, "times"))
    return rows
