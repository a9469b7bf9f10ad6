"""What is known of somersaults and twists in the air, asked of our flights."""

from __future__ import annotations

from functools import cache
from math import inf, sqrt

import numpy as np

from loftbook.checks.places import authority
from loftbook.checks.registry import Finding, check
from loftbook.mechanics.body import body
from loftbook.mechanics.counts import Turns, count_turns, mode_at
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.keys import Key
from loftbook.mechanics.multibody import TakeOff, fly
from loftbook.mechanics.named_shapes import bent, open_tuck, straight, tuck
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.rotation import orientation
from loftbook.mechanics.segments import Sex
from loftbook.mechanics.shape import Arm, Shape
from loftbook.units import degree, degrees_from_radians, turn

GIRL = body(1.60, "female", age=16)
ABSTRACT = (
    "Yeadon and Mikulcik, The control of non-twisting somersaults using configuration changes, J Biomech (1996, year "
    "from memory), abstract"
)


def growth_in(shape: Shape) -> float:
    """How fast a small twist grows in a held shape, as a rate over the somersault's: by Euler's equations.

    Zero when the somersault's axis is not the middle one, so that the twist only sways.
    """
    tensor = shape_in_motion(GIRL, shape).tensor
    across = tensor[0, 0]
    others = np.linalg.eigvalsh(tensor[1:, 1:])
    return sqrt(max((across - others[0]) * (others[1] - across) / (others[0] * others[1]), 0.0))


def flown_growth(shape: Shape) -> float:
    """The same from a flight: how fast a twist of a millionth of a radian grows, over the somersault's rate."""
    momentum = 1.5 * turn * float(shape_in_motion(GIRL, shape).tensor[0, 0])
    start = TakeOff((momentum, 0, 0), orientation(twist=1e-6))
    turns = count_turns(fly(GIRL, Plan(shape), start, duration=1.0, steps=2000), about="pelvis")
    later = len(turns.times) // 2  # the decaying half of the motion is gone by then
    size = np.hypot(turns.twist, turns.tilt)
    return float(np.log(size[-1] / size[later]) / (turns.somersault[-1] - turns.somersault[later]))


def twist_after_two(shape: Shape) -> float:
    """Largest twist, in rad, during two somersaults of a held shape that began with one degree."""
    momentum = 2 * turn * float(shape_in_motion(GIRL, shape).tensor[0, 0])
    flight = fly(GIRL, Plan(shape), TakeOff((momentum, 0, 0), orientation(twist=1 * degree)), duration=1.0)
    return float(np.abs(count_turns(flight, about="pelvis").twist).max())


@check(
    name="A straight somersault is unstable in twist",
    kind="published",
    source=ABSTRACT,
    expected="one degree of twist does not stay small over two somersaults; it grows at the rate of Euler's equations",
    tolerance="growth within 2 % of Euler's equations",
)
def layout_is_unstable() -> Finding:
    """Arms down: growth flown and by formula, and where one degree ends."""
    shape = straight(arms=Arm())
    flown, law, after = flown_growth(shape), growth_in(shape), twist_after_two(shape)
    end = degrees_from_radians(after)
    said = f"grows at {flown:.3f} of the somersault's rate (law {law:.3f}); 1° becomes {end:.0f}°"
    return Finding(said, abs(flown / law - 1) < 0.02 and after > 90 * degree)


@check(
    name="Spreading the arms does not stop the twist from building up",
    kind="published",
    source=ABSTRACT,
    expected="the growth is not reduced by abducted arms",
    tolerance="no more than 5 % less than with arms down",
)
def arms_do_not_help() -> Finding:
    """Arms down, half out, out, overhead."""
    rates = [growth_in(straight(arms=Arm(abduction=a * degree))) for a in (0, 45, 90, 180)]
    said = ", ".join(f"{rate:.3f}" for rate in rates)
    return Finding(f"arms at 0, 45, 90, 180°: {said} of the somersault's rate", min(rates) > 0.95 * rates[0])


@cache
def first_stable_hip(knee_share: float) -> float:
    """The hip flexion from which a small twist no longer grows, in rad."""
    for hip in np.arange(0, 120, 0.5) * degree:
        if growth_in(bent(hip=float(hip), knee=knee_share * float(hip))) == 0.0:
            return float(hip)
    return inf


@check(
    name="Enough flexion of the body stops the twist from building up",
    kind="published",
    source=ABSTRACT,
    expected="stable in tuck and in a deep pike, from some angle of the hips on",
    tolerance="one degree of twist stays under 5° over two somersaults of a tuck",
)
def flexion_helps() -> Finding:
    """Where stability begins, and what one degree becomes."""
    pike, tucked = (degrees_from_radians(first_stable_hip(share)) for share in (0.0, 1.0))
    after = degrees_from_radians(twist_after_two(tuck()))
    return Finding(
        f"stable from {pike:.0f}° of hip flexion in a pike, {tucked:.0f}° in a tuck; 1° stays under {after:.1f}°",
        after < 5 and pike < 90 and tucked < 120,
    )


