"""The plan of a day, the blank sheet, and typing it in again."""

import io
from datetime import date, time
from uuid import uuid4

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.desk import gym

from loftbook.book.paper import PAPER_CODES, TypedSheet, code_words
from loftbook.book.plan import Group, Plan, Station, lasting, running_order, shown_names
from loftbook.book.typed.marks import MEANINGS, read_mark
from loftbook.desk.blank_sheets import blank_pdf, type_in
from loftbook.desk.plan import camp_plan, in_groups, keep_plan
from loftbook.errors import RangeError, Refused
from loftbook.store import attempts


@pytest.fixture
def desk():
    desk = gym.gym_desk()
    yield desk
    desk.store.close()


def test_how_long_it_takes():
    """By hand: 24 × 3 × 3 = 216 turns of 45 s are 9720 s; 24 × 3 changes of 15 s are 1080 s; together 180 min."""
    took = lasting(Plan(starts=time(9), ends=time(12)), children=24, rungs=3)
    assert (took.minutes, took.available, took.warning) == (180.0, 180.0, "")
    assert lasting(Plan(starts=time(9), ends=time(11, 59)), children=24, rungs=3).warning
    two = Plan(stations=(Station("A"), Station("B")), starts=time(9), ends=time(10, 30))
    assert (lasting(two, children=24, rungs=3).minutes, lasting(two, children=24, rungs=3).warning) == (
        90.0,
        "",
    )


@given(st.lists(st.uuids(), unique=True, max_size=30), st.integers(1, 8), st.randoms(use_true_random=False))
def test_the_running_order_has_everybody_once(children, number, chance):
    mixed = list(children)
    chance.shuffle(mixed)
    groups = tuple(Group(str(n), tuple(mixed[n::number])) for n in range(number))
    order = running_order(Plan(groups=groups[1:]), children)
    assert sorted(order) == sorted(children)
    assert list(order[: sum(len(g.athletes) for g in groups[1:])]) == [
        w for g in groups[1:] for w in g.athletes
    ]


@given(
    st.lists(st.tuples(st.uuids(), st.sampled_from(["Mira", "mira", "Ana"]), st.text(max_size=4)), max_size=8)
)
def test_no_two_names_on_a_sheet_are_the_same(people):
    people = list({who: (who, given, family) for who, given, family in people}.values())
    shown = shown_names(people)
    assert len(set(shown.values())) == len(people)


def test_a_plan_is_kept_and_orders_the_children(desk):
    first, second, third, fourth = gym.CHILDREN
    plan = Plan(
        groups=(Group("Early", (third, first)),), stations=(Station("Bed A", "soft flat mat", "Coach Q"),)
    )
    assert [a.id for a in keep_plan(desk, gym.CAMP, plan).athletes] == [third, first, second, fourth]
    assert camp_plan(desk, gym.CAMP).plan == plan
    assert [len(g.athletes) for g in in_groups(camp_plan(desk, gym.CAMP).athletes, 3)] == [2, 1, 1]


@pytest.mark.parametrize(
    ("plan", "fault"),
    [
        (Plan(turns=0), RangeError),
        (Plan(seconds_a_turn=4), RangeError),
        (Plan(seconds_between=901), RangeError),
        (Plan(stations=(Station(" "),)), Refused),
        (Plan(stations=tuple(Station(str(n)) for n in range(21))), Refused),
        (Plan(starts=time(10), ends=time(9)), Refused),
    ],
)
def test_a_plan_that_nobody_can_follow(desk, plan, fault):
    with pytest.raises(fault):
        keep_plan(desk, gym.CAMP, plan)
    assert not camp_plan(desk, gym.CAMP).made


def test_each_printed_code_means_what_the_typed_lists_take_it_for():
    for code, key in PAPER_CODES:
        assert read_mark(code) == (MEANINGS[key],), code


def test_the_blank_sheet_has_everybody_every_rung_and_every_code(desk):
    text = "".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(blank_pdf(desk, gym.CAMP))).pages
    )
    words = " ".join(text.split())
    for n in range(4):
        assert f"Given{n} Family{n}" in words
    for rung in desk.ladder.test_rungs:
        assert rung.name in words
    for _, meaning in code_words():
        assert meaning in words
    assert "Caution" in words
    assert "Note" in words


def typed(cells, **more):
    told = {
        "number": uuid4(),
        "made": gym.STARTS,
        "day": date(2026, 4, 11),
        "camp": gym.CAMP,
        "rater": "Coach Q",
        "cells": cells,
        "notes": {},
    }
    return TypedSheet(**(told | more))


def inside(desk):
    with desk.store.read() as connection:
        return attempts.attempts_of_camp(connection, gym.CAMP)


def test_a_filled_sheet_is_written_once(desk):
    her, other = gym.CHILDREN[:2]
    cells = {
        (her, gym.RUNGS[0], 1): "x",
        (her, gym.RUNGS[0], 2): "sh",
        (other, gym.RUNGS[1], 1): "abs",
        (other, gym.RUNGS[2], 1): " ",
    }
    sheet = typed(cells, notes={her: "late set"})
    assert [w.status for w in type_in(desk, sheet).written] == ["stored"] * 3
    assert [w.status for w in type_in(desk, sheet).written] == ["duplicate"] * 3
    found = inside(desk)
    assert [(a.outcome.value, a.note) for a in found] == [
        ("did_it", "late set"),
        ("tried", ""),
        ("absent", ""),
    ]
    assert found[0].help.key == "nobody_in"


def test_one_mark_that_cannot_be_read_and_nothing_is_written(desk):
    cells = {(gym.CHILDREN[0], gym.RUNGS[0], 1): "x", (gym.CHILDREN[1], gym.RUNGS[0], 1): "zz"}
    done = type_in(desk, typed(cells))
    assert [(u.athlete, u.typed) for u in done.unread] == [(gym.CHILDREN[1], "zz")]
    assert "expected one of x" in done.unread[0].why
    assert inside(desk) == ()


def test_a_note_beside_no_mark_is_asked_about_and_not_dropped(desk):
    sheet = typed({(gym.CHILDREN[0], gym.RUNGS[0], 1): "x"}, notes={gym.CHILDREN[1]: "went home early"})
    with pytest.raises(Refused, match="a note about Given1 Family1 and no mark"):
        type_in(desk, sheet)
    assert inside(desk) == ()


@pytest.mark.parametrize("more", [{"rater": " "}, {"day": date(2026, 4, 20)}, {"mark": ""}])
def test_a_sheet_without_what_it_needs(desk, more):
    with pytest.raises(Refused):
        type_in(desk, typed({(gym.CHILDREN[0], gym.RUNGS[0], 1): more.pop("mark", "x")}, **more))
    assert inside(desk) == ()
