"""A rung that asks for the belt and was done in the belt is called alone nowhere.

The shipped ladder's own standard: in the somersault belt the ropes follow and do not carry.
"""

import re

import pytest
from starlette.testclient import TestClient
from tests.desk.cast import payload, write
from tests.reports.reading import pictures, words

from loftbook.cli.words import athlete_lines, camp_lines, squad_lines
from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.exporting import all_lists
from loftbook.desk.printing import camp_lists_pdf, letter_pdf
from loftbook.reports.spreadsheet import as_csv
from loftbook.web import create_app

BELT = "double_tuck_belt"
SAID = "as it asks (belt, slack)"
ALONE = re.compile(r"\balone\b", re.IGNORECASE)


@pytest.fixture
def belted(made):
    """One child, one turn: what the rung asks for, in a slack belt."""
    write(made.desk, payload(made.today, made.mira, BELT, help="belt_slack"))
    return made


def page(made, address):
    with TestClient(create_app(made.desk), base_url="http://localhost") as client:
        return client.get(address).text


def seen(html):
    """The part of a page that says what was seen, without the forms beside the words."""
    told = html.partition("<h2>Seen</h2>")[2].partition("</section>")[0]
    return re.sub(r'<span class="mark" aria-hidden="true">.*?</span>', "", told)


def test_the_childs_page(belted):
    told = seen(page(belted, f"/athletes/{belted.mira}"))
    assert f"11 April 2026, {SAID}" in told
    assert told.count(SAID) >= 3  # the picture, the first time, the turns behind it
    assert not ALONE.search(told)


def test_the_camps_page(belted):
    told = seen(page(belted, f"/camps/{belted.today.id}"))
    rung = told.partition(f">{belted.desk.ladder.rung(BELT).name}<")[2].partition("</article>")[0]
    assert "As it asks (belt, slack, or less help)" in rung
    assert not ALONE.search(rung)
    assert SAID in told.partition("child by child")[2]


def test_the_letter(belted):
    pdf = letter_pdf(belted.desk, belted.mira)
    told = words(pdf).partition("What was seen")[2].partition("To work on")[0]
    assert SAID in told
    assert not ALONE.search(told.replace("it is no turn alone", ""))
    # the next step says what is missing, which is no claim that she did it alone
    assert "with nobody in" not in told.replace("No double that came round with nobody in", "")
    seen_so_far, *others = pictures(pdf)
    assert others
    assert SAID in seen_so_far
    assert not any(ALONE.search(one) for one in others)


def test_the_camps_lists_on_paper(belted):
    told = words(camp_lists_pdf(belted.desk, belted.today.id))
    assert "1 as it asks of 1 who showed it" in told
    assert "1 alone" not in told


def test_the_tables(belted):
    for name, table in all_lists(belted.desk, belted.today.id).items():
        rows = [line for line in as_csv(table).decode("utf-8-sig").splitlines() if BELT in line]
        assert not any(ALONE.search(line) for line in rows), name
        assert name not in ("inventory", "changes") or any(SAID in line for line in rows), name


def test_the_command_line(belted):
    camp = camp_lines(camp_answer(belted.desk, belted.today.id))
    assert "  as it asks (belt, slack, or less help) (1): Mira Moss" in camp
    hers = athlete_lines(athlete_answer(belted.desk, belted.mira))
    assert any(line.endswith(SAID) for line in hers)
    assert any(line.startswith(f"First {SAID}, ") for line in hers)
    assert not ALONE.search("\n".join([*hers, *squad_lines(squad_answer(belted.desk))]))


def test_the_page_of_cautions_says_what_the_word_means(belted):
    told = page(belted, "/cautions")
    assert "with nobody in" in told
    assert "“as it asks”" in told


def test_on_a_rung_that_asks_for_nobody_in_the_word_is_alone(made):
    write(made.desk, payload(made.today, made.mira))
    assert ", alone</dd>" in page(made, f"/athletes/{made.mira}")
    assert "Alone means with nobody in" in words(letter_pdf(made.desk, made.mira))
