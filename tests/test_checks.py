"""Every outside check holds, the page that lists them is true, and a check can fail."""

from pathlib import Path

import pytest
from tests.conftest import ROOT, apart, step_aside

from loftbook.checks import (
    Check,
    Finding,
    NotHere,
    as_markdown,
    as_rows,
    check,
    outcome_of,
    registered,
    run_all,
)
from loftbook.checks.places import authority, needed, real_flights
from loftbook.errors import LoftbookError, UnknownThing


@pytest.mark.parametrize("one", registered(), ids=lambda one: f"{one.subject}: {one.name}")
def test_what_the_outside_says(one):
    outcome = apart(outcome_of)(one)
    if outcome.holds is None:
        step_aside(outcome.reason)
    assert outcome.holds, (
        f"expected {one.expected} within {one.tolerance}; got {outcome.got}. {outcome.reason}"
    )


def test_the_page_of_checks_is_the_generated_one():
    page = ROOT / "docs" / "checks.md"
    assert page.read_text(encoding="utf-8") == as_markdown(registered()), "Run `python3 dev.py docs`."


def made(run, **changes):
    told = {"name": "n", "kind": "law", "source": "s", "expected": "1", "tolerance": "0"}
    return check(**told | changes)(run)


def test_a_check_that_does_not_hold_says_what_it_got():
    outcome = outcome_of(made(lambda: Finding(got="2", holds=False)))
    assert (outcome.verdict, outcome.got) == ("does not hold", "2")


def test_a_check_that_breaks_does_not_hold():
    outcome = outcome_of(made(lambda: 1 / 0))
    assert outcome.verdict == "does not hold"
    assert "ZeroDivisionError" in outcome.reason


def test_a_missing_program_or_folder_means_not_run(monkeypatch):
    monkeypatch.setenv("LOFTBOOK_REAL_FLIGHTS", "/no/such/folder")
    for lost in (lambda: needed("no_such_engine"), real_flights):
        outcome = outcome_of(made(lost))
        assert outcome.verdict == "not run"
        assert "What to do" in outcome.reason
        assert as_rows([outcome])[0]["verdict"] == "not run"


def test_the_subject_is_the_module():
    assert made(lambda: Finding("1", True)).subject == "test checks"


@pytest.mark.parametrize("wrong", [{"kind": "rumour"}, {"source": " "}, {"tolerance": ""}])
def test_a_check_without_kind_or_source_is_refused(wrong):
    with pytest.raises(LoftbookError):
        made(lambda: Finding("1", True), **wrong)


def test_only_some():
    assert [outcome.check.subject for outcome in run_all("units")] == ["units"]
    with pytest.raises(UnknownThing, match="no check about 'weather'"):
        run_all("weather")


def test_a_source_with_a_bar_stays_in_its_cell():
    one = Check("n", "law", "s", "a|b\nc", "1", "0", lambda: Finding("1", True))
    assert "| n | law | a\\|b c | 1 | 0 |" in as_markdown([one])


def test_checks_are_told_apart_and_their_order_does_not_depend_on_the_folder():
    """Directory order differs between machines; the page must not."""
    assert as_markdown(registered()) == as_markdown(tuple(reversed(registered())))


def test_not_here_is_one_of_ours():
    assert issubclass(NotHere, LoftbookError)


def test_the_filed_digits_of_a_radian():
    """Machin: pi/4 = 4 arctan(1/5) - arctan(1/239), in whole numbers of 10**-40."""
    unit = 10**40

    def arctan_inverse(x):
        total, term, n = 0, unit // x, 0
        while term:
            total += (-term if n % 2 else term) // (2 * n + 1)
            term //= x * x
            n += 1
        return total

    pi = 4 * (4 * arctan_inverse(5) - arctan_inverse(239))
    digits = 180 * unit * 10**18 // pi
    assert authority("angles")["degrees_in_a_radian"]["digits"].replace(".", "") == str(digits)


def test_authorities_name_their_source():
    """A table without its source is a rumour."""
    folder = Path(ROOT / "src/loftbook/checks/authorities")
    silent = [file.name for file in folder.glob("*.toml") if "source" not in file.read_text("utf-8").lower()]
    assert silent == []


def test_the_command_tells_tolerance_and_source_beside_what_it_got():
    from loftbook.cli.words import check_lines

    told = check_lines(outcome_of(made(lambda: Finding(got="1", holds=True), tolerance="a hair, by eye")))
    assert told.splitlines()[2].strip() == "close enough: a hair, by eye"
    assert told.splitlines()[3].strip() == "law: s"
