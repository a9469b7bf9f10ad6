"""Answers that are kept until anything in the book changes, so that a page seen twice is worked out once."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

from loftbook.desk import Desk
from loftbook.store import meta
from loftbook.store.database import Connection

MOST = 16  # so many answers are kept at most; the oldest leaves first
_T = TypeVar("_T")


def kept(desk: Desk, connection: Connection, question: Hashable, work_out: Callable[[], _T]) -> _T:
    """The answer to a question, worked out again only when the book has changed since.

    The book's own count of writes decides, so that a write by another process counts
    as well. The kind of answer must be part of the question.
    """
    now = meta.revision(connection)
    found = desk.answers.get(question)
    if found is not None and found[0] == now:
        return found[1]  # type: ignore[return-value]  # the question tells the kind of answer
    answer = work_out()
    desk.answers[question] = (now, answer)
    for old in list(desk.answers)[:-MOST]:
        desk.answers.pop(old, None)
    return answer
