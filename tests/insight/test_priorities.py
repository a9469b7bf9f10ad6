"""What is proposed for home: safety first, then the lowest marks, then the next rung; never more than three.

The order is the house's own (common practice, no source); these tests hold the code to it.
"""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.book.attempts import Attempt
from loftbook.insight.priorities import PriorityKind, priorities
from loftbook.insight.standing import State, standing_of
from loftbook.ladder.rungs import Criterion, Drill, Ladder, Rung, Standard
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff

MET = Standard(
    Help.NOBODY_IN, (TakeOff.TRAMPOLINE,), (Landing.SOFT_FLAT_MAT,), (Outcome.DID_IT,), "feet first"
)
LEVELS = ("Low.", "Middle.", "High.")
KEYS = ("lift", "form", "rotation", "landing")


def rung(key: str, *before: str, tested: bool = False, belt: bool = False) -> Rung:
    name = key.capitalize()
    return Rung(key, name, name, "all", MET, prerequisites=before, tested=tested, belt=belt)


def drill(key: str, *rungs: str, criteria: tuple[str, ...] = KEYS) -> Drill:
    return Drill(key, key, "how", rungs, criteria, "bed", "nobody in", "5", "stop", "clip")


LADDER = Ladder(
    name="small",
    edition="1",
    dated=date(2025, 1, 1),
    rungs=(
        rung("single"),
        rung("tuck", "single", tested=True),
        rung("pike", "tuck", tested=True),
        rung("open", "pike", tested=True),
        rung("belt_full", "open", belt=True),
        rung("elsewhere"),
    ),
    criteria=tuple(Criterion(key, key.capitalize(), LEVELS) for key in KEYS),
    drills=tuple(
        drill(f"{key} {n}", key) for key in ("single", "tuck", "pike", "open", "belt_full") for n in (1, 2, 3)
    ),
)


def turn(key: str, outcome: Outcome = Outcome.DID_IT, n: int = 0, **facts) -> Attempt:
    told = {"help": Help.NOBODY_IN, "take_off": TakeOff.TRAMPOLINE, "landing": Landing.SOFT_FLAT_MAT}
    return Attempt(
        id=UUID(int=n),
        camp=UUID(int=1),
        athlete=UUID(int=2),
        rung=key,
        outcome=outcome,
        at=datetime(2025, 10, 12, 9, 0, n % 60, tzinfo=UTC),
        rater="R",
        edition="1",
        **((told if not outcome.is_blank else {}) | facts),
    )


def chosen(*turns: Attempt, ladder: Ladder = LADDER, **rest):
    attempts = [replace(one, id=UUID(int=n)) for n, one in enumerate(turns)]
    groups: dict[str, list[Attempt]] = {}
    for one in attempts:
        groups.setdefault(one.rung, []).append(one)
    standings = [standing_of(rows, ladder.rung(key)) for key, rows in groups.items()]
    return priorities(ladder, standings, attempts, **rest)


def titles(found) -> list[str]:
    return [one.title for one in found.items]


def test_short_turns_come_before_the_lowest_mark():
    found = chosen(
        turn("tuck", marks={"lift": 1}),
        turn("pike", Outcome.TRIED, rotation=Rotation.SHORT, marks={"form": 2}),
        turn("pike", rotation=Rotation.ON),
    )
    assert titles(found) == ["Rotation: Pike", "Lift: Tuck", "Form: Pike"]
    assert found.items[0].kind is PriorityKind.SAFETY
    assert found.items[0].reason == "Pike: 1 of 2 turns came round short."


def test_the_lowest_landing_is_a_question_of_safety_too():
    found = chosen(turn("tuck", marks={"lift": 1, "landing": 1}))
    assert titles(found)[:2] == ["Landing: Tuck", "Lift: Tuck"]
    assert (
        found.items[0].reason
        == "Tuck: the only marked turn at the first of three levels. That level reads: Low."
    )


