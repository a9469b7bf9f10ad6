"""How far our own network's middles lie from the truth on drawn scenes that no lesson used, by shape.

`python -m training.spreads FILE.onnx --data D`: the table that `OWN_OPEN`, `OWN_FOLDED` and `OWN_PIKED` of
`loftbook.film.own.both` are read from. A share of the standing height is sought that, together with a quarter of what
the map is wider than it was taught, holds 68 % of the errors along an axis. No clip that the network is judged on is
used.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np

from loftbook.film.course import piked
from loftbook.film.crops import Square
from loftbook.film.own.both import FROM_BEND, OWN_OF_MAP, _knee, bend_of
from loftbook.film.own.card import SIDE
from loftbook.film.own.maps import seen_in
from loftbook.film.own.network import Network
from loftbook.film.track import MIDDLES
from training import scenes
from training.drawing import Painter

PAIRS = [(5, 6), (11, 12), (13, 14), (15, 16), (7, 8), (9, 10)]
HELD = 0.683  # of the errors along an axis, within one standard deviation
FAIR = 0.5  # of the confidence, from where a middle may be used


def rows(file: Path, data: Path, count: int, lots: int) -> dict[str, np.ndarray]:
    """Errors, widths of the maps, true middles, height and confidence of drawn scenes."""
    eyes = Network(file.read_bytes())
    painter, source = (
        Painter(data / "bodies.npz", count),
        scenes.source(data / "bodies.npz", data / "poses.npz"),
    )
    found: dict[str, list] = {k: [] for k in ("off", "wide", "true", "height", "confidence")}
    for lot in range(lots):
        drawn = scenes.scenes(source, count, [8, 996, lot])
        image, joints, _ = painter.draw(drawn)
        reach = drawn["P"][
            :, scenes.PLACE["REACH"]
        ]  # the standing height in px over 130, held within 0.3 and 1.6
        true = np.stack([joints[:, list(pair)].mean(1) for pair in PAIRS], axis=1)
        inside = ((true > 0) & (true < SIDE)).all((1, 2)) & (reach > 0.31) & (reach < 1.59)
        for n in np.flatnonzero(inside):
            height = float(reach[n] * 130)
            seen = seen_in(
                eyes.read(image[n : n + 1]),
                0,
                Square(SIDE / 2, SIDE / 2, SIDE, 0.0),
                eyes.card,
                height=height,
            )
            for key, value in (
                ("off", seen.middles - true[n]),
                ("wide", seen.spread),
                ("true", true[n].copy()),
            ):
                found[key].append(value)
            found["height"].append(height)
            found["confidence"].append(seen.confidence)
    return {k: np.array(v) for k, v in found.items()}


def share(off: np.ndarray, wide: np.ndarray, height: np.ndarray) -> float:
    """The share of the height with which one standard deviation holds what it should."""
    low, high = 0.0, 0.5
    for _ in range(40):
        middle = (low + high) / 2
        held = (np.abs(off) <= np.hypot(middle * height, OWN_OF_MAP * wide)[:, None]).mean()
        low, high = (middle, high) if held < HELD else (low, middle)
    return high


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("file", type=Path)
    asked.add_argument("--data", type=Path, required=True)
    asked.add_argument("--count", type=int, default=64)
    asked.add_argument("--lots", type=int, default=16)
    told = asked.parse_args()
    r = rows(told.file, told.data, told.count, told.lots)
    bend, knee = bend_of(r["true"]), _knee(r["true"])
    pike = piked(np.pi - bend, np.pi - knee)
    fair = r["confidence"] >= FAIR
    for name, mine in (("open", bend <= FROM_BEND), ("folded", (bend > FROM_BEND) & ~pike), ("piked", pike)):
        used = mine & fair
        shares = [
            round(share(r["off"][used, k], r["wide"][used, k], r["height"][used]), 4)
            for k in range(len(MIDDLES))
        ]
        print(name, int(mine.sum()), int(used.sum()), dict(zip(MIDDLES, shares, strict=True)))


if __name__ == "__main__":
    main()
