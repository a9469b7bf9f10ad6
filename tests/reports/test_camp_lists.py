"""The lists of a camp: everybody once on each rung, totals that add up, patterns and changes in words."""

from dataclasses import replace
from uuid import UUID

import pytest
from tests.reports.cast import CAMPS, TESTS, camp_list_facts, invented_camps
from tests.reports.reading import opened, pictures, words

from loftbook.book.people import ClubStay, Name
from loftbook.insight.change import ChangeKind
from loftbook.insight.standing import State
from loftbook.reports.page import Heading, Page, Together
from loftbook.reports.pdf import write_pdf
from loftbook.reports.sheets.camp_lists.compose import compose
from loftbook.reports.sheets.wording import names_of
from loftbook.reports.table import Table

BOOK = invented_camps()
FACTS = camp_list_facts(BOOK)
PAGE = compose(FACTS)
PDF = write_pdf(PAGE)
TOLD = words(PDF)


def tables(page: Page):
    """Every table with the heading it stands under."""
    head = ""
    for block in page.blocks:
        for inner in block.blocks if isinstance(block, Together) else (block,):
            if isinstance(inner, Heading):
                head = inner.text
            if isinstance(inner, Table):
                yield head, inner


def test_everybody_stands_once_on_each_rung():
    names = sorted(athlete.name.full for athlete in FACTS.athletes)
    for key in TESTS:
        table = next(found for head, found in tables(PAGE) if head == BOOK.ladder.rung(key).name)
        assert sorted(name for row in table.rows for name in row[-1].items) == names
        assert sum(int(row[1].text) for row in table.rows) == len(names)


def test_the_counts_add_up():
    table = next(found for head, found in tables(PAGE) if head == "How many")
    assert len(table.rows) == len(TESTS)
    for row in table.rows:
        alone, helped, tried, showed, blank = (int(cell.text) for cell in row[1:6])
        assert alone + helped + tried == showed
        assert showed + blank == len(FACTS.athletes)


def test_the_shares_carry_their_interval():
    for one in FACTS.inventory.rungs:
        assert one.share.words in TOLD
        assert f"{len(one.alone)} alone of {one.shown} who showed it" in TOLD


def test_each_way_of_help_and_each_blank_has_its_own_line():
    for one in FACTS.inventory.rungs:
        table = next(found for head, found in tables(PAGE) if head == BOOK.ladder.rung(one.rung).name)
        told = [(row[0].mark, row[0].under) for row in table.rows]
        assert [under for mark, under in told if mark is State.HELPED] == [part.words for part in one.helped]
        assert {mark for mark, _ in told if mark and mark.is_blank} == {
            s for s, who in one.blanks.items() if who
        }


def test_each_pattern_that_somebody_shows_is_there_and_no_other():
    table = next(found for head, found in tables(PAGE) if head.startswith("Patterns"))
    assert len(table.rows) == sum(bool(one.athletes) for one in FACTS.inventory.patterns)
    assert all(int(row[-2].text) for row in table.rows)
    assert sum(int(row[-2].text) for row in table.rows) == len(FACTS.athletes)


def test_each_exception_is_named():
    assert FACTS.inventory.reversals
    names = names_of(FACTS.athletes)
    for one in FACTS.inventory.reversals:
        later, earlier = (BOOK.ladder.rung(key).short for key in (one.later, one.earlier))
        assert f"{names[one.athlete]}: {later} alone, {earlier} shown and not alone." in TOLD


@pytest.mark.parametrize("kind", [ChangeKind.NEW, ChangeKind.BACK_AGAIN, ChangeKind.CANNOT_TELL])
def test_changes_with_their_reason(kind):
    ones = [one for one in FACTS.changes if one.kind is kind and one.now.state is not State.ABSENT]
    assert ones
    for one in ones:
        assert one.why[1:] in TOLD


def test_whoever_was_away_is_named_once_among_the_changes():
    away = TOLD[TOLD.index("Not at this camp, so nothing is said of them") :]
    gone = {one.athlete for one in FACTS.changes if one.now.state is State.ABSENT}
    assert gone
    names = names_of(FACTS.athletes)
    readable = [
        names[who] for who in gone if not any("\u0590" <= letter <= "\u097f" for letter in names[who])
    ]
    assert all(name in away for name in readable)


def test_expected_and_seen():
    for one in FACTS.expected:
        assert one.sentence in TOLD
        assert f"{one.low} to {one.high} expected" in pictures(PDF)[-1]


def test_nothing_is_expected_at_a_first_camp():
    told = words(write_pdf(compose(camp_list_facts(BOOK, CAMPS[0]))))
    assert "Whether that is many or few cannot be said" in told
    assert len(pictures(write_pdf(compose(camp_list_facts(BOOK, CAMPS[0]))))) == 1


def test_it_says_for_whom_it_is_on_every_sheet():
    assert "it goes to no parent, no club and no wall" in TOLD
    assert all("Own coaches only" in sheet.extract_text() for sheet in opened(PDF).pages)


@pytest.mark.parametrize("word", ["ready", "cleared", "best", "worst", "weight", "talent"])
def test_words_that_no_list_says(word):
    assert word not in TOLD.lower().split()


def test_two_of_one_name_are_told_apart():
    first, second, third, fourth = BOOK.athletes[8:12]
    name = Name("Ada", "Brook")
    same = [replace(one, names=(name,)) for one in (first, second, third)]
    told = names_of([*same, fourth])
    assert told[first.id] == "Ada Brook (Northfield GC) no. 1"
    assert told[second.id] == "Ada Brook (Harbour Gymnastics)"
    assert told[third.id] == "Ada Brook (Northfield GC) no. 3"
    assert told[fourth.id] == fourth.name.full
    lone = replace(first, id=UUID(int=77), names=(name,), clubs=())
    assert names_of([lone, replace(second, names=(name,), clubs=(ClubStay("Old Mill"),))]) == {
        lone.id: "Ada Brook",
        second.id: "Ada Brook (Old Mill)",
    }
