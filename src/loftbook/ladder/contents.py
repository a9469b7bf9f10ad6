"""What a key of a ladder file holds, taken as the kind of thing it must be.

Each function gives the value, or says on which line what is wrong and what to
write instead.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from loftbook.ladder.fields import Fields, listed, nearest, shown

LONGEST_TEXT = 2000  # letters in one text: more belongs in a book, not in a ladder


def text(fields: Fields, key: str, default: str | None = None) -> str:
    """A text on one line; without a default it must be there and not be empty."""
    value = fields.values.get(key, default)
    if value is None:
        raise fields.mistake(
            f"{fields.what} without {key!r}", f"{key} in quotes", f'add the line {key} = "…"'
        )
    if isinstance(value, str) and default is not None and not value.strip():
        return default
    return _checked_text(fields, value, (key,))


def texts(fields: Fields, key: str) -> tuple[str, ...]:
    """A list of texts, empty where the key is not there."""
    value = fields.values.get(key, [])
    if not isinstance(value, list):
        raise fields.mistake(
            f"{key} = {shown(value)} in {fields.what}",
            "a list of texts",
            f'write it with brackets, as in {key} = ["…", "…"]',
            at=(key,),
        )
    return tuple(_checked_text(fields, one, (key, place)) for place, one in enumerate(value))


def flag(fields: Fields, key: str) -> bool:
    """Yes or no, no where the key is not there."""
    value = fields.values.get(key, False)
    if not isinstance(value, bool):
        raise fields.mistake(
            f"{key} = {shown(value)} in {fields.what}",
            "true or false, without quotes",
            f"write {key} = true or {key} = false",
            at=(key,),
        )
    return value


def number(fields: Fields, key: str, *, least: float, most: float, unit: str) -> float | None:
    """A number between two limits, or nothing where the key is not there."""
    value = fields.values.get(key)
    if value is None:
        return None
    if isinstance(value, int | float) and not isinstance(value, bool) and least <= value <= most:
        return float(value)
    raise fields.mistake(
        f"{key} = {shown(value)} in {fields.what}",
        f"a number of {unit} from {least:g} to {most:g}, without quotes",
        f"correct {key}, or take the line out",
        at=(key,),
    )


def whole(fields: Fields, key: str, *, most: int, default: int | None = None) -> int:
    """A whole number from 1 on; without a default it must be there."""
    value = fields.values.get(key, default)
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= most:
        return value
    raise fields.mistake(
        f"{key} = {shown(value)} in {fields.what}",
        f"a whole number from 1 to {most}, without quotes",
        f"correct {key}",
        at=(key,),
    )


def day(fields: Fields, key: str) -> date:
    """A date, which must be there."""
    value = fields.values.get(key)
    if not isinstance(value, date) or isinstance(value, datetime):
        found = f"{fields.what} without {key!r}" if value is None else f"{key} = {shown(value)}"
        raise fields.mistake(
            found,
            "a date without quotes",
            f"write it as year-month-day: {key} = 2026-11-25",
            at=(key,),
        )
    return value


def one_of(fields: Fields, key: str, choices: Iterable[str], default: str | None = None) -> str:
    """One word of a fixed list."""
    value = text(fields, key, default)
    return value if value == default else _checked_choice(fields, value, list(choices), (key,))


def some_of(fields: Fields, key: str, choices: Iterable[str]) -> tuple[str, ...]:
    """Several words of a fixed list, each once."""
    names, values = list(choices), texts(fields, key)
    for place, value in enumerate(values):
        _checked_choice(fields, value, names, (key, place))
        if value in values[:place]:
            raise fields.mistake(
                f"{value!r} twice in {key} of {fields.what}",
                "each once",
                "take one of them out",
                at=(key, place),
            )
    return values


def _checked_text(fields: Fields, value: object, at: tuple[str | int, ...]) -> str:
    key = at[0]
    if not isinstance(value, str):
        raise fields.mistake(
            f"{key} = {shown(value)} in {fields.what}",
            "a text in quotes",
            f'write {key} = "…"' if len(at) == 1 else "put each entry in quotes",
            at=at,
        )
    plain = " ".join(value.split())
    if not plain:
        raise fields.mistake(f"an empty {key} in {fields.what}", "a few words", "say it in words", at=at)
    if len(plain) > LONGEST_TEXT:
        raise fields.mistake(
            f"{key} of {len(plain)} letters in {fields.what}",
            f"at most {LONGEST_TEXT}",
            "shorten it",
            at=at,
        )
    return plain


def _checked_choice(fields: Fields, value: str, names: list[str], at: tuple[str | int, ...]) -> str:
    if value not in names:
        raise fields.mistake(
            f"{at[0]} = {value!r} in {fields.what}",
            listed(names),
            nearest(value, names) or "use one of these words",
            at=at,
        )
    return value
