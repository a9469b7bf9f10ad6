"""Draws scenes: builds draw.cu for this machine's processor or graphics card and hands it the arrays.

`Painter(...)` on a processor needs numpy and g++; on a card nvcc and torch, whose memory and stream it uses.
"""

from __future__ import annotations

import ctypes
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from training import scenes
from training.bodies import ARM, BONES, HEAD, LEG, TORSO

HERE = Path(__file__).parent
FIELDS = (
    "P prims M Q mean off normal bone tri share kind place rstart rvert rw body cloth nrm z front room small coded out "
    "joints seen"
).split()


class Ctx(ctypes.Structure):
    """The same as Ctx in draw.cu."""

    _fields_ = [(k, ctypes.c_int) for k in ("B", "V", "T", "K")] + [(k, ctypes.c_void_p) for k in FIELDS]


def built(head: np.ndarray, where: Path | None = None, *, card: bool) -> ctypes.CDLL:
    """Compile the one source for this machine."""
    folder = Path(where or tempfile.mkdtemp(prefix="draw-"))
    lines = [f"#define P_{k} {v}" for k, v in scenes.PLACE.items()]
    lines += [
        f"#define NP {scenes.WIDTH}",
        f"#define NPRIM {scenes.PRIMS}",
        f"#define NPF {scenes.PRIM_FIELDS}",
    ]
    lines += [f"#define RASTER {scenes.RASTER}", f"#define PICTURE {scenes.PICTURE}"]
    lines += [f"#define {k} {v}" for k, v in (("TORSO", TORSO), ("ARM", ARM), ("LEG", LEG), ("HEAD", HEAD))]
    lines += [f"#define HEAD_{k} {v:.5f}f" for k, v in zip("XYZ", head, strict=True)]
    (folder / "layout.h").write_text("\n".join(lines) + "\n")
    out = folder / "draw.so"
    if card:
        order = ["nvcc", "-O3", "-arch=sm_90", "--use_fast_math", "-Xcompiler", "-fPIC", "-shared"]
    else:
        order = ["g++", "-x", "c++", "-O3", "-march=native", "-fopenmp", "-fPIC", "-shared", "-w"]
    subprocess.run([*order, f"-I{folder}", "-o", str(out), str(HERE / "draw.cu")], check=True)
    return ctypes.CDLL(str(out))


def fixed(bodies: Path) -> dict[str, np.ndarray]:
    """Everything about the bodies that no scene changes."""
    with np.load(bodies) as b:
        mean, tri, share, bone = b["mean"], b["triangles"], b["bone_share"], b["bone_index"]
        off, regress, bones = b["offsets"].astype(np.float32), b["regress"], b["bones"].mean(0)
    face = np.cross(mean[tri[:, 1]] - mean[tri[:, 0]], mean[tri[:, 2]] - mean[tri[:, 0]])
    normal = np.zeros_like(mean)
    for k in range(3):
        np.add.at(normal, tri[:, k], face)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12
    top = bone[np.arange(len(bone)), share.argmax(1)]
    if ((mean - bones[2, 0]) * normal).sum() < 0:
        normal = -normal
    names = np.array(BONES)[top]
    is_arm = np.array([any(k in s for k in ("arm", "hand")) for s in names])
    is_leg = np.array([any(k in s for k in ("thigh", "shank", "foot", "toes")) for s in names])
    kind = np.where(
        is_arm, ARM, np.where(is_leg, LEG, np.where(np.isin(names, ["head", "neck"]), HEAD, TORSO))
    )
    place = np.zeros(len(mean))
    low, high = bones[0, 0, 2] - 0.12, bones[3, 0, 2]
    torso = kind == TORSO
    place[torso] = (mean[torso, 2] - low) / (high - low)
    for side in ("left", "right"):
        for chain in ("upper_arm forearm hand", "thigh shank foot toes"):
            at = 0.0
            for share_of, part in zip((0.5, 0.5, 0.2, 0.1), chain.split(), strict=False):
                i = BONES.index(f"{side}_{part}")
                line = bones[i, 1] - bones[i, 0]
                mine = top == i
                t = ((mean[mine] - bones[i, 0]) @ line) / (line @ line)
                place[mine] = at + share_of * np.clip(t, -0.15 if at == 0 else 0, 1)
                at += share_of
    start, vert, weight = [0], [], []
    for row in regress:
        used = np.flatnonzero(np.abs(row) > 1e-6)
        vert.append(used)
        weight.append(row[used])
        start.append(start[-1] + len(used))
    head = mean[names == "head"]
    return {
        "mean": mean, "off": off, "normal": normal.astype(np.float32), "bone": bone, "tri": tri, "share": share,
        "kind": kind.astype(np.int32), "place": place.astype(np.float32), "rstart": np.array(start, np.int32),
        "rvert": np.concatenate(vert).astype(np.int32), "rw": np.concatenate(weight).astype(np.float32),
        "head": ((head.min(0) + head.max(0)) / 2).astype(np.float32),
    }  # fmt: skip


class Painter:
    """Draws batches; `device` is None for numpy on the processor, or a torch device of a card."""

    def __init__(self, bodies: Path, count: int, device: Any = None) -> None:
        self.count, self.device = count, device
        self.fixed = fixed(bodies)
        scenes.HEAD[:] = self.fixed["head"]
        self.program = built(self.fixed["head"], card=device is not None)
        V, T, K = len(self.fixed["mean"]), len(self.fixed["tri"]), len(self.fixed["rstart"]) - 1
        r, s = scenes.RASTER, scenes.PICTURE
        shapes = {
            "body": (V, 3), "cloth": (V, 3), "nrm": (V, 3), "z": (r, r), "front": (r, r, 4), "room": (s, s, 3),
            "small": (s, s, 3), "coded": (s, s, 3), "out": (s, s, 3), "joints": (K, 2), "seen": (K,),
        }  # fmt: skip
        kinds = {"z": np.int64, "front": np.uint8}
        self.given = {k: self._array(v) for k, v in self.fixed.items() if k != "head"}
        for k, shape in shapes.items():
            self.given[k] = self._empty((count, *shape), kinds.get(k, np.float32), half=k == "out")
        self.sizes = (V, T, K)

    def _array(self, v: np.ndarray) -> Any:
        v = np.ascontiguousarray(v)
        if self.device is None:
            return v
        import torch

        return torch.from_numpy(v).to(self.device)

    def _empty(self, shape: tuple[int, ...], kind: Any, *, half: bool) -> Any:
        if self.device is None:
            return np.zeros(shape, kind)
        import torch

        kinds = {np.float32: torch.float32, np.int64: torch.int64, np.uint8: torch.uint8}
        return torch.empty(shape, dtype=torch.float16 if half else kinds[kind], device=self.device)

    def draw(self, scene: dict, stream: int = 0) -> tuple:
        """Pictures (n, 192, 192, 3), joints (n, 23, 2) in px, seen (n, 23); overwritten by the next call."""
        everything = {**self.given, **scene}
        place = (lambda v: v.ctypes.data) if self.device is None else (lambda v: v.data_ptr())
        ctx = Ctx(len(scene["P"]), *self.sizes, **{k: place(everything[k]) for k in FIELDS})
        failed = self.program.draw(ctypes.byref(ctx), ctypes.c_void_p(stream))
        if failed:
            raise RuntimeError(f"drawing failed with CUDA error {failed}")
        return self.given["out"], self.given["joints"], self.given["seen"]
