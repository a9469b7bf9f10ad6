"""Sets the threshold of a weights file by the scenes that no lesson used, and writes into the file how.

`python -m training.calibration FILE --judged OUT/judged.npz --to NEW --version 3`. The weights stay as they are: only
what the file says of itself is written anew, with the digest of the file before. No clip that the network is judged on
is used.
"""

from __future__ import annotations

import argparse
import hashlib
import json
from pathlib import Path

import numpy as np
import onnx
from onnx import helper

WRONG = 0.01  # of the frames above the threshold, the most that was asked for
SURE = 0.95  # one-sided, that it is under that
USABLE = 0.35  # of the trunk: no middle further off


def highest(wrong: int, kept: int) -> float:
    """The most that the share of wrong ones may be, one-sided at `SURE`.

    Source: Wilson's score interval; J. Am. Stat. Assoc. 22 (1927) 209-212
    """
    z2 = 1.6449**2  # of the normal distribution at 95 %
    share = wrong / kept
    wide = np.sqrt(z2 * share * (1 - share) / kept + z2**2 / (4 * kept**2))
    return float((share + z2 / (2 * kept) + wide) / (1 + z2 / kept))


def threshold(confidence: np.ndarray, usable: np.ndarray) -> tuple[float, int, int]:
    """The least threshold that keeps what is asked for, how many scenes it keeps and how many of them are wrong."""
    for step in range(50, 100):
        kept = confidence >= step / 100
        wrong = int((~usable[kept]).sum())
        if kept.any() and highest(wrong, int(kept.sum())) < WRONG:
            return step / 100, int(kept.sum()), wrong
    raise SystemExit("no threshold keeps what is asked for")


def bins(confidence: np.ndarray, usable: np.ndarray) -> list[list[float]]:
    """Count, mean confidence and share usable in tenths of the confidence."""
    tenth = np.minimum((confidence * 10).astype(int), 9)
    alike = [tenth == k for k in range(10)]
    return [
        [int(one.sum()), round(float(confidence[one].mean()), 3), round(float(usable[one].mean()), 3)]
        for one in alike
        if one.any()
    ]


def main() -> None:
    """Write the file anew with its threshold."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("file", type=Path)
    asked.add_argument("--judged", type=Path, required=True)
    asked.add_argument("--to", type=Path, required=True)
    asked.add_argument("--version", required=True)
    asked.add_argument("--also", default="{}", help="JSON: more that the file should say of itself")
    told = asked.parse_args()
    with np.load(told.judged) as judged:
        confidence, usable = judged["table"][:, 0], judged["table"][:, 1] < USABLE
    at, kept, wrong = threshold(confidence, usable)
    before = told.file.read_bytes()
    model = onnx.load_from_string(before)
    says = {one.key: one.value for one in model.metadata_props} | json.loads(told.also)
    says |= {
        "version": told.version, "threshold": f"{at:.2f}",
        "file_before_calibration": hashlib.sha256(before).hexdigest(),
        "calibration": json.dumps({
            "on": "drawn scenes of the training generator that no lesson used", "scenes": len(usable),
            "rule": "the least threshold above which, at 95 % one-sided, fewer than 1 % are wrong",
            "kept": kept, "wrong": wrong, "usable of all": round(float(usable.mean()), 4),
            "tenths: count, mean confidence, usable": bins(confidence, usable),
        }),
    }  # fmt: skip
    weights = [one.SerializeToString() for one in model.graph.initializer]
    del model.metadata_props[:]
    helper.set_model_props(model, says)
    onnx.save(model, str(told.to))
    again = onnx.load(str(told.to))
    if [one.SerializeToString() for one in again.graph.initializer] != weights:
        raise SystemExit("the weights changed")
    print(
        says["threshold"],
        kept,
        wrong,
        hashlib.sha256(told.to.read_bytes()).hexdigest(),
        told.to.stat().st_size,
    )


if __name__ == "__main__":
    main()
