"""Answers of home coaches by command: taken in once, and one that is no answer loses no other."""

import json

from tests.desk.test_home_answers import file_of

from loftbook.desk.home_answers import home_form
from loftbook.desk.letters import letter_of_one
from loftbook.desk.opening import open_desk
from loftbook.desk.people import find_athlete


def test_answers_are_taken_in_once(run, book, tmp_path):
    desk = open_desk(book)
    form = home_form(desk, letter_of_one(desk, find_athlete(desk, "Lumi Lindqvist").id))
    desk.store.close()
    good, cut = tmp_path / "good.json", tmp_path / "cut.json"
    good.write_bytes(file_of(form, more="Ice on the \x1b[31mhall roof"))
    cut.write_bytes(good.read_bytes()[:-30])
    first = run("answers", "import", good, cut, "--book", book)
    assert (first.code, first.err) == (2, "")
    assert "Lumi Lindqvist: written into the book" in first.out
    assert "cut.json: Found an answer that ends in the middle" in first.out
    again = run("answers", "import", good, "--book", book, "--json")
    assert (again.code, json.loads(again.out)[0]["became"]) == (0, "in the book already; nothing was changed")
