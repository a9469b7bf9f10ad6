"""Difficulty by dated editions; the published values themselves are in loftbook.checks.ladder."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from loftbook.errors import LadderError
from loftbook.ladder.difficulty import (
    DoubleMiniValue,
    difficulty,
    double_mini_difficulty,
    read_difficulty,
    shown_difficulties,
    shown_difficulty,
)
from loftbook.ladder.notation import read_notation
from loftbook.ladder.rungs import Policy
from loftbook.ladder.scales import Direction, Help, Shape, TakeOff
from loftbook.ladder.shipped import shipped_difficulty, shipped_ladder

TABLES = shipped_difficulty()
TO_2024 = TABLES.trampoline[-1]


def back(typed, shape=None):
    return read_notation(typed, Direction.BACKWARD, shape)


def test_it_works():
    # FIG trampoline 2005, difficulty table, read second hand: double back tuck 1.0
    assert difficulty(back("8 – – o"), TO_2024) == Decimal("1.0")


@pytest.mark.parametrize("shape", [Shape.OPEN_TUCK, Shape.PUCK])
def test_open_tuck_and_puck_count_as_tuck(shape):
    # FIG trampoline 2005, read second hand: tuck and puck add nothing; an open tuck is a tuck up to 135°
    assert difficulty(back("8 2 – o", shape), TO_2024) == Decimal("1.2")


def test_what_was_not_read_has_no_value():
    assert difficulty(back("12 – – – o"), TO_2024) is None
    assert double_mini_difficulty(back("4 – o"), TABLES.double_mini) is None


def test_no_edition_after_2024_is_shipped():
    # the trade facts: rebuilt for 2025-28, and no value of that edition was read
    assert max(one.ends for one in (*TABLES.trampoline, *TABLES.double_mini)) == date(2024, 12, 31)


def switched_on():
    ladder = shipped_ladder()
    return replace(ladder, policy=replace(ladder.policy, show_difficulty=True))


@pytest.mark.parametrize(
    ("rung", "points"),
    # FIG trampoline 2005, difficulty table, read second hand; an open tuck is a tuck
    [
        ("double_tuck", "1.0"),
        ("double_pike", "1.2"),
        ("double_open_tuck", "1.0"),
        ("double_straight", "1.2"),
        ("half_out_tuck", "1.1"),
        ("half_out_pike", "1.3"),
        ("rudi_out_tuck", "1.3"),
        ("full_in", "1.2"),
        ("full_out", "1.2"),
        ("half_in_half_out", "1.2"),
        ("barani", "0.6"),
    ],
)
def test_what_stands_beside_a_rung_says_its_scale_and_its_end(rung, points):
    shown = shown_difficulties(switched_on(), TABLES.trampoline)[rung]
    assert (shown.points, shown.ends.year) == (Decimal(points), 2024)
    assert shown.words == f"difficulty {points} (trampoline, to 2024)"


def test_a_rung_in_the_belt_or_off_another_apparatus_has_none():
    # common practice, no source: a skill that somebody holds has no competition value
    on = switched_on()
    shown = shown_difficulties(on, TABLES.trampoline)
    assert {"double_tuck_belt", "full_in_belt", "full_out_belt"} <= {rung.key for rung in on.rungs}
    for rung in on.rungs:
        if rung.standard.help is not Help.NOBODY_IN or rung.standard.take_offs != (TakeOff.TRAMPOLINE,):
            assert rung.key not in shown
    assert not any(rung.belt for rung in on.rungs if rung.key in shown)


def test_the_table_that_ends_last_is_taken_wherever_it_stands():
    both = shown_difficulties(switched_on(), reversed(TABLES.trampoline))
    assert both == shown_difficulties(switched_on(), TABLES.trampoline)
    assert {one.edition for one in both.values()} == {TO_2024.edition}
    assert shown_difficulties(switched_on(), ()) == {}
    assert shown_difficulties(shipped_ladder(), TABLES.trampoline) == {}


def test_it_is_off_unless_switched_on():
    ladder = shipped_ladder()
    assert ladder.policy.show_difficulty is False
    on = Policy(show_difficulty=True)
    for rung in ladder.rungs:
        assert shown_difficulty(rung, ladder.policy, TO_2024) is None
    assert shown_difficulty(ladder.rung("double_pike"), on, TO_2024) == Decimal("1.2")


def test_it_is_never_shown_beside_another_apparatus():
    ladder, on = shipped_ladder(), Policy(show_difficulty=True)
    for group in ("double_mini", "tumble_track", "floor"):
        for rung in (rung for rung in ladder.rungs if rung.group == group):
            assert shown_difficulty(rung, on, TO_2024) is None, rung.key
    assert shown_difficulty(ladder.rung("straight_jumps"), on, TO_2024) is None


def test_a_double_mini_value_mixes_with_nothing():
    value = double_mini_difficulty(back("8 – – o"), TABLES.double_mini)
    # double-mini rule of 2005, read second hand: 2 × (2 × 0.5)
    assert value == DoubleMiniValue(Decimal("2.0"), "double mini 2005")
    for trampoline in (Decimal("2.0"), 2.0, 2):
        assert value != trampoline
        with pytest.raises(TypeError):
            value + trampoline
        with pytest.raises(TypeError):
            trampoline + value
        with pytest.raises(TypeError):
            value < trampoline  # noqa: B015
        with pytest.raises(TypeError):
            sum([trampoline, value])
    with pytest.raises(TypeError):
        float(value)
    assert "double-mini scale" in value.words


def test_the_shipped_ladder_has_a_value_for_each_trampoline_double():
    on = Policy(show_difficulty=True)
    for rung in shipped_ladder().rungs:
        if (
            rung.skill
            and rung.skill.quarters == 8
            and rung.group in ("double_back", "forward", "twist_alone")
            and not rung.belt
            and rung.standard.help is Help.NOBODY_IN
        ):
            assert shown_difficulty(rung, on, TO_2024) is not None, rung.key


def test_more_of_anything_is_never_worth_less():
    plain = back("8 – – o")
    value = difficulty(plain, TO_2024)
    assert value is not None
    for more in (back("8 – 1 o"), back("8 1 – o"), back("8 – – <"), back("8 – – /"), back("9 – – o")):
        other = difficulty(more, TO_2024)
        assert other is not None
        assert other > value
    assert difficulty(replace(plain, direction=Direction.FORWARD), TO_2024) == value


SOUND = """[[trampoline]]
edition = "e"
source = "s"
starts = 2005-01-01
ends = 2024-12-31
most_quarters = 11
quarter = "0.1"
somersault = "0.1"
half_twist = "0.1"
open_single = "0.1"
open_single_twisting = "0.0"
open_multiple = "0.2"
"""


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('quarter = "0.1"', 'quarter = "a tenth"', 7),
        ('quarter = "0.1"', "quarter = 0.1", 7),
        ('quarter = "0.1"', 'quarter = "-0.1"', 7),
        ('quarter = "0.1"', 'quarter = "NaN"', 7),
        ("starts = 2005-01-01", 'starts = "2005"', 4),
        ("ends = 2024-12-31", "ends = 2024-12-31T10:00:00", 5),
        ("most_quarters = 11", "most_quarters = 11.5", 6),
        ('half_twist = "0.1"', 'twist = "0.1"', 9),
        ('source = "s"\n', "", 1),
    ],
)
def test_a_mistake_in_a_table_names_its_line(old, new, line):
    assert len(read_difficulty(SOUND).trampoline) == 1
    with pytest.raises(LadderError) as caught:
        read_difficulty(SOUND.replace(old, new, 1))
    assert caught.value.line == line


def test_no_toml_is_refused_in_words():
    with pytest.raises(LadderError, match="not TOML"):
        read_difficulty("[[")
