"""A body of four points laid through the air by a few of its poses: what `guided` fills in between clicks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.film.mass import mass_centre, parts_of, spin_momentum, usual_body
from loftbook.film.track import Array
from loftbook.units import degree, turn

HIP_LIMITS = (-35 * degree, 165 * degree)  # flexion; common practice, no source
KNEE_LIMITS = (-12 * degree, 165 * degree)
CLICKED_TURN = 5 * degree  # how well a clicked trunk tells its direction
STEP_TURN, STEP_SHARE = 6 * degree, 0.15  # how well physics tells the turning from one click to the next
COUNT_SHARE = 0.25  # the same while whole turns are counted, where a coarse answer is enough
FASTEST, TOO_FAST = 2.8 * turn, 25.0  # rad/s of the quickest trunk between two poses; how much more it costs
MOST_TURNS = 3.5  # between the first pose and the last
STEADY = 14 * degree  # poses next to each other that bend alike to within this are taken for one shape held
FINE = 0.005  # s: steps in which turning is added up


@dataclass(frozen=True, eq=False)
class Chain:
    """What a few poses say about all instants between them.

    Units
        times : (K,) s of the poses; faces : 1 right, -1 left; lengths : (K, 3) px of trunk, thigh, shank
        hip, knee : (K,) rad, flexion; turned : (K,) rad, trunk against the clock, whole turns counted
        path : (3, 2), polynomial of the mass centre in time from `origin`, px; trunk : px, usual length
        momentum : px²/s, what turns it
    """

    times: Array
    faces: int
    lengths: Array
    hip: Array
    knee: Array
    turned: Array
    path: Array
    origin: float
    trunk: float
    momentum: float


def chain_of(times: Array, points: Array, *, outline: float | None = None) -> Chain:
    """Turns, bends and path of a body that was seen in a few poses.

    Units
        times : (K,) s; points : (K, 4, 2) px of shoulder, hip, knee, ankle, y down
        outline : rad, how far a silhouette turned from the first to the last, against the clock, if known

    Source
        law: constant angular momentum chooses how many turns lie between two poses, and shares out the errors

    Example
        >>> still = np.array([[0.0, 0], [0, 50], [0, 90], [0, 130]]) + np.zeros((5, 1, 1))
        >>> bool(np.abs(chain_of(np.arange(5) / 5, still).turned).max() < 1e-9)
        True
    """
    up = points * np.array([1.0, -1.0])
    trunk, thigh, shank = up[:, 0] - up[:, 1], up[:, 2] - up[:, 1], up[:, 3] - up[:, 2]
    lengths = np.stack([np.linalg.norm(v, axis=1) for v in (trunk, thigh, shank)], axis=1)
    hip, knee = _between(-trunk, thigh), -_between(thigh, shank)
    faces = 1 if float(np.sum(hip) + np.sum(knee)) >= 0 else -1
    hip = _steadied(np.clip(_once_round(faces * hip), *HIP_LIMITS))
    knee = _steadied(np.clip(_once_round(faces * knee), *KNEE_LIMITS))
    seen = np.arctan2(-trunk[:, 0], trunk[:, 1])
    usual = np.median(lengths, axis=0)
    lengths = 0.5 * (lengths + usual)
    rough = Chain(
        times, faces, lengths, hip, knee, seen, np.zeros((3, 2)), float(times.mean()), float(usual[0]), 0.0
    )
    steps, own = _steps(rough)
    momentum, counted = _counted(seen, (steps, own, np.diff(times)), outline)
    turned = _shared_out(counted, momentum * steps + own)
    whole = _replace(rough, turned=turned, momentum=momentum)
    centre = mass_centre(_places(up), parts_of(usual_body()))
    fit = np.polynomial.polynomial.polyfit(times - rough.origin, centre, min(2, len(times) - 2))
    path = np.zeros((3, 2))
    path[: len(fit)] = fit
    return _replace(whole, path=path)


def laid_out(chain: Chain, times: Array) -> Array:
    """The four points at other instants between the first pose and the last.

    Units
        times : (N,) s; returns (N, 4, 2) px, y down

    Example
        >>> still = np.array([[0.0, 0], [0, 50], [0, 90], [0, 130]]) + np.zeros((5, 1, 1))
        >>> laid_out(chain_of(np.arange(5) / 5, still), np.array([0.5]))[0, 1, 1].round()
        np.float64(50.0)
    """
    angle = _turned_at(chain, times)
    flat = _flat(chain, times)
    c, s = np.cos(angle), np.sin(angle)
    turned = np.stack(
        [
            flat[..., 0] * c[:, None] - flat[..., 1] * s[:, None],
            flat[..., 0] * s[:, None] + flat[..., 1] * c[:, None],
        ],
        axis=-1,
    )
    t = times - chain.origin
    where = chain.path[0] + t[:, None] * chain.path[1] + t[:, None] ** 2 * chain.path[2]
    middle = mass_centre(_places(turned), parts_of(usual_body()))
    placed = turned + (where - middle)[:, None]
    return np.asarray(placed * np.array([1.0, -1.0]))


def _steadied(bend: Array) -> Array:
    """Bends of neighbouring poses that differ by no more than clicking does, drawn together; real changes stay."""
    n = np.arange(len(bend))
    drawn = np.empty(len(bend))
    for k in n:
        # what lies between two poses must be alike too: one shape held, not two
        apart = np.array([np.ptp(bend[min(k, j) : max(k, j) + 1]) for j in n])
        weight = np.exp(-0.5 * (apart / STEADY) ** 2)
        drawn[k] = float(weight @ bend / weight.sum())
    return drawn


def _flat(chain: Chain, times: Array) -> Array:
    """The four points with the trunk upright and the hip at 0, (N, 4, 2), y up."""
    from scipy.interpolate import PchipInterpolator

    hip, knee = (PchipInterpolator(chain.times, v)(times) for v in (chain.hip, chain.knee))
    trunk, thigh, shank = PchipInterpolator(chain.times, chain.lengths)(times).T
    at_hip, at_knee = chain.faces * hip, chain.faces * (hip - knee)
    zero = np.zeros_like(trunk)
    shoulder, hips = np.stack([zero, trunk], axis=-1), np.stack([zero, zero], axis=-1)
    knees = hips + thigh[:, None] * np.stack([np.sin(at_hip), -np.cos(at_hip)], axis=-1)
    ankles = knees + shank[:, None] * np.stack([np.sin(at_knee), -np.cos(at_knee)], axis=-1)
    return np.stack([shoulder, hips, knees, ankles], axis=1)


def _steps(chain: Chain) -> tuple[Array, Array]:
    """From each pose to the next: turning for each unit of momentum, and turning by moving limbs alone, (K-1,)."""
    spans = np.diff(chain.times)
    weights, own = np.zeros(len(spans)), np.zeros(len(spans))
    for k, span in enumerate(spans):
        t = chain.times[k] + np.linspace(0, span, max(5, int(np.ceil(span / FINE)) + 1))
        rate, drift = _rates(chain, t)
        weights[k], own[k] = np.trapezoid(rate, t), np.trapezoid(drift, t)
    return weights, own


def _rates(chain: Chain, t: Array) -> tuple[Array, Array]:
    """One over the inertia, and the trunk's turning that moving limbs cause when there is no momentum."""
    scale = chain.trunk / next(p.length for p in parts_of(usual_body()) if p.end == "shoulder")
    places = {name: points / scale for name, points in _places(_flat(chain, t)).items()}
    momentum, inertia = spin_momentum(places, t, parts_of(usual_body()))
    return 1 / inertia, -momentum / inertia


