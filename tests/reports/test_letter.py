"""The letter says what was seen, what changed and what is proposed, of one child and nobody else."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest
from tests.reports.cast import CAMPS, TESTS, invented_camps, letter_facts
from tests.reports.reading import opened, pictures, words

from loftbook.insight.priorities import Priorities
from loftbook.insight.standing import Standing, State
from loftbook.ladder.scales import Help
from loftbook.reports.pdf import write_pdf, write_pdfs
from loftbook.reports.sheets.letter.compose import NextCamp, compose

BOOK = invented_camps()
FACTS = {a.name.full: letter_facts(BOOK, a) for a in BOOK.athletes}
LETTERS = dict(zip(FACTS, write_pdfs([compose(one) for one in FACTS.values()]), strict=True))
TOLD = {name: words(pdf) for name, pdf in LETTERS.items()}
THERE = [name for name, one in FACTS.items() if any(s.state is not State.ABSENT for s in one.seen)]
# Devanagari is set right and told right to a screen reader, but pypdf does not look at that telling.
READABLE = [name for name in THERE if not any("\u0900" <= letter <= "\u097f" for letter in name)]


def test_some_are_there_and_some_are_not():
    assert 12 < len(THERE) < len(FACTS)


@pytest.mark.parametrize("name", READABLE)
def test_who_and_to_whom(name):
    facts, told = FACTS[name], TOLD[name]
    for word in name.split():
        assert word in told
    assert "H. Homecoach" in told
    assert "parent or guardian" in told
    assert "A copy of this letter goes to a parent or guardian" in told
    assert "20 October 2025" in told
    assert "12 to 13 October 2025" in told
    assert "P. Coach, Saltmarsh programme" in told
    assert facts.camp.name in told


@pytest.mark.parametrize("name", READABLE)
def test_what_was_seen_with_which_help_on_what_how_often_and_by_whom(name):
    facts, told = FACTS[name], TOLD[name]
    for one in facts.seen:
        assert BOOK.ladder.rung(one.rung).name in told
        assert one.state.words in told
        if one.state is State.HELPED:
            assert one.help is not None
            assert one.help.words in told
        if not one.state.is_blank:
            assert "trampoline, soft flat mat" in told
            turns = [a for a in facts.attempts if a.rung == one.rung and not a.outcome.is_blank]
            assert f"{sum(a.outcome.value == 'did_it' for a in turns)} of {len(turns)}" in told
    assert "R. Marker" in told


@pytest.mark.parametrize("name", READABLE)
def test_each_change_with_its_reason(name):
    for one in FACTS[name].changes:
        assert one.kind.value in TOLD[name]
        assert one.why[1:] in TOLD[name]


@pytest.mark.parametrize("name", READABLE)
def test_each_priority_with_its_drills(name):
    facts, told = FACTS[name], TOLD[name]
    assert len(facts.priorities.items) <= 3
    for one in facts.priorities.items:
        assert one.title in told
        assert one.drills
        for drill in one.drills:
            for text in (
                drill.name,
                drill.how,
                drill.surface,
                drill.help,
                drill.dose,
                drill.stop,
                drill.evidence,
            ):
                assert text[1:] in told


@pytest.mark.parametrize("name", READABLE)
def test_cautions_stand_before_what_to_train(name):
    told = TOLD[name]
    for caution in BOOK.ladder.cautions:
        assert caution in told
    if FACTS[name].priorities.items:
        assert told.index(BOOK.ladder.cautions[0]) < told.index(f"1. {FACTS[name].priorities.items[0].title}")


@pytest.mark.parametrize("name", FACTS)
def test_no_other_child_is_named(name):
    for other in FACTS:
        family = other.split()[-1]
        assert other == name or family in name or family not in TOLD[name]


@pytest.mark.parametrize("name", FACTS)
@pytest.mark.parametrize(
    "word", ["ready", "cleared", "rank ", "better than", "weight", "talent", "born", " kg"]
)
def test_words_that_no_letter_says(name, word):
    assert word not in TOLD[name].lower().replace("already", "")


def test_heights_and_birth_dates_stay_at_home():
    for name, facts in FACTS.items():
        for height in facts.athlete.heights:
            assert f"{height.metres * 100:.1f}" not in TOLD[name]


@pytest.mark.parametrize("name", READABLE)
def test_a_person_decides(name):
    assert "Decided by" in TOLD[name]
    assert "a qualified person decides" in TOLD[name]


def test_a_letter_is_two_sheets_of_paper_at_most_for_a_common_name():
    common = [name for name in THERE if len(name) < 24]
    assert max(len(opened(LETTERS[name]).pages) for name in common) <= 2


def test_the_picture_tells_every_camp():
    for name in THERE:
        told = pictures(LETTERS[name])
        assert len(told) == 1
        for result in FACTS[name].results:
            assert result.camp.name in told[0]


def test_who_was_not_there_gets_no_homework():
    for name in set(FACTS) - set(THERE):
        told = TOLD[name]
        assert "was not at" in told
        assert "To work on" not in told
        assert "What was seen" not in told
        assert "Decided by" not in told


def one_rung(state: State, **facts):
    """A letter of a first camp with one rung in it."""
    first = FACTS[THERE[0]]
    who = first.athlete
    standing = Standing(who.id, CAMPS[-1].id, TESTS[0], state, **facts)
    result = replace(first.results[-1], standings=(standing,))
    return replace(first, results=(result,), changes=(), attempts=(), priorities=Priorities((), "Nothing."))


@pytest.mark.parametrize(
    "state", [s for s in State if s.is_blank and s not in (State.ABSENT, State.NO_RECORD)]
)
def test_a_blank_is_said_by_its_own_name(state):
    told = words(write_pdf(compose(one_rung(state))))
    assert f"Double back, tuck {state.words}" in told
    assert "0 of 0" not in told


def test_what_was_not_written_down_is_said():
    told = words(write_pdf(compose(one_rung(State.HELPED, turns=1, done=1, help=Help.BELT))))
    assert "take-off not written down, landing not written down" in told
    assert Help.BELT.words in told


def test_without_a_drill_the_coach_in_the_gym_chooses():
    facts = FACTS[THERE[0]]
    bare = replace(facts.priorities.items[0], drills=())
    told = words(write_pdf(compose(replace(facts, priorities=Priorities((bare,), "Chosen.")))))
    assert "The ladder has no drill for this yet; the coach in the gym chooses." in told


def test_a_rung_that_the_ladder_no_longer_has_keeps_its_key():
    facts = one_rung(State.ALONE, turns=2, done=1)
    gone = replace(facts.results[0].standings[0], rung="swing_time")
    told = words(write_pdf(compose(replace(facts, results=(replace(facts.results[0], standings=(gone,)),)))))
    assert "swing time" in told
    assert "1 of 2" in told


@pytest.mark.parametrize(
    ("camp", "told"),
    [
        (None, "The day of the next camp is not fixed yet."),
        (NextCamp(), "The day of the next camp is not fixed yet."),
        (NextCamp(date(2026, 4, 11)), "11 April 2026."),
        (NextCamp(date(2026, 4, 11), date(2026, 4, 12), "Bring shoes."), "11 to 12 April 2026. Bring shoes."),
    ],
)
def test_the_next_camp(camp, told):
    assert told in words(write_pdf(compose(replace(one_rung(State.ALONE), next_camp=camp))))


def test_without_a_club_it_goes_to_the_home_coach():
    facts = one_rung(State.ALONE)
    lone = replace(facts.athlete, clubs=())
    assert "To the home coach" in words(write_pdf(compose(replace(facts, athlete=lone, sender=""))))


def test_real_data_is_not_called_invented():
    facts = one_rung(State.ALONE)
    real = replace(
        facts,
        athlete=replace(facts.athlete, invented=False, id=UUID(int=9)),
        results=(replace(facts.results[0], camp=replace(facts.camp, invented=False)),),
    )
    assert "nvented" not in words(write_pdf(compose(real)))
    assert "Invented data" in TOLD[THERE[0]]
