"""From the turns of one girl at one camp on one rung to one word."""

import itertools

import pytest
from tests.insight.cast import LADDER, TUCK, attempt

from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.insight.standing import State, camp_standings, meets_standard, standing_of
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff

RUNG = LADDER.rung(TUCK)
DID, TRIED = Outcome.DID_IT, Outcome.TRIED
BLANKS = [one for one in Outcome if one.is_blank]


def stand(*turns, **facts):
    return standing_of(turns, RUNG, **facts)


def test_one_good_turn_is_enough():
    one = stand(attempt(1, TRIED, rotation=Rotation.SHORT), attempt(2, DID), attempt(3, TRIED))
    assert (one.state, one.turns, one.done, one.help) == (State.ALONE, 3, 1, Help.NOBODY_IN)
    assert one.first_at == attempt(2, DID).at
    assert one.why_not_alone == ""


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"help": None}, "help was not written down"),
        ({"help": Help.STANDING_IN}, "coach standing in"),
        ({"help": Help.BELT}, "belt (how much was not written)"),
        ({"take_off": TakeOff.FLOOR}, "from floor"),
        ({"take_off": None}, "from a take-off not written down"),
        ({"landing": Landing.LOOSE_PIT}, "onto loose pit"),
        ({"landing": None}, "onto a landing not written down"),
    ],
)
def test_done_but_not_as_the_standard_asks(facts, why):
    one = stand(attempt(1, DID, **facts))
    assert (one.state, one.why_not_alone, one.done, one.turns) == (State.HELPED, why, 0, 1)
    assert one.first_at is None


def test_a_standard_without_surfaces_takes_any():
    from dataclasses import replace

    free = replace(RUNG, standard=replace(RUNG.standard, take_offs=(), landings=()))
    assert meets_standard(attempt(1, DID, take_off=None, landing=None), free) == (True, "")


def test_the_least_help_is_told():
    turns = [
        attempt(n, DID, help=used) for n, used in enumerate([Help.BELT_FULL, Help.HAND_LIGHT, Help.BELT])
    ]
    assert all(stand(*order).help is Help.HAND_LIGHT for order in itertools.permutations(turns))


@pytest.mark.parametrize("blank", BLANKS)
def test_each_blank_stays_itself(blank):
    one = stand(attempt(1, blank, help=None))
    assert (one.state.value, one.turns, one.help) == (blank.value, 0, None)


@pytest.mark.parametrize("blank", BLANKS)
def test_a_blank_never_hides_a_turn(blank):
    for turns in ([attempt(1, blank), attempt(2, DID)], [attempt(1, DID), attempt(2, blank)]):
        assert stand(*turns).state is State.ALONE
    assert stand(attempt(1, TRIED), attempt(2, blank)).state is State.TRIED


def test_of_several_blanks_the_last_stands():
    assert stand(attempt(1, Outcome.NOT_TRIED), attempt(2, Outcome.STOPPED)).state is State.STOPPED


@pytest.mark.parametrize(
    ("turns", "how"),
    [
        ([attempt(1, TRIED)], ""),
        ([attempt(1, TRIED, rotation=Rotation.OVER)], "over"),
        ([attempt(1, TRIED, rotation=Rotation.OVER), attempt(2, TRIED, rotation=Rotation.SHORT)], "short"),
        ([attempt(1, TRIED, rotation=Rotation.SHORT), attempt(2, Outcome.STOPPED)], "short, then stopped"),
        ([attempt(1, TRIED), attempt(2, Outcome.DECLINED)], "then declined today"),
        ([attempt(1, Outcome.DECLINED), attempt(2, TRIED)], ""),
    ],
)
def test_how_a_try_went(turns, how):
    assert (stand(*turns).state, stand(*turns).why_not_alone) == (State.TRIED, how)


def test_only_the_turn_that_counts_is_told():
    """First turn short, second one done: by the policy "first" she tried, and it was short."""
    turns = attempt(1, TRIED, rotation=Rotation.SHORT, take_off=TakeOff.TRAMPOLINE), attempt(2, DID)
    first = stand(*turns, counting="first")
    assert (first.state, first.why_not_alone, first.done, first.turns) == (State.TRIED, "short", 0, 2)
    assert stand(*turns, counting="last").state is State.ALONE
    assert stand(*reversed(turns), counting="first").state is State.TRIED  # by time, not by order given


def test_raters_and_edition_are_kept():
    one = stand(attempt(1, DID, rater="Rater B"), attempt(2, TRIED, rater="Rater A"))
    assert (one.raters, one.edition) == (("Rater A", "Rater B"), "2025")


def test_a_mistake_of_the_caller_is_told():
    with pytest.raises(UnknownThing, match="at least one"):
        stand()
    with pytest.raises(UnknownThing, match="any, first or last"):
        stand(attempt(1, DID), counting="best")
    with pytest.raises(AmbiguousThing, match="more than one"):
        stand(attempt(1, DID), attempt(2, DID, rung="double_pike"))


# ---- a whole camp ----

PIKE, OPEN = "double_pike", "double_open_tuck"


def states(*turns, ladder=LADDER):
    return {(one.athlete.int, one.rung): one.state for one in camp_standings(turns, ladder)}


def test_each_child_and_rung_apart():
    from uuid import UUID

    other = attempt(3, TRIED, athlete=UUID(int=2))
    assert states(attempt(1, DID), attempt(2, TRIED, rung=PIKE), other) == {
        (1, TUCK): State.ALONE,
        (1, PIKE): State.TRIED,
        (2, TUCK): State.TRIED,
    }


def test_absent_is_said_once_for_the_day():
    assert states(attempt(1, Outcome.ABSENT)) == dict.fromkeys(
        [(1, TUCK), (1, PIKE), (1, OPEN)], State.ABSENT
    )


@pytest.mark.parametrize("seen", [one for one in Outcome if one is not Outcome.ABSENT])
def test_whoever_was_seen_is_not_made_absent(seen):
    assert (1, OPEN) not in states(attempt(1, Outcome.ABSENT), attempt(2, seen, rung=PIKE))


def test_a_rung_that_the_ladder_no_longer_has_gives_no_standing():
    assert states(attempt(1, DID, rung="rung_of_an_old_ladder")) == {}


def test_the_ladder_s_way_of_counting_is_kept():
    from dataclasses import replace

    from loftbook.ladder.rungs import Policy

    first = replace(LADDER, policy=Policy(counting="first"))
    assert states(attempt(1, TRIED), attempt(2, DID), ladder=first) == {(1, TUCK): State.TRIED}
