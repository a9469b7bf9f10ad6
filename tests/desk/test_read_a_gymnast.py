"""A gymnast's page: her rungs over her camps, the turns behind them, and what she has never met."""

from datetime import date
from uuid import UUID

import pytest
from tests.desk.cast import PIKE, TUCK, a_camp, blank, bring, child, payload, write

from loftbook.book.people import Height, TwistNote
from loftbook.cli.words import athlete_lines, squad_lines
from loftbook.desk.answers import athlete_answer, squad_answer
from loftbook.errors import UnknownThing
from loftbook.insight.change import ChangeKind
from loftbook.insight.families import Family
from loftbook.insight.standing import State
from loftbook.ladder.scales import TwistSide


def test_it_works(made):
    write(
        made.desk,
        payload(made.spring, made.mira, help="hand_light"),
        payload(made.autumn, made.mira),
        payload(made.today, made.mira, PIKE, outcome="tried", rotation="short"),
    )
    answer = athlete_answer(made.desk, made.mira)
    assert [column.camp for column in answer.columns] == [made.spring, made.autumn, made.today]
    assert [c.standings[TUCK].state if TUCK in c.standings else None for c in answer.columns] == [
        State.HELPED,
        State.ALONE,
        None,
    ]
    assert answer.first_ever[TUCK].on == made.autumn.starts
    assert PIKE not in answer.first_ever
    assert {c.rung: c.kind for c in answer.changes}[PIKE] is ChangeKind.STILL_LEARNING
    assert [rung.key for rung in answer.rungs][:2] == [TUCK, PIKE]


def test_turns_behind_a_standing_are_hers_and_of_that_camp(made):
    write(
        made.desk,
        payload(made.spring, made.mira),
        payload(made.today, made.mira),
        payload(made.today, made.noa),
    )
    columns = athlete_answer(made.desk, made.mira).columns
    for column in columns:
        for turns in column.attempts.values():
            assert {(t.athlete, t.camp) for t in turns} == {(made.mira, column.camp.id)}
    assert sum(len(t) for c in columns for t in c.attempts.values()) == 2


def test_up_to_a_camp_nothing_of_later_ones_is_told(made):
    write(made.desk, payload(made.spring, made.mira, help="hand_light"), payload(made.today, made.mira))
    then = athlete_answer(made.desk, made.mira, until=made.spring.id)
    assert [column.camp for column in then.columns] == [made.spring]
    assert then.first_ever == {}


def test_of_two_camps_that_begin_on_one_day_it_ends_with_the_one_that_was_asked_for(made):
    """Two halls, one weekend: the letter about one must not be about the other."""
    other = a_camp(made.desk, "Other hall", made.today.starts, bed="bed Z")
    write(made.desk, payload(made.today, made.mira), payload(other, made.mira, help="belt_light"))
    for camp in (made.today, other):
        assert athlete_answer(made.desk, made.mira, until=camp.id).columns[-1].camp == camp


def test_families_she_has_never_met_are_told_with_her_age(made):
    write(made.desk, payload(made.today, made.mira))
    (row,) = athlete_answer(made.desk, made.mira).never_shown
    assert Family.BACKWARD_DOUBLE in row.met
    assert Family.FORWARD_TWIST in row.never
    assert row.age == 11.9
    assert row.policy == ""  # off by default


def test_two_sides_are_told_with_the_skills_that_disagree(made):
    notes = (TwistNote(TwistSide.LEFT), TwistNote(TwistSide.RIGHT, "barani"))
    (who,) = bring(made.desk, child("Zora", "Turns", twists=notes))
    twist = athlete_answer(made.desk, who).twist
    assert twist.disagree
    assert "barani" in twist.sentence.casefold()


def test_heights_stay_in_the_order_of_their_days(made):
    heights = (Height(1.42, date(2025, 10, 18)), Height(1.38, date(2025, 4, 12)))
    (who,) = bring(made.desk, child("Zora", "Grows", heights=heights))
    assert [h.metres for h in athlete_answer(made.desk, who).athlete.heights] == [1.38, 1.42]


def test_one_who_was_away_keeps_her_column(made):
    write(made.desk, blank(made.today, made.mira, outcome="absent"))
    states = {s.state for s in athlete_answer(made.desk, made.mira).columns[-1].standings.values()}
    assert states == {State.ABSENT}


def test_one_without_any_camp_has_a_page(made):
    (who,) = bring(made.desk, child("Zora", "New", born=None))
    answer = athlete_answer(made.desk, who)
    assert (answer.columns, answer.changes, answer.age, answer.first_ever) == ((), (), None, {})


def test_an_unknown_id_is_a_sentence(made):
    with pytest.raises(UnknownThing, match="squad list"):
        athlete_answer(made.desk, UUID(int=3))


def test_the_command_line_says_nothing_twice(made):
    write(
        made.desk,
        blank(made.today, made.mira),
        payload(made.today, made.mira, PIKE, help="hand"),
        blank(made.today, made.noa, outcome="absent"),
    )
    told = "\n".join(
        line for who in (made.mira, made.noa) for line in athlete_lines(athlete_answer(made.desk, who))
    )
    assert "not tried (" not in told
    assert "absent (" not in told
    assert "with help, by hand (how much was not written)" in told


def test_the_squad_on_the_command_line_names_her_last_camp(made):
    write(made.desk, payload(made.autumn, made.mira))
    (line,) = [line for line in squad_lines(squad_answer(made.desk)) if "Mira Moss" in line]
    assert "Autumn camp 2025" in line
