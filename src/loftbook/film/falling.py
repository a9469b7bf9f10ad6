"""Gravity as the judge: one fit of the whole flight says the scale, both contact times, and whether this was a fall.

In the air the mass centre must fall at g, whatever the limbs do. So the curve that it draws in the picture gives pixels
per metre by itself. Two things bend that curve. A camera that looks up or down shows what is higher smaller or larger
(keystone). And before take-off and after landing the bed pushes: harder the deeper she is in it, as a spring.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.film.track import Array
from loftbook.mechanics.ballistic import GRAVITY

# 1/m: a phone 5 to 12 m away that looks up by 0 to 15 degrees; common practice, no source
KEYSTONE_USUAL, KEYSTONE_SPREAD = 0.012, 0.012
CONTACT_USUAL, CONTACT_SPREAD = 0.30, 0.08  # s on the bed; common practice, no source
CONTACT_DOUBT = 0.015  # m, how far a body on a bed departs from a spring; an assumption
TOGETHER = (
    0.1  # s over which errors of joints and of the segment model hang together, whatever the frame rate
)
# How hard the bed pushes at first touch, over body weight. A light bed begins at 0, one whose own mass must be moved
# pushes at once; halfway between 0 and 1 either is 3 ms off at each end. An assumption.
FIRST_PUSH, FIRST_PUSH_MS = 0.5, 0.0035
LEVER_SPREAD = 0.04  # of a lever's length: how far real bodies and joint centres differ; an assumption
USUAL_FOCAL = (
    0.85  # of the picture's longer side: phones' main lenses, 24 to 28 mm equivalent; common practice
)
SHARPNESS = 2.0  # residuals beyond twice their usual size count less and less


@dataclass(frozen=True, eq=False)
class Fall:
    """The path of the mass centre through one flight, as gravity explains it.

    Units
        apex_time : s; apex : (2,) px, where the mass centre is highest, x right, y down
        scale : px/m, local and vertical, at the apex; keystone : 1/m, how fast the picture shrinks upwards
        sideways : px/s, horizontal speed at the apex
        leaves, lands : s, when the push of the bed ends and begins; leaves_spread, lands_spread : s, one standard
        deviation (NaN where that end is not in the film)
        scatter : m, root mean square of what is left over in the air, along the fall; longest : m, its slow part
        sideways_left : m, root mean square of what is left over across the fall
        scale_spread : px/m; used : frames that carried it
        bend : m/s², horizontal acceleration that the picture shows; zero in a fall
        shifts : shares of each lever by which the mass centre of this body lies off the model's
        picture : px, width and height
        fall_change : relative change of the fall's acceleration from its first to its last half; zero in a fall
    """

    apex_time: float
    apex: tuple[float, float]
    scale: float
    keystone: float
    sideways: float
    leaves: float
    lands: float
    leaves_spread: float
    lands_spread: float
    scatter: float
    longest: float
    sideways_left: float
    scale_spread: float
    used: int
    bend: float
    fall_change: float
    shifts: tuple[float, ...] = ()
    picture: tuple[float, float] = (1280.0, 720.0)

    @property
    def pitch(self) -> float:
        """How far the camera looks up, rad, by how the picture shrinks upwards and a usual lens."""
        middle = self.picture[1] / 2
        up = -float(self.height(np.array(middle)))
        keystone = self.keystone / (1 - self.keystone * up)
        return float(np.arctan(keystone * USUAL_FOCAL * max(self.picture) / self.scale_at(middle)))

    def sideways_scale_at(self, row: float) -> float:
        """Local horizontal scale at a row of the picture, px/m."""
        middle = self.picture[1] / 2
        shrunk = np.sqrt(self.scale_at(row) / self.scale_at(middle))
        return float(self.scale_at(middle) / np.cos(self.pitch) * shrunk)

    def place(self, points: Array) -> Array:
        """Points of the picture in the plane of the flight, m: x from the picture's middle, z up from the apex."""
        up = self.height(points[..., 1])
        at_apex = self.sideways_scale_at(self.apex[1])
        across = (points[..., 0] - self.picture[0] / 2) * (1 + self.keystone * up) / at_apex
        return np.stack([across, up], axis=-1)

    def scale_at(self, row: float) -> float:
        """Local vertical scale at a row of the picture, px/m."""
        up = self.apex[1] - row
        return float((self.scale - self.keystone * up) ** 2 / self.scale)

    def height(self, rows: Array) -> Array:
        """Height over the apex of what is seen at these rows, m (negative below it)."""
        up = self.apex[1] - np.asarray(rows)
        return np.asarray(up / (self.scale - self.keystone * up))

    def row(self, heights: Array) -> Array:
        """The row of the picture at which a height over the apex is seen, px."""
        Z = np.asarray(heights)
        return np.asarray(self.apex[1] - self.scale * Z / (1 + self.keystone * Z))


