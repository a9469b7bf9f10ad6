"""A measured movement: where every segment was and how it was turned, instant by instant.

Film and marker capture end here. What the body's shape did follows without any law of mechanics; what the whole body
did in the air is then held against the laws in `fitting`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import Body
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.rotation import matrix, unit
from loftbook.mechanics.shape import shape_from


@dataclass(frozen=True, eq=False)
class Motion:
    """Every segment's mass centre and orientation over time; the first segment is the pelvis.

    Units
        times : (N,) s, evenly spaced
        centres : (N, S, 3) m, mass centres in space; orientations : (N, S, 4) quaternions w x y z, segment to space
        fractions : (S,) of body mass; inertias : (S, 3, 3) m² about each centre in its own frame, per kilogram of
        body mass; longitudinal_uncertainty : relative, of the inertia about the long axis

    Raises
        ShapeError when the arrays do not belong together; RangeError for gaps, uneven times or masses that are
        no whole body
    """

    times: Array
    centres: Array
    orientations: Array
    fractions: Array
    inertias: Array
    longitudinal_uncertainty: float = 0.0

    def __post_init__(self) -> None:
        """Refuse arrays that do not belong together, and gaps."""
        n, s = len(self.times), len(self.fractions)
        expected = {
            "centres": (n, s, 3),
            "orientations": (n, s, 4),
            "inertias": (s, 3, 3),
        }
        for name, shape in expected.items():
            found = np.shape(getattr(self, name))
            if found != shape:
                raise ShapeError(f"{name} of shape {found}", f"{shape}", "instants come first, then segments")
        for name in ("times", "centres", "orientations", "fractions", "inertias"):
            if not np.all(np.isfinite(getattr(self, name))):
                raise RangeError(
                    f"gaps in {name}", "a number for every instant", "fill or cut the gaps first"
                )
        _check_times(self.times)
        total = float(np.sum(self.fractions))
        if not (np.all(self.fractions >= 0) and abs(total - 1) < 0.02):
            raise RangeError(
                f"mass fractions that sum to {total:.3f}", "1 for a whole body", "check the segments"
            )


def motion_of_body(body: Body, times: Array, angles: Array, orientations: Array, hips: Array) -> Motion:
    """The movement of a body whose joint angles, pelvis and hips were measured, as from film.

    Units
        times : (N,) s; angles : (N, 18) rad in the order of `ANGLE_NAMES`; orientations : (N, 4) of the pelvis
        hips : (N, 3) m, middle of the hips in space

    Valid
        as the body model

    Raises
        ShapeError, RangeError as `Motion` and `Shape`

    Source
        segment table as in `body`

    Example
        >>> from loftbook.mechanics import body
        >>> n = 20
        >>> still = motion_of_body(
        ...     body(1.5, "female", age=12), np.arange(n) / 100, np.zeros((n, 18)), np.tile([1.0, 0, 0, 0], (n, 1)),
        ...     np.zeros((n, 3)))
        >>> still.centres.shape
        (20, 16, 3)
    """
    from scipy.spatial.transform import Rotation

    if not len(times) == len(angles) == len(orientations) == len(hips):
        found = (len(times), len(angles), len(orientations), len(hips))
        raise ShapeError(f"{found} instants of times, angles, orientations, hips", "the same number of each")
    pelvis = matrix(unit(orientations))
    states = [shape_in_motion(body, shape_from(row)) for row in angles]
    rotations = np.array([R @ state.rotations for R, state in zip(pelvis, states, strict=True)])
    own = np.array([s.joints + np.einsum("sij,sj->si", s.rotations, body.skeleton.centres) for s in states])
    turned = Rotation.from_matrix(rotations.reshape(-1, 3, 3)).as_quat(scalar_first=True)
    return Motion(
        times=np.asarray(times, dtype=float),
        centres=np.asarray(hips)[:, None] + np.einsum("nij,nsj->nsi", pelvis, own),
        orientations=turned.reshape(*own.shape[:2], 4),
        fractions=body.skeleton.fractions,
        inertias=np.array([np.diag(row) for row in body.skeleton.inertias]),
        longitudinal_uncertainty=body.longitudinal_uncertainty,
    )


def smoothed(motion: Motion, *, cutoff: float) -> Motion:
    """The same movement without its fast jitter.

    Units
        cutoff : Hz, where the twice-through filter passes half the power of one pass

    Valid
        rates above the cutoff are lost; the ends are less sure than the middle

    Raises
        RangeError for a cutoff that the sampling cannot carry

    Source
        second-order Butterworth, forward and backward, so that nothing is delayed

    Example
        >>> from loftbook.mechanics import body
        >>> n = 40
        >>> still = motion_of_body(
        ...     body(1.5, "female", age=12), np.arange(n) / 100, np.zeros((n, 18)), np.tile([1.0, 0, 0, 0], (n, 1)),
        ...     np.zeros((n, 3)))
        >>> bool(abs(smoothed(still, cutoff=10).centres - still.centres).max() < 1e-9)
        True
    """
    from scipy.signal import butter, sosfiltfilt

    half = 0.5 / float(np.median(np.diff(motion.times)))
    if not 0 < cutoff < half:
        raise RangeError(
            f"a cutoff of {cutoff:g} Hz", f"above 0 and below {half:.3g} Hz, half the sampling rate"
        )
    if len(motion.times) < 20:
        raise RangeError(
            f"{len(motion.times)} instants", "20 or more for smoothing", "use a longer recording"
        )
    filter_ = butter(2, cutoff / half, output="sos")
    q = sosfiltfilt(filter_, without_flips(motion.orientations), axis=0)
    return replace(motion, centres=sosfiltfilt(filter_, motion.centres, axis=0), orientations=unit(q))


def without_flips(q: Array) -> Array:
    """Quaternions along the first axis with signs chosen so that none jumps to its opposite.

    Units
        q : (N, ..., 4)

    Source
        law: q and -q are the same turn

    Example
        >>> without_flips(np.array([[1.0, 0, 0, 0], [-1.0, 0, 0, 0]]))[1].tolist()
        [1.0, 0.0, 0.0, 0.0]
    """
    q = unit(q)
    senses = np.where(np.sum(q[1:] * q[:-1], axis=-1, keepdims=True) < 0, -1.0, 1.0)
    return np.asarray(np.concatenate([q[:1], q[1:] * np.cumprod(senses, axis=0)]) + 0.0)


def _check_times(times: Array) -> None:
    if len(times) < 8:
        raise RangeError(f"{len(times)} instants", "8 or more", "a flight needs more frames than that")
    steps = np.diff(times)
    middle = float(np.median(steps))
    if middle <= 0 or np.any(np.abs(steps - middle) > 0.2 * middle + 1e-9):
        raise RangeError(
            f"time steps of {steps.min():.5f} to {steps.max():.5f} s",
            "even steps forward in time",
            "resample the recording to even times first",
        )
