"""A decision says who, in what capacity, why and until when, or it is not written down."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from loftbook.book.deciding import Decided, Decision, checked, standing_decisions
from loftbook.errors import Refused

TODAY = date(2026, 4, 11)
GOOD = Decision(
    id=UUID(int=1),
    athlete=UUID(int=9),
    rung="double_pike",
    decided=Decided.BEGIN,
    on=TODAY,
    review=date(2026, 6, 1),
    by="H. Alder",
    qualified="national coach, invented",
    reason="In the belt, slack, twice a week.",
    edition="one",
    at=datetime(2026, 4, 11, 18, tzinfo=UTC),
)


def test_a_whole_one_is_taken():
    assert checked(GOOD, TODAY) is GOOD


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"by": "  "}, "without who decided"),
        ({"qualified": ""}, "without how that person is qualified"),
        ({"reason": ""}, "without the reason"),
        ({"reason": "x" * 2001}, "2001 letters"),
        ({"on": date(2026, 4, 12)}, "which is to come"),
        ({"review": TODAY}, "not after the decision"),
    ],
)
def test_what_lacks_something_is_refused_in_words(change, told):
    with pytest.raises(Refused, match=told):
        checked(replace(GOOD, **change), TODAY)


def test_a_correction_takes_the_place_of_what_it_names_and_nothing_else():
    other = replace(GOOD, id=UUID(int=2), on=date(2026, 1, 10), review=date(2026, 2, 1))
    mended = replace(GOOD, id=UUID(int=3), replaces=GOOD.id, decided=Decided.STAY)
    assert standing_decisions([GOOD, other, mended]) == (mended, other)


def test_it_is_past_only_after_its_day():
    assert (GOOD.is_past(date(2026, 6, 1)), GOOD.is_past(date(2026, 6, 2))) == (False, True)


def test_no_decision_says_that_a_child_is_ready():
    """The rule of the house: the word is never printed about a child."""
    told = " ".join(one.words for one in Decided).lower()
    assert "ready" not in told
    assert "cleared" not in told
