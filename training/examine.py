"""Holds a weights file against clips with truth: usable frames, angle errors, how honest its confidence is.

`python -m training.examine FILE.onnx FOLDER`: FOLDER has NAME.mp4 beside NAME.truth.json as in the shared clips. Two
ways of laying the square: round the true joints (a best case) and by following, with the true square in the first frame
only. The product's own way of following is in `loftbook.film.own`; `loftbook film judge` measures that one.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import numpy as np

PAIRS = [(5, 6), (11, 12), (13, 14), (15, 16)]  # shoulder, hip, knee, ankle
GRID = np.mgrid[0:48, 0:48][::-1] + 0.5


def decoded(maps: np.ndarray) -> tuple[np.ndarray, float]:
    """Places of six middles in px of the square picture, and the confidence of the first four."""
    likely = np.exp(maps - maps.max((1, 2), keepdims=True))
    likely /= likely.sum((1, 2), keepdims=True)
    places = []
    for one in likely:
        r, c = np.unravel_index(one.argmax(), one.shape)
        at = np.array([c + 0.5, r + 0.5])
        for _ in range(2):
            w = one * (((GRID - at[:, None, None]) ** 2).sum(0) <= 9)
            at = (w * GRID).sum((1, 2)) / w.sum()
        places.append(at)
    at = np.array(places)
    trunk = np.clip(np.hypot(*(at[0] - at[1])), 3.5, 23)
    near = [(likely[k] * (np.hypot(*(GRID - at[k][:, None, None])) <= 0.35 * trunk)).sum() for k in range(4)]
    return at * 4, float(min(near))


def squared(frame: np.ndarray, centre: np.ndarray, side: float) -> np.ndarray:
    """The square about a centre as (3, 192, 192), RGB from 0 to 1, grey outside the frame."""
    import cv2

    k = 192 / side
    shrunk = frame if k > 0.7 else cv2.GaussianBlur(frame, (0, 0), 0.4 / k)
    half = (k - 1) / 2  # pixel k of both pictures reaches from k to k + 1
    M = np.array([[k, 0, 96 - k * centre[0] + half], [0, k, 96 - k * centre[1] + half]])
    cut = cv2.warpAffine(
        shrunk,
        M,
        (192, 192),
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(128, 128, 128),
    )
    return np.moveaxis(cut, -1, 0).astype(np.float32) / 255


def angle(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Between two directions, degrees."""
    return np.degrees(np.arctan2(np.abs(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]), (a * b).sum(-1)))


def angles(p: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Hip and knee opening and the trunk's direction of (n, 4, 2) middles, degrees."""
    s, h, k, a = np.moveaxis(p[:, :4], 1, 0)
    trunk = np.degrees(np.unwrap(np.arctan2((s - h)[:, 0], -(s - h)[:, 1])))
    return angle(s - h, k - h), angle(h - k, a - k), trunk


def read(run: Any, clip: Path, *, follow: bool, flight: bool = True) -> dict:
    """What a file found in one clip, beside the truth."""
    import av

    told = json.loads(clip.with_name(clip.stem + ".truth.json").read_text())
    truth = np.array([f["keypoints_px"] for f in told["frames"]])
    times = np.array([f["time_s"] for f in told["frames"]])
    mids = np.stack([truth[:, list(p)].mean(1) for p in PAIRS], 1)
    found, sure, side, centre, last = [], [], None, None, None
    with av.open(str(clip)) as film:
        for i, picture in enumerate(film.decode(video=0)):
            if i >= len(truth):
                break
            frame = picture.to_ndarray(format="rgb24")
            if not follow or centre is None:
                low, high = truth[i].min(0), truth[i].max(0)
                centre, side = (low + high) / 2, 1.15 * (high - low).max() + 12
            maps = run.run(["middles"], {"image": squared(frame, centre, side)[None]})[0][0]
            at, confidence = decoded(maps)
            at = centre + (at / 192 - 0.5) * side
            found.append(at)
            sure.append(confidence)
            if follow and confidence > 0.3:
                now = (at.min(0) + at.max(0)) / 2
                ahead = now - last if last is not None else 0
                last, centre = now, now + np.clip(ahead, -0.2 * side, 0.2 * side)
                side = 0.85 * side + 0.15 * (1.4 * np.ptp(at, axis=0).max() + 12)
    found, sure = np.array(found), np.array(sure)
    n = len(found)
    air = (times[:n] >= 0) & (times[:n] <= told["flight_time_s"]) if flight else np.ones(n, bool)
    return {"found": found[air], "sure": sure[air], "mids": mids[:n][air]}


def line(name: str, r: dict) -> str:
    """One row of the table."""
    off = np.hypot(*np.moveaxis(r["found"][:, :4] - r["mids"], -1, 0))
    trunk = np.hypot(*(r["mids"][:, 0] - r["mids"][:, 1]).T)
    usable = (off < 0.35 * trunk[:, None]).all(1)
    (h, k, t), (h0, k0, t0) = angles(r["found"]), angles(r["mids"])
    turn = np.abs((t - t0 + 180) % 360 - 180)
    keep = r["sure"] > 0.8
    wrong = (~usable[keep]).mean() if keep.any() else float("nan")
    return (
        f"{name:28s} n {len(usable):4d} usable {usable.mean():6.1%} "
        f"hip {np.abs(h - h0).mean():4.1f} knee {np.abs(k - k0).mean():4.1f} "
        f"trunk {turn.mean():4.1f} turned {t[-1] - t[0]:6.0f} / {t0[-1] - t0[0]:6.0f} "
        f"kept > .8 {keep.mean():6.1%} wrong {wrong:5.1%} "
        f"bias hip {np.mean(h - h0):+5.1f} knee {np.mean(k - k0):+5.1f}"
    )


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("file", type=Path)
    asked.add_argument("folder", type=Path)
    told = asked.parse_args()
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 2
    run = onnxruntime.InferenceSession(str(told.file), options, providers=["CPUExecutionProvider"])
    for clip in sorted(told.folder.glob("*.mp4")):
        for follow in (False, True):
            print(
                line(
                    f"{clip.stem} {'followed' if follow else 'true square'}", read(run, clip, follow=follow)
                ),
                flush=True,
            )


if __name__ == "__main__":
    main()
