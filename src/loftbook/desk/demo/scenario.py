"""An invented squad over four camps: who could do what, and how it was written down.

Every person, club and place here is invented, for demonstration only; nothing in it
is evidence of anything. Skill is drawn from a small model with a fixed seed, so that
the demo shows each kind of change: new, held, lost for now, stopped, absent.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta

from loftbook.ladder.scales import Help, Outcome, Rotation

GIVEN = (
    "Amaris Brielle Ciska Dovile Eirlys Fiorenza Gytha Halina Isolde Jorunn Kerensa Liesel "
    "Maribel Nerys Orla Petronel Quilla Rosheen Sunniva Tindra Una Vesper Wrenna Yselt"
).split()
FAMILY = (
    "Ashmere Brockwell Calloway-Finn Dunmarrow Eastrick Fennimore Garsdale Hollowell Ingerby "
    "Jessamere Kestleton Lorrimore Marchbank O’Dellaire Pellworth Quarrendon Ravensby Sallowfield "
    "Tarnbrook Umberleigh Vantongeren Ærøsund Ystrad-Vale Marchbank"
).split()
CLUBS = (
    ("Kittiwake Gym", "R. Sorrel", "coach@kittiwake.example"),
    ("Old Foundry Tumblers", "T. Hazeldine", "coach@foundry.example"),
    ("Saltpan Trampoline", "M. Oakshott", "coach@saltpan.example"),
    ("Tollgate Gymnastics", "B. Penhallow", "coach@tollgate.example"),
)
RUNGS = ("double_tuck", "double_pike", "double_open_tuck")
HARDNESS = {"double_tuck": 0.0, "double_pike": 0.9, "double_open_tuck": 1.7}
CAMPS = (
    ("Spring camp", date(2025, 4, 12), "bed A"),
    ("Autumn camp", date(2025, 10, 18), "bed B"),
    ("Spring camp", date(2026, 4, 11), "bed A"),
    ("Autumn camp", date(2026, 10, 17), "bed A"),
)
SEED = 20261


@dataclass(frozen=True)
class Child:
    """One invented gymnast."""

    given: str
    family: str
    born: date
    club: int
    twist: str
    height_cm: int | None
    filming: str
    first_camp: int
    skill: float
    slump: int | None  # the camp at which she has lost it for now


@dataclass(frozen=True)
class Turn:
    """One invented turn."""

    child: int
    camp: int
    rung: str
    outcome: Outcome
    help: Help | None
    rotation: Rotation | None
    marks: dict[str, int]
    note: str


def squad() -> tuple[Child, ...]:
    """The invented squad; the same at each call."""
    rng = random.Random(SEED)
    children = []
    for i, (given, family) in enumerate(zip(GIVEN, FAMILY, strict=True)):
        born = date(2013, 1, 1) + timedelta(days=rng.randrange(0, 1300))
        children.append(
            Child(
                given=given,
                family=family,
                born=born,
                club=rng.randrange(len(CLUBS)),
                twist=rng.choice(("left", "right", "L", "R", "")),
                height_cm=None if i % 9 == 4 else 132 + rng.randrange(0, 26),
                filming=("yes", "yes", "no", "")[rng.randrange(4)],
                first_camp=2 if i in (7, 19) else 1 if i == 13 else 0,
                skill=rng.gauss(-0.2, 1.1),
                slump=3 if i in (12, 18) else None,
            )
        )
    return tuple(children)


def turns(camp: int) -> tuple[Turn, ...]:
    """All turns of one camp (0 to 3), in running order."""
    rng = random.Random(SEED + 7 * camp)
    rows: list[Turn] = []
    for i, child in enumerate(squad()):
        if child.first_camp > camp:
            continue
        rows += _turns_of(i, child, camp, rng)
    return tuple(rows)


def _turns_of(index: int, child: Child, camp: int, rng: random.Random) -> list[Turn]:
    if rng.random() < 0.06 and child.slump is None and index != 16:
        return [Turn(index, camp, RUNGS[0], Outcome.ABSENT, None, None, {}, "")]
    if index == 16 and camp == 3:
        return [Turn(index, camp, RUNGS[0], Outcome.NOT_ALLOWED, None, None, {}, "modified today")]
    rows = []
    strength = child.skill + 0.75 * camp - (1.9 if child.slump == camp else 0.0)
    for rung in RUNGS:
        margin = strength - HARDNESS[rung] + rng.gauss(0, 0.5)
        rows.append(_turn(index, camp, rung, margin, rng))
        if margin < -1.6:
            break
    return rows


def _turn(index: int, camp: int, rung: str, margin: float, rng: random.Random) -> Turn:
    if margin < -2.2:
        outcome = rng.choice((Outcome.NOT_TRIED, Outcome.DECLINED))
        return Turn(index, camp, rung, outcome, None, None, {}, "")
    if margin < -1.6:
        return Turn(index, camp, rung, Outcome.STOPPED, None, None, {}, "short twice, stopped")
    help_given = _help(margin, rng)
    came_round = margin > -1.0 or help_given < Help.STANDING_IN
    rotation = _rotation(margin, rng)
    outcome = Outcome.DID_IT if came_round else Outcome.TRIED
    marks = _marks(margin, rng)
    if outcome is Outcome.DID_IT:  # the ladder: feet first; its lowest level of landing is not
        marks["landing"] = max(2, marks["landing"])
    return Turn(index, camp, rung, outcome, help_given, rotation, marks, _note(rotation, rng))


def _help(margin: float, rng: random.Random) -> Help:
    if margin > 0.1:
        return Help.NOBODY_IN
    ladder = (Help.STANDING_IN, Help.HANDS_FOLLOWING, Help.HAND_LIGHT, Help.BELT_SLACK, Help.BELT_LIGHT)
    return ladder[min(len(ladder) - 1, int(-margin * 2.5 + rng.random()))]


def _rotation(margin: float, rng: random.Random) -> Rotation:
    drawn = rng.gauss(margin * 0.6, 0.7)
    if drawn < -0.5:
        return Rotation.SHORT
    return Rotation.OVER if drawn > 1.3 else Rotation.ON


def _marks(margin: float, rng: random.Random) -> dict[str, int]:
    def mark() -> int:
        return max(1, min(3, round(2 + 0.5 * margin + rng.gauss(0, 0.55))))

    return {key: mark() for key in ("lift", "hands", "form", "landing", "air_awareness", "travel")}


def _note(rotation: Rotation, rng: random.Random) -> str:
    if rotation is Rotation.SHORT and rng.random() < 0.4:
        return rng.choice(("chest low", "opened late", "set went back"))
    return ""
