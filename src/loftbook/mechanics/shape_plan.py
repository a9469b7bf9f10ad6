"""A somersault in one shape: leave the bed long, close, hold the shape, open, land long.

This is as much of a plan as a rotation budget needs: which shape, and when it is closed and opened.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from loftbook.errors import PlanError
from loftbook.mechanics.keys import pose
from loftbook.mechanics.multibody import LONGEST
from loftbook.mechanics.named_shapes import bent, straight
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.shape import ARMS_DOWN, Arm, Shape
from loftbook.units import degree

# Arms overhead that come down through the front, as hands that reach for the shins do
LEAVING = straight(arms=Arm(flexion=180 * degree))
LINED_OUT = straight(arms=ARMS_DOWN)  # hands to the thighs at the kick-out; common practice, no source
CLOSING = (0.05, 0.30)  # s after take-off; common practice, no source
# s before landing; common practice, no source. Skilled trampolinists are long when their legs point straight up
# (Natrup 2020, read second hand), about 0.5 s before landing: (0.75, 0.50). Each tenth of a second costs 5 % momentum.
OPENING = (0.60, 0.30)


@dataclass(frozen=True)
class ShapePlan:
    """Which shape a somersault is turned in, and when it is closed and opened.

    Units
        shape : the shape that is held; start, landing : shapes at take-off and after the kick-out
        closing : s after take-off, when closing begins and when the shape is reached
        opening : s before landing, when opening begins and when the body is long again

    Raises
        PlanError for times that are no numbers, or in the wrong order

    Example
        >>> from loftbook.mechanics import open_tuck
        >>> ShapePlan(open_tuck()).closing
        (0.05, 0.3)
    """

    shape: Shape
    start: Shape = LEAVING
    landing: Shape = LINED_OUT
    closing: tuple[float, float] = CLOSING
    opening: tuple[float, float] = OPENING

    def __post_init__(self) -> None:
        """Refuse times that cannot follow one another."""
        begin, closed = self.closing
        open_from, opened = self.opening
        if not (isfinite(begin + closed) and 0 <= begin < closed):
            raise PlanError(
                f"closing from {begin!r} s to {closed!r} s after take-off",
                "two times from 0 on, the first earlier",
                "give (begins, closed) in seconds after take-off",
            )
        if not (isfinite(open_from + opened) and open_from > opened >= 0):
            raise PlanError(
                f"opening from {open_from!r} s to {opened!r} s before landing",
                "two times before landing, the first further from it",
                "give (begins, open) in seconds before landing, as (0.60, 0.30)",
            )


def plan_of(shapes: ShapePlan, flight_time: float) -> Plan:
    """The key poses of a somersault in this shape, for a flight of this length.

    Units
        flight_time : s

    Raises
        PlanError when the flight is too short to close and open in it, or longer than anybody's

    Source
        definition

    Example
        >>> from loftbook.mechanics import tuck
        >>> [round(key.time, 2) for key in plan_of(ShapePlan(tuck()), 1.5).keys]
        [0.3, 1.2]
    """
    (begin, closed), (open_from, opened) = shapes.closing, shapes.opening
    if not (isfinite(flight_time) and flight_time - open_from >= closed - 1e-12):
        raise PlanError(
            f"a flight of {flight_time!r} s, closed {closed:g} s after take-off and opened from {open_from:g} s "
            "before landing",
            f"at least {closed + open_from:.2f} s in the air for both",
            "close sooner, open later, or take a longer flight",
        )
    if flight_time > LONGEST:
        raise PlanError(
            f"a flight of {flight_time:g} s",
            f"at most {LONGEST:g} s",
            "milliseconds or frames must be made seconds",
        )
    return Plan(
        shapes.start,
        (
            pose(closed, shapes.shape, lead=closed - begin),
            pose(flight_time - opened, shapes.landing, lead=open_from - opened),
        ),
    )


def moved(shapes: ShapePlan, *, closing: float = 0.0, opening: float = 0.0) -> ShapePlan:
    """The same plan with closing or opening a little later, which is what a gymnast's timing does.

    Units
        closing, opening : s, later positive

    Raises
        PlanError when closing would begin before take-off or opening end after landing

    Source
        definition

    Example
        >>> from loftbook.mechanics import tuck
        >>> round(moved(ShapePlan(tuck()), opening=0.05).opening[0], 2)
        0.55
    """
    (begin, closed), (open_from, opened) = shapes.closing, shapes.opening
    return replace(
        shapes,
        closing=(begin + closing, closed + closing),
        opening=(open_from - opening, opened - opening),
    )


def closed_by(hip: float) -> Shape:
    """One shape of a row that goes from straight through open tuck to tuck as the hips close.

    Units
        hip : flexion, rad, 0 to 130°; knees follow at 0.9 of it, the trunk at 0.2, hands towards the shins

    Raises
        RangeError for an angle that no hip has

    Source
        common practice, no source: one simple row of shapes for the question "how far must she close?"

    Example
        >>> closed_by(0.0).left_knee
        0.0
    """
    reach = min(max(hip, 0.0) / (95 * degree), 1.0)
    arms = Arm(flexion=33 * degree * reach, elbow=38 * degree * reach)
    return bent(hip=hip, knee=0.9 * hip, trunk=0.2 * hip, arms=arms)
