"""From an error of the database to a sentence: none of its own errors leaves this package."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DataError, DBAPIError, IntegrityError, SQLAlchemyError, StatementError

from loftbook.errors import BookFileError, LoftbookError, RangeError, Refused

# What SQLite says -> what was found, what to do. Looked for in this order.
_SENTENCES = (
    ("locked", "is in use by another program", "close the other program, then try again"),
    ("readonly", "can be read but not written", "allow writing to it, or copy it and open the copy"),
    ("attempt to write a readonly", "can be read but not written", "allow writing to it, or copy it"),
    ("unable to open", "cannot be opened", "check that its folder exists and may be written to"),
    ("disk is full", "does not fit: the disk is full", "free some space; nothing was half written"),
    ("malformed", "is damaged", "keep it as it is, and open the latest backup"),
    ("not a database", "is not a book", "open a file that Loftbook made"),
    ("disk i/o", "cannot be read from its disk", "copy it to another disk and open the copy"),
    ("no such table", "is not a whole book", "open a file that Loftbook made, or a backup"),
)

# The same of a PostgreSQL server.
_OF_A_SERVER = (
    ("password", "does not let you in", "check the name and the password in its address"),
    ("no pg_hba.conf entry", "does not let you in", "ask whoever runs the server to allow this machine"),
    ('role "', "does not know that user", "check the name in its address"),
    ("does not exist", "is not there", "make the database first: createdb NAME"),
    ("lock timeout", "is being written by somebody else", "try again in a moment; nothing was half written"),
    ("deadlock", "was written by two at once", "try again; nothing was half written"),
    ("too many", "has no place left for another program", "try again, or allow more connections"),
    ("could not connect", "cannot be reached", "check that the server runs and the network is there"),
    ("connection failed", "cannot be reached", "check that the server runs and the network is there"),
    ("connection", "was cut off", "try again; what was not acknowledged is not in the book"),
    ("no space left", "does not fit: the disk is full", "free some space; nothing was half written"),
    ("permission denied", "may not be changed by this user", "give its user all rights on the database"),
    ("read-only", "can be read but not written", "name the server that takes writes"),
)


@contextmanager
def in_our_words(where: str) -> Iterator[None]:
    """Turns each database error inside into a `LoftbookError` about the book at `where`."""
    try:
        yield
    except SQLAlchemyError as error:
        raise sentence(error, where) from error


def sentence(error: SQLAlchemyError, where: str) -> LoftbookError:
    """The error that says what to do about a database error."""
    cause = error.orig if isinstance(error, StatementError) else None
    if isinstance(cause, LoftbookError):
        return cause
    if isinstance(cause, OverflowError):
        return RangeError("a number with more than 64 bits", "at most 19 digits", "check the number")
    if isinstance(error, IntegrityError):
        return _integrity(str(cause))
    if isinstance(error, DataError):
        return Refused(f"a value of the wrong kind ({cause})", "the kind that the column holds")
    text = str(cause or error)
    on_a_server = where.startswith("postgresql:")
    text = text.strip().partition("\n")[0]  # a server quotes rows below its first line
    if isinstance(error, DBAPIError):
        for sign, found, todo in _OF_A_SERVER if on_a_server else _SENTENCES:
            if sign in text.lower():
                return BookFileError(f"The book {where} {found} ({text})", todo=todo)
    return BookFileError(f"The book {where} could not be read or written ({text})", todo="try again")


def _integrity(text: str) -> Refused:
    text = text.strip().partition("\n")[0]
    lower = text.lower()
    if "foreign key" in lower:
        return Refused(
            "an entry that names somebody or something the book does not have",
            "a camp, athlete or attempt that is in the book",
            "put that in first; nothing was written",
        )
    if "unique" in lower or "duplicate" in lower:
        return Refused(f"something that the book already has ({text})", "a new one", "nothing was written")
    if "cannot store" in lower:
        return Refused(f"a value of the wrong kind ({text})", "the kind that the column holds")
    return Refused(f"an entry that breaks a rule of the book ({text})", "one that keeps it")
