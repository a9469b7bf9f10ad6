"""How a value is kept: what every word of the vocabulary in `store.types` is made of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import sqlalchemy as sa
from sqlalchemy.types import TypeDecorator, TypeEngine

from loftbook.errors import BookFileError, Refused

Processor: TypeAlias = Callable[[Any], Any]


class Kept(TypeDecorator[Any]):
    """One word of the vocabulary: `into` checks and converts, `out_of` reads back."""

    impl: Any = sa.Text
    native: TypeEngine[Any] | None = None  # PostgreSQL's own type, where it has one
    cache_ok = True

    def into(self, value: Any) -> Any:
        """What SQLite stores for a value (never None)."""
        return value

    def check(self, value: Any) -> Any:
        """What PostgreSQL's driver is given for a value (never None)."""
        return value

    def out_of(self) -> Processor | None:
        """The function that makes a value of what SQLite stored (also of None)."""
        return None

    def load_dialect_impl(self, dialect: sa.Dialect) -> TypeEngine[Any]:
        """The type that the column is declared with."""
        if dialect.name == "postgresql" and self.native is not None:
            return self.native
        return self.impl_instance

    def bind_processor(self, dialect: sa.Dialect) -> Processor:
        """From a value to what the driver takes."""
        if dialect.name == "sqlite":
            into = self.into
            return lambda value: None if value is None else into(value)
        native: Processor | None = (
            self.load_dialect_impl(dialect).dialect_impl(dialect).bind_processor(dialect)
        )
        after = native or (lambda value: value)
        return lambda value: None if value is None else after(self.check(value))

    def result_processor(self, dialect: sa.Dialect, coltype: object) -> Processor | None:
        """From what the driver gives to a value."""
        if dialect.name != "sqlite" and self.native is not None:
            implementation = self.load_dialect_impl(dialect)
            return implementation.dialect_impl(dialect).result_processor(dialect, coltype)
        return self.out_of()


def reading(made: Processor, word: str) -> Processor:
    """A function that reads with `made`, leaves None alone and says so where a value cannot be read."""

    def read(value: Any) -> Any:
        try:
            return None if value is None else made(value)
        except (ValueError, KeyError, TypeError) as error:
            raise BookFileError(
                f"The book holds {value!r} in a column of the kind {word}, which cannot be read",
                todo="keep the file as it is, and open the latest backup or a newer Loftbook",
            ) from error

    return read


def wrong(value: object, expected: str) -> Refused:
    """The error for a value of the wrong kind."""
    return Refused(f"{value!r} ({type(value).__name__})", expected, "give a value of that kind")
