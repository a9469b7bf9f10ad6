"""Bodies that keep their shape: the closed forms that the flights are held against, and a flight of such a body.

A rigid body in the air turns about its own axes in ways that were solved long ago; so does a gymnast in a held shape.
"""

from __future__ import annotations

from math import isfinite, pi, sin

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array, Skeleton
from loftbook.mechanics.body import ANGLE_NAMES, Body
from loftbook.mechanics.counts import mode_of
from loftbook.mechanics.flight import Flight
from loftbook.mechanics.multibody import ACCURACY, TakeOff, fly
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.shape import Shape


def twists_per_somersault(*, transverse: float, longitudinal: float, tilt: float) -> float:
    """How many twists a rigid, symmetric gymnast makes in each somersault.

    The further her long axis leans out of the somersault's plane, and the leaner her shape, the faster she twists.

    Units
        transverse, longitudinal : moments about the mass centre, m² or any other unit, the same for both
        tilt : rad, 0 when the long axis lies in the somersault's plane, head to the right positive
        returns turns of twist (to the left positive) per turn of backward somersault

    Valid
        for a body that keeps its shape and has equal transverse moments. Real flights twist less: the tilt that counts
        is that of the principal axis, and the two transverse moments differ.

    Raises
        RangeError for moments that no body has

    Source
        law (symmetric top): precession H / I_t, spin about the long axis (1/I_l - 1/I_t) H sin(tilt); Yeadon (1993),
        from memory

    Example
        >>> from math import radians
        >>> round(twists_per_somersault(transverse=19.0, longitudinal=1.0, tilt=radians(5)), 2)
        1.57
    """
    _check_moments(np.array([longitudinal, transverse, transverse]))
    return (transverse / longitudinal - 1.0) * sin(tilt)


def turning_period(moments: Array, *, momentum: float, energy: float) -> float:
    """How long a held shape takes for one twist, or for one wobble and back: once round for the momentum in the body.

    Units
        moments : (3,) m², principal, least first; momentum : m²/s, its size; energy : m²/s² (2 E between H²/I_most
        and H²/I_least); returns s

    Valid
        three different moments and neither of the steady turns about one axis

    Raises
        RangeError for an energy that this momentum cannot have

    Source
        Euler's top: Landau and Lifshitz, Mechanics, §37, from memory; T = 4 K(k) / rate

    Example
        >>> moments = np.array([0.276, 3.791, 3.978])
        >>> tilt = 10 * pi / 180
        >>> energy = 0.5 * (np.sin(tilt) ** 2 / 0.276 + np.cos(tilt) ** 2 / 3.978) * 21.0**2
        >>> round(turning_period(moments, momentum=21.0, energy=energy), 2)
        0.53
    """
    from scipy.special import ellipk

    rate, modulus, _ = _top(moments, momentum, energy)
    return float(4 * ellipk(modulus) / rate)


def phase_of_period(moments: Array, *, momentum: float, energy: float) -> float:
    """How far the body has turned about the momentum when its own turning has come full circle.

    Units
        as `turning_period`; returns rad, 0 to 2π

    Valid
        as `turning_period`

    Raises
        as `turning_period`

    Source
        Montgomery (1991), How much does the rigid body rotate?, Am J Phys 59:394-398, from memory: 2 E T / H less the
        solid angle that the momentum encloses in the body, counted with its sense

    Example
        >>> moments = np.array([0.276, 3.791, 3.978])
        >>> energy = 0.5 * (0.03 / 0.276 + 0.97 / 3.978) * 21.0**2
        >>> 0 < phase_of_period(moments, momentum=21.0, energy=energy) < 2 * pi
        True
    """
    period = turning_period(moments, momentum=momentum, energy=energy)
    mode = mode_of(energy, moments, np.array([momentum, 0.0, 0.0]))
    sense = 1.0 if mode == "twisting" else -1.0  # the momentum circles the two axes in opposite senses
    return float(
        (2 * energy * period / momentum + sense * _solid_angle(moments, momentum, energy)) % (2 * pi)
    )


def wobble_period(*, transverse: float, longitudinal: float, spin: float) -> float:
    """How long the spin axis of a nearly steady turn takes to go once round in the body.

    Units
        transverse, longitudinal : moments, in one unit; spin : rad/s about the longitudinal axis
        returns s

    Valid
        a symmetric body close to turning about its own axis

    Raises
        RangeError for moments that no body has, or equal ones (then nothing wobbles)

    Source
        law (Euler's free nutation): 2π / (spin |I_l - I_t| / I_t)

    Example
        >>> round(wobble_period(transverse=1.0, longitudinal=1.5, spin=2 * pi), 6)
        2.0
    """
    _check_moments(np.array(sorted([longitudinal, transverse, transverse])))
    if longitudinal == transverse or spin == 0:
        raise RangeError(
            "equal moments or no spin", "two different moments and a spin", "nothing wobbles here"
        )
    return 2 * pi / abs(spin * (longitudinal - transverse) / transverse)


