"""What people decided is kept as it was written, a correction beside it, and goes with the child."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest
from tests.store import cast

from loftbook.book.deciding import Decided, Decision, standing_decisions
from loftbook.store import decisions, erasing, people
from loftbook.store.database import open_book

pytestmark = pytest.mark.both_engines

FIRST = Decision(
    id=UUID(int=1),
    athlete=cast.athlete(1).id,
    rung="double_pike",
    decided=Decided.LOOK_AGAIN,
    on=date(2026, 4, 11),
    review=date(2026, 6, 1),
    by="H. Alder",
    qualified="national coach, invented",
    reason="unmistakable reason",
    edition="one",
    at=datetime(2026, 4, 11, 18, tzinfo=UTC),
)
SECOND = Decision(
    **{
        **vars(FIRST),
        "id": UUID(int=2),
        "decided": Decided.STAY,
        "replaces": FIRST.id,
        "at": datetime(2026, 4, 11, 19, tzinfo=UTC),
    }
)


def test_a_decision_comes_back_as_it_was_written_and_its_correction_beside_it(book):
    with book.write() as connection:
        decisions.add_decisions(connection, [FIRST])
        decisions.add_decisions(connection, [SECOND])
        kept = decisions.decisions_of(connection, [FIRST.athlete])
        assert decisions.decisions_of(connection, [cast.athlete(2).id]) == ()
    assert kept == (FIRST, SECOND)
    assert standing_decisions(kept) == (SECOND,)


def test_it_goes_with_the_child_and_leaves_no_word(tmp_path):
    store = open_book(tmp_path / "camp.book")
    with store.write() as connection:
        people.add_athletes(connection, [cast.full_athlete()])
        decisions.add_decisions(connection, [FIRST, SECOND])
    with store.write() as connection:
        assert erasing.erase_athlete(connection, FIRST.athlete)["decision"] == 2
    store.tidy()
    store.close()
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"unmistakable reason" not in left