@dataclass(frozen=True)
class Window:
    """Where a flight is looked for, and what is known of its ends.

    Units
        first, last : frames that belong to the air, both included; leaves, lands : s, known contact times or None
        seen : which of its ends lie in the film
    """

    first: int
    last: int
    leaves: float | None = None
    lands: float | None = None
    seen: tuple[bool, bool] = (True, True)


def fall_of(
    times: Array,
    path: Array,
    window: Window,
    *,
    doubt: float | Array,
    levers: Array | None = None,
    picture: tuple[float, float] = (1280.0, 720.0),
) -> Fall:
    """The fall that explains best how the mass centre went, with the ends of contact where they are not known.

    Units
        times : (N,) s; path : (N, 2) px of the mass centre; doubt : px, usual error of a frame, or (N,) of each
        levers : (N, L, 2) px, lines of the body along which the mass centre of this very body may lie off the
        model's by a few per cent (None for a path that is known); picture : px, its width and height

    Valid
        a still camera and a path in a plane that the camera faces; with known contact times only frames in the air
        count

    Source
        law: uniform acceleration; a plane seen from a pitched camera divides by a depth that grows with height;
        a spring pushes as the sine of time. Least squares with residuals that level off (soft L1)

    Example
        >>> t = np.arange(0, 1.0, 0.02)
        >>> path = np.stack([640 + 20 * t, 200 + 100 * 4.905 * (t - 0.5) ** 2], axis=1)
        >>> fall = fall_of(t, path, Window(0, 49, leaves=0.0, lands=1.0), doubt=1.0)
        >>> round(fall.scale, -1), abs(round(fall.apex_time, 3))
        (100.0, 0.5)
    """
    from scipy.optimize import least_squares

    model = _Model(times, path, window, levers=levers, picture=picture)
    start = model.start()
    doubt = np.broadcast_to(np.asarray(doubt, dtype=np.float64), np.shape(times))[model.keep]
    spread = model.spread_of(doubt)

    def left(p: Array) -> Array:
        return np.concatenate([(model.off(p) / spread[:, None]).ravel(), model.prior(p)])

    step, bounds = model.step, model.bounds(start)
    rough = least_squares(left, start, max_nfev=60, x_scale=step, bounds=bounds)
    found = least_squares(
        left, rough.x, loss="soft_l1", f_scale=SHARPNESS, max_nfev=100, x_scale=step, bounds=bounds
    )
    return _told(model, found.x, np.asarray(found.jac), float(np.median(doubt)))


