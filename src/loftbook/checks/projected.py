"""Recorded flights seen by an invented camera: joints in the picture, with the truth in space beside them.

The recordings hold the air alone. A bed is put under both ends: a linear spring that the body, stiff there, meets and
leaves, so that contact times are known. What the recording shows of the air is untouched. Its mass centre falls
1 to 2 % slower or faster than g, an error of markers and masses; height and scale are what gravity makes of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import cos, sin

import numpy as np

from loftbook.checks.recordings import recorded_joints
from loftbook.film import Clip, Track
from loftbook.film.track import BY_MODEL, JOINTS, Flags
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.ballistic import GRAVITY
from loftbook.units import degree

CUT = {
    "flight-single": (20, 16),
    "flight-double": (12, 16),
}  # instants at each end in which the bed may still push
CONTACT = 0.30  # s on the invented bed; common practice, no source
SPRING = np.pi + 0.31  # w times that, of a body arriving at 5.5 m/s: π + 2 atan(g / (w v))


@dataclass(frozen=True)
class Camera:
    """Where an invented camera stands, and how well joints are found in its picture.

    Units
        distance, height : m, from the flight and over the take-off; yaw : rad, off square; pitch : rad upward, None to
        aim at the middle of the flight; focal : px; rate : frames a second; noise : px, half of it jitter and half
        lasting over some frames; seed : of the noise; contact : s on the invented bed
    """

    distance: float = 9.0
    height: float = 1.4
    yaw: float = 0.0
    focal: float = 1150.0
    rate: float = 60.0
    noise: float = 2.0
    seed: int = 1
    width: int = 1280
    tall: int = 720
    contact: float = CONTACT


@dataclass(frozen=True, eq=False)
class Seen:
    """A recorded flight in an invented camera, and what is true of it.

    Units
        duration : s in the air; height, travel : m; rotation : ° from ankles to shoulders in the plane square to the
        somersault's axis, backward positive; hip, knee : (N,) rad, opening; air : (N,) frames
        scale : px/m, local and vertical at the middle row; leaves : s
    """

    clip: Clip
    track: Track
    duration: float
    leaves: float
    height: float
    travel: float
    rotation: float
    scale: float
    hip: Array
    knee: Array
    air: Flags


@cache
def _moving(name: str) -> tuple[Array, dict[str, Array], Array]:
    """Times, joints in space by name, mass centre, all between the cuts, seen with the somersault's axis along y."""
    times, joints, centre, momentum = recorded_joints(name)
    first, last = CUT[name]
    keep = slice(first, len(times) - last)
    axis = momentum[:2] / np.hypot(*momentum[:2])
    # the camera looks along the axis, so that a backward somersault turns against the clock
    right, away = np.array([-axis[1], axis[0], 0.0]), np.array([-axis[0], -axis[1], 0.0])
    frame = np.stack([right, away, np.array([0.0, 0, 1])])
    start = centre[first]
    moved = {joint: (points[keep] - start) @ frame.T for joint, points in joints.items()}
    return times[keep] - times[first], moved, (centre[keep] - start) @ frame.T


def seen_by(name: str, camera: Camera) -> Seen:
    """One recorded flight in the picture of an invented camera, with a bed under both ends."""
    return filmed(*_moving(name), camera)


def filmed(t: Array, joints: dict[str, Array], centre: Array, camera: Camera) -> Seen:
    """A flight through the air in the picture of an invented camera, with a bed under both ends.

    Units
        t : (N,) s from take-off to landing; joints : each (N, 3) m, right in the picture, away from the camera, up;
        centre : (N, 3) m
    """
    duration = float(t[-1])
    fit: Array = np.asarray(np.polynomial.polynomial.polyfit(t, centre, 2), dtype=float)
    frames = np.arange(-0.7 * CONTACT, duration + 0.7 * CONTACT, 1 / camera.rate)
    frames = frames + (camera.seed * 0.37 % 1) / camera.rate
    shift = _bed(frames, duration, fit, camera.contact)
    held = np.clip(frames, 0.0, duration)
    in_space = {
        j: np.stack([np.interp(held, t, p[:, k]) for k in range(3)], axis=1) + shift
        for j, p in joints.items()
    }
    at = np.stack([_picture(camera, in_space[j], fit, duration) for j in JOINTS], axis=1)
    points = at + _noise(camera, at.shape)
    n = len(frames)
    track = Track(
        frames - frames[0],
        np.arange(n),
        points,
        np.full((n, len(JOINTS)), max(camera.noise, 0.5)),
        np.full((n, len(JOINTS)), BY_MODEL),
        np.zeros(n),
        camera.width,
        camera.tall,
        "projected",
    )
    clip = Clip(frames - frames[0], camera.width, camera.tall, "none", "0" * 64)
    hip, knee = _bends(in_space)
    fall = float(-2 * fit[2, 2]) / GRAVITY
    return Seen(
        clip,
        track,
        duration=duration,
        leaves=float(-frames[0]),
        height=float(fit[1, 2] ** 2 / (-4 * fit[2, 2])) / fall,
        travel=float(centre[-1, 0] - centre[0, 0]),
        rotation=_turning(joints),
        scale=_true_scale(camera, fit, duration) * fall,
        hip=hip,
        knee=knee,
        air=(frames >= 0) & (frames <= duration),
    )


