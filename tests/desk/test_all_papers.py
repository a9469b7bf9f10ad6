"""All papers of a camp, the next camp's date in a letter, and the draft of a mail that nobody sends by oversight."""

import email
from dataclasses import fields, is_dataclass
from datetime import timedelta
from email import policy

import pytest
from tests.desk import cast
from tests.desk.cast import PIKE, blank, payload, write
from tests.reports.reading import words

from loftbook.book.consent import Purpose
from loftbook.desk.batch import FOR_A_CAMP, camps_paper, childs_paper, papers_of_camp, write_papers
from loftbook.desk.evidence import Deciding, decide
from loftbook.desk.film.consenting import Spoken, record_consent
from loftbook.desk.letters import letter_of_one
from loftbook.desk.mailing import letter_draft
from loftbook.desk.people import all_athletes
from loftbook.errors import Refused, UnknownThing
from loftbook.reports.pdf import write_pdf
from loftbook.reports.table import Table


@pytest.fixture
def filled(made):
    write(
        made.desk,
        payload(made.today, made.mira),
        payload(made.today, made.noa, help="belt_light"),
        payload(made.today, made.otylia, PIKE, outcome="tried", rotation="short"),
        blank(made.today, made.rika, outcome="absent"),
    )
    agreed = Spoken(Purpose.HOME_COACH, allowed=True, said_by="a parent", recorded_by="H. Alder")
    record_consent(made.desk, made.mira, agreed)
    return made


def test_every_paper_is_made_once_and_told_as_it_is_done(filled):
    told = []
    papers = dict(papers_of_camp(filled.desk, filled.today.id, told=lambda *one: told.append(one)))
    # three and a form for the answer for each of the three who were there, and the camp's own
    assert len(papers) == 4 * 3 + len(FOR_A_CAMP) == len(told)
    assert [one[0] for one in told] == list(range(1, len(told) + 1))
    assert {one[1] for one in told} == {len(told)}
    assert [one[2] for one in told] == list(papers)
    assert not [name for name in papers if "rika" in name]
    for name, data in papers.items():
        assert "Invented data" in (data.decode() if name.endswith(".html") else words(data)), name


def test_they_are_written_into_a_folder(filled, tmp_path):
    files = write_papers(filled.desk, filled.today.id, tmp_path / "papers")
    assert sorted(files) == sorted((tmp_path / "papers").iterdir())


@pytest.mark.parametrize("kind", ["letter", "parent", "hers"])
def test_what_leaves_the_camp_speaks_of_one_child_alone(filled, kind):
    told = words(write_pdf(childs_paper(filled.desk, kind, filled.mira)))
    assert "Mira" in told
    assert not [name for name in ("Noa", "Otylia", "Petra", "Rika") if name in told]


def test_a_parent_reads_the_next_step_in_words_and_the_coach_in_degrees(filled):
    told = [letter_of_one(filled.desk, who) for who in (filled.mira, filled.noa, filled.otylia)]
    told = [one for one in told if one.steps]
    assert any(one.steps[0].margin for one in told)
    for facts in told:
        hers, copy = (childs_paper(filled.desk, kind, facts.athlete.id) for kind in ("letter", "parent"))
        assert ("°" in facts.steps[0].sentence) == (facts.steps[0].margin is not None)
        assert facts.steps[0].sentence in str(hers)
        assert "°" not in words(write_pdf(copy))
        assert all(step.name in str(copy) for step in facts.steps), "each next rung is told, none left out"


