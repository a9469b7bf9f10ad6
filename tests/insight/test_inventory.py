"""Everybody in exactly one place on each rung; patterns, reversals, counts."""

from collections import Counter
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint
from tests.insight.cast import LADDER, OPEN, PIKE, TUCK, camp, girl, stood

from loftbook.insight.inventory import BLANKS, Mark, inventory
from loftbook.insight.standing import State
from loftbook.ladder.scales import Help

CAMP = camp(1)
A, H, T, N = State.ALONE, State.HELPED, State.TRIED, State.NOT_TRIED


def take(*standings, squad=6):
    return inventory(CAMP, LADDER, athletes=[girl(n) for n in range(1, squad + 1)], standings=standings)


def on(found, rung=TUCK):
    one = found.rung(rung)
    assert one is not None
    return one


def ids(*numbers):
    return tuple(UUID(int=n) for n in numbers)


def test_a_whole_rung():
    found = on(
        take(
            stood(1, 1, TUCK, A),
            stood(2, 1, TUCK, H),
            stood(3, 1, TUCK, T, why_not_alone="short"),
            stood(4, 1, TUCK, State.STOPPED),
            stood(5, 1, TUCK, State.ABSENT),
        )
    )
    assert found.alone == ids(1)
    assert [(one.help, one.words, one.athletes) for one in found.helped] == [
        (Help.BELT_LIGHT, "belt, light", ids(2))
    ]
    assert [(one.how, one.athletes) for one in found.tried] == [("short", ids(3))]
    assert found.blanks[State.STOPPED] == ids(4)
    assert found.blanks[State.ABSENT] == ids(5)
    assert found.blanks[State.NO_RECORD] == ids(6)
    assert set(found.blanks) == set(BLANKS)
    assert (found.shown, found.not_shown) == (3, 3)


def test_the_share_is_among_those_who_showed_it():
    """Second engine: statsmodels, 1 of 3, the three blanks not counted."""
    found = on(take(stood(1, 1, TUCK, A), stood(2, 1, TUCK, H), stood(3, 1, TUCK, T), stood(4, 1, TUCK, N)))
    low, high = proportion_confint(1, 3, method="wilson")
    assert (found.share.low, found.share.high) == pytest.approx((low, high), abs=1e-12)
    assert found.sentence == (
        "1 of the 3 who showed it did it alone (95 % interval 6 to 79 %); 3 did not show it and are not counted."
    )


def test_nobody_showed_it():
    found = on(take(stood(1, 1, TUCK, N)))
    assert found.sentence == "Nobody showed it (6 blank)."
    assert (found.share.low, found.share.high) == (0, 1)


def test_help_goes_from_nobody_in_to_a_full_belt_and_unwritten_last():
    helps = [Help.BELT_FULL, None, Help.NOBODY_IN, Help.HAND, Help.STANDING_IN]
    why = {Help.NOBODY_IN: "onto loose pit", None: "help was not written down"}
    rows = [
        stood(n, 1, TUCK, H, help=used, why_not_alone=why.get(used, ""))
        for n, used in enumerate(helps, start=1)
    ]
    assert [one.words for one in on(take(*rows)).helped] == [
        "nobody in, onto loose pit",
        "coach standing in",
        "by hand (how much was not written)",
        "belt, full",
        "help was not written down",
    ]


def test_tries_go_short_on_over_unsaid_and_then_the_rest():
    hows = ["short, then stopped", "", "over", "short", "on"]
    rows = [stood(n, 1, TUCK, T, why_not_alone=how) for n, how in enumerate(hows, start=1)]
    assert [one.how for one in on(take(*rows)).tried] == ["short", "on", "over", "", "short, then stopped"]


def test_only_test_rungs_and_what_was_written():
    assert [one.rung for one in take().rungs] == [TUCK, PIKE, OPEN]
    found = take(stood(1, 1, "barani", A), stood(1, 1, "a_rung_of_an_old_ladder", A))
    assert [one.rung for one in found.rungs] == [TUCK, PIKE, OPEN, "barani", "a_rung_of_an_old_ladder"]


def test_somebody_who_is_not_on_the_list_is_not_lost():
    found = take(stood(99, 1, TUCK, A), squad=2)
    assert found.squad == ids(1, 2, 99)
    assert on(found).alone == ids(99)