def _counted(seen: Array, between: tuple[Array, Array, Array], outline: float | None) -> tuple[float, Array]:
    """The momentum that explains the poses best, and their turning with whole turns counted."""
    steps, own, spans = between
    wrapped = np.diff(seen)
    span = float(np.sum(steps))
    best: tuple[float, float, Array] | None = None
    for momentum in np.linspace(-1, 1, 801) * MOST_TURNS * turn / max(span, 1e-12):
        expected = momentum * steps + own
        moved = wrapped + turn * np.round((expected - wrapped) / turn)
        cost = float(np.sum(((moved - expected) / (STEP_TURN + COUNT_SHARE * np.abs(expected))) ** 2))
        cost += float(np.sum((np.maximum(np.abs(moved) / spans - FASTEST, 0.0) / turn) ** 2)) * TOO_FAST
        if outline is not None:
            cost += float(((moved.sum() - outline) / (40 * degree)) ** 2)
        cost += abs(float(moved.sum())) / turn
        if best is None or cost < best[0] - 1e-9:
            best = (cost, float(momentum), moved)
    assert best is not None
    _, momentum, moved = best
    weight = 1 / (STEP_TURN + STEP_SHARE * np.abs(moved)) ** 2
    momentum = float(np.sum(weight * steps * (moved - own)) / np.sum(weight * steps**2))
    return momentum, np.concatenate([[seen[0]], seen[0] + np.cumsum(moved)])