def groups_of_names(value):
    """Every run of texts that stand beside or below each other in a page: a row's items, a column, a sentence."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Table):
        for column in range(len(value.columns)):
            yield "\n".join(row[column].text for row in value.rows)
        for row in value.rows:
            for cell in row:
                yield "\n".join((cell.text, *cell.items))
    elif isinstance(value, (tuple, list)):
        for one in value:
            yield from groups_of_names(one)
    elif is_dataclass(value):
        for one in fields(value):
            yield from groups_of_names(getattr(value, one.name))


@pytest.mark.parametrize("kind", list(FOR_A_CAMP))
def test_no_paper_of_a_camp_puts_children_in_the_order_of_what_they_did(filled, kind):
    """Mira, Noa and Otylia did it alone, in a belt and not; a second camp turns that round."""
    turned = cast.a_camp(filled.desk, "Turned round", filled.today.starts + timedelta(days=1))
    write(
        filled.desk,
        payload(turned, filled.mira, PIKE, outcome="tried", rotation="short"),
        payload(turned, filled.noa, help="belt_light"),
        payload(turned, filled.otylia),
        payload(turned, filled.rika),
    )
    squad = [one.name.full for one in all_athletes(filled.desk)]
    seen = 0
    for camp in (filled.today, turned):
        for group in groups_of_names(camps_paper(filled.desk, kind, camp.id)):
            named = sorted((name for name in squad if name in group), key=group.index)
            assert named == [name for name in squad if name in named], group
            seen += len(named) > 1
    assert seen or kind == "programme-summary"


def test_the_summary_names_nobody(filled):
    told = words(write_pdf(camps_paper(filled.desk, "programme-summary", filled.today.id)))
    assert not [name for name in ("Mira", "Noa", "Otylia", "Petra", "Rika") if name in told]
    assert "1 of 5" in told  # one of five was written down as absent


def test_the_belt_list_takes_who_was_in_it_and_about_whom_somebody_decided(filled):
    given = Deciding(
        "look_again", "H. Alder", "invented", "Twist side first.", cast.SPRING_26.replace(month=9)
    )
    decide(filled.desk, filled.mira, "full_out_belt", given)
    told = words(write_pdf(camps_paper(filled.desk, "belt-list", filled.today.id)))
    listed, _, others = told.partition("Nothing in the belt, and no decision")
    assert "Mira Moss" in listed
    assert "look again before anything is begun" in listed
    assert "Noa" in listed
    assert "Petra Quince" in others


@pytest.mark.parametrize(
    "ask", [lambda d, m: childs_paper(d, "bill", m.mira), lambda d, m: camps_paper(d, "x", m.today.id)]
)
def test_a_paper_that_is_not_there_is_a_sentence(filled, ask):
    with pytest.raises(UnknownThing, match="a paper called"):
        ask(filled.desk, filled)


def test_the_letter_tells_the_next_camp_where_the_book_has_one(filled):
    assert letter_of_one(filled.desk, filled.mira).next_camp is None
    cast.a_camp(filled.desk, "Autumn camp", cast.SPRING_26.replace(month=10, day=17), place="Kestrel hall")
    found = letter_of_one(filled.desk, filled.mira).next_camp
    assert (found.starts, found.words) == (cast.SPRING_26.replace(month=10, day=17), "Kestrel hall.")
    told = words(write_pdf(childs_paper(filled.desk, "letter", filled.mira)))
    assert "17 to 18 October 2026" in told


def read(draft):
    """By the standard library's own reader (RFC 5322), which is another hand than the writer's."""
    return email.message_from_bytes(draft.data, policy=policy.default)


def test_a_draft_has_the_coach_the_copies_and_the_letter(filled):
    draft = letter_draft(filled.desk, filled.mira, parent="kin@example.org", second="adult@example.org")
    mail = read(draft)
    assert mail["To"] == "coach@kittiwake.example"
    assert mail["Cc"] == "kin@example.org, adult@example.org"
    assert mail["X-Unsent"] == "1"
    assert mail["From"] is None
    assert draft.missing == ()
    assert "Before this is sent" not in mail.get_body().get_content()
    letter, form = mail.iter_attachments()
    assert form.get_content_type() == "text/html"
    assert letter.get_content_type() == "application/pdf"
    assert "Letter to the home coach" in words(letter.get_content())


def test_without_a_parent_and_a_second_adult_the_first_line_says_so(filled):
    draft = letter_draft(filled.desk, filled.mira)
    mail = read(draft)
    assert mail["Cc"] is None
    assert len(draft.missing) == 2
    first = mail.get_body().get_content().splitlines()[0]
    assert first.startswith("Before this is sent")
    assert "parent or guardian" in first
    assert "second adult" in first


@pytest.mark.parametrize(
    "typed", ["nobody", "a@b", "a@b.example\nBcc: x@y.example", "a@b.example, c@d.example", "<a@b.example>"]
)
def test_what_is_no_single_address_is_refused(filled, typed):
    with pytest.raises(Refused, match="as an address"):
        letter_draft(filled.desk, filled.mira, parent=typed)
