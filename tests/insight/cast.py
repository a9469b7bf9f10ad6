"""The cast of the insight tests: a small ladder, camps half a year apart, numbered girls. All invented."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp, Name
from loftbook.insight.history import History, history_of
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Ladder, Rung, Skill, Standard
from loftbook.ladder.scales import Direction, Help, Landing, Outcome, Shape, TakeOff

MET = Standard(
    Help.NOBODY_IN,
    (TakeOff.TRAMPOLINE, TakeOff.TUMBLE_TRACK),
    (Landing.SOFT_FLAT_MAT, Landing.SOFT_BLOCK),
    (Outcome.DID_IT,),
    "feet first",
)
BELT = Standard(
    Help.BELT_SLACK, (TakeOff.TRAMPOLINE,), (), (Outcome.DID_IT,), "ropes follow, they do not carry"
)
TUCK, PIKE, OPEN = "double_tuck", "double_pike", "double_open_tuck"


def rung(key: str, name: str, tested: bool = False, family: str = "", skill: Skill | None = None) -> Rung:
    return Rung(key, name, name, "all", MET, skill=skill, family=family, tested=tested)


def double(shape: Shape, direction: Direction = Direction.BACKWARD) -> Skill:
    return Skill(direction, 8, (0, 0), shape)


LADDER = Ladder(
    name="test ladder",
    edition="2025",
    dated=date(2025, 1, 1),
    rungs=(
        rung("back_tuck", "Back somersault"),
        rung(TUCK, "Double tuck", tested=True, skill=double(Shape.TUCK)),
        rung(PIKE, "Double pike", tested=True, skill=double(Shape.PIKE)),
        rung(OPEN, "Open tuck", tested=True, skill=double(Shape.OPEN_TUCK)),
        rung("double_front", "Double front", family="forward_double"),
        rung("barani", "Barani", skill=Skill(Direction.FORWARD, 4, (1,), Shape.TUCK)),
        Rung("full_in_belt", "Full-in, in the belt", "full-in", "all", BELT, belt=True),
        rung("full_in", "Full-in", skill=Skill(Direction.BACKWARD, 8, (2, 0), Shape.TUCK)),
    ),
    criteria=(),
    drills=(),
)


def girl(number: int, **facts) -> Athlete:
    return Athlete(UUID(int=number), (Name(f"Given{number}", f"Family{number:03}"),), **facts)


def camp(number: int, **facts) -> Camp:
    """Camp 1 is in April 2020, each next one half a year later."""
    starts = date(2020 + number // 2, 4 if number % 2 == 0 else 10, 12)
    told = {"name": f"Camp {number}", "starts": starts, "ends": starts + timedelta(days=1), "edition": "2025"}
    return Camp(UUID(int=1000 + number), **(told | facts))


def stood(athlete: int, at: int, rung: str, state: State, **facts) -> Standing:
    """A standing with what the standard asks for, unless told otherwise."""
    told = {"take_off": TakeOff.TRAMPOLINE, "landing": Landing.SOFT_FLAT_MAT, "edition": "2025"}
    if state is State.ALONE:
        told |= {"help": Help.NOBODY_IN}
    if state is State.HELPED:
        told |= {"help": Help.BELT_LIGHT, "why_not_alone": "belt, light"}
    if state.is_blank:
        told = {"edition": "2025"}
    return Standing(UUID(int=athlete), UUID(int=1000 + at), rung, state, **(told | facts))


def past(*standings: Standing, camps: int = 6, **facts) -> History:
    return history_of([camp(n, **facts) for n in range(1, camps + 1)], standings)


def attempt(number: int, outcome: Outcome, **facts) -> Attempt:
    """The numbered turn of one girl on the double tuck, as the standard asks unless told otherwise."""
    told = {
        "id": UUID(int=5000 + number),
        "camp": UUID(int=1001),
        "athlete": UUID(int=1),
        "rung": TUCK,
        "at": datetime(2020, 10, 12, 9, number, tzinfo=UTC),
        "rater": "Rater A",
        "edition": "2025",
        "help": Help.NOBODY_IN,
        "take_off": TakeOff.TRAMPOLINE,
        "landing": Landing.SOFT_FLAT_MAT,
    }
    return Attempt(outcome=outcome, **(told | facts))
