"""A camp with invented children, and records as a device would make them."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from loftbook.book.identity import same_fact, uuid7
from loftbook.book.people import Athlete, Camp, Name
from loftbook.desk import Desk
from loftbook.desk.opening import open_desk
from loftbook.store import camps, people

STARTS = datetime(2026, 4, 11, 9, 0, tzinfo=UTC)
RUNGS = ("double_tuck", "double_pike", "double_open_tuck")
CAMP, OTHER_CAMP = same_fact("camp"), same_fact("other camp")
CHILDREN = tuple(same_fact("child", str(number)) for number in range(4))


class Clock:
    """The laptop's clock, which goes when it is told to."""

    def __init__(self, now: datetime = STARTS) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def go(self, **span) -> datetime:
        self.now += timedelta(**span)
        return self.now


def gym_desk(clock=None, book=":memory:", children=CHILDREN) -> Desk:
    desk = open_desk(book, clock=clock or Clock())
    with desk.store.write() as connection:
        named = [
            Athlete(who, (Name(f"Given{n}", f"Family{n}"),), invented=True) for n, who in enumerate(children)
        ]
        people.add_athletes(connection, named)
        for number, camp in enumerate((CAMP, OTHER_CAMP)):
            day = date(2026, 4, 11) - timedelta(days=180 * number)
            made = Camp(
                camp, f"Camp {number}", day, day + timedelta(days=1), desk.ladder.edition, invented=True
            )
            camps.add_camp(connection, made)
            camps.expect(connection, camp, {who: str(n + 1) for n, who in enumerate(children)})
    return desk


def attempt(number: int, **more) -> dict:
    """A record of a turn; each number gives another id."""
    told = {
        "kind": "attempt",
        "id": str(record_id(number)),
        "camp": str(CAMP),
        "athlete": str(CHILDREN[0]),
        "rung": RUNGS[0],
        "outcome": "did_it",
        "help": "nobody_in",
        "at": (STARTS - timedelta(minutes=5)).isoformat(),
        "rater": "Coach Q",
        "turn": 1,
    }
    return told | more


def withdrawal(number: int, of: str, **more) -> dict:
    told = {
        "kind": "withdrawal",
        "id": str(record_id(number)),
        "attempt": of,
        "at": STARTS.isoformat(),
        "by": "Q",
    }
    return told | more


def record_id(number: int) -> UUID:
    return uuid7(STARTS, seed=number.to_bytes(8, "big"))
