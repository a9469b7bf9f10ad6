"""A bank of body shapes for the pictures, every one worked out by Loftbook's own mechanics.

Run as `python -m training.poses FILE.npz`. Each row is the turning of the sixteen segments of `mechanics.body` in the
pelvis's frame (right, forward, up) as quaternions, w first, and the name of the kind of shape that it came from.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np

from loftbook.mechanics import body
from loftbook.mechanics.body import ANGLE_NAMES, SEGMENT_NAMES
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.shape import ANGLE_LIMITS, shape_from

# hip, knee and trunk flexion in degrees, (least, most): wide on purpose, the named shapes of mechanics lie inside
KINDS: dict[str, tuple[float, tuple[float, float], tuple[float, float], tuple[float, float]]] = {
    "straight": (0.16, (-8, 14), (-4, 10), (-18, 14)),
    "nearly straight": (0.12, (0, 40), (0, 35), (-15, 25)),
    "tuck": (0.15, (90, 145), (95, 150), (5, 60)),
    "open tuck": (0.14, (70, 120), (55, 105), (0, 40)),
    "pike": (0.22, (75, 150), (-4, 22), (0, 65)),
    "puck": (0.11, (35, 85), (30, 80), (-5, 35)),
    "standing": (0.06, (0, 60), (0, 70), (-10, 35)),
    "anything": (0.04, (-25, 130), (0, 130), (-30, 60)),
}
BETWEEN = 0.28  # share of rows that lie on the way from one shape to another
HOLDS = {"tuck": 0.72, "open tuck": 0.55, "pike": 0.6, "puck": 0.3}  # share with the hands on the legs
BODY = body(1.5, "female", age=12)


def angles(kind: str, chance: np.random.Generator) -> dict[str, float]:
    """Joint angles of one body in one kind of shape, rad; left and right nearly alike."""
    _, hip, knee, trunk = KINDS[kind]
    apart = chance.choice([2.0, 6.0, 20.0], p=[0.6, 0.3, 0.1]) if kind != "anything" else 50.0
    deg = {
        "trunk_flexion": chance.uniform(*trunk), "trunk_side": chance.normal(0, 4), "trunk_twist": chance.normal(0, 6),
        "head_flexion": chance.normal(5, 20) - 0.3 * (kind == "straight") * 20,
    }  # fmt: skip
    h, k, f = (
        chance.uniform(*hip),
        chance.uniform(*knee),
        chance.choice([chance.uniform(30, 75), chance.uniform(-20, 70)]),
    )
    wide = abs(chance.normal(2, 5)) if chance.random() < 0.75 else chance.uniform(0, 30)
    for side in ("left", "right"):
        deg |= {
            f"{side}_hip_flexion": h + chance.normal(0, apart), f"{side}_hip_abduction": wide + chance.normal(0, 2),
            f"{side}_knee": k + abs(chance.normal(0, apart)) * (k > 5), f"{side}_ankle": f + chance.normal(0, 5),
        }  # fmt: skip
    return {name: float(np.radians(v)) for name, v in deg.items()} | arms(kind, chance)


def arms(kind: str, chance: np.random.Generator) -> dict[str, float]:
    """Arms that do not hold the legs: overhead, down, forward, sideways, crossed, wrapped for a twist."""
    usual = {"straight": [0.35, 0.3, 0.06, 0.1, 0.12, 0.07], "standing": [0.3, 0.3, 0.15, 0.12, 0.05, 0.08]}
    share = usual.get(kind, [0.15, 0.3, 0.2, 0.12, 0.13, 0.1])
    where = chance.choice(6, p=share)
    found = {}
    for side in ("left", "right"):
        spot = where if chance.random() < 0.9 else chance.choice(6)
        abd, flex, elbow = [
            (chance.uniform(150, 185), chance.normal(0, 12), abs(chance.normal(0, 14))),
            (chance.uniform(-2, 18), chance.normal(0, 12), abs(chance.normal(8, 14))),
            (chance.uniform(-5, 15), chance.uniform(35, 150), abs(chance.normal(10, 25))),
            (chance.uniform(40, 120), chance.normal(10, 20), abs(chance.normal(10, 20))),
            (chance.uniform(-20, 5), chance.uniform(15, 60), chance.uniform(80, 140)),
            (chance.uniform(-30, 170), chance.uniform(-40, 160), chance.uniform(0, 140)),
        ][spot]
        found |= {
            f"{side}_arm_abduction": np.radians(abd), f"{side}_arm_flexion": np.radians(flex),
            f"{side}_elbow": np.radians(elbow),
        }  # fmt: skip
    return found


def held(deg: dict[str, float], along: float, chance: np.random.Generator) -> dict[str, float]:
    """The same shape with the hands on the legs: `along` is 0 at the hip, 1 at the knee, 2 at the ankle."""
    state = shape_in_motion(BODY, shape_from(within(deg)))
    at = {name: (state.joints[i], state.rotations[i]) for i, name in enumerate(SEGMENT_NAMES)}
    deg = dict(deg)
    for side in ("left", "right"):
        stops = [at[f"{side}_thigh"][0], at[f"{side}_shank"][0], at[f"{side}_foot"][0]]
        k = min(int(along), 1)
        to = stops[k] + (along - k) * (stops[k + 1] - stops[k])
        turned = at["upper_trunk"][1].T @ (to - at[f"{side}_upper_arm"][0])
        upper = np.linalg.norm(at[f"{side}_forearm"][0] - at[f"{side}_upper_arm"][0])
        lower = np.linalg.norm(at[f"{side}_hand"][0] - at[f"{side}_forearm"][0]) + 0.04
        reach = float(
            np.clip(np.hypot(turned[1], turned[2]), abs(upper - lower) + 0.02, upper + lower - 1e-3)
        )
        bent = np.pi - np.arccos(np.clip((upper**2 + lower**2 - reach**2) / (2 * upper * lower), -1, 1))
        lead = np.arccos(np.clip((upper**2 + reach**2 - lower**2) / (2 * upper * reach), -1, 1))
        deg[f"{side}_arm_flexion"] = float(np.arctan2(turned[1], -turned[2]) - lead)
        deg[f"{side}_elbow"] = float(bent)
        deg[f"{side}_arm_abduction"] = float(np.radians(chance.normal(4, 7)))
    return deg


def within(deg: dict[str, float]) -> dict[str, float]:
    """The angles, brought inside what mechanics lets a body do."""
    return {name: float(np.clip(v, *ANGLE_LIMITS[name])) for name, v in deg.items()}


def one(chance: np.random.Generator) -> tuple[dict[str, float], str]:
    """One shape and the name of its kind."""
    names = list(KINDS)
    kind = names[chance.choice(len(names), p=np.array([v[0] for v in KINDS.values()]))]
    deg = angles(kind, chance)
    if chance.random() < HOLDS.get(kind, 0.0):
        most = 1.9 if kind != "pike" else 2.0
        deg = held(deg, chance.uniform(0.6, most), chance)
    return within(deg), kind


def quaternions(R: np.ndarray) -> np.ndarray:
    """Quaternions, w first, of rotation matrices (n, 3, 3)."""
    from scipy.spatial.transform import Rotation

    return np.roll(Rotation.from_matrix(R).as_quat(), 1, axis=-1)


def bank(count: int, seed: int) -> tuple[np.ndarray, list[str], np.ndarray]:
    """Rows of segment turnings, their kinds, and the joint angles that they came from."""
    chance = np.random.default_rng(seed)
    rows, kinds, asked = [], [], []
    for _ in range(count):
        deg, kind = one(chance)
        if chance.random() < BETWEEN:
            other, name = one(chance)
            share = chance.uniform(0.1, 0.9)
            deg = within({k: (1 - share) * deg[k] + share * other[k] for k in deg})
            kind = f"{kind} > {name}"
        state = shape_in_motion(BODY, shape_from(deg))
        rows.append(state.rotations)
        kinds.append(kind)
        asked.append([deg.get(name, 0.0) for name in ANGLE_NAMES])
    turned = quaternions(np.array(rows).reshape(-1, 3, 3)).reshape(count, -1, 4)
    return turned, kinds, np.array(asked)


def main() -> None:
    """Write the bank."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("file", type=Path)
    asked.add_argument("--count", type=int, default=60000)
    asked.add_argument("--seed", type=int, default=8)
    told = asked.parse_args()
    turned, kinds, deg = bank(told.count, told.seed)
    names = sorted(set(kinds))
    np.savez_compressed(
        told.file,
        turned=turned.astype(np.float16), kind=np.array([names.index(k) for k in kinds], dtype=np.int16),
        kinds=np.array(names), segments=np.array(SEGMENT_NAMES), seed=told.seed,
    )  # fmt: skip
    print(
        f"{told.count} shapes, {told.file.stat().st_size} B; "
        f"hip and knee, median: {np.degrees(np.median(deg[:, [10, 12]], 0)).round()}"
    )


if __name__ == "__main__":
    main()
