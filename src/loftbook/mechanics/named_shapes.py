"""The shapes that have names: straight, tuck, open tuck, pike, puck.

Each is one clear example of its kind, with its angles as parameters: what a coach of one programme calls an open
tuck is the ladder's definition, not this module's. Angles are flexions in radians; the opening angle of the rules
is π less.
"""

from __future__ import annotations

from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP, Arm, Shape, with_arms
from loftbook.units import degree

POINTED = 60 * degree  # of the ankle in the air; common practice, no source
# Arms that bring the hands to the legs of the default shape: mid-shin, knees, lower shin; tests hold them to that
ARMS_TO_TUCK = Arm(flexion=33 * degree, elbow=38 * degree)
ARMS_TO_OPEN_TUCK = Arm(flexion=33 * degree, elbow=38 * degree)
ARMS_TO_PIKE = Arm(flexion=91 * degree, elbow=22 * degree)


def straight(*, arms: Arm = ARMS_UP) -> Shape:
    """Straight body, toes pointed, arms overhead unless said otherwise.

    Units
        arms : both arms, rad

    Source
        definition; pointed toes: common practice, no source

    Example
        >>> straight().left_hip_flexion
        0.0
    """
    return bent(hip=0.0, knee=0.0, arms=arms)


def tuck(*, hip: float = 120 * degree, knee: float = 120 * degree, trunk: float = 30 * degree) -> Shape:
    """Tight tuck, hands on the shins.

    Units
        hip, knee, trunk : flexion, rad

    Source
        default angles: common practice, no source

    Example
        >>> round(tuck().left_hip_flexion, 2)
        2.09
    """
    return bent(hip=hip, knee=knee, trunk=trunk, arms=ARMS_TO_TUCK)


def open_tuck(
    *,
    hip: float = 95 * degree,
    knee: float = 80 * degree,
    trunk: float = 20 * degree,
    arms: Arm = ARMS_TO_OPEN_TUCK,
) -> Shape:
    """Open tuck: hips and knees near a right angle, hands free or on the outside of the knees.

    By trampoline's rules it is still a tuck. The programme's ladder says what it accepts.

    Units
        hip, knee, trunk : flexion, rad; arms : both arms, rad

    Source
        default angles: common practice, no source

    Example
        >>> round(open_tuck().left_knee, 2)
        1.4
    """
    return bent(hip=hip, knee=knee, trunk=trunk, arms=arms)


def pike(*, hip: float = 115 * degree, trunk: float = 30 * degree, arms: Arm = ARMS_TO_PIKE) -> Shape:
    """Pike: knees straight, hands at the legs.

    Units
        hip, trunk : flexion, rad; arms : both arms, rad

    Source
        default angles: common practice, no source

    Example
        >>> pike().left_knee
        0.0
    """
    return bent(hip=hip, knee=0.0, trunk=trunk, arms=arms)


def puck(
    *, hip: float = 60 * degree, knee: float = 55 * degree, trunk: float = 10 * degree, arms: Arm = ARMS_DOWN
) -> Shape:
    """Puck: between tuck and pike, which trampoline allows in the twisting phase of multiple somersaults.

    Units
        hip, knee, trunk : flexion, rad; arms : both arms, rad

    Source
        default angles: common practice, no source

    Example
        >>> round(puck().left_hip_flexion, 2)
        1.05
    """
    return bent(hip=hip, knee=knee, trunk=trunk, arms=arms)


def bent(*, hip: float, knee: float, trunk: float = 0.0, head: float = 0.0, arms: Arm = ARMS_DOWN) -> Shape:
    """Any shape with both sides alike.

    Units
        hip, knee, trunk, head : flexion, rad; arms : both arms, rad

    Example
        >>> bent(hip=1.0, knee=0.5).right_knee
        0.5
    """
    shape = Shape(
        trunk_flexion=trunk, head_flexion=head,
        left_hip_flexion=hip, left_knee=knee, left_ankle=POINTED,
        right_hip_flexion=hip, right_knee=knee, right_ankle=POINTED,
    )  # fmt: skip
    return with_arms(shape, left=arms, right=arms)