def test_another_camp_is_passed_over():
    assert on(take(stood(1, 2, TUCK, A))).shown == 0


def marks(found):
    return {pattern.text: (len(pattern.athletes), pattern.reversal) for pattern in found.patterns}


def test_the_pattern_table_is_whole():
    """All eight patterns of three rungs are there, met or not, then those with blanks."""
    rows = [stood(1, 1, TUCK, A), stood(1, 1, PIKE, A), stood(1, 1, OPEN, H)]
    rows += [stood(2, 1, TUCK, T), stood(2, 1, PIKE, A), stood(2, 1, OPEN, N)]
    assert list(marks(take(*rows, squad=3)).items()) == [
        ("● ● ●", (0, False)),
        ("● ● ○", (1, False)),
        ("● ○ ●", (0, True)),
        ("● ○ ○", (0, False)),
        ("○ ● ●", (0, True)),
        ("○ ● ○", (0, True)),
        ("○ ○ ●", (0, True)),
        ("○ ○ ○", (0, False)),
        ("○ ● ·", (1, True)),
        ("· · ·", (1, False)),
    ]


def test_reversals_are_listed_by_athlete():
    rows = [stood(1, 1, TUCK, T), stood(1, 1, PIKE, H), stood(1, 1, OPEN, A)]
    found = take(*rows)
    assert [(r.athlete, r.later, r.earlier) for r in found.reversals] == [
        (UUID(int=1), OPEN, TUCK),
        (UUID(int=1), OPEN, PIKE),
    ]
    assert found.reversals[1].words == "Open tuck alone, Double pike not alone (belt, light)"


@pytest.mark.parametrize("blank", BLANKS)
def test_a_blank_is_no_reversal(blank):
    """Not tried is not "no"."""
    found = take(stood(1, 1, TUCK, blank), stood(1, 1, PIKE, A))
    assert found.reversals == ()
    assert marks(found)["· ● ·"] == (1, False)


def test_a_ladder_without_test_rungs():
    from dataclasses import replace

    bare = replace(LADDER, rungs=tuple(replace(one, tested=False) for one in LADDER.rungs))
    found = inventory(CAMP, bare, athletes=[girl(1)], standings=[stood(1, 1, "barani", A)])
    assert (found.patterns, found.reversals, [one.rung for one in found.rungs]) == ((), (), ["barani"])


STATES = st.sampled_from(list(State))
SQUADS = st.lists(st.tuples(*[st.none() | STATES] * 3), max_size=15)


def rows_of(squad):
    return [
        stood(n, 1, rung, state)
        for n, states in enumerate(squad, start=1)
        for rung, state in zip((TUCK, PIKE, OPEN), states, strict=True)
        if state is not None
    ]


@given(SQUADS)
def test_everybody_stands_in_exactly_one_place(squad):
    """Law: an inventory divides the squad, on every rung and in the patterns."""
    found = take(*rows_of(squad), squad=len(squad))
    for one in found.rungs:
        places = [one.alone, *(h.athletes for h in one.helped), *(t.athletes for t in one.tried)]
        placed = Counter(who for place in [*places, *one.blanks.values()] for who in place)
        assert placed == Counter(found.squad)
        assert one.shown + one.not_shown == len(squad)
    assert Counter(who for pattern in found.patterns for who in pattern.athletes) == Counter(found.squad)


@given(SQUADS)
def test_reversals_and_patterns_agree(squad):
    found = take(*rows_of(squad), squad=len(squad))
    by_pattern = {who for pattern in found.patterns if pattern.reversal for who in pattern.athletes}
    assert {reversal.athlete for reversal in found.reversals} == by_pattern
    for pattern in found.patterns:
        for who in pattern.athletes:
            states = squad[who.int - 1]
            for mark, state in zip(pattern.marks, states, strict=True):
                shown = state in (A, H, T)
                assert mark is (Mark.ALONE if state is A else Mark.NOT_ALONE if shown else Mark.NOT_SHOWN)


def test_a_rung_that_asks_for_a_belt_is_never_called_alone():
    found = on(take(stood(1, 1, "full_in_belt", A, help=Help.BELT_SLACK)), "full_in_belt")
    assert found.sentence.startswith("1 of the 1 who showed it did it as it asks (belt, slack, or less help)")