def rigid_flight(
    moments: Array,
    take_off: TakeOff,
    *,
    duration: float,
    accuracy: float = ACCURACY,
    steps: int | None = None,
) -> Flight:
    """Fly a body that keeps its shape, through the same integrator as any gymnast.

    Units
        moments : (3,) m², about x (right), y (forward), z (long axis) of the body
        the rest as in `fly`

    Valid
        any rigid body whose moments can exist

    Raises
        RangeError for moments that no body has

    Source
        law: H is constant in space and H = R J Omega

    Example
        >>> flight = rigid_flight(np.array([3.0, 3.0, 1.0]), TakeOff((3.0, 0, 0)), duration=1.0)
        >>> flight.verdict.trust == "good"
        True
    """
    _check_moments(np.sort(moments))
    none = np.zeros(0, dtype=np.int64)
    skeleton = Skeleton(
        parents=np.array([-1], dtype=np.int64),
        offsets=np.zeros((1, 3)),
        centres=np.zeros((1, 3)),
        fractions=np.ones(1),
        inertias=np.array([moments], dtype=float),
        turn_start=np.zeros(2, dtype=np.int64),
        turn_axis=none,
        turn_angle=none,
        turn_share=np.zeros(0),
        angle_count=len(ANGLE_NAMES),
    )
    one = Body(stature=1.0, sex="female", age=20, lengths={}, skeleton=skeleton, longitudinal_uncertainty=0.0)
    return fly(one, Plan(Shape()), take_off, duration=duration, accuracy=accuracy, steps=steps)


def _top(moments: Array, momentum: float, energy: float) -> tuple[float, float, Array]:
    """Rate and elliptic parameter of Euler's top, with the moments ordered so that the encircled axis comes last."""
    _check_moments(moments)
    near, middle, far = (float(m) for m in moments)
    if mode_of(energy, moments, np.array([momentum, 0.0, 0.0])) == "twisting":
        near, far = far, near  # the momentum circles the axis of least inertia
    H2, E2 = momentum**2, 2 * energy
    rate2 = (far - middle) * (H2 - E2 * near) / (near * middle * far)
    modulus = (middle - near) * (E2 * far - H2) / ((far - middle) * (H2 - E2 * near))
    if not (isfinite(rate2) and rate2 > 0 and 0 <= modulus < 1):
        raise RangeError(
            f"an energy of {energy:g} m²/s² with a momentum of {momentum:g} m²/s",
            f"{H2 / moments[2] / 2:g} to {H2 / moments[0] / 2:g}, and not a steady turn",
            "check both, per kilogram of body mass",
        )
    return rate2**0.5, modulus, np.array([near, middle, far])


def _solid_angle(moments: Array, momentum: float, energy: float) -> float:
    """Area on the unit sphere that the momentum encloses in the body about the axis that it circles, rad²."""
    from scipy.special import ellipj, ellipk

    _, modulus, (near, middle, far) = _top(moments, momentum, energy)
    H2, E2 = momentum**2, 2 * energy
    u = np.linspace(0, 4 * ellipk(modulus), 20001)
    sn, cn, dn, _ = ellipj(u, modulus)
    a = near * np.sqrt((E2 * far - H2) / (near * (far - near))) * cn / momentum
    b = middle * np.sqrt((E2 * far - H2) / (middle * (far - middle))) * sn / momentum
    c = far * np.sqrt((H2 - E2 * near) / (far * (far - near))) * dn / momentum
    turned = np.unwrap(np.arctan2(b, a))
    return float(abs(np.trapezoid(1 - c, turned)))


def _check_moments(moments: Array) -> None:
    if np.shape(moments) != (3,) or not np.all(np.isfinite(moments)) or np.min(moments) <= 0:
        raise RangeError(
            f"moments {np.asarray(moments).tolist()}", "three positive numbers, least first", "give m²"
        )
    if moments[0] + moments[1] < moments[2] * (1 - 1e-9):
        raise RangeError(
            f"moments {np.asarray(moments).tolist()}",
            "the largest no more than the other two together",
            "no body has these; check the units of each",
        )
