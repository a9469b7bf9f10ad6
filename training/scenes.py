"""What is in each picture, drawn by lot: body, pose, camera, clothes, light, room, other people, blur, compression.

Pure numpy and seeded: the same seed gives the same scenes on any machine. The picture itself is made by `drawing`.
Frames: mechanics has right, forward, up; the bodies have left, backward, up; the camera has right, down, away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from training.bodies import BONES, PARENTS

#: Writes a column of the scenes by its name.
Put = Callable[[str, np.ndarray | float], None]
PICTURE, RASTER = 192, 256
PRIMS, PRIM_FIELDS = 22, 13
WIDTHS = {
    "SKIN": 3, "SOCK_RGB": 3, "HAIR_RGB": 3, "BUN_AT": 3, "TAIL": 3, "FLOW": 3, "CLOTH_A": 11,
    "CLOTH_B": 11, "LIGHT": 3, "LIGHT_B": 3, "UP": 3, "LIGHT_RGB": 3, "WALL": 3, "FLOOR": 3, "GAIN": 3,
    "OTHERS": 16
}  # fmt: skip
NAMES = (
    "SEED BODY_A BODY_B BODY_MIX BULGE FOCAL CENTRE_X CENTRE_Y TOP TOP_FROM TOP_TO SLEEVE CUT BOTTOM WAIST LEGS "
    "TOP_OVER BOTTOM_LOOSE TOP_LOOSE FOLD_FREQ FLOW BUN BUN_AT TAIL BUN_TIGHT HAIR HAIRLINE HAIR_RGB SKIN SOCK "
    "SOCK_RGB CLOTH_A CLOTH_B FACET WRINKLE REACH CONTACT LIGHT LIGHT_B UP LIGHT_RGB WRAP AMBIENT HEMI KEY FILL "
    "GLOSS ROLL EDGE HORIZON WALL WALL_FREQ WALL_COLOUR WALL_GREY WALL_KIND PANEL JOINT CROWD FLOOR BOARDS "
    "SLOPE_X SLOPE_Y OTHERS SHADOW SHADOW_X SHADOW_Y SAMPLES SPIN MOVE_X MOVE_Y PIVOT_X PIVOT_Y VIGNETTE GAIN "
    "GAMMA SATURATION NATIVE LENS NOISE CODE THICK"
).split()
PLACE: dict[str, int] = {}
WIDTH = 0
for _name in NAMES:
    PLACE[_name] = WIDTH
    WIDTH += WIDTHS.get(_name, 1)
FROM_MECHANICS = np.diag([-1.0, -1.0, 1.0])  # also its own inverse


@dataclass(frozen=True)
class Source:
    """What scenes are drawn from: bones of the bodies and the bank of poses."""

    bones: np.ndarray
    stature: np.ndarray
    turned: np.ndarray
    segments: list[str]


def source(bodies: Path, poses: Path) -> Source:
    """Read the two files that `bodies` and `poses` wrote."""
    with np.load(bodies) as b, np.load(poses) as p:
        return Source(
            b["bones"].astype(np.float64), b["stature"], p["turned"], [str(s) for s in p["segments"]]
        )


def matrices(q: np.ndarray) -> np.ndarray:
    """Rotation matrices of quaternions, w first, of any leading shape."""
    w, x, y, z = np.moveaxis(q / np.linalg.norm(q, axis=-1, keepdims=True), -1, 0)
    rows = [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y), 2 * (x * y + w * z), 1 - 2 * (x * x + z * z),  # noqa: E501
            2 * (y * z - w * x), 2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)]  # fmt: skip
    return np.stack(rows, -1).reshape(*q.shape[:-1], 3, 3)


def quaternion(R: np.ndarray) -> np.ndarray:
    """Quaternions, w first, of rotation matrices of any leading shape; the largest part decides, so it is stable."""
    m = R
    four = np.stack([
        np.stack([1 + m[..., 0, 0] + m[..., 1, 1] + m[..., 2, 2], m[..., 2, 1] - m[..., 1, 2], m[..., 0, 2] - m[..., 2, 0], m[..., 1, 0] - m[..., 0, 1]], -1),  # noqa: E501
        np.stack([m[..., 2, 1] - m[..., 1, 2], 1 + m[..., 0, 0] - m[..., 1, 1] - m[..., 2, 2], m[..., 0, 1] + m[..., 1, 0], m[..., 0, 2] + m[..., 2, 0]], -1),  # noqa: E501
        np.stack([m[..., 0, 2] - m[..., 2, 0], m[..., 0, 1] + m[..., 1, 0], 1 - m[..., 0, 0] + m[..., 1, 1] - m[..., 2, 2], m[..., 1, 2] + m[..., 2, 1]], -1),  # noqa: E501
        np.stack([m[..., 1, 0] - m[..., 0, 1], m[..., 0, 2] + m[..., 2, 0], m[..., 1, 2] + m[..., 2, 1], 1 - m[..., 0, 0] - m[..., 1, 1] + m[..., 2, 2]], -1),  # noqa: E501
    ], -2)  # fmt: skip
    best = np.argmax(np.stack([four[..., k, k] for k in range(4)], -1), -1)
    q = np.take_along_axis(four, best[..., None, None], -2)[..., 0, :]
    return q / np.linalg.norm(q, axis=-1, keepdims=True)


def about(axis: int, angle: np.ndarray) -> np.ndarray:
    """Rotation matrices about a coordinate axis."""
    R = np.zeros((*angle.shape, 3, 3))
    i, j = (axis + 1) % 3, (axis + 2) % 3
    R[..., axis, axis] = 1
    R[..., i, i] = R[..., j, j] = np.cos(angle)
    R[..., j, i], R[..., i, j] = np.sin(angle), -np.sin(angle)
    return R


def turning_to(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """The least rotation that brings direction a onto b."""
    a, b = (v / np.linalg.norm(v, axis=-1, keepdims=True) for v in (a, np.broadcast_to(b, a.shape)))
    q = np.concatenate([1 + (a * b).sum(-1, keepdims=True) + 1e-9, np.cross(a, b)], -1)
    return matrices(q)


def posed(src: Source, rows: np.ndarray, bones: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Turning and place of each bone in the body's own frame: (n, 21, 3, 3) and (n, 21, 2, 3), ends included."""
    n = len(rows)
    seg = FROM_MECHANICS @ matrices(src.turned[rows].astype(np.float64)) @ FROM_MECHANICS
    at = {name: seg[:, i] for i, name in enumerate(src.segments)}
    G = np.zeros((n, len(BONES), 3, 3))
    down, forward = np.array([0.0, 0, -1]), np.array([0.0, -1, 0])
    direction = bones[:, :, 1] - bones[:, :, 0]
    G[:, 0], G[:, 1], G[:, 2] = at["pelvis"], at["mid_trunk"], at["upper_trunk"]
    half = quaternion(at["upper_trunk"])
    other = quaternion(at["head"])
    other *= np.where((half * other).sum(-1, keepdims=True) < 0, -1, 1)
    G[:, 3], G[:, 4] = matrices(half + other), at["head"]
    for side, k in (("left", 5), ("right", 13)):
        arm = at[f"{side}_upper_arm"] @ turning_to(direction[:, k + 1], down)
        q = quaternion(np.swapaxes(at["upper_trunk"], -1, -2) @ at[f"{side}_upper_arm"])
        q *= np.where(q[:, :1] < 0, -1, 1)
        G[:, k] = at["upper_trunk"] @ matrices(np.concatenate([q[:, :1] * 0.22 + 0.78, q[:, 1:] * 0.22], -1))
        G[:, k + 1] = arm
        G[:, k + 2] = at[f"{side}_forearm"] @ turning_to(direction[:, k + 2], down)
        G[:, k + 3] = at[f"{side}_hand"] @ turning_to(direction[:, k + 3], down)
        G[:, k + 4] = at[f"{side}_thigh"] @ turning_to(direction[:, k + 4], down)
        G[:, k + 5] = at[f"{side}_shank"] @ turning_to(direction[:, k + 5], down)
        flat = direction[:, k + 6] * np.array([1.0, 1, 0.0])
        G[:, k + 6] = G[:, k + 7] = at[f"{side}_foot"] @ turning_to(flat, forward)
    p = np.zeros((n, len(BONES), 3))
    for i, parent in enumerate(PARENTS):
        if parent < 0:
            continue
        p[:, i] = p[:, parent] + np.einsum("nij,nj->ni", G[:, parent], bones[:, i, 0] - bones[:, parent, 0])
    tips = p + np.einsum("nkij,nkj->nki", G, direction)
    return G, np.stack([p, tips], 2)


