"""How long a command takes before it begins its work."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

from benchmarks.registry import Row, bench, median_of, ratio_of


def starting(code: str) -> Callable[[], object]:
    """A call that starts a fresh Python, runs a line in it and waits."""
    return lambda: subprocess.run([sys.executable, "-c", code], check=True)


@bench("start", "a fresh Python that imports the commands, against one that imports nothing")
def start() -> list[Row]:
    """The commands must not pay for numbers, pages or paper until they need them."""
    bare, commands = starting("pass"), starting("import loftbook.cli")
    return [
        Row("a bare Python", 1e3 * median_of(bare), "ms"),
        Row("with the commands imported", 1e3 * median_of(commands), "ms"),
        Row("how many times longer", ratio_of(commands, bare), "times"),
    ]
