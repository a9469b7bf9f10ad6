"""Films of the second bodies, drawn by another renderer, with the truth of their own skeleton beside each.

`python -m training.second_clips FOLDER [NAME ...]` needs Loftbook, av and embreex 4.4 (rays on the processor). Flights
obey our own mechanics; on the bed before and after, the body is led. Every seed is fixed. The renderer casts rays: key
light with a soft shadow, light from sky and floor, four instants a frame as motion blur, sensor noise, H.264.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from math import cos, sin
from pathlib import Path

import numpy as np

from loftbook.mechanics import body
from loftbook.mechanics.named_shapes import bent
from loftbook.mechanics.shape import ARMS_DOWN, shape_from
from training.second_bodies import KEYPOINTS, Looks, skinned
from training.second_films import (
    BLACK,
    BROWN,
    FILMS,
    FPS,
    PALE,
    Course,
    Film,
    course_of,
    turning,
)  # fmt: skip

WIDE, HIGH = 1280, 720
INSTANTS = (-0.375, -0.125, 0.125, 0.375)  # of the shutter


@dataclass(frozen=True)
class Camera:
    """Still: where it is, its axes as rows (right, up, ahead), and px a unit of tangent."""

    place: np.ndarray
    axes: np.ndarray
    focal: float

    def seen(self, points: np.ndarray) -> np.ndarray:
        """Points in space as px."""
        x, y, z = ((points - self.place) @ self.axes.T).T
        return np.stack([WIDE / 2 + self.focal * x / z, HIGH / 2 - self.focal * y / z], 1)

    def rays(self, pixels: np.ndarray) -> np.ndarray:
        """Directions through px."""
        x, y = (pixels[:, 0] - WIDE / 2) / self.focal, (HIGH / 2 - pixels[:, 1]) / self.focal
        ways = np.stack([x, y, np.ones_like(x)], 1) @ self.axes
        return ways / np.linalg.norm(ways, axis=1, keepdims=True)


def camera_of(film: Film) -> Camera:
    """Nine metres away to her right, low, looking a little up."""
    yaw = np.radians(film.yaw)
    place = np.array([9 * cos(yaw), 9 * sin(yaw), 1.2])
    ahead = np.array([0, 0, 2.05]) - place
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, [0, 0, 1.0])
    right /= np.linalg.norm(right)
    return Camera(place, np.stack([right, np.cross(right, ahead), ahead]), 9.04 * film.pixels)


class Solid:
    """Something that rays meet."""

    def __init__(self, corners: np.ndarray, faces: np.ndarray, colours: np.ndarray) -> None:
        from embreex import rtcore_scene
        from embreex.mesh_construction import TriangleMesh

        self._scene = rtcore_scene.EmbreeScene()
        TriangleMesh(self._scene, corners[faces].astype(np.float32))
        self.faces, self.colours = faces, colours
        a, b, c = corners[faces].transpose(1, 0, 2)
        flat = np.cross(b - a, c - a)
        self.normals = np.zeros_like(corners)
        for k in range(3):
            np.add.at(self.normals, faces[:, k], flat)
        self.normals /= np.linalg.norm(self.normals, axis=1, keepdims=True) + 1e-12

    def meets(
        self, places: np.ndarray, ways: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Which rays meet it, how far away, its colour and normal there."""
        origins = np.broadcast_to(places, ways.shape).astype(np.float32)
        found = self._scene.run(np.ascontiguousarray(origins), ways.astype(np.float32), output=1)
        hit = found["primID"] >= 0
        corner = self.faces[found["primID"][hit]]
        u, v = found["u"][hit, None], found["v"][hit, None]
        weights = (1 - u - v, u, v)
        colour = sum(w * self.colours[corner[:, k]] for k, w in enumerate(weights))
        normal = sum(w * self.normals[corner[:, k]] for k, w in enumerate(weights))
        normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-9
        away = np.sum(normal * ways[hit], axis=1) > 0
        normal[away] *= -1
        return hit, found["tfar"][hit], colour, normal

    def shades(self, places: np.ndarray, ways: np.ndarray) -> np.ndarray:
        """Which rays it stops."""
        found = self._scene.run(places.astype(np.float32), ways.astype(np.float32), output=1)
        return np.asarray(found["primID"] >= 0)


def lit(
    colour: np.ndarray, normal: np.ndarray, light: np.ndarray, shadow: np.ndarray, ways: np.ndarray
) -> np.ndarray:
    """Key light, sky and floor, and a little gloss."""
    key = np.clip(normal @ light, 0, 1) * ~shadow
    sky = 0.5 + 0.5 * normal[:, 2]
    half = light - ways
    half /= np.linalg.norm(half, axis=1, keepdims=True)
    gloss = 0.05 * np.clip((normal * half).sum(1), 0, 1) ** 24 * ~shadow
    return colour * (0.85 * key + 0.33 * sky + 0.17 * (1 - sky))[:, None] + gloss[:, None]


