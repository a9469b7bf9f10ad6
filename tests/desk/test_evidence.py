"""The evidence of a gymnast of the book, the decision as a fact, and the PDF read back by another program."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest
from tests.desk.cast import PIKE, TUCK, blank, payload, write
from tests.reports.reading import roles, words

from loftbook.book.deciding import Decided
from loftbook.desk.evidence import Deciding, decide, evidence_answer, evidence_pdf
from loftbook.errors import Refused, UnknownThing

pytestmark = pytest.mark.both_engines

GOOD = Deciding(
    "stay",
    by="H. Alder",
    qualified="national coach, invented",
    reason="Two short turns in spring; the pit first.",
    review=date(2026, 6, 1),
)


@pytest.fixture
def filled(made):
    write(
        made.desk,
        payload(made.autumn, made.mira),
        payload(made.today, made.mira, outcome="tried", rotation="short", note="sore wrist, stopped early"),
        payload(made.today, made.noa, help="belt_light"),
        blank(made.today, made.petra, outcome="declined"),
    )
    return made


def test_it_works(filled):
    told = words(evidence_pdf(filled.desk, filled.mira, PIKE))
    for part in (
        "Evidence for the next step",
        "Seen",
        "Measured",
        "Missing",
        "What speaks against",
        "The decision",
    ):
        assert part in told
    assert "“sore wrist, stopped early”" in told
    assert "1 of 2 turns came round short" in told
    assert "Nobody has written down a decision" in told
    assert "Invented data" in told


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_is_tagged_for_readers_of_the_page(filled, paper):
    # PDF/UA-1 (ISO 14289-1), 7.2 and 7.5: headings and tables are told as such
    told = roles(evidence_pdf(filled.desk, filled.mira, PIKE, paper=paper))
    assert {"H1", "H2", "Table", "TH", "L", "LI"} <= set(told)


def test_the_next_rung_is_taken_where_none_is_named(filled):
    assert evidence_answer(filled.desk, filled.mira).facts.evidence.rung.key == PIKE
    assert evidence_answer(filled.desk, filled.noa).facts.evidence.rung.key == TUCK
    with pytest.raises(UnknownThing):
        evidence_answer(filled.desk, filled.mira, "moonwalk")
    with pytest.raises(UnknownThing):
        evidence_answer(filled.desk, UUID(int=1), PIKE)


def test_a_decision_is_a_fact_with_who_why_and_until_when(filled):
    kept = decide(filled.desk, filled.mira, PIKE, GOOD)
    found = evidence_answer(filled.desk, filled.mira, PIKE).facts.evidence
    assert found.decision == kept
    assert kept.edition == filled.desk.ladder.lists_edition
    told = words(evidence_pdf(filled.desk, filled.mira, PIKE))
    for part in (
        "Stay with what she does now",
        "H. Alder, national coach, invented",
        GOOD.reason,
        "1 June 2026",
    ):
        assert part in told
    assert evidence_answer(filled.desk, filled.noa, PIKE).facts.evidence.decision is None
    assert evidence_answer(filled.desk, filled.mira, TUCK).facts.evidence.decision is None


def test_a_correction_is_a_new_fact_and_the_old_one_stays_readable(filled):
    first = decide(filled.desk, filled.mira, PIKE, GOOD)
    second = decide(
        filled.desk,
        filled.mira,
        PIKE,
        replace(GOOD, decided="look again", replaces=first.id, reason="Ask her."),
    )
    found = evidence_answer(filled.desk, filled.mira, PIKE).facts.evidence
    assert (found.decision, found.corrected) == (second, (first,))
    assert second.decided is Decided.LOOK_AGAIN
    assert GOOD.reason in words(evidence_pdf(filled.desk, filled.mira, PIKE))
    with pytest.raises(UnknownThing, match="that stands"):
        decide(filled.desk, filled.mira, PIKE, replace(GOOD, replaces=first.id))


@pytest.mark.parametrize(
    "change",
    [
        {"decided": "ready"},
        {"by": ""},
        {"qualified": " "},
        {"reason": ""},
        {"review": date(2026, 4, 1)},
        {"on": date(1, 1, 1), "review": date(2, 1, 1)},  # long before she was born
    ],
)
def test_half_a_decision_is_not_written_down(filled, change):
    with pytest.raises(Refused):
        decide(filled.desk, filled.mira, PIKE, replace(GOOD, **change))
    assert evidence_answer(filled.desk, filled.mira, PIKE).facts.evidence.decisions == ()


def test_it_says_when_the_day_of_review_is_over(filled):
    decide(filled.desk, filled.mira, PIKE, replace(GOOD, on=date(2026, 1, 2), review=date(2026, 2, 1)))
    assert "that day is over" in words(evidence_pdf(filled.desk, filled.mira, PIKE))


def test_the_word_is_never_printed(filled):
    """The rule of the house."""
    told = words(evidence_pdf(filled.desk, filled.mira, PIKE)).lower()
    assert "ready" not in told.replace("already", "")
    assert "cleared" not in told
