"""What a benchmark is: a function that measures, and the rows that it answers with.

    @bench("camp page", "server time of a camp's pages, 60 athletes, 20 camps")
    def camp_page() -> list[Row]:
        return [Row("inventory", 1e3 * median_of(once), "ms", target=100.0)]

Figures are medians of repeats. Seconds depend on the machine and on its load, so a
comparison is a ratio of two things measured in turns within one run: `ratio_of`.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from statistics import median
from time import perf_counter


@dataclass(frozen=True)
class Row:
    """One measured number; the target is the most that it should be, if anybody asked."""

    what: str
    value: float
    unit: str
    target: float | None = None

    @property
    def verdict(self) -> str:
        """Whether the number keeps its target."""
        if self.target is None:
            return ""
        return "within" if self.value <= self.target else "over"


@dataclass(frozen=True)
class Bench:
    """A benchmark that has not been run."""

    name: str
    what: str
    run: Callable[[], list[Row]]


def bench(name: str, what: str) -> Callable[[Callable[[], list[Row]]], Bench]:
    """Turn a function that measures into a benchmark with a name and a sentence."""
    return lambda run: Bench(name, what, run)


def seconds(once: Callable[[], object]) -> float:
    """How long one call takes."""
    begun = perf_counter()
    once()
    return perf_counter() - begun


def median_of(once: Callable[[], object], *, repeats: int = 7, warm: int = 1) -> float:
    """The median time of a call in seconds, after calls that only warm up."""
    for _ in range(warm):
        once()
    return median(seconds(once) for _ in range(repeats))


def ratio_of(one: Callable[[], object], other: Callable[[], object], *, repeats: int = 7) -> float:
    """How many times longer one call takes than another, measured in turns."""
    one(), other()
    return median(seconds(one) / seconds(other) for _ in range(repeats))


def registered() -> tuple[Bench, ...]:
    """Every benchmark of this folder, file by file."""
    names = sorted(found.name for found in pkgutil.iter_modules([str(Path(__file__).parent)]))
    modules = [import_module(f"benchmarks.{name}") for name in names if name not in ("registry", "__main__")]
    return tuple(thing for module in modules for thing in vars(module).values() if isinstance(thing, Bench))