class _Model:
    """The numbers of one fit: apex time and row, log of the scale, keystone, the path across, shifts of the mass
    centre along its levers, and two contacts where they are open.
    """  # noqa: D205

    def __init__(
        self, times: Array, path: Array, window: Window, *, levers: Array | None, picture: tuple[float, float]
    ) -> None:
        self.window, self.gravity = window, GRAVITY
        levers = np.zeros((len(times), 0, 2)) if levers is None else levers
        inside = times[window.first : window.last + 1]
        self.open = (
            window.leaves is None and window.seen[0],
            window.lands is None and window.seen[1],
        )
        reach = 0.4 * CONTACT_USUAL
        first = window.leaves if window.leaves is not None else inside[0] - reach * self.open[0]
        last = window.lands if window.lands is not None else inside[-1] + reach * self.open[1]
        known = np.all(np.isfinite(path), axis=1) & np.all(np.isfinite(levers), axis=(1, 2))
        self.keep = np.flatnonzero((times >= first) & (times <= last) & known)
        self.t, self.path, self.levers = times[self.keep], path[self.keep], levers[self.keep]
        self.guess = (float(inside[0]), float(inside[-1]))
        self.picture, self.middle = picture, picture[0] / 2
        shifts = self.levers.shape[1]
        self.first_end = 6 + shifts
        ends = [0.01, 0.05] * sum(self.open)
        self.step = np.array([0.01, 5.0, 0.02, 0.01, 5.0, 5.0, *[0.02] * shifts, *ends])

    def start(self) -> Array:
        inside = (self.t >= self.guess[0]) & (self.t <= self.guess[1])
        t, (x, y) = self.t[inside], self.path[inside].T
        middle = float(t.mean())
        c, b, a = np.polynomial.polynomial.polyfit(t - middle, y, 2)
        a = max(float(a), 1e-3)
        apex = middle - b / (2 * a)
        speed = np.polynomial.polynomial.polyfit(t - apex, x - self.middle, 1)
        shifts = [0.0] * self.levers.shape[1]
        p = [apex, c - b * b / (4 * a), np.log(2 * a / self.gravity), 0.0, *speed, *shifts]
        for end, is_open in zip(self.guess, self.open, strict=True):
            p += [end, CONTACT_USUAL] if is_open else []
        return np.array(p)

    def bounds(self, start: Array) -> tuple[Array, Array]:
        """How far the fit may go from where it starts: contacts by less than half of one."""
        shifts = self.levers.shape[1]
        wide = [0.5, 500.0, 1.5, 0.15, 2e3, 2e3, *[0.3] * shifts, *[0.12, 0.15] * sum(self.open)]
        return start - np.array(wide), start + np.array(wide)

    def spread_of(self, doubt: Array) -> Array:
        """How far each frame may be off, px: more while she is on the bed."""
        scale = float(np.exp(self.start()[2]))
        out = (self.t < self.guess[0]) | (self.t > self.guess[1])
        alike = np.sqrt(max(1.0, TOGETHER / float(np.median(np.diff(self.t)))))
        return np.asarray(alike * np.where(out, np.hypot(doubt, CONTACT_DOUBT * scale), doubt))

    def heights(self, p: Array) -> Array:
        """Height over the apex, m, with the push of the bed at open ends."""
        t = self.t - p[0]
        Z = -0.5 * self.gravity * t**2
        k = self.first_end
        for sense, is_open in zip((-1.0, 1.0), self.open, strict=True):
            if is_open:
                end, contact = p[k] - p[0], abs(p[k + 1]) + 1e-3
                Z = Z + _push(sense * (t - end), self.gravity * abs(end), contact, self.gravity)
                k += 2
        return np.asarray(Z)

    def centres(self, p: Array) -> Array:
        """Where the mass centre was seen, with its shifts along the body, px."""
        shifts = p[6 : self.first_end]
        return np.asarray(self.path + np.einsum("k,nkx->nx", shifts, self.levers))

    def expected(self, p: Array) -> Array:
        """Where a falling mass centre would be seen, px."""
        Z = self.heights(p)
        depth = np.maximum(1 + p[3] * Z, 0.05)
        x = self.middle + (p[4] + p[5] * (self.t - p[0])) / depth
        return np.stack([x, p[1] - np.exp(p[2]) * Z / depth], axis=1)

    def off(self, p: Array) -> Array:
        return self.centres(p) - self.expected(p)

    def prior(self, p: Array) -> Array:
        contacts = (p[self.first_end + 1 :: 2] - CONTACT_USUAL) / CONTACT_SPREAD
        return np.concatenate(
            [[(p[3] - KEYSTONE_USUAL) / KEYSTONE_SPREAD], p[6 : self.first_end] / LEVER_SPREAD, contacts]
        )


