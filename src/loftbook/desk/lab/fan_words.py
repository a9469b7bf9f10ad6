"""A fan of landings in a coach's words: which side, short or over, how many of a hundred."""

from __future__ import annotations

import numpy as np

from loftbook.desk.lab.planned import LabPlan
from loftbook.mechanics.arrays import Array
from loftbook.units import degrees_from_radians, turn

TWO_THIRDS = (0.16, 0.84)  # of a bell curve these two lie one standard deviation either side of the middle
NINETY_FIVE = (0.025, 0.975)
HALF_A_TWIST = turn / 2


def whole_degrees(angle: float) -> int:
    """How many degrees, for words: rounded from the two digits that the answer in numbers has, halves upward.

    So whoever rounds the number of the answer once more, as the studio does, finds the words' number.

    Units
        angle : rad, either sign; the size of it in degrees

    >>> whole_degrees(np.radians(24.4957)), whole_degrees(np.radians(-2.5)), whole_degrees(0.0)
    (25, 3, 0)
    """
    return int(np.floor(round(abs(degrees_from_radians(angle)), 2) + 0.5))


def facing(angle: float) -> str:
    """How far to which side of what was meant she faces.

    Units
        angle : rad of twist, to the left positive

    >>> facing(0.96), facing(-0.2), facing(0.001)
    ('55° to the left', '11° to the right', 'straight')
    """
    size = whole_degrees(angle)
    if size == 0:
        return "straight"
    return f"{size}° to the {'left' if angle > 0 else 'right'}"


def round_by(angle: float) -> str:
    """How far short of, or over, what was meant she comes round.

    Units
        angle : rad of somersault, more than meant positive

    >>> round_by(-0.35), round_by(0.1), round_by(0.0)
    ('20° short', '6° over', 'just round')
    """
    size = whole_degrees(angle)
    if size == 0:
        return "just round"
    return f"{size}° {'over' if angle > 0 else 'short'}"


def leans(least: float, most: float) -> str:
    """How she may still lean out of the somersault's line.

    Units
        least, most : degrees, head to the right positive

    >>> leans(-3.2, 5.0), leans(0.1, 0.2)
    ('3° to her left to 5° to her right', 'not at all')
    """
    if max(abs(least), abs(most)) < 0.5:
        return "not at all"
    low, high = (
        "upright" if abs(one) < 0.5 else f"{abs(one):.0f}° to her {'right' if one > 0 else 'left'}"
        for one in (least, most)
    )
    return low if low == high else f"{low} to {high}"


def spread(values: Array) -> float:
    """Half of the width that holds the middle two thirds (68 of 100): a few flights far off do not move it.

    Units
        as the values

    Source
        definition; of a bell curve it is the standard deviation

    >>> far = np.array([-1.0] * 16 + [0.0] * 68 + [1.0] * 15 + [300.0])
    >>> spread(far) < 1.01
    True
    """
    low, high = np.quantile(values, TWO_THIRDS)
    return float(high - low) / 2


def strays(twist: Array) -> int:
    """How many flights end more than half a twist away: another skill, whichever way she faces then."""
    return int(np.count_nonzero(np.abs(twist) > HALF_A_TWIST))


def lands(twist: Array, rounds: Array, about: str) -> str:
    """Where the flights of a fan end.

    Units
        twist, rounds : (B,) rad off what was meant
    """
    low, high = np.quantile(rounds, NINETY_FIVE)
    come = f"95 of 100 come round between {round_by(float(low))} and {round_by(float(high))}"
    if np.degrees(np.abs(twist)).max() < 0.5:
        return f"Nothing in it twists, and none lands turned. {come} against {about}."
    least, most = np.quantile(twist, NINETY_FIVE)
    quarter = int(np.count_nonzero(np.abs(twist) < turn / 4))
    text = (
        f"95 of 100 land facing between {facing(float(least))} and {facing(float(most))} of {about}, two of three "
        f"within {degrees_from_radians(spread(twist)):.0f}° of the middle, {quarter} of {len(twist)} less than a "
        "quarter twist away"
    )
    far = strays(twist)
    if far:
        text += (
            f". {far} of {len(twist)} {'ends' if far == 1 else 'end'} more than half a twist away, which is another "
            "skill"
        )
    return f"{text}. {come}."


def decides_most(lab: LabPlan, early: Array, late: Array) -> str:
    """Which movement moves the landing most when it alone comes 10 ms early or late.

    Units
        early, late : (keys, 3) rad: twist, tilt, somersault
    """
    if not len(lab.plan.keys):
        return ""
    moved = np.abs(np.stack([early, late])).max(axis=0)
    turned = bool(moved[:, 0].max() > turn / 720)
    k = int(np.argmax(moved[:, 0] if turned else moved[:, 2]))
    if not turned:
        return (
            f"What counts most is {key_words(lab, k)}: 10 ms early she comes {round_by(float(early[k, 2]))}, 10 ms "
            f"late {round_by(float(late[k, 2]))}."
        )
    return (
        f"What counts most is {key_words(lab, k)}: 10 ms early turns her {facing(float(early[k, 0]))}, 10 ms late "
        f"{facing(float(late[k, 0]))}."
    )


def build_words(leaner: float, stouter: float, unsure: float) -> str:
    """What her build alone would do: nobody has measured it.

    Units
        leaner, stouter : rad by which the twist at landing moves; unsure : relative, of the inertia
    """
    if max(abs(leaner), abs(stouter)) < turn / 720:
        return "How broad she is built does not matter here, since nothing twists."
    return (
        f"How broad she is built, which nobody has measured (the model allows {100 * unsure:.0f} % either way), moves "
        f"it too: slimmer turns her {facing(leaner)}, broader {facing(stouter)}. So this is a place to look, not a "
        "recipe."
    )


def key_words(lab: LabPlan, number: int) -> str:
    """What a key pose does, in the words of the technique or by the joints that it moves.

    Meaning
        number : of the key, from 0
    """
    for one in lab.inputs:
        if one.keys == (number,):
            return one.name
    key = lab.plan.keys[number]
    arms = {n.partition("_")[0] for n in key.angles if "_arm_" in n or n.endswith("elbow")}
    legs = any("hip" in n or "knee" in n for n in key.angles)
    if legs:
        return f"{'whole body' if arms else 'hips and knees'} at {key.time:.2f} s"
    if arms:
        return f"{'both arms' if len(arms) == 2 else arms.pop() + ' arm'} at {key.time:.2f} s"
    return f"trunk and head at {key.time:.2f} s"