def box(low: tuple, high: tuple, colour: tuple) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A box with corners of its own on each face, so that edges stay hard."""
    corners, faces = [], []
    for axis in range(3):
        for end in (low, high):
            square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=float)
            others = [k for k in range(3) if k != axis]
            made = np.zeros((4, 3))
            made[:, axis] = end[axis]
            for n, k in enumerate(others):
                made[:, k] = low[k] + square[:, n] * (high[k] - low[k])
            faces += [
                [len(corners), len(corners) + 1, len(corners) + 2],
                [len(corners), len(corners) + 2, len(corners) + 3],
            ]
            corners += list(made)
    return np.array(corners), np.array(faces), np.broadcast_to(np.array(colour), (len(corners), 3))


def hall(film: Film, chance: np.random.Generator) -> Solid:
    """Bed with frame, floor, a wall of panels and windows, mats, and two people who stand."""
    room = np.array(film.room)
    parts = [
        box((-1.05, -2.1, -0.03), (1.05, 2.1, 0.0), (0.5, 0.5, 0.48)),
        box((-6, -9, -1.2), (9, 9, -1.15), tuple(0.6 * room + [0.08, 0.05, 0.0])),
        box((1.05, -2.5, -0.14), (1.4, 2.5, 0.02), (0.03, 0.12, 0.4)),
        box((-1.4, -2.5, -0.14), (-1.05, 2.5, 0.02), (0.03, 0.12, 0.4)),
        box((-1.2, 2.1, -0.14), (1.2, 2.5, 0.02), (0.03, 0.12, 0.4)),
        box((-1.2, -2.5, -0.14), (1.2, -2.1, 0.02), (0.03, 0.12, 0.4)),
        box((1.2, -2.4, -1.2), (1.28, -2.3, -0.1), (0.3, 0.3, 0.3)),
        box((1.2, 2.3, -1.2), (1.28, 2.4, -0.1), (0.3, 0.3, 0.3)),
        box((-2, 2.6, -0.3), (2, 5.0, -0.05), (0.25, 0.05, 0.05)),
        box((-2, -5.0, -0.3), (2, -2.6, -0.05), (0.05, 0.2, 0.1)),
    ]
    parts.append(box((-5.4, -10, -1.2), (-5.3, 10, 7), tuple(0.6 * room)))
    for y in np.arange(-9, 9, 1.5):
        for z in np.arange(-1.2, 7, 1.6):
            window = z > 2.5 and chance.random() < 0.3
            colour = (
                np.array([0.95, 1.0, 1.05])
                if window
                else room * chance.uniform(0.7, 1.2) + chance.normal(0, 0.02, 3)
            )
            parts.append(
                box(
                    (-5.2, y, z),
                    (-5 + chance.uniform(0, 0.1), y + 1.44, z + 1.52),
                    tuple(np.clip(colour, 0.02, 1.1)),
                )
            )
    for y in (-3.3, 3.6):
        who = body(float(chance.uniform(1.55, 1.85)), "male", age=30)
        looks = Looks(
            PALE, tuple(chance.uniform(0.03, 0.6, 3)), BLACK, BROWN, (0.1, 0.1, 0.1), 0.8, 1.9, bun=False
        )
        corners, faces, colours, _ = skinned(who, bent(hip=0.05, knee=0.08, arms=ARMS_DOWN), looks, 1.15)
        stand = np.array([-2.2 + chance.normal(0, 0.3), y, -1.15 - corners[:, 2].min()])
        parts.append((corners + stand, faces, colours))
    starts = np.cumsum([0, *(len(p[0]) for p in parts[:-1])])
    return Solid(
        np.concatenate([p[0] for p in parts]),
        np.concatenate([p[1] + n for p, n in zip(parts, starts, strict=True)]),
        np.concatenate([p[2] for p in parts]),
    )


def written(name: str, folder: Path) -> None:
    """Draws one film and writes it with its truth."""
    import av

    film = FILMS[name]
    chance = np.random.default_rng(film.seed)
    course, camera = course_of(film), camera_of(film)
    light = np.array(film.light) / np.linalg.norm(film.light)
    view = Background(hall(film, chance), camera, light, chance)
    rows, first, last = [], -16, round(film.time * FPS) + 16
    with av.open(str(folder / f"{name}.mp4"), "w") as out:
        stream = out.add_stream("libx264", rate=FPS, options={"crf": "25", "preset": "fast"})
        stream.width, stream.height, stream.pix_fmt = WIDE, HIGH, "yuv420p"
        for n in range(first, last + 1):
            t = n / FPS + 0.002
            picture = drawn(film, course, view, t, chance)
            for packet in stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")):
                out.mux(packet)
            rows.append(row_of(film, course, camera, t))
        for packet in stream.encode():
            out.mux(packet)
    told = {
        "fps": FPS,
        "width": WIDE,
        "height": HIGH,
        "flight_time_s": film.time,
        "shape": film.shape,
        "stature_m": film.who.stature,
        "pixels_per_metre_at_athlete": film.pixels,
        "seed": film.seed,
        "keypoints": KEYPOINTS,
        "frames": rows,
    }
    (folder / f"{name}.truth.json").write_text(json.dumps(told))


class Background:
    """The hall as the still camera sees it, and where in space each fourth pixel lies, for her shadow."""

    def __init__(self, solid: Solid, camera: Camera, light: np.ndarray, chance: np.random.Generator) -> None:
        self.camera, self.light = camera, light
        y, x = np.mgrid[0:HIGH, 0:WIDE]
        whole = np.zeros((HIGH * WIDE, 3))
        for _ in range(3):
            ways = camera.rays(np.stack([x.ravel(), y.ravel()], 1) + chance.uniform(0, 1, (HIGH * WIDE, 2)))
            hit, far, colour, normal = solid.meets(camera.place, ways)
            spots = camera.place + ways[hit] * far[:, None] + 2e-3 * normal
            shadow = solid.shades(spots, np.broadcast_to(light, spots.shape))
            whole[hit] += lit(colour, normal, light, shadow, ways[hit]) / 3
        self.picture = whole.reshape(HIGH, WIDE, 3).astype(np.float32)
        y, x = np.mgrid[2:HIGH:4, 2:WIDE:4]
        ways = camera.rays(np.stack([x.ravel(), y.ravel()], 1).astype(float))
        hit, far, _, normal = solid.meets(camera.place, ways)
        self.spots = np.full((len(ways), 3), np.nan)
        self.spots[hit] = camera.place + ways[hit] * far[:, None] + 2e-3 * normal
        self.hit = hit


def placed(film: Film, course: Course, t: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Skin and key points in space."""
    given, turned, middle = course.at(t)
    corners, faces, colours, points = skinned(film.who, shape_from(given), film.looks, film.stout)
    R = turning(turned)
    return corners @ R.T + middle, faces, colours, points @ R.T + middle