def scenes(src: Source, count: int, seed: int | list[int]) -> dict[str, np.ndarray]:
    """Parameters of `count` pictures: P (n, WIDTH), prims (n, 22, 13), M (n, 21, 12), Q (n, 21, 8)."""
    c = np.random.default_rng(seed)
    P = np.zeros((count, WIDTH), np.float64)

    def put(name: str, value: np.ndarray | float) -> None:
        value = np.asarray(value, np.float64)
        width = WIDTHS.get(name, 1)
        P[:, PLACE[name] : PLACE[name] + width] = value.reshape(-1, width) if value.ndim else value

    people = len(src.stature)
    a, b, w = c.integers(people, size=count), c.integers(people, size=count), c.uniform(0, 0.5, count)
    bones = src.bones[a] * (1 - w)[:, None, None, None] + src.bones[b] * w[:, None, None, None]
    stature = src.stature[a] * (1 - w) + src.stature[b] * w
    put("SEED", c.integers(1, 1 << 22, size=count))
    put("BODY_A", a), put("BODY_B", b), put("BODY_MIX", w), put("BULGE", c.uniform(0, 1, count) ** 0.7)
    bones = pivoted(c, bones, stature)
    G, joints = posed(src, c.integers(len(src.turned), size=count), bones)
    view, down_up = camera(c, joints, stature, put)
    GC = view[:, None] @ G
    origin = np.einsum("nij,nkj->nki", view, joints[:, :, 0]) + down_up[:, None]
    t = origin - np.einsum("nkij,nkj->nki", GC, bones[:, :, 0])
    q = quaternion(GC)
    dual = 0.5 * product(np.concatenate([np.zeros_like(t[..., :1]), t], -1), q)
    look(c, count, put)
    light(c, count, put)
    room(c, count, put)
    others(c, count, put)
    lens(c, count, put)
    put("THICK", 0.075 * stature)
    M = np.concatenate([GC, t[..., None]], -1).reshape(count, len(BONES), 12)
    found = {"P": P, "prims": things(c, count, P), "M": M, "Q": np.concatenate([q, dual], -1)}
    return {k: np.ascontiguousarray(v, np.float32) for k, v in found.items()}


