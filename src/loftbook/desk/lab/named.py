"""What a flight was, in the trade's notation and in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.desk.lab.planned import Aim, LabPlan
from loftbook.errors import NotationError
from loftbook.ladder.notation import plain_skill, write_notation
from loftbook.ladder.rungs import Skill
from loftbook.ladder.scales import Direction, Shape
from loftbook.mechanics import Turns, opening_angles, shape_class
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.shape import shape_from
from loftbook.units import degrees_from_radians, turn

# The lean at take-off and at landing makes up what is not turned in the air: a double turns about 1.75 times there
LEANS = 0.25  # turns; measured on recorded doubles, see `mechanics.budget.TURNS_IN_THE_AIR`
EDITION = "trampoline-2013"
_SHAPES = {"tuck": Shape.TUCK, "pike": Shape.PIKE, "straight": Shape.STRAIGHT, "between": Shape.PUCK}
_TIMES = {1: "half twist", 2: "full twist", 3: "one and a half twists", 4: "double twist"}
_PLACES = ("first", "second", "third", "fourth", "fifth")


@dataclass(frozen=True)
class Named:
    """A flight as a skill, and how far it was from being exactly that.

    Meaning
        skill, notation : None and empty for less than a quarter turn, or more than the notation holds
        halves : half twists in each somersault, in turns of half a twist, to the left positive
        hip, knee : rad, opening angles at the most closed instant; closed_at : s
        somersault_over, twist_over : rad at landing, more than the named skill has, whichever way she turns
        shape : by the limits of EDITION
    """

    skill: Skill | None
    notation: str
    words: str
    halves: tuple[float, ...]
    hip: float
    knee: float
    closed_at: float
    shape: Shape
    somersault_over: float
    twist_over: float


def named(lab: LabPlan, turns: Turns, times: Array, angles: Array) -> Named:
    """Which skill a flight was; `angles` (N, 18) rad are the joints at `times`.

    A somersault is complete when she has turned as far as from a leaning take-off to upright; what she
    twisted until then is the first number, and so on.
    """
    made, way = turns.somersaults, 1.0 if turns.somersaults >= 0 else -1.0
    quarters = round(4 * (abs(made) + LEANS))
    at, hip, knee = _most_closed(lab, times, angles)
    shape = _SHAPES[shape_class(hip, knee, edition=EDITION).name]
    if (
        lab.aim is not None
        and lab.aim.shape in (Shape.OPEN_TUCK, Shape.PUCK)
        and shape in (Shape.TUCK, Shape.PUCK)
    ):
        shape = lab.aim.shape  # the programme's own label, which no edition's limits know
    halves = _halves(turns, max(1, -(-quarters // 4)))
    counted = tuple(abs(round(h)) for h in _steps(halves))
    skill, notation = _written(Skill(_direction(way), quarters, counted, shape))
    twists = 2 * turns.twists
    return Named(
        skill,
        notation,
        _in_words(skill) if skill else "no somersault that the notation has a number for",
        tuple(halves),
        hip,
        knee,
        at,
        shape,
        (abs(made) + LEANS - quarters / 4) * turn,
        (abs(twists) - sum(counted)) * turn / 2,
    )


def landing_words(aim: Aim | None, turns: Turns) -> tuple[float, float, float]:
    """How far the landing is from the aim: rad of somersault and twist over, and the tilt left."""
    if aim is None:
        return 0.0, 0.0, float(turns.tilt[-1])
    way = 1.0 if aim.somersaults >= 0 else -1.0
    side = 1.0 if aim.twists >= 0 else -1.0
    return (
        (turns.somersaults - aim.somersaults) * way * turn,
        (turns.twists - aim.twists) * side * turn,
        float(turns.tilt[-1]),
    )


def _most_closed(lab: LabPlan, times: Array, angles: Array) -> tuple[float, float, float]:
    """When the hips are flexed most, and the opening angles then."""
    hips = angles[:, [ANGLE_NAMES.index(f"{side}_hip_flexion") for side in ("left", "right")]].sum(axis=1)
    n = int(np.argmax(hips))
    hip, knee = opening_angles(lab.person.body, shape_from(angles[n]))
    return float(times[n]), hip, knee


def _halves(turns: Turns, somersaults: int) -> list[float]:
    """Half twists made by the end of each somersault, from the start."""
    gone = np.abs(turns.somersault - turns.somersault[0])
    found = []
    for whole in range(1, somersaults):
        done = (whole - LEANS / 2) * turn
        at = int(np.argmax(gone >= done)) if gone.max() >= done else len(gone) - 1
        found.append(2 * float(turns.twist[at] - turns.twist[0]) / turn)
    return [*found, 2 * turns.twists]


def _steps(made: list[float]) -> list[int]:
    """Whole half twists in each somersault, so that they sum to the whole."""
    rounded = [round(m) for m in made]
    return [after - before for before, after in zip([0, *rounded[:-1]], rounded, strict=True)]


def _direction(way: float) -> Direction:
    return Direction.BACKWARD if way > 0 else Direction.FORWARD


def _written(skill: Skill) -> tuple[Skill | None, str]:
    try:
        plain = plain_skill(skill)
        return plain, write_notation(plain)
    except NotationError:
        return None, ""


def _in_words(skill: Skill) -> str:
    """Such as "backward, two somersaults, full twist in the second, tuck"."""
    whole = skill.quarters / 4
    count = {1.0: "one somersault", 2.0: "two somersaults", 3.0: "three somersaults"}.get(
        whole, f"{whole:g} somersaults"
    )
    twists = [
        f"{_TIMES.get(n, f'{n / 2:g} twists')} in the {_PLACES[min(k, 4)]}"
        for k, n in enumerate(skill.half_twists)
        if n
    ]
    if len(skill.half_twists) == 1 and twists:
        twists = [twists[0].removesuffix(" in the first")]
    return ", ".join([skill.direction.value, count, *(twists or ["no twist"]), skill.shape.words])


def off_words(angle: float, what: str) -> str:
    """By how much more or less than the named skill has.

    Units
        angle : rad, more than it has positive

    >>> off_words(-0.7, "round"), off_words(0.0, "twisted")
    ('40° less far round', 'just as far twisted')
    """
    size = round(abs(degrees_from_radians(angle)))
    if size == 0:
        return f"just as far {what}"
    return f"{size}° {'further' if angle > 0 else 'less far'} {what}"


def shape_words(found: Named) -> str:
    """Most closed opening angles in words."""
    return (
        f"At the most closed instant, {found.closed_at:.2f} s after take-off, the hips are open to "
        f"{degrees_from_radians(found.hip):.0f}° and the knees to {degrees_from_radians(found.knee):.0f}°"
    )
