"""An answer as plain JSON values: the same names as in the program, ids as text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum, IntEnum
from math import isfinite
from pathlib import PurePath
from uuid import UUID

from loftbook.ladder.scales import Help


def as_plain(value: object) -> object:
    """Any answer of the desk as dicts, lists, text and numbers.

    Help is its key ("belt_light"), other scales their stored value, days and times
    ISO 8601, ids text.

    >>> as_plain({"help": Help.BELT_LIGHT, "on": date(2026, 4, 11)})
    {'help': 'belt_light', 'on': '2026-04-11'}
    """
    if isinstance(value, Help):
        return value.key
    if isinstance(value, Enum) and not isinstance(value, IntEnum):
        return as_plain(value.value)
    if isinstance(value, (UUID, PurePath)):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {_key(key): as_plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [as_plain(item) for item in value]
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, float) and not isfinite(value):
        return None  # JSON has no word for it
    return value


def _key(key: object) -> str:
    plain = as_plain(key)
    return "/".join(str(part) for part in plain) if isinstance(plain, list) else str(plain)
