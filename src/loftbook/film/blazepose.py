"""The BlazePose network on the processor: joints out of a square picture of somebody upright.

Its three sizes come with the build, from an npm package whose content the lock file pins; see docs/decisions.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError
from loftbook.film.crops import SIDE

Array = NDArray[np.float64]
Kind = Literal["heavy", "full", "lite"]

WEIGHTS = Path(__file__).parent / "weights"
# the model's 33 landmarks, in the order of `JOINTS`
LANDMARKS = (0, 7, 8, 11, 12, 13, 14, 15, 16, 23, 24, 25, 26, 27, 28, 29, 30, 31, 32)
CELLS = 64  # the model's maps of likelihood are 64 × 64
REACH = 4  # cells round the peak that are weighed


class BlazePose:
    """The BlazePose landmark network, one of three sizes, on the processor.

    Source
        Bazarevsky et al. 2020, BlazePose: on-device real-time body pose tracking; the refinement by the likelihood
        maps follows its description there
    """

    def __init__(self, kind: Kind = "heavy", *, threads: int = 2) -> None:
        from ai_edge_litert.interpreter import Interpreter

        content = weights_of(kind)
        with _quietly():
            self._runner = Interpreter(model_content=content, num_threads=threads)
            self._runner.allocate_tensors()
        self._entry = self._runner.get_input_details()[0]["index"]
        exits = {tuple(d["shape"]): d["index"] for d in self._runner.get_output_details()}
        self._points, self._maps = exits[(1, 195)], exits[(1, CELLS, CELLS, 39)]
        self._name = f"BlazePose {kind} {sha256(content).hexdigest()[:12]}"

    @property
    def name(self) -> str:
        return self._name

    def joints(self, square: NDArray[np.float32]) -> Array:
        self._runner.set_tensor(self._entry, square[None])
        self._runner.invoke()
        raw = self._runner.get_tensor(self._points)[0].reshape(39, 5)[LANDMARKS, :2].astype(np.float64)
        maps = self._runner.get_tensor(self._maps)[0][..., LANDMARKS]
        return refined(raw, maps)


@contextmanager
def _quietly() -> Iterator[None]:
    """The runner greets on the standard error by itself, past Python; a coach's terminal is no place for that."""
    kept = os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def refined(points: Array, maps: NDArray[np.float32]) -> Array:
    """Each point moved to the middle of what its map of likelihood shows round it, where the map is sure.

    Units
        points : (K, 2) px of 256; maps : (64, 64, K) log-odds
    """
    out = points.copy()
    cell = SIDE / CELLS
    for n, (x, y) in enumerate(points):
        column, row = int(x / cell), int(y / cell)
        if not (0 <= column < CELLS and 0 <= row < CELLS):
            continue
        left, top = max(0, column - REACH), max(0, row - REACH)
        odds = maps[top : row + REACH + 1, left : column + REACH + 1, n].astype(np.float64)
        likely = 1 / (1 + np.exp(-np.clip(odds, -50, 50)))
        if likely.max() >= 0.5:
            rows, columns = np.mgrid[top : top + likely.shape[0], left : left + likely.shape[1]]
            total = likely.sum()
            out[n] = (likely * columns).sum() / total * cell, (likely * rows).sum() / total * cell
    return out


@cache
def weights_of(kind: Kind) -> bytes:
    """The weights as the build has put them beside the program."""
    path = WEIGHTS / f"pose_landmark_{kind}.tflite"
    try:
        return path.read_bytes()
    except OSError:
        raise ClipError(
            f"no pose model {path.name} beside the program",
            "the models that the build puts there",
            "run python3 dev.py demo once with a network, or install the package again",
        ) from None


@lru_cache(maxsize=1)
def model_of(kind: Kind) -> BlazePose:
    """The model, loaded once."""
    return BlazePose(kind)