def drawn(film: Film, course: Course, view: Background, t: float, chance: np.random.Generator) -> np.ndarray:
    """One frame as (720, 1280, 3) bytes."""
    camera, light = view.camera, view.light
    shade = np.zeros(len(view.spots))
    hers = []
    for part in INSTANTS:
        corners, faces, colours, _ = placed(film, course, t + part * film.shutter)
        her = Solid(corners, faces, colours * (1 + 0.06 * np.sin(37 * corners[:, :1] + 23 * corners[:, 1:2])))
        soft = light + chance.normal(0, 0.05, 3)
        soft /= np.linalg.norm(soft)
        shade[view.hit] += her.shades(
            view.spots[view.hit], np.broadcast_to(soft, (int(view.hit.sum()), 3))
        ) / len(INSTANTS)
        seen = camera.seen(corners)
        left, top = np.clip(seen.min(0).astype(int) - 2, 0, [WIDE - 1, HIGH - 1])
        right, low = np.clip(seen.max(0).astype(int) + 3, 1, [WIDE, HIGH])
        y, x = np.mgrid[top:low, left:right].reshape(2, -1)
        ways = camera.rays(np.stack([x, y], 1) + chance.uniform(0, 1, (x.size, 2)))
        hit, far, colour, normal = her.meets(camera.place, ways)
        spots = camera.place + ways[hit] * far[:, None] + 4e-3 * normal
        shadow = her.shades(spots, np.broadcast_to(soft, spots.shape))
        hers.append((y[hit], x[hit], lit(colour, normal, soft, shadow, ways[hit])))
    dim = 1 - 0.45 * shade.reshape(HIGH // 4, WIDE // 4)
    behind = view.picture * np.repeat(np.repeat(dim, 4, 0), 4, 1)[..., None].astype(np.float32)
    picture = behind.copy()
    for y, x, value in hers:
        picture[y, x] += (value - behind[y, x]) / len(INSTANTS)
    grainy = np.clip(picture, 0, None) ** (1 / 2.2) + 0.018 * chance.standard_normal(
        picture.shape, dtype=np.float32
    )
    return (255 * np.clip(grainy, 0, 1)).astype(np.uint8)


def row_of(film: Film, course: Course, camera: Camera, t: float) -> dict[str, object]:
    """Truth of one frame."""
    _, turned, middle = course.at(t)
    corners, _, _, points = placed(film, course, t)
    return {
        "time_s": round(t, 5),
        "keypoints_px": np.round(camera.seen(points), 2).tolist(),
        "somersault_deg": float(np.degrees(turned)),
        "mass_centre_m": middle.round(4).tolist(),
        "lowest_point_m": float(corners[:, 2].min()),
    }


def main() -> None:
    """Draw the films that are asked for, or all."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("names", nargs="*", default=list(FILMS))
    told = asked.parse_args()
    told.folder.mkdir(parents=True, exist_ok=True)
    for name in told.names or FILMS:
        written(name, told.folder)
        print(name, flush=True)


if __name__ == "__main__":
    main()
