"""Numbers and words out of JSON that a browser, a file or a link brought: each checked, each refusal a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isnan
from typing import Any

from loftbook.errors import PlanError


def number(
    record: Mapping[str, Any], name: str, limits: tuple[float, float], default: float | None = None
) -> float:
    """One number within its limits; `default` where it is left out.

    >>> number({"duration_s": 1.5}, "duration_s", (0.3, 3.0))
    1.5
    """
    value = record.get(name, default)
    least, most = limits
    if isinstance(value, bool) or not isinstance(value, int | float) or _is_nan(value):
        raise PlanError(
            f"{name} of {_shown(value)}", f"a number from {least:g} to {most:g}", "write a number"
        )
    if (
        not least <= value <= most
    ):  # a whole number of JSON may be larger than any float, so none is made of it
        raise PlanError(
            f"{name} of {_shown(value)}", f"{least:g} to {most:g}", "check the number and its unit"
        )
    return float(value)


def whole(record: Mapping[str, Any], name: str, limits: tuple[int, int], default: int) -> int:
    """One whole number within its limits.

    >>> whole({}, "frames", (2, 241), 61)
    61
    """
    value = number(record, name, limits, default)
    if value != int(value):
        raise PlanError(f"{name} of {value:g}", "a whole number", "leave out what follows the point")
    return int(value)


def words(record: Mapping[str, Any], name: str, most: int = 80) -> str:
    """A short text without control characters or halves of letters; empty where it is left out.

    >>> words({"name": "Full-out"}, "name")
    'Full-out'
    """
    value = record.get(name, "")
    if not isinstance(value, str) or len(value) > most or not all(map(_sayable, value)):
        raise PlanError(f"{name} of {_shown(value)}", f"a text of at most {most} letters", "shorten it")
    return value


def part(record: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """A part with fields of its own.

    >>> part({"person": {"age": 12}}, "person")
    {'age': 12}
    """
    value = record.get(name)
    if not isinstance(value, Mapping):
        raise PlanError(
            f"{name} of {_shown(value)}", "named fields", "write it as the contract of the lab says"
        )
    return value


def rows(record: Mapping[str, Any], name: str, most: int) -> Sequence[Mapping[str, Any]]:
    """A list of parts; empty where it is left out.

    >>> rows({"keys": []}, "keys", 24)
    []
    """
    value = record.get(name, [])
    if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
        raise PlanError(f"{name} of {_shown(value)}", "a list of named fields", "check the file")
    if len(value) > most:
        raise PlanError(f"{len(value)} {name}", f"at most {most}", "leave some out")
    return value


def listed(record: Mapping[str, Any], name: str) -> Sequence[Any]:
    """A list of anything; empty where it is left out.

    >>> listed({"angles": [[0, "left_arm_abduction", 1]]}, "angles")
    [[0, 'left_arm_abduction', 1]]
    """
    value = record.get(name, [])
    if not isinstance(value, list):
        raise PlanError(f"{name} of {_shown(value)}", "a list", "check the file")
    return value


def _is_nan(value: float) -> bool:
    return isinstance(value, float) and isnan(value)


def _sayable(letter: str) -> bool:
    return ord(letter) >= 32 and not "\ud800" <= letter <= "\udfff"


def _shown(value: object) -> str:
    if isinstance(value, int) and abs(value) >= 10**15:
        return "a number of more than fifteen figures"
    if isinstance(value, float):
        return f"{value:g}"
    return "nothing" if value is None else repr(value)[:60]