def test_short_and_the_lowest_rotation_are_one_thing():
    found = chosen(
        turn("tuck", Outcome.TRIED, rotation=Rotation.SHORT, marks={"rotation": 1}),
        turn("pike", Outcome.TRIED, rotation=Rotation.SHORT),
    )
    safety = [one for one in found.items if one.kind is PriorityKind.SAFETY]
    assert [one.title for one in safety] == ["Rotation: Tuck"]
    assert (
        "Tuck: the only turn came round short; the only marked turn at the first of three levels."
        in safety[0].reason
    )
    assert "Pike: the only turn came round short." in safety[0].reason


def test_over_is_not_short():
    assert not any(
        one.kind is PriorityKind.SAFETY
        for one in chosen(turn("tuck", Outcome.TRIED, rotation=Rotation.OVER)).items
    )


def test_level_one_comes_before_level_two_and_the_highest_is_nothing_to_work_on():
    found = chosen(turn("tuck", marks={"lift": 2, "form": 3, "landing": 2}), turn("pike", marks={"form": 1}))
    assert titles(found) == ["Form: Pike", "Lift: Tuck", "Landing: Tuck"]
    assert all(one.kind is PriorityKind.MARK for one in found.items)
    high = chosen(turn("tuck", marks=dict.fromkeys(KEYS, 3)))
    assert titles(high) == ["Towards Pike"]


def test_ties_go_by_the_ladder():
    found = chosen(turn("pike", marks={"lift": 1}), turn("tuck", marks={"form": 1}))
    assert titles(found)[:2] == ["Form: Tuck", "Lift: Pike"]


def test_without_marks_it_says_that_only_results_speak():
    found = chosen(turn("tuck", Outcome.DID_IT, help=Help.BELT_LIGHT))
    assert found.basis == "No marks were written at this camp: this comes from the results only."
    assert titles(found) == ["Tuck"]
    assert found.items[0].reason == (
        "With help (belt, light) at this camp. What leads to it is not tested at these camps: Single."
    )


def test_what_she_had_is_said_and_nothing_is_called_the_next_step():
    """Alone in spring, in hands in autumn: that is no first step towards it."""
    (one,) = chosen(
        turn("tuck", help=Help.HAND_LIGHT), had={"tuck": "Spring camp 2025", "single": "Spring camp 2025"}
    ).items
    assert (one.title, one.reason) == ("Tuck", "Had it at Spring camp 2025, with help (by hand, light) now.")


def test_what_was_not_shown_is_left_to_the_coach_in_the_gym():
    (one,) = chosen(turn("tuck")).items
    assert one.title == "Towards Pike"
    assert one.reason == (
        "Not shown at this camp. Whether she works on it at all, and on what, the coach in the gym decides."
    )


def test_rotation_alone_is_said_to_be_all_there_is():
    found = chosen(turn("tuck", Outcome.TRIED, rotation=Rotation.SHORT))
    assert found.basis.endswith("from the results and from how the turns came round only.")


def test_marks_are_counted():
    found = chosen(turn("tuck", marks={"lift": 2, "form": 2}), turn("pike", marks={"lift": 3}))
    assert found.basis == "Chosen from 3 marks on 2 rungs and from the results."


def test_a_step_that_was_shown_and_not_alone_comes_before_the_next_rung():
    found = chosen(turn("single", Outcome.TRIED), turn("tuck", Outcome.TRIED))
    assert titles(found) == ["Single, on the way to Tuck", "Tuck"]


def test_what_she_did_at_an_earlier_camp_is_not_called_untested():
    had = {"single": "Spring camp 2025"}
    assert "not tested" not in chosen(turn("tuck", Outcome.TRIED), had=had).items[0].reason


def test_with_all_test_rungs_done_the_next_one_is_what_they_lead_to():
    done = [turn(key) for key in ("tuck", "pike", "open")]
    assert titles(chosen(*done)) == ["Towards Belt_full"]
    assert titles(chosen(*done, turn("belt_full"))) == []