def _bed(frames: Array, duration: float, fit: Array, contact: float) -> Array:
    """How far the body is from where it left or met the bed, m, while a linear spring carries it."""
    shift = np.zeros((len(frames), 3))
    w = SPRING / contact
    for sense, when in ((-1.0, 0.0), (1.0, duration)):
        after = sense * (frames - when)
        on = after > 0
        speed = fit[1] + 2 * fit[2] * when
        # law: z'' = -g - w² z from touch, with the speed of the fall
        tau_ = after[on]
        down = sense * speed[2]
        shift[on, 2] = down / w * np.sin(w * tau_) + GRAVITY / w**2 * (np.cos(w * tau_) - 1)
        shift[on, 0] = sense * speed[0] * tau_
        shift[on, 1] = sense * speed[1] * tau_
    return shift


def _pose_of(camera: Camera, fit: Array, duration: float) -> tuple[Array, Array]:
    """Where the camera is and how it is turned (rows: right, up, away), aimed at the middle of the flight."""
    middle = fit[0] + fit[1] * duration / 2
    place = np.array(
        [
            middle[0] - camera.distance * sin(camera.yaw),
            -camera.distance * cos(camera.yaw),
            camera.height - 1.0,
        ]
    )
    aim = np.array([middle[0], 0.0, 0.5 * GRAVITY * (duration / 2) ** 2 * 0.45])
    away = (aim - place) / np.linalg.norm(aim - place)
    right = np.cross(away, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    return place, np.stack([right, np.cross(right, away), away])


def _picture(camera: Camera, points: Array, fit: Array, duration: float) -> Array:
    place, turned = _pose_of(camera, fit, duration)
    own = (points - place) @ turned.T
    return np.stack(
        [
            camera.width / 2 + camera.focal * own[:, 0] / own[:, 2],
            camera.tall / 2 - camera.focal * own[:, 1] / own[:, 2],
        ],
        axis=1,
    )


def _true_scale(camera: Camera, fit: Array, duration: float) -> float:
    """Local vertical scale where the middle row meets the plane of the flight, px/m, by a small step up."""
    place, turned = _pose_of(camera, fit, duration)
    away = turned[2]
    middle = fit[0] + fit[1] * duration / 2
    reach = (middle[1] - place[1]) / away[1]
    point = place + reach * away
    both = _picture(camera, np.stack([point, point + np.array([0.0, 0.0, 1e-4])]), fit, duration)
    return float((both[0, 1] - both[1, 1]) / 1e-4)


def _noise(camera: Camera, shape: tuple[int, ...]) -> Array:
    """Errors of joints: half jitter from frame to frame, half lasting for about a tenth of a second."""
    chance = np.random.default_rng(camera.seed)
    jitter = chance.normal(0, camera.noise / np.sqrt(2), shape)
    width = max(1, round(0.1 * camera.rate))
    drift = chance.normal(0, 1, (shape[0] + width - 1, *shape[1:]))
    drift = np.stack([drift[k : k + shape[0]] for k in range(width)]).sum(axis=0) / np.sqrt(width)
    return np.asarray(jitter + drift * camera.noise / np.sqrt(2))


def _bends(at: dict[str, Array]) -> tuple[Array, Array]:
    """Opening angles in space, both sides taken together, rad."""
    mid = {j: (at[f"left_{j}"] + at[f"right_{j}"]) / 2 for j in ("shoulder", "hip", "knee", "ankle")}
    return _angle(mid["shoulder"] - mid["hip"], mid["knee"] - mid["hip"]), _angle(
        mid["hip"] - mid["knee"], mid["ankle"] - mid["knee"]
    )


def _angle(a: Array, b: Array) -> Array:
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.sum(a * b, axis=1)))


def _turning(joints: dict[str, Array]) -> float:
    """How far the line from ankles to shoulders turned in the picture's plane, °, whole turns counted."""
    left, right = (joints[f"{s}_shoulder"] - joints[f"{s}_ankle"] for s in ("left", "right"))
    line = left + right
    angle = np.unwrap(np.arctan2(-line[:, 0], line[:, 2]))
    return float(angle[-1] - angle[0]) / degree