def _push(after: Array, speed: float, contact: float, gravity: float) -> Array:
    """How far the bed lifts the body off its free fall, m, at times after first contact."""
    w, step = np.pi / contact, FIRST_PUSH * gravity
    most = w * (speed + (gravity - step) * contact / 2)
    tau = np.clip(after, 0.0, contact)
    return np.asarray(step * tau**2 / 2 + most / w**2 * (w * tau - np.sin(w * tau)))


def _told(model: _Model, p: Array, jacobian: Array, doubt: float) -> Fall:
    inverse: Array = np.linalg.pinv(jacobian.T @ jacobian).astype(float)
    leaves, lands, ends = _ends(model, p, inverse)
    inside = (model.t >= leaves - 1e-9) & (model.t <= lands + 1e-9)
    scale, t = float(np.exp(p[2])), model.t[inside]
    across, along = model.off(p)[inside].T / scale
    size = _size(along)
    grown = max(1.0, size * scale / doubt)
    return Fall(
        apex_time=float(p[0]),
        apex=(model.middle + float(p[4]), float(p[1])),
        scale=scale,
        keystone=float(p[3]),
        sideways=float(p[5]),
        leaves=leaves,
        lands=lands,
        leaves_spread=ends[0] * grown,
        lands_spread=ends[1] * grown,
        scatter=size,
        longest=_slow_part(t, along),
        sideways_left=_size(across),
        scale_spread=float(np.sqrt(max(inverse[2, 2], 0.0))) * scale * grown,
        used=len(t),
        bend=_bend(t, across),
        fall_change=_fall_change(t, model.heights(p)[inside] - along, model.gravity),
        shifts=tuple(float(b) for b in p[6 : model.first_end]),
        picture=model.picture,
    )


def _size(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2))) if len(values) else float("nan")


def _ends(model: _Model, p: Array, inverse: Array) -> tuple[float, float, tuple[float, float]]:
    k, found, spreads = model.first_end, [], []
    known = (model.window.leaves, model.window.lands)
    edges = (float(model.t[0]), float(model.t[-1]))
    for value, edge, is_open in zip(known, edges, model.open, strict=True):
        if is_open:
            found.append(float(p[k]))
            spreads.append(float(np.sqrt(inverse[k, k])) if inverse[k, k] > 0 else float("inf"))
            k += 2
        else:
            found.append(edge if value is None else value)
            spreads.append(float("nan"))
    return found[0], found[1], (spreads[0], spreads[1])


def _bend(t: Array, across: Array) -> float:
    """Horizontal acceleration that is left over, m/s²."""
    if len(t) < 6:
        return float("nan")
    return float(2 * np.polynomial.polynomial.polyfit(t - t.mean(), across, 2)[2])


def _slow_part(t: Array, residual: Array) -> float:
    """The part of what is left over that lasts: a quartic through it, root mean square, m."""
    if len(t) < 8:
        return float("nan")
    u = 2 * (t - t[0]) / (t[-1] - t[0]) - 1
    fit = np.polynomial.legendre.legfit(u, residual, 4)
    return _size(np.polynomial.legendre.legval(u, fit))


def _fall_change(t: Array, heights: Array, gravity: float) -> float:
    """How much the acceleration of the first half differs from that of the last, over g."""
    if len(t) < 12:
        return float("nan")
    half = len(t) // 2
    first, last = (
        2 * np.polynomial.polynomial.polyfit(t[s] - t[s].mean(), heights[s], 2)[2]
        for s in (slice(0, half), slice(half, None))
    )
    return float((last - first) / -gravity)
