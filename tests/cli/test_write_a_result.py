"""`loftbook entry`: the same entry as on the page, blind, once, and never overwritten."""

import pytest
from tests.cli.test_bad_input import is_one_sentence

GOOD = ("double_tuck", "did_it", "--rater", "H. Alder", "--helped", "nobody_in", "--rotation", "on")


@pytest.fixture
def entry(run, book):
    """`loftbook entry VERB …` in a book with two camps and a third that has just begun."""
    run("camp", "new", "Winter camp", "--starts", "2026-01-10", "--book", book)
    return lambda verb, *words: run("entry", verb, *words, "--book", book)


def standing(run, book):
    people = run("squad", "show", "--book", book, "--json").json["athletes"]
    ayla = next(one["athlete"]["id"] for one in people if one["athlete"]["names"][-1]["given"] == "Ayla")
    told = run("camp", "show", "--book", book, "--json").json
    return {s["rung"]: s["state"] for s in told["standings"] if s["athlete"] == ayla}


def test_it_works(run, book, entry):
    answer = entry("write", "Ayla Aalto", *GOOD, "--mark", "lift=3", "--note", "saw the bed")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.startswith("Written: Ayla Aalto, double_tuck: ")
    assert standing(run, book) == {"double_tuck": "alone"}


def test_the_same_id_is_written_once(entry):
    number = "019a0000-0000-7000-8000-000000000001"
    first = entry("write", "Ayla Aalto", *GOOD, "--id", number, "--json").json
    assert (first["status"], first["attempt"]["marks"]) == ("stored", {})
    sheet = entry("show", "--json").json
    assert sum(len(turns) for turns in sheet["entered"].values()) == 1


def test_a_correction_and_a_withdrawal(run, book, entry):
    first = entry("write", "Ayla Aalto", "double_tuck", "tried", "--rater", "H. Alder", "--json").json[
        "attempt"
    ]["id"]
    second = entry("write", "Ayla Aalto", *GOOD, "--corrects", first, "--json").json["attempt"]["id"]
    assert standing(run, book) == {"double_tuck": "alone"}
    taken = entry("withdraw", second, "--by", "H. Alder", "--reason", "other child", "--json").json
    assert (taken["attempt"], taken["by"]) == (second, "H. Alder")
    assert standing(run, book) == {}


def test_nothing_of_an_earlier_camp_is_shown(entry):
    """The lists of spring and autumn are full of results; the sheet of the new camp has none."""
    told = entry("show", "--json").json
    assert told["entered"] == {}
    assert len(told["athletes"]) == 28
    assert "double_tuck" not in entry("show").out


def test_after_short_turns_in_a_row_it_reminds(entry):
    short = ("double_tuck", "tried", "--rater", "H. Alder", "--rotation", "short")
    said = [entry("write", "Ayla Aalto", *short).out for _ in range(4)]
    assert "Ask her, and decide." not in said[0]
    assert "Ask her, and decide." in said[-1]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("double_dream", *GOOD[1:]), "double_dream"),
        (("double_tuck", "won", *GOOD[2:]), "won"),
        (GOOD[:4], "without the help she had"),
        ((*GOOD, "--mark", "lift"), "CRITERION=1, 2 or 3"),
        ((*GOOD, "--mark", "lift=4"), "CRITERION=1, 2 or 3"),
        ((*GOOD, "--mark", "charm=2"), "charm"),
        ((*GOOD, "--corrects", "019a0000-0000-7000-8000-000000000009"), "not in the book"),
        (("double_tuck", "did_it", "--rater", " ", "--helped", "nobody_in"), "who saw it"),
    ],
)
def test_what_cannot_stand_is_a_sentence(run, book, entry, words, said):
    answer = entry("write", "Ayla Aalto", *words)
    assert (answer.code, answer.out) == (1, "")
    assert said in answer.err
    assert answer.err.count("\n") == 1
    assert standing(run, book) == {}


def test_an_unknown_child_or_result_is_a_sentence(entry):
    is_one_sentence(entry("write", "Zelda Unheard", *GOOD), "Zelda Unheard")
    is_one_sentence(
        entry("withdraw", "019a0000-0000-7000-8000-000000000009", "--by", "H. Alder"), "no attempt"
    )


def test_a_second_rater_makes_a_pair_and_no_turn(run, book, entry):
    entry("write", "Ayla Aalto", *GOOD, "--turn", "1", "--mark", "form=2")
    second = (
        "double_tuck",
        "did_it",
        "--rater",
        "S. Rowan",
        "--helped",
        "nobody_in",
        "--turn",
        "1",
        "--second",
    )
    assert entry("write", "Ayla Aalto", *second, "--mark", "form=3").code == 0
    told = run("camp", "agreement", "--book", book, "--json").json["here"]
    assert (told["turns"], told["raters"], told["criteria"]["form"]["equal"]) == (
        1,
        ["H. Alder", "S. Rowan"],
        0,
    )
    camp = run("camp", "show", "--book", book, "--json").json
    assert camp["turns"] == 1
