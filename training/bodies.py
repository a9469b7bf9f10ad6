"""Bodies to draw: people of every age from `anny`, cut down to what the drawing needs, in one file.

`anny` is an open body model (code Apache 2.0, body data CC0). It is needed once, here; drawing needs numpy only.
Run as `python -m training.bodies FILE.npz`. Rest poses, in metres: x to her left, y backwards, z up.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np

BONES = (
    "root spine_low spine_high neck head "
    "left_clavicle left_upper_arm left_forearm left_hand left_thigh left_shank left_foot left_toes "
    "right_clavicle right_upper_arm right_forearm right_hand right_thigh right_shank right_foot right_toes"
).split()
PARENTS = np.array([-1, 0, 1, 2, 3, 2, 5, 6, 7, 0, 9, 10, 11, 2, 13, 14, 15, 0, 17, 18, 19])
# which bone of anny begins each of ours, and which one ends it (head of that bone; a star means its own tail)
STARTS = (
    "root spine05 spine03 neck01 head clavicle upperarm01 lowerarm01 wrist upperleg01 lowerleg01 foot toe2-1"
)
ENDS = (
    "spine05 spine03 neck01 head head* upperarm01 lowerarm01 wrist finger3-3* lowerleg01 foot toe2-1 toe2-2*"
)
TORSO, ARM, LEG, HEAD = range(4)  # what a vertex belongs to, for clothes


def people(count: int, seed: int) -> list[dict[str, float]]:
    """Who is drawn: mostly girls and boys of 8 to 17, one in four grown up, on anny's own scales."""
    chance = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        grown, girl = chance.random() < 0.25, chance.random() < 0.7
        age = chance.uniform(0.62, 0.85) if grown else chance.uniform(0.27, 0.64)
        found.append(
            {
                "gender": float(np.clip(0.9 * girl + chance.uniform(0, 0.15), 0, 1)),
                "age": float(age),
                "muscle": float(chance.uniform(0.3, 0.95)),
                "weight": float(np.clip(chance.normal(0.42, 0.17), 0.05, 0.95)),
                "height": float(chance.uniform(0.2, 0.8)),
                "proportions": float(chance.uniform(0.2, 0.9)),
            }
        )
    return found


def merged(label: str) -> int:
    """Our bone for one of anny's."""
    side = {"L": "left_", "R": "right_"}.get(label.rpartition(".")[2], "")
    stem = label.split(".", maxsplit=1)[0]
    table = [
        ("upperleg", "thigh"), ("lowerleg", "shank"), ("foot", "foot"), ("toe", "toes"), ("clavicle", "clavicle"),
        ("shoulder01", "clavicle"), ("upperarm", "upper_arm"), ("lowerarm", "forearm"), ("wrist", "hand"),
        ("finger", "hand"), ("metacarpal", "hand"),
    ]  # fmt: skip
    for begins, ours in table:
        if stem.startswith(begins):
            return BONES.index(side + ours)
    for names, ours in (
        ("root pelvis", "root"),
        ("spine05 spine04", "spine_low"),
        ("neck01 neck02 neck03", "neck"),
    ):
        if stem in names.split():
            return BONES.index(ours)
    return BONES.index("spine_high" if stem in ("spine03", "spine02", "spine01", "breast") else "head")


def ends(model: Any, out: dict) -> np.ndarray:
    """Where each of our bones begins and ends, (people, 21, 2, 3)."""
    heads, tails = out["rest_bone_heads"].numpy(), out["rest_bone_tails"].numpy()
    starts, stops = (
        dict(zip(_stems(), STARTS.split(), strict=True)),
        dict(zip(_stems(), ENDS.split(), strict=True)),
    )
    at = np.zeros((len(heads), len(BONES), 2, 3))
    for i, bone in enumerate(BONES):
        side, _, stem = bone.rpartition("left_") if bone.startswith("left_") else bone.rpartition("right_")
        tag = ".L" if side == "" and bone.startswith("left_") else ".R" if bone.startswith("right_") else ""
        for k, table in enumerate((starts, stops)):
            name = table[stem]
            star, name = name.endswith("*"), name.rstrip("*")
            label = name + tag if name + tag in model.bone_labels else name
            at[:, i, k] = (tails if star else heads)[:, model.bone_labels.index(label)]
    return at


def _stems() -> list[str]:
    return [b.removeprefix("left_") for b in BONES if not b.startswith("right_")]


def main() -> None:
    """Write the file."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("file", type=Path)
    asked.add_argument("--people", type=int, default=160)
    asked.add_argument("--seed", type=int, default=8)
    told = asked.parse_args()
    import anny
    import torch

    model = anny.create_fullbody_model()
    ours = np.array([merged(label) for label in model.bone_labels])
    regress = anny.KeypointsRegressor.coco(model)
    rows, bones = [], []
    for one in people(told.people, told.seed):
        with torch.no_grad():
            out = model(phenotype_kwargs={k: torch.tensor([v], dtype=model.dtype) for k, v in one.items()})
        rows.append(out["rest_vertices"][0].numpy().astype(np.float32))
        bones.append(ends(model, out)[0].astype(np.float32))
    vertices, bones = np.array(rows), np.array(bones)
    quads = model.faces.numpy()
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    triangles = triangles[
        (triangles[:, 0] != triangles[:, 1])
        & (triangles[:, 1] != triangles[:, 2])
        & (triangles[:, 0] != triangles[:, 2])
    ]
    keep = outer(triangles, vertices.shape[1])
    weights = regress.regression_weights.numpy()
    keep |= (np.abs(weights) > 1e-6).any(0)
    again = np.cumsum(keep) - 1
    triangles = again[triangles[keep[triangles].all(1)]]
    dense = np.zeros((vertices.shape[1], len(BONES)))
    indices, amounts = model.vertex_bone_indices.numpy(), model.vertex_bone_weights.numpy()
    for k in range(indices.shape[1]):
        np.add.at(dense, (np.arange(len(dense)), ours[indices[:, k]]), amounts[:, k])
    dense = dense[keep]
    four = np.argsort(-dense, axis=1)[:, :4]
    share = np.take_along_axis(dense, four, 1)
    share /= share.sum(1, keepdims=True)
    vertices, weights = vertices[:, keep], weights[:, keep]
    mean = vertices.mean(0)
    np.savez_compressed(
        told.file,
        mean=mean, offsets=(vertices - mean).astype(np.float16), bones=bones, triangles=triangles.astype(np.int32),
        bone_index=four.astype(np.int32), bone_share=share.astype(np.float32), regress=weights.astype(np.float32),
        names=np.array(regress.labels), made_by=np.array(f"anny {anny.__version__}, seed {told.seed}"),
        stature=(vertices[:, :, 2].max(1) - vertices[:, :, 2].min(1)).astype(np.float32),
    )  # fmt: skip
    print(
        f"{len(vertices)} people, {vertices.shape[1]} vertices, {len(triangles)} triangles, "
        f"{told.file.stat().st_size} B"
    )


def outer(triangles: np.ndarray, count: int) -> np.ndarray:
    """Which vertices hang together with most of the skin: teeth, tongue and the backs of eyes do not."""
    group = np.arange(count)
    for _ in range(200):
        least = group.copy()
        lowest = group[triangles].min(1)
        for k in range(3):
            np.minimum.at(least, triangles[:, k], lowest)
        least = least[least]
        if (least == group).all():
            break
        group = least
    names, sizes = np.unique(group, return_counts=True)
    return group == names[sizes.argmax()]


if __name__ == "__main__":
    main()
