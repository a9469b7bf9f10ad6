"""`loftbook demo`, end to end in a folder of its own, twice."""

import pytest
from pypdf import PdfReader
from tests.cli.conftest import shell


@pytest.fixture(scope="module")
def twice(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    return folder, [
        shell("demo", "--no-serve", "--to", "here", book=folder / "none", folder=folder) for _ in range(2)
    ]


def test_it_works(twice):
    folder, (first, _) = twice
    assert (first.code, first.err) == (0, "")
    assert first.out.startswith("Loftbook demo. Everybody and everything in it is invented.")
    for part in (
        "who showed it did it alone",
        "new (",
        "held (",
        "were to be expected",
        "A qualified coach decides",
    ):
        assert part in first.out, part
    papers = sorted((folder / "here" / "papers").glob("*.pdf"))
    letters = [file for file in papers if file.name.startswith("letter-")]
    assert f"{len(letters)} letters and the camp's lists are in" in first.out
    assert len(letters) >= 20
    assert len(papers) == len(letters) + 1
    for file in papers:
        assert "Invented data" in PdfReader(file).pages[0].extract_text()


def test_the_second_time_says_the_same(twice):
    _, (first, second) = twice
    assert second.out == first.out
    assert (second.code, second.err) == (0, "")


def test_it_leaves_the_coachs_own_book_alone(twice):
    folder, _ = twice
    assert not (folder / "none").exists()
    assert {file.name for file in folder.iterdir()} == {"here"}


def test_the_book_can_be_asked_like_any_other(twice):
    folder, _ = twice
    told = shell(
        "squad",
        "show",
        "--json",
        "--book",
        folder / "here" / "demo.book",
        book=folder / "none",
        folder=folder,
    )
    assert told.json["invented"] is True
    assert len(told.json["athletes"]) == 24


def test_a_folder_with_a_book_of_real_people_is_left_alone(book, tmp_path):
    there = tmp_path / "there"
    there.mkdir()
    book.rename(there / "demo.book")
    before = (there / "demo.book").read_bytes()
    answer = shell("demo", "--no-serve", "--to", there, book=tmp_path / "none", folder=tmp_path)
    assert answer.code == 1
    assert "people and 2 camps that are not invented" in answer.err
    assert "Traceback" not in answer.err
    assert (there / "demo.book").read_bytes() == before
    assert [file.name for file in there.iterdir()] == ["demo.book"]
