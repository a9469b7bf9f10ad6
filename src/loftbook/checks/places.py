"""Where a check finds what it is held against: filed tables, other programs, recorded flights."""

from __future__ import annotations

import os
import tomllib
from importlib import import_module, resources
from pathlib import Path
from types import ModuleType
from typing import Any

from loftbook.checks.registry import NotHere

FLIGHTS_VARIABLE = "LOFTBOOK_REAL_FLIGHTS"


def authority(name: str) -> dict[str, Any]:
    """A published table as published: the contents of `authorities/NAME.toml`.

    >>> authority("angles")["degrees_in_a_radian"]["digits"]
    '57.295779513082320876'
    """
    text = resources.files("loftbook.checks").joinpath("authorities", f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text)


def needed(module: str) -> ModuleType:
    """Another program, as a second opinion; without it the check cannot run.

    >>> needed("math").cos(0.0)
    1.0
    """
    try:
        return import_module(module)
    except ImportError:
        raise NotHere(
            f"The package {module} is not installed",
            todo="install Loftbook with its test packages: pip install 'loftbook[dev]'",
        ) from None


def real_flights() -> Path:
    """The folder of recorded flights; without it the check cannot run.

    It is where the variable LOFTBOOK_REAL_FLIGHTS points, else in the folder
    `shared` beside a checkout of the repository.
    """
    named = os.environ.get(FLIGHTS_VARIABLE)
    checkout = Path(__file__).resolve().parents[3]
    folder = Path(named) if named else checkout.parent / "shared" / "data" / "real-flights"
    if not folder.is_dir():
        raise NotHere(
            f"The recorded flights are not in {folder}",
            todo=f"set {FLIGHTS_VARIABLE} to the folder that has them",
        )
    return folder