def pivoted(c: np.random.Generator, bones: np.ndarray, stature: np.ndarray) -> np.ndarray:
    """Bones that turn about other points than the book says: nobody's hip is where a model's hip is.

    In six of ten pictures the thighs turn about a point up to a tenth of a metre above the hip, so that a fold
    lengthens the thigh that is seen, as a tilting pelvis and some rigs do; all pivots wander by about a hundredth of
    the stature. The joints that are taught stay those of the skin that is seen.
    """
    n = len(bones)
    moved = bones.copy()
    moved[:, 1:, 0] += c.normal(0, 0.006, (n, len(BONES) - 1, 3)) * stature[:, None, None]
    raised = np.where(c.random(n) < 0.6, c.uniform(-0.02, 0.11, n), 0.0) * stature / 1.6
    for thigh in (9, 17):
        moved[:, thigh, 0, 2] += raised
    moved[:, 1:, 1] += moved[:, 1:, 0] - bones[:, 1:, 0]  # directions stay
    return moved


def product(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Quaternion product, w first."""
    w = a[..., :1] * b[..., :1] - (a[..., 1:] * b[..., 1:]).sum(-1, keepdims=True)
    return np.concatenate(
        [w, a[..., :1] * b[..., 1:] + b[..., :1] * a[..., 1:] + np.cross(a[..., 1:], b[..., 1:])], -1
    )


def camera(
    c: np.random.Generator, joints: np.ndarray, stature: np.ndarray, put: Put
) -> tuple[np.ndarray, np.ndarray]:
    """Where she is seen from, and which square is cut out: rotation into the camera's frame and her hips in it."""
    n = len(stature)
    somersault = c.uniform(0, 2 * np.pi, n)
    twist = np.where(c.random(n) < 0.28, c.uniform(-np.pi, np.pi, n), c.normal(0, 0.06, n))
    side = np.where(c.random(n) < 0.5, np.pi / 2, -np.pi / 2)
    far = c.random(n)
    yaw = side + np.where(
        far < 0.6,
        c.uniform(-0.5, 0.5, n),
        np.where(far < 0.82, c.uniform(-1.15, 1.15, n), c.uniform(-np.pi, np.pi, n)),
    )
    body = about(2, yaw) @ about(0, somersault) @ about(2, twist)
    pitch = np.where(c.random(n) < 0.85, c.uniform(-0.14, 0.5, n), c.uniform(-0.6, 0.9, n))
    roll = np.where(c.random(n) < 0.3, c.uniform(-np.pi, np.pi, n), c.normal(0, 0.06, n))
    to_camera = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])  # left, back, up -> right, down, away
    world = about(2, roll) @ about(0, pitch) @ to_camera
    view = world @ body
    put("UP", world[:, :, 2])
    put("ROLL", roll)
    middle = np.einsum("nij,nkej->nkei", view, joints).reshape(n, -1, 3)
    distance = np.exp(c.uniform(np.log(2.6), np.log(25), n))
    shift = np.stack([c.normal(0, 0.04, n) * distance, c.normal(0, 0.04, n) * distance, distance], -1)
    at = middle + shift[:, None]
    flat = at[..., :2] / at[..., 2:]
    low, high = flat.min(1), flat.max(1)
    tall = stature / distance
    extent = (high - low).max(1) + 0.10 * tall  # heads and hands stick out of the bones
    side_ = np.where(
        c.random(n) < 0.85,
        np.maximum(extent * c.uniform(1.0, 1.3, n), tall * c.uniform(0.55, 1.35, n)),
        tall * c.uniform(0.62, 1.9, n),
    )
    room_ = np.maximum(side_[:, None] - (high - low), 0.06 * side_[:, None])
    centre = (low + high) / 2 + room_ * np.clip(c.normal(0, 0.17, (n, 2)), -0.5, 0.5)
    focal = PICTURE / side_
    put("FOCAL", focal)
    put("CENTRE_X", PICTURE / 2 - focal * centre[:, 0]), put("CENTRE_Y", PICTURE / 2 - focal * centre[:, 1])
    hip = (at[:, 0, :2] / at[:, 0, 2:] - centre) * focal[:, None] + PICTURE / 2
    put("PIVOT_X", hip[:, 0]), put("PIVOT_Y", hip[:, 1])
    put("REACH", np.clip(tall * focal / 130, 0.3, 1.6))
    move = (
        np.where(c.random((n, 2)) < 0.6, c.normal(0, 0.014, (n, 2)), c.normal(0, 0.05, (n, 2)))
        * (tall * focal)[:, None]
    )
    put("MOVE_X", move[:, 0]), put("MOVE_Y", move[:, 1])
    put("SPIN", np.where(c.random(n) < 0.7, c.normal(0, 0.12, n), c.normal(0, 0.35, n)))
    put("SAMPLES", np.where(c.random(n) < 0.25, 1, 7))
    return view, shift