def one_arm_dropped(sex: Sex, shape: Shape) -> tuple[Turns, int]:
    """A somersault in which the left arm comes down through the side from 0.10 to 0.35 s; the instant it is down."""
    plan = Plan(shape, (Key(0.35, {"left_arm_abduction": 0.0}, lead=0.25),))
    flight = fly(body(1.45, sex, age=15), plan, TakeOff((0.8, 0, 0)), duration=1.5)
    return count_turns(flight), int(np.searchsorted(flight.times, 0.35))


def twists_after(turns: Turns, n: int) -> float:
    """Twists for each somersault from an instant on."""
    return float((turns.twist[-1] - turns.twist[n]) / (turns.somersault[-1] - turns.somersault[n]))


@check(
    name="One arm lowered from overhead tilts a straight body by eight to ten degrees",
    kind="published",
    source="Yeadon (1993), Biomechanics of twisting somersaults, J Sports Sci 11, from memory",
    expected="8 to 10°, and head away from the arm that comes down",
    tolerance="the range as remembered, half a degree more at each end",
)
def tilt_of_one_arm() -> Finding:
    """Left arm down, so the body turns the other way: head to the right, positive."""
    least, most = (t * degree for t in authority("somersault_technique")["one_arm"]["tilt_deg"])
    tilts = []
    for sex in ("female", "male"):
        turns, n = one_arm_dropped(sex, straight())
        tilts.append(float(turns.tilt[n]))
    said = ", ".join(f"{degrees_from_radians(t):.1f}°" for t in tilts)
    return Finding(said, all(least - 0.5 * degree < t < most + 0.5 * degree for t in tilts))


@check(
    name="That tilt gives two twists and a little more in each straight somersault",
    kind="second engine",
    source="an earlier, separate model of the same table: 2.10 and 2.17 twists; not published",
    expected="2.0 to 2.3 twists to the left in each backward somersault",
    tolerance="the range",
)
def twists_of_one_arm() -> Finding:
    """Counted about the principal axes after the arm is down."""
    least, most = authority("somersault_technique")["one_arm"]["twists_per_somersault"]
    found = [twists_after(*one_arm_dropped(sex, straight())) for sex in ("female", "male")]
    return Finding(", ".join(f"{t:.2f}" for t in found), all(least < t < most for t in found))


@check(
    name="The more open the shape, the more one arm twists it",
    kind="second engine",
    source="an earlier, separate model of the same table, hips flexed by 0, 20, 40, 50, 60, 70, 80, 90, 100° "
    "(knee 0.9, "
    "trunk 0.2 of that): 2.09, 1.81, 1.31, 1.07, 0.88, 0.73, 0.58, 0.48, 0.40 twists; not published",
    expected="a full twist in each somersault only with hips flexed less than about 50°",
    tolerance="0.06 twists: timing of the arm and height of the shoulder differ",
)
def open_shapes() -> Finding:
    """From straight to a half-open tuck."""
    told = (2.09, 1.81, 1.31, 1.07, 0.88, 0.73, 0.58, 0.48, 0.40)
    found = []
    for hip in np.array([0, 20, 40, 50, 60, 70, 80, 90, 100]) * degree:
        shape = open_tuck(hip=hip, knee=0.9 * hip, trunk=0.2 * hip, arms=Arm(abduction=180 * degree))
        plan = Plan(shape, (Key(0.35, {"left_arm_abduction": 0.0}, lead=0.25),))
        flight = fly(body(1.60, "female", age=16), plan, TakeOff((1.0, 0, 0)), duration=3.0)
        found.append(twists_after(count_turns(flight), int(np.searchsorted(flight.times, 0.35))))
    said = ", ".join(f"{t:.2f}" for t in found)
    return Finding(said, bool(np.max(np.abs(np.array(found) - told)) < 0.06))


@check(
    name="A body that wobbles comes back, one that twists goes on",
    kind="law",
    source="Poinsot: twisting when 2 E I_mid exceeds H²",
    expected="the mode decided by energy agrees with whether twist goes on in the flight, on both sides of "
    "the boundary",
    tolerance="none: it is one or the other",
)
def modes() -> Finding:
    """A tuck with more and less lean, on both sides of the boundary."""
    agree, said = True, []
    for lean in (4, 8, 12, 16, 20):
        start = orientation(tilt=lean * degree)
        flight = fly(GIRL, Plan(tuck()), TakeOff((0.5, 0, 0), start), duration=4.0)
        twist = count_turns(flight).twist
        goes_on = bool(np.ptp(twist) > turn)
        mode = mode_at(flight, 1.0)
        agree = agree and (mode == "twisting") == goes_on
        said.append(f"{lean}° {mode}")
    both = {word.split()[1] for word in said} == {"twisting", "wobbling"}
    return Finding(", ".join(said), agree and both)