def _shared_out(counted: Array, expected: Array) -> Array:
    """Turning at each pose, between what was clicked and what physics says from pose to pose (least squares)."""
    count = len(counted)
    spread = STEP_TURN + STEP_SHARE * np.abs(expected)
    rows, values = [np.eye(count) / CLICKED_TURN], [counted / CLICKED_TURN]
    difference = np.diff(np.eye(count), axis=0)
    rows.append(difference / spread[:, None])
    values.append(expected / spread)
    solved = np.linalg.lstsq(np.concatenate(rows), np.concatenate(values), rcond=None)[0]
    return np.asarray(solved)


def _turned_at(chain: Chain, times: Array) -> Array:
    """Turning between the poses: as physics says, with what is left over shared out along it."""
    fine = np.unique(np.concatenate([chain.times, times, np.arange(chain.times[0], chain.times[-1], FINE)]))
    rate, drift = _rates(chain, fine)
    by_momentum = _added(rate, fine)
    by_limbs = _added(drift, fine)
    at = np.searchsorted(fine, chain.times)
    model = chain.momentum * by_momentum + by_limbs
    off = chain.turned - model[at]
    correction = np.interp(by_momentum, by_momentum[at], off)
    return np.asarray(np.interp(times, fine, model + correction))


def _added(rate: Array, t: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * np.diff(t))])


def _places(points: Array) -> dict[str, Array]:
    """The places of the segment model from four points, y up; arms along the trunk, head in line with it."""
    shoulder, hip, knee, ankle = (points[:, k] for k in range(4))
    trunk = shoulder - hip
    elbow, wrist = shoulder - 0.5 * trunk, shoulder - 0.95 * trunk
    return {
        "shoulder": shoulder, "hip": hip, "knee": knee, "ankle": ankle, "heel": ankle, "toe": ankle,
        "elbow": elbow, "wrist": wrist, "fingers": wrist - 0.15 * trunk,
        "head": shoulder + 0.49 * trunk, "crown": shoulder + 0.73 * trunk,
    }  # fmt: skip


def _between(a: Array, b: Array) -> Array:
    """Angle from one direction to another, against the clock, rad."""
    return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], np.sum(a * b, axis=1)))


def _once_round(flexion: Array) -> Array:
    """A bend past straight the wrong way round is a deep bend: no joint goes back by more than a little."""
    return np.asarray(np.where(flexion < -100 * degree, flexion + turn, flexion))


def _replace(chain: Chain, **new: object) -> Chain:
    from dataclasses import replace

    return replace(chain, **new)  # type: ignore[arg-type]
