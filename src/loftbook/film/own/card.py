"""What the file of our own network says of itself, and the shape of what it answers."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError
from loftbook.film.track import MIDDLES

SIDE = 192  # px of the square it sees
CELLS = 48  # of each map, along and down
BODY_JOINTS = (
    *("nose", "left_eye", "right_eye", "left_ear", "right_ear", "left_shoulder", "right_shoulder"),
    *("left_elbow", "right_elbow", "left_wrist", "right_wrist", "left_hip", "right_hip"),
    *("left_knee", "right_knee", "left_ankle", "right_ankle"),
    *("left_big_toe", "right_big_toe", "left_small_toe", "right_small_toe", "left_heel", "right_heel"),
)  # its 23 joints, unless its file names another order
THRESHOLD = 0.8  # of the confidence, where its file names none
REACHED = "yes"  # the word in its file that says that it reached its targets


@dataclass(frozen=True)
class Card:
    """What the file of the network says of itself.

    Units
        threshold : of the confidence, above which it is to be believed; temperature : its log-odds are divided by it
        joints : its 23 joints, in the order of its maps; reached : whether it reached the targets set for it
    """

    version: str
    digest: str
    joints: tuple[str, ...]
    threshold: float
    temperature: float
    reached: bool

    @property
    def name(self) -> str:
        """Name of the network with its version and the beginning of its digest."""
        return f"own {self.version} {self.digest}"


@dataclass(frozen=True, eq=False)
class Maps:
    """What the network answers to some squares.

    Units
        middles : (N, 6, 48, 48) log-odds in the order of `MIDDLES`; joints : (N, 23, 48, 48); seen : (N, 23)
    """

    middles: NDArray[np.float32]
    joints: NDArray[np.float32]
    seen: NDArray[np.float32]


def card_of(told: Mapping[str, str], digest: str) -> Card:
    """The card out of what a file says of itself, with the usual values where it is silent.

    Example
        >>> card = card_of({"version": "3", "threshold": "0.75", "targets_reached": "yes"}, "0123")
        >>> card.name, card.threshold, card.temperature, card.reached
        ('own 3 0123', 0.75, 1.0, True)
        >>> card_of({}, "0123").reached
        False
    """
    named = told.get("joints", "")
    try:
        joints = tuple(json.loads(named)) if named.startswith("[") else tuple(named.replace(",", " ").split())
        numbers = [
            float(told.get(key, usual)) for key, usual in (("threshold", THRESHOLD), ("temperature", 1.0))
        ]
    except ValueError:
        raise strange("a card that cannot be read") from None
    if joints and (len(joints) != len(BODY_JOINTS) or set(joints) != set(BODY_JOINTS)):
        raise strange(f"{len(joints)} joints of other names")
    reached = told.get("targets_reached", "").strip().lower() in (REACHED, "true", "1")
    return Card(told.get("version", "?"), digest, joints or BODY_JOINTS, numbers[0], numbers[1], reached)


def strange(found: str) -> ClipError:
    """What is said of a file that is no network of this kind."""
    return ClipError(
        f"a network beside the program that it cannot use ({found})",
        f"an ONNX file with the outputs middles, joints and seen, {len(MIDDLES)} and {len(BODY_JOINTS)} maps",
        "install the package again",
    )
