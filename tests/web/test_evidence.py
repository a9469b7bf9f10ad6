"""The page of the evidence: who may see it, a decision by form, and the same words as on paper."""

from datetime import date

import pytest

from loftbook.book.access import Action
from loftbook.desk.evidence import evidence_answer
from loftbook.web.access import RULES

GIVEN = {
    "rung": "double_pike",
    "decided": "stay",
    "by": "H. Alder",
    "qualified": "national coach, invented",
    "reason": "The pit first.",
    "review": "2099-06-01",
}


def test_it_works(client, made):
    page = client.get(f"/athletes/{made.mira}/evidence?rung=double_pike").text
    for part in ("Seen", "Measured", "Missing", "What speaks against", "The decision", "Write it down"):
        assert part in page
    assert f"/athletes/{made.mira}/evidence" in client.get(f"/athletes/{made.mira}").text


def test_it_is_for_head_coaches():
    found = [rule for (_, path), rule in RULES.items() if path.startswith("/athletes/{athlete_id}/evidence")]
    assert found == [Action.WRITE_BOOK] * 3


def test_a_decision_by_form(client, made):
    sent = client.post(f"/athletes/{made.mira}/evidence", data=GIVEN, follow_redirects=False)
    assert sent.status_code == 303
    kept = evidence_answer(made.desk, made.mira, "double_pike").facts.evidence.decision
    assert (kept.by, kept.reason, kept.review) == ("H. Alder", "The pit first.", date(2099, 6, 1))
    assert "The pit first." in client.get(sent.headers["location"]).text


def test_a_correction_of_what_is_no_id_is_not_a_second_decision(client, made):
    sent = client.post(f"/athletes/{made.mira}/evidence", data=GIVEN | {"replaces": "zzz"})
    assert sent.status_code == 422
    assert "to correct" in sent.text
    assert evidence_answer(made.desk, made.mira, "double_pike").facts.evidence.decisions == ()


@pytest.mark.parametrize("lacks", ["by", "qualified", "reason", "review", "decided"])
def test_what_is_missing_is_said_and_what_was_typed_stays(client, made, lacks):
    sent = client.post(f"/athletes/{made.mira}/evidence", data=GIVEN | {lacks: ""})
    assert sent.status_code == 422
    assert 'role="alert"' in sent.text
    if lacks != "reason":
        assert "The pit first." in sent.text
    assert evidence_answer(made.desk, made.mira, "double_pike").facts.evidence.decisions == ()


def test_it_comes_as_pdf(client, made):
    answer = client.get(f"/athletes/{made.mira}/evidence.pdf?rung=double_pike&paper=letter")
    assert answer.headers["content-disposition"].startswith('attachment; filename="evidence-mira-moss')
    # "%PDF-" opens every PDF file: ISO 32000-2, 7.5.2.
    assert answer.content.startswith(b"%PDF-")


def test_a_rung_that_is_not_there_is_a_sentence(client, made):
    assert client.get(f"/athletes/{made.mira}/evidence?rung=moonwalk").status_code == 404
