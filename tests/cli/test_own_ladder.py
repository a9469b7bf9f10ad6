"""A coach's own ladder: named once, then remembered by the book; refused where it was edited under a known edition."""

import pytest
from tests.cli.test_bad_input import is_one_sentence


@pytest.fixture
def mine(run, tmp_path):
    """The shipped ladder, copied and given an edition of its own, as the copy's last line says."""
    told = run("ladder", "copy", "mine.toml").out
    assert "give it an edition of its own" in told
    file = tmp_path / "mine.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('edition = "loftbook-1"', 'edition = "ours-1"'), encoding="utf-8")
    return file


def test_it_is_named_once(run, book, mine):
    assert "edition loftbook-1" in run("ladder", "show", "--book", book).out
    run("camp", "new", "Winter", "--starts", "2026-01-10", "--book", book, "--ladder", mine)
    assert "edition ours-1" in run("ladder", "show", "--book", book).out
    assert "edition loftbook-1" in run("ladder", "show").out  # of no book
    spring = run("camp", "new", "Spring", "--starts", "2026-04-10", "--book", book, "--json").json
    assert spring["edition"] == "ours-1"


def test_it_comes_back_out_of_the_book(run, book, mine, tmp_path):
    run("camp", "new", "Winter", "--starts", "2026-01-10", "--book", book, "--ladder", mine)
    run("ladder", "copy", "again.toml", "--book", book)
    assert (tmp_path / "again.toml").read_text(encoding="utf-8") == mine.read_text(encoding="utf-8")
    run("ladder", "copy", "shipped.toml", "--shipped", "--book", book)
    assert 'edition = "loftbook-1"' in (tmp_path / "shipped.toml").read_text(encoding="utf-8")


def test_another_standard_under_a_known_edition_is_refused(run, book, mine):
    run("camp", "new", "Winter", "--starts", "2026-01-10", "--book", book, "--ladder", mine)
    text = mine.read_text(encoding="utf-8")
    old = '[standard.camp]\nhelp = "nobody_in"'
    assert text.count(old) == 1
    mine.write_text(text.replace(old, '[standard.camp]\nhelp = "hand_light"'), encoding="utf-8")
    for words in (("camp", "show"), ("serve", "--port", "0"), ("book", "remake")):
        answer = run(*words, "--book", book, "--ladder", mine)
        is_one_sentence(answer, "“ours-1”", "Double back, tuck", 'edition = "ours-1-2"')
    mine.write_text(text.replace(old, '[standard.camp]\nhelp = "hand_light"').replace("ours-1", "loftbook-1"))
    is_one_sentence(run("ladder", "check", mine), "“loftbook-1”", 'edition = "loftbook-1-2"')
