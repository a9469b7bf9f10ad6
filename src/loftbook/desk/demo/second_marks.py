"""A second rater at the invented camps, and one who marks a camp again later: agreement needs something to say.

Every person and mark is invented, for demonstration only. How often two marks differ is
drawn with a fixed seed and is no measurement of anybody.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta

from loftbook.book.entries import Entry
from loftbook.book.identity import same_fact
from loftbook.ladder.scales import Outcome, Rotation

SECOND_RATER = "S. Rowan"
_SEED = 7
_SEEN_BY_BOTH = 0.75  # of the turns
_UNLIKE = {"lift": 0.22, "hands": 0.34, "form": 0.42, "landing": 0.12, "air_awareness": 0.38, "travel": 0.15}


def seconds(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """What the second rater wrote of the same turns, on a device of her own."""
    chance = random.Random(_SEED)
    seen = [one for one in entries if _taken(one) and chance.random() < _SEEN_BY_BOTH]
    return tuple(
        replace(
            _marked(one, chance),
            id=same_fact("demo second mark", str(one.id)),
            at=one.at + timedelta(seconds=3),
            rater=SECOND_RATER,
            device="demo, second",
            second=True,
        )
        for one in seen
    )


def again(entries: Iterable[Entry], at: datetime) -> tuple[Entry, ...]:
    """What the first rater wrote of the same turns half a year later, without seeing the first mark."""
    chance = random.Random(_SEED + 1)
    seen = [one for one in entries if _taken(one) and chance.random() < _SEEN_BY_BOTH]
    return tuple(
        replace(
            _marked(one, chance, up=0.3),
            id=same_fact("demo later mark", str(one.id)),
            at=at + timedelta(seconds=40 * number),
            device="demo, later",
            second=True,
        )
        for number, one in enumerate(seen)
    )


def _taken(entry: Entry) -> bool:
    return not Outcome(entry.outcome).is_blank


def _marked(entry: Entry, chance: random.Random, *, up: float = 0.5) -> Entry:
    """The same turn as another eye saw it; `up` is how often a mark that differs lies above."""
    marks = {key: _moved(key, level, chance, up) for key, level in entry.marks.items()}
    rotation = entry.rotation
    if rotation and chance.random() < 0.12:
        rotation = chance.choice([one.value for one in Rotation if one.value != rotation])
    outcome = entry.outcome
    if chance.random() < 0.04:
        outcome = (Outcome.TRIED if outcome == Outcome.DID_IT.value else Outcome.DID_IT).value
    if outcome == Outcome.DID_IT.value and "landing" in marks:  # the ladder: feet first
        marks["landing"] = max(2, marks["landing"])
    return replace(entry, outcome=outcome, rotation=rotation, marks=marks)


def _moved(key: str, level: int, chance: random.Random, up: float) -> int:
    if chance.random() >= _UNLIKE.get(key, 0.2):
        return level
    return max(1, min(3, level + (1 if chance.random() < up else -1)))
