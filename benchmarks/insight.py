"""The pure part of a camp's page: who did what, what changed, what was to be expected."""

from __future__ import annotations

import random
from datetime import date, timedelta
from functools import partial
from uuid import UUID

from benchmarks.registry import Row, bench, median_of
from loftbook.book.people import Athlete, Camp
from loftbook.insight.change import changes
from loftbook.insight.expectation import expected
from loftbook.insight.history import History, history_of
from loftbook.insight.inventory import inventory
from loftbook.insight.pairing import pair_counts, today_counts
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Help, Landing, TakeOff
from loftbook.ladder.shipped import shipped_ladder

STATES = (State.ALONE, State.ALONE, State.HELPED, State.TRIED, State.NOT_TRIED, State.ABSENT)


def invented_book(
    people: int, rungs: int, camps: int
) -> tuple[Ladder, list[Athlete], list[Camp], list[Standing]]:
    """Invented standings, one for each athlete, rung and camp, drawn with a fixed seed."""
    chance = random.Random(7)
    ladder = shipped_ladder()
    tests = [rung.key for rung in ladder.test_rungs]
    keys = tests + [rung.key for rung in ladder.rungs if not rung.tested][: rungs - len(tests)]
    days = [date(2015, 4, 12) + timedelta(days=183 * n) for n in range(camps)]
    held = [
        Camp(UUID(int=10**6 + n), f"Camp {n}", day, day, f"{2015 + n // 8}", bed=f"bed {n % 2}")
        for n, day in enumerate(days)
    ]
    athletes = [Athlete(UUID(int=n), ()) for n in range(people)]
    standings = [
        _stood(athlete.id, camp, key, chance.choice(STATES))
        for camp in held
        for athlete in athletes
        for key in keys
    ]
    return ladder, athletes, held, standings


def _stood(athlete: UUID, camp: Camp, rung: str, state: State) -> Standing:
    help_ = {State.ALONE: Help.NOBODY_IN, State.HELPED: Help.BELT_LIGHT}.get(state)
    return Standing(
        athlete=athlete,
        camp=camp.id,
        rung=rung,
        state=state,
        help=help_,
        take_off=TakeOff.TRAMPOLINE,
        landing=Landing.SOFT_FLAT_MAT,
        raters=("Rater A",),
        edition=camp.edition,
    )


def _expectations(ladder: Ladder, camp: Camp, athletes: list[Athlete], history: History) -> None:
    pairs = pair_counts(history, before=camp.id)
    for key, today in today_counts(camp, athletes=athletes, history=history).items():
        expected(ladder.rung(key), today, pairs=pairs.get(key))


@bench("insight", "inventory, change and expectation of the last camp, from standings in memory")
def insight() -> list[Row]:
    """60 athletes, 12 rungs and 20 camps; then one camp of 5,000."""
    ladder, athletes, camps, standings = invented_book(60, 12, 20)
    last, history = camps[-1], history_of(camps, standings)
    here = [one for one in standings if one.camp == last.id]
    many_ladder, many, many_camps, many_standings = invented_book(5000, 3, 1)
    crowd = partial(inventory, many_camps[0], many_ladder, athletes=many, standings=many_standings)
    once = partial(inventory, last, ladder, athletes=athletes, standings=here)
    moved = partial(changes, last, ladder, athletes=athletes, history=history)
    return [
        Row(
            "sorting 14,400 standings into a history",
            1e3 * median_of(lambda: history_of(camps, standings)),
            "ms",
        ),
        Row("inventory of a camp of 60", 1e3 * median_of(once), "ms", target=30.0),
        Row("changes of a camp of 60", 1e3 * median_of(moved), "ms", target=30.0),
        Row(
            "expectation on 12 rungs, pairs counted in memory",
            1e3 * median_of(lambda: _expectations(ladder, last, athletes, history)),
            "ms",
        ),
        Row("inventory of a camp of 5,000, three rungs", 1e3 * median_of(crowd), "ms", target=300.0),
    ]
