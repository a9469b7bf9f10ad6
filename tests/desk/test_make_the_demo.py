"""The demonstration camp: through the same import and entry, twice the same, and never over real people."""

from datetime import date

import pytest
from tests.desk import cast
from tests.desk.cast import counts, everything
from tests.reports.reading import words

from loftbook.desk.answers import camp_answer, squad_answer
from loftbook.desk.camps import make_camp
from loftbook.desk.demo.run import build_demo
from loftbook.desk.opening import open_desk
from loftbook.desk.people import all_athletes, all_camps
from loftbook.desk.printing import letters_pdf
from loftbook.errors import BookFileError, LoftbookError
from loftbook.insight.change import ChangeKind
from loftbook.insight.expectation import Verdict
from loftbook.insight.standing import State
from loftbook.ladder.scales import Outcome
from loftbook.store.attempts import attempts_of_camp


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("demo")


@pytest.fixture(scope="module")
def said():
    return []


@pytest.fixture(scope="module")
def demo(folder, said):
    desk = build_demo(folder, say=said.append)
    yield desk
    desk.store.close()


def test_it_works(demo, folder, said):
    assert len(all_athletes(demo)) == 24
    assert [camp.starts for camp in all_camps(demo)] == [
        date(2026, 10, 17),
        date(2026, 4, 11),
        date(2025, 10, 18),
        date(2025, 4, 12),
    ]
    assert {file.name for file in folder.iterdir()} >= {
        "demo.book",
        "roster.csv",
        "camp-1.csv",
        "camp-1-report.md",
    }
    assert said[0] == "Loftbook demo. Everybody and everything in it is invented."
    assert len(said) == 9
    assert "code x=alone" in said[2]


def test_nothing_of_its_lists_is_asked_or_refused(demo, folder):
    for report in ("roster-report.md", "camp-1-report.md", "camp-2-report.md"):
        text = (folder / report).read_text(encoding="utf-8")
        assert "## Asked" not in text, report
        assert "## Refused" not in text, report


def test_everybody_and_everything_is_marked_as_invented(demo):
    assert all(one.invented for one in all_athletes(demo))
    assert all(camp.invented for camp in all_camps(demo))
    assert squad_answer(demo).invented


def test_the_last_camp_has_something_to_tell(demo):
    answer = camp_answer(demo, all_camps(demo)[0].id)
    kinds = {change.kind for change in answer.changes}
    assert {ChangeKind.NEW, ChangeKind.HELD, ChangeKind.NOT_NOW, ChangeKind.CANNOT_TELL} <= kinds
    assert {e.verdict for e in answer.expected} - {Verdict.CANNOT_SAY}
    states = {s.state for s in answer.standings}
    assert {State.ALONE, State.HELPED, State.NOT_ALLOWED} <= states


def test_letters_are_about_one_child_each(demo):
    letters = letters_pdf(demo, all_camps(demo)[0].id)
    assert len(letters) >= 20
    given = {one.id: one.name.given for one in all_athletes(demo)}
    for who, pdf in list(letters.items())[:5]:
        told = words(pdf)
        assert given[who] in told
        assert not any(other in told for one, other in given.items() if one != who)


def test_made_again_it_is_the_same(tmp_path):
    first = build_demo(tmp_path, say=lambda _: None)
    facts, ids = counts(first), [one.id for one in all_athletes(first)]
    first.store.close()
    again = build_demo(tmp_path, say=lambda _: None)
    assert counts(again) == facts
    assert [one.id for one in all_athletes(again)] == ids
    again.store.close()


def test_its_lists_read_again_change_nothing(demo, folder):
    before = everything(demo)
    cast.read_roster_file(demo, (folder / "roster.csv").read_bytes(), "roster.csv", write=True)
    for n in (1, 2):
        cast.read_camp_file(demo, (folder / f"camp-{n}.csv").read_bytes(), f"camp-{n}.csv", write=True)
    assert everything(demo) == before


def refusal(folder):
    before = {file: file.read_bytes() for file in folder.iterdir() if file.suffix != ".book"}
    with pytest.raises(LoftbookError) as caught:
        build_demo(folder, say=lambda _: None)
    assert {file: file.read_bytes() for file in before} == before
    assert "--to" in str(caught.value)
    return str(caught.value)


def test_a_demo_book_with_a_real_child_in_it_is_left_alone(tmp_path):
    desk = open_desk(tmp_path / "demo.book")
    cast.read_roster_file(desk, cast.shipped("roster.csv"), "roster.csv", write=True)
    before = everything(desk)
    desk.store.close()
    assert "28 people and 0 camps that are not invented" in refusal(tmp_path)
    desk = open_desk(tmp_path / "demo.book")
    assert everything(desk) == before
    desk.store.close()


def test_a_demo_book_with_a_real_camp_in_it_is_left_alone(tmp_path):
    desk = open_desk(tmp_path / "demo.book")
    make_camp(desk, cast.Camp(cast.UUID(int=0), "Our camp", date(2026, 1, 1), date(2026, 1, 2), "x"))
    desk.store.close()
    assert "not invented" in refusal(tmp_path)


@pytest.mark.parametrize("name", ["roster.csv", "camp-1.csv", "roster-report.md"])
def test_a_coachs_own_lists_in_the_folder_are_left_alone(tmp_path, name):
    """`loftbook demo --to .` where the coach keeps her own roster must not write over it."""
    (tmp_path / name).write_text("Name;Born\nMy own;2014-01-01\n")
    assert name in refusal(tmp_path)
    assert not (tmp_path / "demo.book").exists()


def test_a_file_that_is_no_book_is_left_alone(tmp_path):
    (tmp_path / "demo.book").write_text("not a book")
    with pytest.raises(BookFileError, match="not a book"):
        build_demo(tmp_path, say=lambda _: None)
    assert (tmp_path / "demo.book").read_text() == "not a book"


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path):
    (tmp_path / "file").write_text("a file")
    with pytest.raises(LoftbookError, match="--to"):
        build_demo(tmp_path / "file" / "demo", say=lambda _: None)


def test_what_it_marks_agrees_with_the_ladders_own_words(demo):
    """The ladder: both feet first is "did it"; its lowest level of landing is "not feet first"."""
    lowest = next(one for one in demo.ladder.criteria if one.key == "landing").levels[0]
    assert lowest.startswith("Not feet first")
    with demo.store.read() as connection:
        turns = [a for camp in all_camps(demo) for a in attempts_of_camp(connection, camp.id)]
    done = [a.marks["landing"] for a in turns if a.outcome is Outcome.DID_IT and "landing" in a.marks]
    assert len(done) > 50
    assert min(done) >= 2