@pytest.mark.parametrize(
    "turns",
    [
        (turn("tuck", marks={"lift": 1}), turn("pike", Outcome.NOT_ALLOWED)),
        (turn("tuck", Outcome.TRIED, rotation=Rotation.SHORT), turn("tuck", Outcome.NOT_ALLOWED)),
        (turn("tuck", Outcome.NOT_ALLOWED),),
        (turn("elsewhere", Outcome.NOT_ALLOWED), turn("single", marks={"landing": 1})),
    ],
)
def test_whoever_was_not_allowed_something_gets_no_drill_at_all(turns):
    """An injury on one rung is one on all: no ladder knows which drill spares it."""
    found = chosen(*turns)
    assert found.items == ()
    assert found.basis.startswith("She was not allowed some skills at this camp, so no drill is set here.")


@pytest.mark.parametrize("blank", [Outcome.DECLINED, Outcome.STOPPED, Outcome.NOT_ALLOWED])
def test_nothing_is_set_on_what_was_declined_stopped_or_not_allowed(blank):
    found = chosen(turn("tuck"), turn("pike", blank))
    assert found.items == ()
    assert found.set_aside == (f"Pike: {blank.words}. Nothing is set on it; that is no failure.",)


def test_not_tried_is_no_reason_to_leave_it_out():
    assert titles(chosen(turn("tuck"), turn("pike", Outcome.NOT_TRIED))) == ["Towards Pike"]


@pytest.mark.parametrize("turns", [(), (turn("tuck", Outcome.ABSENT), turn("pike", Outcome.ABSENT))])
def test_nothing_seen_nothing_set(turns):
    found = chosen(*turns)
    assert found.items == ()
    assert found.basis == "Nothing was shown at this camp, so nothing is set."


def test_drills_are_given_once_and_the_first_gets_two():
    found = chosen(turn("tuck", marks={"rotation": 1, "landing": 1, "lift": 1, "form": 1}))
    assert [len(one.drills) for one in found.items] == [2, 1, 1]
    keys = [one.key for item in found.items for one in item.drills]
    assert len(keys) == len(set(keys))


def test_a_ladder_without_rotation_still_sees_short_turns():
    bare = replace(LADDER, criteria=(), drills=(drill("any", "tuck", criteria=()),))
    found = chosen(turn("tuck", Outcome.TRIED, rotation=Rotation.SHORT), ladder=bare)
    assert titles(found)[0] == "Rotation: Tuck"
    assert found.items[0].criterion is None
    assert [one.key for one in found.items[0].drills] == ["any"]


OUTCOMES = st.sampled_from(list(Outcome))
MARKS = st.dictionaries(st.sampled_from((*KEYS, "gone")), st.integers(1, 3), max_size=5)
TURNS = st.lists(
    st.tuples(
        st.sampled_from([r.key for r in LADDER.rungs]), OUTCOMES, MARKS, st.sampled_from([None, *Rotation])
    ),
    max_size=12,
)


@settings(max_examples=200, deadline=None)
@given(TURNS)
def test_any_camp_gives_at_most_three_each_with_a_reason_and_in_order(rows):
    turns = [
        turn(key, outcome, n, **({} if outcome.is_blank else {"marks": marks, "rotation": rotation}))
        for n, (key, outcome, marks, rotation) in enumerate(rows)
    ]
    found = chosen(*turns)
    assert len(found.items) <= 3
    order = [list(PriorityKind).index(one.kind) for one in found.items]
    assert order == sorted(order)
    refused = {
        s.rung for s in _standings(turns) if s.state in (State.DECLINED, State.STOPPED, State.NOT_ALLOWED)
    }
    for one in found.items:
        assert one.reason
        assert one.rung not in refused
        assert "ready" not in (one.title + one.reason).lower()


def _standings(turns):
    keys = dict.fromkeys(one.rung for one in turns)
    return [standing_of([one for one in turns if one.rung == key], LADDER.rung(key)) for key in keys]
