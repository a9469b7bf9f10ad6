"""Lists that were read, lists that wait, and ladders that were in use."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from loftbook.store import imports, ladders
from loftbook.store.imports import ImportFile, PendingImport
from loftbook.store.ladders import LadderText

pytestmark = pytest.mark.both_engines

AT = datetime(2025, 4, 5, 20, 0, tzinfo=UTC)
WAITING = PendingImport(
    "ab12", "list å.csv", "roster", AT, b"\x00\xffname", {"encoding": None}, {"row 3": "same"}
)
DONE = ImportFile("ab12", "list å.csv", "roster", AT, {"rows": [{"row": 3, "verdict": "take"}]})


def test_a_waiting_list_keeps_its_bytes_and_answers(book):
    with book.write() as connection:
        imports.keep_pending(connection, WAITING)
        more = replace(WAITING, answers={"row 3": "same", "row 4": "new"})
        imports.keep_pending(connection, more)
        assert imports.pending(connection, "ab12") == more
        assert imports.all_pending(connection) == (more,)
        imports.drop_pending(connection, "ab12")
        assert imports.pending(connection, "ab12") is None


def test_a_list_that_was_read_is_known_by_its_bytes_and_waits_no_more(book):
    with book.write() as connection:
        assert imports.import_of(connection, "ab12") is None
        imports.keep_pending(connection, WAITING)
        imports.keep_import(connection, DONE)
        assert imports.import_of(connection, "ab12") == DONE
        assert imports.all_pending(connection) == ()
        later = replace(DONE, digest="cd", at=datetime(2025, 10, 5, tzinfo=UTC))
        imports.keep_import(connection, later)
        assert imports.imports(connection) == (later, DONE)


def test_a_ladder_is_in_use_until_the_next(book):
    one = LadderText("one", date(2024, 1, 1), "text = 1", AT)
    two = LadderText("two", date(2025, 1, 1), "text = 2", AT)
    with book.write() as connection:
        assert ladders.ladder_in_use(connection) is None
        assert ladders.use_ladder(connection, one)
        assert not ladders.use_ladder(connection, one)
        assert ladders.use_ladder(connection, two)
        assert ladders.use_ladder(connection, one)
        assert ladders.ladder_in_use(connection) == one
        assert ladders.ladder_texts(connection) == (one, two, one)
