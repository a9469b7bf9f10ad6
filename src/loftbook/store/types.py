"""What a column can hold: one vocabulary that SQLite keeps STRICT and PostgreSQL natively.

| word | in Python | SQLite | PostgreSQL |
| --- | --- | --- | --- |
| `Uid` | UUID | TEXT | uuid |
| `Utc` | datetime with a zone | TEXT, sorts by time | timestamptz |
| `Day` | date | TEXT | date |
| `Doc` | dict, list | TEXT, JSON | json: as text, so that any letter and the order of keys stay |
| `Names` | tuple of str | TEXT, JSON | json |
| `Words` | str | TEXT | text |
| `Int`, `Seq` | int of 64 bits | INTEGER | bigint |
| `Real` | float | REAL | double precision |
| `Flag` | bool | INTEGER | boolean |
| `Blob` | bytes | BLOB | bytea |
| `Key` | an enumeration | TEXT or INTEGER | text or bigint |
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from enum import Enum, IntEnum
from functools import lru_cache
from math import isnan
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql

from loftbook.errors import BookFileError, RangeError, Refused
from loftbook.store.kept import Kept, Processor, reading, wrong

_SMALLEST, _LARGEST = -(2**63), 2**63 - 1


class Words(Kept):
    """Text, of any script; the character NUL is refused, as PostgreSQL has none."""

    cache_ok = True

    def into(self, value: Any) -> str:
        if not isinstance(value, str):
            raise wrong(value, "text")
        if "\x00" in value:
            raise Refused("text with the character NUL in it", "text", "take that character out")
        try:
            value.encode()
        except UnicodeEncodeError as error:
            raise Refused("text with half a character in it", "text", "type it again") from error
        return value

    check = into


class Uid(Kept):
    """An id that the device made (UUID)."""

    cache_ok = True
    native = sa.Uuid()

    def into(self, value: Any) -> str:
        return str(self.check(value))

    def check(self, value: Any) -> UUID:
        if not isinstance(value, UUID):
            raise wrong(value, "an id (UUID)")
        return value

    def out_of(self) -> Processor:
        return _uuid


# A page reads the same few ids and lists of names some thousand times.
_uuid = lru_cache(maxsize=65536)(reading(UUID, "Uid"))


class Utc(Kept):
    """A moment. It must carry its time zone, and comes back in UTC."""

    cache_ok = True
    native = sa.TIMESTAMP(timezone=True)

    def into(self, value: Any) -> str:
        moment: datetime = self.check(value)
        return moment.replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"

    def check(self, value: Any) -> datetime:
        if not isinstance(value, datetime) or value.utcoffset() is None:
            raise wrong(value, "a moment with its time zone")
        return value.astimezone(UTC)

    def out_of(self) -> Processor:
        return reading(datetime.fromisoformat, "Utc")

    def result_processor(self, dialect: sa.Dialect, coltype: object) -> Processor | None:
        """In UTC by the same zone also where the driver gives one of its own."""
        if dialect.name == "sqlite":
            return super().result_processor(dialect, coltype)
        return lambda moment: None if moment is None else moment.astimezone(UTC)


class Day(Kept):
    """A day of the calendar, without a time."""

    cache_ok = True
    native = sa.Date()

    def into(self, value: Any) -> str:
        day: str = self.check(value).isoformat()
        return day

    def check(self, value: Any) -> date:
        if not isinstance(value, date) or isinstance(value, datetime):
            raise wrong(value, "a day without a time")
        return value

    def out_of(self) -> Processor:
        return reading(date.fromisoformat, "Day")


class Doc(Kept):
    """A small document: what JSON can hold."""

    cache_ok = True
    native = postgresql.JSON()

    def into(self, value: Any) -> str:
        try:
            return json.dumps(value, ensure_ascii=False, sort_keys=True, allow_nan=False)
        except (TypeError, ValueError) as error:
            raise wrong(value, "something that JSON can hold") from error

    def check(self, value: Any) -> Any:
        self.into(value)
        return value

    def out_of(self) -> Processor:
        return _doc


def _document(text: str) -> Any:
    return {} if text == "{}" else json.loads(text)  # most attempts have no marks


_doc = reading(_document, "Doc")


class Names(Kept):
    """A tuple of texts, in order."""

    cache_ok = True
    native = postgresql.JSON()

    def into(self, value: Any) -> str:
        return json.dumps(self.check(value), ensure_ascii=False)

    def check(self, value: Any) -> list[str]:
        if not isinstance(value, tuple) or not all(isinstance(name, str) for name in value):
            raise wrong(value, "a tuple of texts")
        return list(value)

    def out_of(self) -> Processor:
        return _names

    def result_processor(self, dialect: sa.Dialect, coltype: object) -> Processor | None:
        """A tuple also where the driver gives a list."""
        inner = super().result_processor(dialect, coltype)
        return inner if dialect.name == "sqlite" else lambda value: tuple(inner(value) if inner else value)


_names = lru_cache(maxsize=4096)(reading(lambda text: tuple(json.loads(text)), "Names"))


class Int(Kept):
    """A whole number of 64 bits at most."""

    cache_ok = True
    impl = sa.Integer
    native = sa.BigInteger()

    def into(self, value: Any) -> int:
        if not isinstance(value, int) or isinstance(value, bool):
            raise wrong(value, "a whole number")
        if not _SMALLEST <= value <= _LARGEST:
            raise RangeError(f"the number {value}", "a number of at most 19 digits", "check it")
        return int(value)

    check = into


class Real(Kept):
    """A measure, in SI units."""

    cache_ok = True
    impl = sa.REAL
    native = sa.Double()

    def into(self, value: Any) -> float:
        if not isinstance(value, int | float) or isinstance(value, bool) or isnan(value):
            raise wrong(value, "a number")
        return float(value)

    check = into


class Flag(Kept):
    """Yes or no."""

    cache_ok = True
    impl = sa.Integer
    native = sa.Boolean()

    def into(self, value: Any) -> int:
        return int(self.check(value))

    def check(self, value: Any) -> bool:
        if not isinstance(value, bool):
            raise wrong(value, "yes or no")
        return value

    def out_of(self) -> Processor:
        return reading(bool, "Flag")


class Blob(Kept):
    """Bytes, such as a file as it was typed."""

    cache_ok = True
    impl = sa.LargeBinary

    def into(self, value: Any) -> bytes:
        if not isinstance(value, bytes):
            raise wrong(value, "bytes")
        return value

    check = into


class Key(Kept):
    """A member of an enumeration, kept as its value."""

    cache_ok = True

    def __init__(self, kind: type[Enum]) -> None:
        super().__init__()
        self.kind = kind
        if issubclass(kind, IntEnum):
            self.impl = sa.Integer()
            self.native = sa.BigInteger()

    def into(self, value: Any) -> Any:
        if not isinstance(value, self.kind):
            raise wrong(value, f"one of {self.kind.__name__}")
        return value.value

    check = into

    def out_of(self) -> Processor:
        return _Members({member.value: member for member in self.kind} | {None: None}).__getitem__

    def result_processor(self, dialect: sa.Dialect, coltype: object) -> Processor:  # noqa: ARG002
        """Both databases give the value; the member is ours."""
        return self.out_of()


class _Members(dict[Any, Any]):
    """The members of an enumeration by value; asked some ten thousand times for a page."""

    def __missing__(self, value: object) -> None:
        raise BookFileError(
            f"The book holds the word {value!r}, which this Loftbook does not know",
            todo="open the book with a newer Loftbook, or open the latest backup",
        )


#: The order of writing: a number that the database gives.
Seq = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
