"""An invented acrobat of coloured discs, whose every joint is known, and a model that knows her only upright.

She is drawn before a quiet wall with a walker passing by; she lies as the equations here say, so that what a detector
finds can be held against them. The model fails as the real one does: more than 40° away from upright it takes feet for
shoulders.
"""

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from loftbook.film.track import COLUMN, JOINTS

WIDE, HIGH = 240, 180
SCALE = 31.0  # px per metre: she is 1.5 m and stands 46 px tall
FALL = 9.81 * SCALE
FLIGHT = 1.4  # s
BEFORE = AFTER = 0.4  # s on the bed and on the mat
COLOURS = {"shoulder": (250, 40, 40), "hip": (40, 230, 40), "knee": (60, 60, 250), "ankle": (240, 230, 40)}
BODY = (200, 170, 160)


@dataclass(frozen=True)
class Somersault:
    """What she does: degrees in all against the clock, and how far she folds."""

    total: float = 720.0
    fold: float = 120.0

    def at(self, time: float) -> dict[str, np.ndarray]:
        """The four middles at a time from take-off, px."""
        share = np.clip(time / FLIGHT, 0, 1)
        inside = np.clip((share - 0.2) / 0.12, 0, 1) * np.clip((0.8 - share) / 0.12, 0, 1)
        # the spin is three times as fast while she is folded; both together make the total
        grid = np.linspace(0, 1, 400)
        fast = 1 + 2 * np.clip((grid - 0.2) / 0.12, 0, 1) * np.clip((0.8 - grid) / 0.12, 0, 1)
        turned = np.interp(share, grid, np.cumsum(fast) / fast.sum()) * np.radians(self.total)
        flying = np.clip(time, 0, FLIGHT)
        x = 95 + 20 * share
        y = 125 - (FALL * FLIGHT / 2 * flying - FALL * flying**2 / 2)
        if time < 0 or time > FLIGHT:  # a soft bed: half a sine, down and up
            y += 7 * np.sin(
                np.pi * np.clip((time + BEFORE) / BEFORE if time < 0 else (time - FLIGHT) / AFTER, 0, 1)
            )
        fold = np.radians(self.fold) * inside
        up, thigh = _up(turned), -_up(turned + np.sign(self.total or 1) * fold)
        shank = -_up(turned + np.sign(self.total or 1) * 0.3 * fold)
        hip = np.zeros(2)
        points = {"hip": hip, "shoulder": hip + 0.46 * SCALE * up, "knee": hip + 0.38 * SCALE * thigh}
        points["ankle"] = points["knee"] + 0.36 * SCALE * shank
        middle = np.mean([0.5 * (points["shoulder"] + hip), hip, 0.5 * (hip + points["knee"])], axis=0)
        return {name: point - middle + np.array([x, y]) for name, point in points.items()}


def _up(angle: float) -> np.ndarray:
    return np.array([-np.sin(angle), -np.cos(angle)])


def _wall() -> np.ndarray:
    chance = np.random.default_rng(3)
    coarse = chance.integers(70, 120, (HIGH // 6, WIDE // 6))
    return np.repeat(np.kron(coarse, np.ones((6, 6)))[..., None], 3, axis=2).astype(np.uint8)


def picture(what: Somersault, time: float, wall: np.ndarray, *, walker: float = 0.0) -> np.ndarray:
    """One frame."""
    out = wall.copy()
    left = int(10 + walker * 45) % 60
    out[105:150, left : left + 11] = (60, 70, 150)
    points = what.at(time)
    head = points["shoulder"] + 0.22 * (points["shoulder"] - points["hip"])
    lines = [(head, points["shoulder"], 3.5), (points["shoulder"], points["hip"], 3.5)]
    lines += [(points["hip"], points["knee"], 2.5), (points["knee"], points["ankle"], 2.0)]
    lines = [(a, b, thick, BODY) for a, b, thick in lines]
    lines += [
        (points[name], points[name], 2.6, COLOURS[name]) for name in ("ankle", "knee", "shoulder", "hip")
    ]
    top = int(max(0, min(point[1] for point in points.values()) - 16))
    bottom = int(max(point[1] for point in points.values()) + 8)
    rows, columns = np.mgrid[top : min(HIGH, bottom), 60:160]
    part = out[top : min(HIGH, bottom), 60:160]
    for a, b, thick, colour in lines:
        along = b - a
        share = (columns + 0.5 - a[0]) * along[0] + (rows + 0.5 - a[1]) * along[1]
        share = np.clip(share / max(along @ along, 1e-9), 0, 1)
        away = np.hypot(columns + 0.5 - a[0] - share * along[0], rows + 0.5 - a[1] - share * along[1])
        part[away < thick] = colour
    return out


def acrobat_film(path: Path, what: Somersault, *, rate: float = 60, pan: float = 0.0) -> np.ndarray:
    """A film of her; answers with the time of each frame from take-off. `pan` in px a second moves the camera."""
    wall = np.concatenate([_wall(), _wall()[:, ::-1]], axis=1)
    times = np.arange(-BEFORE, FLIGHT + AFTER, 1 / rate)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=round(rate))
        stream.width, stream.height, stream.pix_fmt = WIDE, HIGH, "yuv444p"
        stream.time_base = stream.codec_context.time_base = Fraction(1, 90_000)
        stream.options = {"crf": "12", "preset": "ultrafast"}
        for n, time in enumerate(times):
            shift = int(pan * n / rate)
            shown = picture(what, time, wall[:, shift : shift + WIDE], walker=n / rate)
            frame = av.VideoFrame.from_ndarray(shown, format="rgb24").reformat(format="yuv444p")
            frame.pts, frame.time_base = round(n / rate * 90_000), Fraction(1, 90_000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return times


class DotModel:
    """Reads the discs; knows nobody who is not upright."""

    name = "coloured discs"

    def __init__(self) -> None:
        self.asked = 0

    def joints(self, square: np.ndarray) -> np.ndarray:
        self.asked += 1
        points = {}
        for name, colour in COLOURS.items():
            away = np.abs(square[::4, ::4] * 255 - np.array(colour, np.float32)).sum(axis=-1)
            rows, columns = np.nonzero(away < 110)
            points[name] = (
                4 * np.array([columns.mean() + 0.375, rows.mean() + 0.375])
                if len(rows) > 3
                else np.array([128.0, 128.0])
            )
        up = points["shoulder"] - points["hip"]
        if abs(np.arctan2(-up[0], -up[1])) > np.radians(40):  # lost, as the real one is
            points["shoulder"], points["ankle"] = points["ankle"], points["shoulder"]
        out = np.tile(points["hip"], (len(JOINTS), 1))
        for name, point in points.items():
            out[[COLUMN[f"left_{name}"], COLUMN[f"right_{name}"]]] = point
        out[[COLUMN["left_toe"], COLUMN["right_toe"]]] = points["ankle"]
        return out
