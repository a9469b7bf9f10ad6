"""A ladder as lines of plain text for a terminal."""

from __future__ import annotations

from collections.abc import Mapping

from loftbook.ladder.difficulty import ShownDifficulty
from loftbook.ladder.rungs import Ladder


def ladder_lines(ladder: Ladder, points: Mapping[str, ShownDifficulty]) -> list[str]:
    """The rungs with the help their standards allow, and difficulty where it is switched on."""
    lines = [f"{ladder.name}, edition {ladder.edition}, {ladder.dated}"]
    for rung in ladder.rungs:
        beside = f", {points[rung.key].words}" if rung.key in points else ""
        star = "*" if rung.tested else " "
        lines.append(f" {star} {rung.key:28} {rung.name}  ({rung.standard.help.words}){beside}")
    return [*lines, " * shown by everyone at a camp"]