def hue(c: np.random.Generator, n: int, *, dull: float = 0.35) -> np.ndarray:
    """Colours: some grey, some bright, some black or white."""
    base = c.random((n, 3))
    grey = c.random((n, 1)) * np.ones((1, 3))
    mixed = np.where(c.random((n, 1)) < dull, grey + c.normal(0, 0.05, (n, 3)), base)
    return np.clip(mixed * c.choice([0.25, 0.6, 1.0], (n, 1)), 0.01, 1)


def cloth(c: np.random.Generator, n: int) -> np.ndarray:
    """Two colours, a pattern, its size and its direction."""
    one, two = hue(c, n), hue(c, n)
    two = np.where(c.random((n, 1)) < 0.5, np.clip(one * c.uniform(0.5, 1.6, (n, 1)), 0, 1), two)
    way = c.normal(0, 1, (n, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    return np.concatenate(
        [
            one,
            two,
            c.choice(8, (n, 1), p=[0.36, 0.12, 0.08, 0.12, 0.08, 0.08, 0.08, 0.08]),
            c.uniform(3, 22, (n, 1)),
            way,
        ],
        1,
    )


def look(c: np.random.Generator, n: int, put: Put) -> None:
    """Skin, hair and clothes, each by a lot of its own."""
    dark = c.random((n, 1))
    put(
        "SKIN",
        np.clip(
            (np.array([0.92, 0.73, 0.62]) * (1 - dark) + np.array([0.3, 0.18, 0.12]) * dark)
            * c.normal(1, 0.08, (n, 3)),
            0.05,
            1,
        ),
    )
    put("HAIR", c.random(n) < 0.95), put("HAIRLINE", c.uniform(0.035, 0.085, n))
    put(
        "HAIR_RGB",
        np.clip(
            np.array(
                [[0.08, 0.06, 0.05], [0.3, 0.2, 0.12], [0.75, 0.6, 0.38], [0.5, 0.25, 0.12], [0.6, 0.6, 0.6]]
            )[c.choice(5, n, p=[0.35, 0.3, 0.2, 0.1, 0.05])]
            * c.uniform(0.7, 1.3, (n, 1)),
            0,
            1,
        ),
    )
    bun = c.random(n)
    put(
        "BUN",
        np.where(bun < 0.35, c.uniform(0.02, 0.05, n), 0.0) + np.where((bun >= 0.35) & (bun < 0.7), 0.01, 0),
    )
    put("BUN_TIGHT", c.uniform(300, 1200, n))
    put("TAIL", np.where(((bun >= 0.35) & (bun < 0.7))[:, None], c.normal(0, 0.09, (n, 3)), 0))
    put(
        "BUN_AT",
        HEAD + np.stack([c.normal(0, 0.02, n), c.uniform(0.05, 0.1, n), c.uniform(-0.02, 0.12, n)], -1),
    )
    kind = c.choice(
        5, n, p=[0.38, 0.3, 0.17, 0.1, 0.05]
    )  # leotard, shirt with shorts or trousers, tank, bare trunk, unitard
    leotard = kind == 0
    put("TOP", kind != 3)
    put(
        "TOP_FROM",
        np.select([leotard, kind == 4], [0.0, 0.0], c.uniform(0.12, 0.5, n)) - 0.01 * (leotard | (kind == 4)),
    )
    put("CUT", np.where(leotard, c.uniform(0.0, 0.12, n), np.where(kind == 4, c.uniform(0.3, 1.0, n), 0)))
    put("TOP_TO", c.uniform(0.82, 1.02, n))
    put(
        "SLEEVE",
        np.where(
            kind == 2,
            -1,
            np.where(
                leotard & (c.random(n) < 0.5),
                c.choice([-1.0, 0.95], n),
                c.choice([0.15, 0.4, 0.9], n) + c.normal(0, 0.08, n),
            ),
        ),
    )
    put("BOTTOM", np.where(leotard, c.random(n) < 0.25, kind != 4))
    put("WAIST", c.uniform(0.2, 0.42, n))
    put("LEGS", np.where(c.random(n) < 0.6, c.uniform(0.1, 0.45, n), c.uniform(0.6, 1.02, n)))
    put("TOP_OVER", c.random(n) < 0.5)
    tight = c.random(n) < 0.5
    put(
        "TOP_LOOSE",
        np.where(
            leotard | (kind == 4), 0.001, np.where(tight, c.uniform(0, 0.012, n), c.uniform(0.01, 0.08, n))
        ),
    )
    put("BOTTOM_LOOSE", np.where(c.random(n) < 0.5, c.uniform(0, 0.01, n), c.uniform(0.01, 0.07, n)))
    put("FLOW", c.normal(0, 0.05, (n, 3)) * (c.random((n, 1)) < 0.5))
    put("FOLD_FREQ", c.uniform(5, 22, n)), put("WRINKLE", c.uniform(0, 0.9, n))
    (
        put("SOCK", np.where(c.random(n) < 0.55, c.uniform(0.7, 0.97, n), 9)),
        put(
            "SOCK_RGB",
            np.where(
                c.random((n, 1)) < 0.6,
                np.clip(c.normal(0.85, 0.1, (n, 1)), 0, 1) * np.ones((1, 3)),
                hue(c, n),
            ),
        ),
    )
    (
        put("CLOTH_A", cloth(c, n)),
        put("CLOTH_B", cloth(c, n)),
        put("FACET", c.uniform(0, 0.5, n) * (c.random(n) < 0.6)),
    )
    put("GLOSS", c.uniform(0, 0.35, n) * (c.random(n) < 0.5))


HEAD = np.zeros(3)  # middle of the mean head, set when the bodies are read


def light(c: np.random.Generator, n: int, put: Put) -> None:
    """Lamps of a hall, windows, dusk; harsh, flat, from behind."""
    for name in ("LIGHT", "LIGHT_B"):
        way = c.normal(0, 1, (n, 3)) + np.array([0, -0.8, -0.4])
        put(name, way / np.linalg.norm(way, axis=1, keepdims=True))
    put("CONTACT", c.uniform(0.2, 1.0, n)), put("WRAP", c.uniform(0, 0.6, n))
    put("AMBIENT", c.uniform(0.2, 0.6, n)), put("HEMI", c.uniform(0, 0.5, n))
    put("KEY", c.uniform(0.05, 0.9, n)), put("FILL", c.uniform(0, 0.3, n))
    put("LIGHT_RGB", np.clip(c.normal(1, 0.1, (n, 3)), 0.6, 1.4))
    (
        put("SHADOW", np.where(c.random(n) < 0.25, c.uniform(0.1, 0.6, n), 0)),
        put("SHADOW_X", c.normal(0, 18, n)),
        put("SHADOW_Y", c.uniform(-5, 40, n)),
    )


def room(c: np.random.Generator, n: int, put: Put) -> None:
    """Walls, floors, panels, crowds, windows, all invented."""
    put("WALL", hue(c, n, dull=0.6)), put("FLOOR", hue(c, n, dull=0.5))
    put("WALL_FREQ", np.exp(c.uniform(np.log(1), np.log(14), n)))
    put("WALL_COLOUR", c.uniform(0, 0.45, n) * (c.random(n) < 0.6)), put("WALL_GREY", c.uniform(0, 0.7, n))
    (
        put("WALL_KIND", c.choice(5, n, p=[0.35, 0.2, 0.15, 0.18, 0.12])),
        put("PANEL", np.exp(c.uniform(np.log(1), np.log(12), n))),
    )
    (
        put("JOINT", c.uniform(0.3, 1.4, n)),
        put("CROWD", c.uniform(0.1, 0.9, n)),
        put("EDGE", c.uniform(0.004, 0.05, n)),
    )
    (
        put("HORIZON", np.where(c.random(n) < 0.5, c.uniform(-0.4, 0.6, n), 2)),
        put("BOARDS", np.where(c.random(n) < 0.3, c.uniform(1, 6, n), 0)),
    )
    put("SLOPE_X", c.normal(0, 0.3, n)), put("SLOPE_Y", c.normal(0, 0.3, n))


def others(c: np.random.Generator, n: int, put: Put) -> None:
    """Spotters, bystanders, a second jumper: other people of the same batch, mostly behind and to the side."""
    rows = []
    for chance in (0.5, 0.25):
        on, front = c.random(n) < chance, c.random(n) < 0.12
        scale = np.exp(c.uniform(np.log(0.25), np.log(1.1), n))
        angle, far = (
            c.uniform(0, 2 * np.pi, n),
            np.where(front, c.uniform(0.5, 0.7, n), c.uniform(0.22, 0.62, n)),
        )
        turn = np.where(c.random(n) < 0.5, c.normal(0, 0.2, n), c.uniform(-np.pi, np.pi, n))
        rows.append(
            np.stack(
                [
                    on,
                    c.integers(1, 64, n),
                    scale,
                    turn,
                    far * np.cos(angle),
                    far * np.sin(angle),
                    c.uniform(0.35, 1.1, n),
                    front,
                ],
                -1,
            )
        )
    put("OTHERS", np.concatenate(rows, 1))


def lens(c: np.random.Generator, n: int, put: Put) -> None:
    """Exposure, tint, few pixels, noise and compression."""
    put(
        "GAIN",
        np.where(c.random((n, 1)) < 0.15, c.uniform(0.3, 0.65, (n, 1)), c.uniform(0.75, 1.5, (n, 1)))
        * c.normal(1, 0.07, (n, 3)),
    )
    (
        put("GAMMA", c.uniform(0.6, 1.3, n)),
        put("SATURATION", np.where(c.random(n) < 0.06, 0, c.uniform(0.5, 1.3, n))),
        put("VIGNETTE", c.uniform(0, 0.5, n)),
    )
    put(
        "NATIVE",
        np.where(c.random(n) < 0.5, PICTURE, np.round(np.exp(c.uniform(np.log(56), np.log(PICTURE), n)))),
    )
    (
        put("LENS", c.uniform(0.8, 2.2, n)),
        put("NOISE", np.where(c.random(n) < 0.5, c.uniform(0, 0.03, n), c.uniform(0.02, 0.12, n))),
    )
    put("CODE", np.where(c.random(n) < 0.7, np.exp(c.uniform(np.log(0.01), np.log(0.14), n)), 0))


def things(c: np.random.Generator, n: int, P: np.ndarray) -> np.ndarray:
    """Beds, frames, mats, nets, poles, posters, lamps, plain blobs; kinds as in draw.cu."""
    q = np.zeros((n, PRIMS, PRIM_FIELDS))
    kind = c.choice([0, 1, 2, 3, 5, 6], (n, PRIMS), p=[0.34, 0.2, 0.14, 0.16, 0.1, 0.06])
    q[..., 0] = kind * (np.arange(PRIMS) < c.integers(0, PRIMS, (n, 1)))
    q[..., 1:3] = c.uniform(-0.6, 0.6, (n, PRIMS, 2))
    size = np.exp(c.uniform(np.log(0.015), np.log(0.35), (n, PRIMS, 2)))
    line = kind == 3
    q[..., 3], q[..., 4] = (
        np.where(line, c.uniform(0.1, 1.0, (n, PRIMS)), size[..., 0]),
        np.where(line, np.exp(c.uniform(np.log(0.003), np.log(0.03), (n, PRIMS))), size[..., 1]),
    )
    roll = -P[:, PLACE["ROLL"]][:, None]
    loose = c.uniform(-np.pi, np.pi, (n, PRIMS))
    q[..., 5] = np.where(
        c.random((n, PRIMS)) < 0.65,
        -roll + c.choice([0, np.pi / 2], (n, PRIMS)) + c.normal(0, 0.03, (n, PRIMS)),
        loose,
    )
    q[..., 6:9] = hue(c, n * PRIMS, dull=0.4).reshape(n, PRIMS, 3)
    q[..., 9] = np.where(c.random((n, PRIMS)) < 0.6, 0.002, c.uniform(0.002, 0.03, (n, PRIMS)))
    q[..., 10], q[..., 12] = c.uniform(2, 30, (n, PRIMS)), c.uniform(0.5, 1, (n, PRIMS))
    front = c.random((n, PRIMS)) < np.where(line, 0.1, 0.012)
    front &= ~(~line & (size.max(-1) > 0.12))
    q[..., 11] = front
    net = c.random(n) < 0.07  # a net across the whole picture, seen through
    q[net, -1, :] = 0
    q[net, -1, 0], q[net, -1, 3:5], q[net, -1, 10] = 4, 2.0, c.uniform(8, 40, net.sum())
    q[net, -1, 5], q[net, -1, 11], q[net, -1, 12] = (
        c.uniform(-0.6, 0.6, net.sum()),
        1,
        c.uniform(0.25, 0.9, net.sum()),
    )
    q[net, -1, 6:9] = hue(c, int(net.sum()), dull=0.9)
    return q
