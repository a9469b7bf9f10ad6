"""A whole camp written down through the real screen, with a seed for its chances; and a simple model of it.

The model is a dictionary of what was meant: (child, rung, turn) -> (outcome, help, rotation, note).
"""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

from tests.gym.hall import NAMES, Hall
from tests.gym.thumb import Thumb

RUNGS = ("double_tuck", "double_pike", "double_open_tuck")
RESULTS = (
    [("did_it", "nobody_in", "")] * 8
    + [("did_it", "belt_light", ""), ("did_it", "hand_light", ""), ("did_it", "standing_in", "")] * 2
    + [("tried", "", "short"), ("tried", "", "over"), ("tried", "", ""), ("not_tried", "", "")] * 2
)
LAST = (("stopped", "", ""), ("declined", "", ""), ("not_allowed", "", ""))

Key = tuple[str, str, int]
Meant = tuple[str, str, str, str]


@dataclass
class Told:
    """What was meant, and how much it took."""

    meant: dict[Key, Meant] = field(default_factory=dict)
    touches: list[int] = field(default_factory=list)
    plain: list[int] = field(default_factory=list)  # touches where she was next and nothing was added
    seconds: list[float] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def rows(self) -> list[tuple[str, float]]:
        """Mean and most touches, and the median time of the screen for one attempt."""
        return [
            ("touches for an attempt, mean of all", statistics.mean(self.touches)),
            ("touches for a plain result, most", float(max(self.plain))),
            ("the screen's own time for an attempt, median", statistics.median(self.seconds)),
        ]


def replay(
    hall: Hall, opened: Callable[[], Thumb], *, seed: int, turns: int, often: float = 0.25
) -> tuple[Told, Thumb]:
    """Writes down `turns` turns for every child on every rung; answers with the model and the thumb.

    `often` is the share of turns before which something goes wrong.
    """
    chance, told = Random(seed), Told()
    thumb = opened()
    thumb.begin(hall.address)
    thumb.kept_by_the_browser()
    line = hall.line
    assert line is not None
    gone: set[tuple[str, str]] = set()
    children = NAMES[: hall.children]
    for rung in RUNGS:
        station(thumb, rung)
        for turn in range(1, turns + 1):
            for child in children:
                if (child, rung) in gone:
                    continue
                if chance.random() < often:
                    thumb = fault(hall, thumb, opened, told)
                one_turn(thumb, chance, told, (child, rung, turn), gone)
    line.cut = False
    if hall.process is None:
        hall.start()
    thumb.all_sent()
    return told, thumb


def station(thumb: Thumb, rung: str) -> None:
    """The coach says that everybody goes on to the next rung."""
    page = thumb.page
    page.wait_for_selector("[data-act=next-rung], .rungs")
    if page.query_selector("[data-act=next-rung]"):
        page.click("[data-act=next-rung]")
    elif not page.query_selector(f".rungs [data-rung={rung}][aria-pressed=true]"):
        page.click(f".rungs [data-rung={rung}]")
        page.click("[data-act=everybody]")
    page.wait_for_selector(f".rungs [data-rung={rung}][aria-pressed=true]")


def one_turn(thumb: Thumb, chance: Random, told: Told, key: Key, gone: set[tuple[str, str]]) -> None:
    """One child's turn, sometimes with an undo before it or a note after it."""
    child, rung, _ = key
    result = chance.choice(LAST) if chance.random() < 0.04 else chance.choice(RESULTS)
    before, began = thumb.touches, time.monotonic()
    was_next = thumb.choose(child)
    if chance.random() < 0.05:
        thumb.write("tried", "", "over")
        thumb.undo()
    thumb.write(*result)
    note = ""
    if chance.random() < 0.08:
        note = chance.choice(("late set", "opened early"))
        before_note = thumb.written()
        thumb.touch("[data-act=add]")
        thumb.touch(f"[data-phrase='{note}']")
        thumb.touch("[data-act=close]")
        thumb.written_more_than(before_note)
    elif was_next and thumb.touches - before <= 2:
        told.plain.append(thumb.touches - before)
    told.seconds.append(time.monotonic() - began)
    told.touches.append(thumb.touches - before)
    told.meant[key] = (*result, note)
    if result in LAST:
        gone.add((child, rung))


FAULTS = (
    "lose",
    "cut",
    "reload",
    "mend",
    "kill",
    "close",
    "mend",
    "cut",
    "close",
    "lose",
    "mend",
    "kill",
    "reload",
)


def fault(hall: Hall, thumb: Thumb, opened: Callable[[], Thumb], told: Told) -> Thumb:
    """What goes wrong next, each kind in its turn at a moment of chance; now and then it mends."""
    line = hall.line
    assert line is not None
    kind = FAULTS[len(told.faults) % len(FAULTS)]
    told.faults.append(kind)
    if kind == "cut":
        line.cut = True
    elif kind == "lose":
        line.lose += 2
    elif kind == "kill":
        hall.kill()
    elif kind == "reload":
        thumb.page.reload()
        thumb.page.wait_for_selector("[data-result], .through")
    elif kind == "close":
        touches = thumb.touches
        thumb.context.close()
        thumb = opened()
        thumb.touches = touches
        thumb.open(hall.address)
        thumb.page.wait_for_selector("[data-result], .through")
    else:
        line.cut = False
        if hall.process is None:
            hall.start()
        thumb.page.evaluate("window.dispatchEvent(new Event('online'))")
    return thumb


def in_the_book(hall: Hall) -> list[tuple[Key, Meant]]:
    """What the book holds, in the model's words."""
    names = {identity: name for name, identity in hall.ids.items()}
    return sorted(((names[one.athlete], one.rung, one.turn or 0), _meant(one)) for one in hall.in_force())


def _meant(one: Any) -> Meant:
    return (
        one.outcome.value,
        one.help.key if one.help is not None else "",
        one.rotation.value if one.rotation else "",
        one.note,
    )
