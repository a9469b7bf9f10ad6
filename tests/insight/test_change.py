"""Changes over several camps: which camps are compared, which rungs are answered, and in which words."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.insight.cast import LADDER, OPEN, PIKE, TUCK, camp, girl, past, stood

from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.insight.change import ChangeKind, by_kind, changes
from loftbook.insight.comparing import Showing, differences, in_doubt
from loftbook.insight.first_ever import first_ever
from loftbook.insight.history import attended, attended_before, history_of
from loftbook.insight.standing import State
from loftbook.ladder.scales import Help, Landing, TakeOff

A, H, T, N = State.ALONE, State.HELPED, State.TRIED, State.NOT_TRIED


def on(found, rung=TUCK):
    return next(one for one in found if one.rung == rung)


def take(at, *standings, **facts):
    return changes(camp(at), LADDER, athletes=[girl(1)], history=past(*standings), **facts)


def test_the_last_camp_she_attended_not_the_last_camp():
    """She was absent at camp 2 and nothing was written at camp 3."""
    found = take(4, stood(1, 1, TUCK, A), stood(1, 2, TUCK, State.ABSENT), stood(1, 4, TUCK, A))
    one = on(found.since_previous)
    assert (one.kind, one.against) == (ChangeKind.HELD, UUID(int=1001))


def test_being_there_without_being_allowed_is_being_there():
    found = take(3, stood(1, 1, TUCK, T), stood(1, 2, TUCK, State.NOT_ALLOWED), stood(1, 3, TUCK, A))
    one = on(found.since_previous)
    assert (one.kind, one.against) == (ChangeKind.NEW, UUID(int=1002))
    assert one.why == "not allowed today at Camp 2 2021; alone now"


def test_later_camps_are_not_looked_at():
    found = take(2, stood(1, 1, TUCK, T), stood(1, 2, TUCK, T), stood(1, 3, TUCK, A))
    assert on(found.since_previous).kind is ChangeKind.STILL_LEARNING
    assert on(found.since_first).had_at is None


def test_since_the_previous_and_since_the_first():
    """Tried, alone, tried, alone: back again since the previous camp, new since the first."""
    rows = [stood(1, n, TUCK, state) for n, state in enumerate([T, A, T, A], start=1)]
    found = take(4, *rows)
    assert on(found.since_previous).kind is ChangeKind.BACK_AGAIN
    assert on(found.since_previous).why == "alone at Camp 2 2021; tried, not yet at Camp 3 2021; alone now"
    assert on(found.since_first).kind is ChangeKind.NEW
    assert on(found.since_first).why == "tried, not yet at Camp 1 2020; alone at Camp 2 2021; alone now"
    assert on(found.since_first).against == UUID(int=1001)


def test_with_one_camp_before_both_are_the_same():
    found = take(2, stood(1, 1, TUCK, T), stood(1, 2, TUCK, A))
    assert found.since_first == found.since_previous


def test_a_newcomer_at_the_third_camp():
    rows = [stood(2, 1, TUCK, A), stood(1, 3, TUCK, A)]
    one = on(take(3, *rows).since_previous)
    assert (one.kind, one.sentence) == (
        ChangeKind.FIRST_CAMP,
        "first camp: her first camp in this book: alone",
    )


def test_test_rungs_always_and_others_where_written():
    rows = [stood(1, 1, "barani", A), stood(1, 2, TUCK, A)]
    assert [one.rung for one in take(2, *rows).since_previous] == [TUCK, PIKE, OPEN]
    rows += [stood(1, 2, "barani", A), stood(1, 2, "rung_of_an_old_ladder", A)]
    found = take(2, *rows).since_previous
    assert [one.rung for one in found] == [TUCK, PIKE, OPEN, "barani", "rung_of_an_old_ladder"]
    assert on(found, "barani").kind is ChangeKind.HELD


def test_a_sentence_has_the_kind_the_reason_and_what_is_beside_it():
    rows = [stood(1, 1, TUCK, A, raters=("B",)), stood(1, 2, TUCK, A, raters=("C",))]
    assert on(take(2, *rows).since_previous).sentence == (
        "held: alone at Camp 1 2020 and now; another rater (B then, C now)"
    )


def test_an_earlier_doubt_is_told_beside_what_is_new():
    doubt = {"help": None, "why_not_alone": "help was not written down"}
    one = on(
        take(3, stood(1, 1, TUCK, H, **doubt), stood(1, 2, TUCK, T), stood(1, 3, TUCK, A)).since_previous
    )
    assert one.kind is ChangeKind.NEW
    assert one.caveats == ("did it at Camp 1 2020, but help was not written down",)


@pytest.mark.parametrize(
    ("then", "now", "why"),
    [
        ((H, {"help": Help.BELT_FULL}), (H, {"help": Help.HAND_LIGHT}), "less help than at Camp 1 2020: {}"),
        ((H, {"help": Help.HAND_LIGHT}), (H, {"help": Help.BELT_FULL}), "more help than at Camp 1 2020: {}"),
        (
            (H, {"help": Help.BELT_FULL}),
            (H, {"help": Help.BELT_FULL}),
            "with the same help at Camp 1 2020 and now",
        ),
        ((H, {"help": Help.BELT}), (H, {"help": Help.BELT_SLACK}), "which is less help was not written"),
        ((H, {"help": Help.HAND_FULL}), (H, {"help": Help.HAND}), "which is less help was not written"),
        ((H, {"help": Help.BELT}), (H, {"help": Help.HAND}), "less help than at Camp 1 2020: {}"),
        ((H, {"help": None}), (H, {"help": Help.HAND}), "help was not written down at Camp 1 2020; by hand"),
        ((T, {"why_not_alone": "short"}), (T, {"why_not_alone": "short"}), "(short), at Camp 1 2020 and now"),
        ((T, {"why_not_alone": "short"}), (T, {"why_not_alone": "over"}), "(short) at Camp 1 2020; tried"),
        ((T, {}), (H, {"help": Help.BELT_FULL}), "tried, not yet at Camp 1 2020; belt, full now"),
        ((H, {"help": Help.BELT_FULL}), (T, {}), "belt, full at Camp 1 2020; tried, not yet now"),
        ((N, {}), (T, {}), "tried, not yet now; not tried at Camp 1 2020"),
    ],
)
def test_on_the_way_the_help_is_told(then, now, why):
    rows = [
        stood(1, at, TUCK, state, **({"why_not_alone": ""} | facts))
        for at, (state, facts) in ((1, then), (2, now))
    ]
    one = on(take(2, *rows).since_previous)
    assert one.kind is ChangeKind.STILL_LEARNING
    old, new = (facts["help"].words if facts.get("help") else "" for _, facts in (then, now))
    assert why.format(f"{old} then, {new} now") in one.why


def test_a_belt_that_the_rung_asks_for_is_told_as_a_belt():
    slack, light = {"help": Help.BELT_SLACK}, {"help": Help.BELT_LIGHT}
    rows = [stood(1, n, "full_in_belt", A, **slack) for n in (1, 2)]
    one = on(take(2, *rows).since_previous, "full_in_belt")
    assert (one.kind, one.why) == (ChangeKind.HELD, "as it asks (belt, slack) at Camp 1 2020 and now")
    rows = [stood(1, 1, "full_in_belt", A, **slack), stood(1, 2, "full_in_belt", H, **light)]
    one = on(take(2, *rows).since_previous, "full_in_belt")
    assert (one.kind, "alone" in one.why) == (ChangeKind.NOT_NOW, False)


def test_lists_by_kind_hold_all_kinds_and_everybody_once():
    rows = [stood(1, 1, TUCK, T), stood(1, 2, TUCK, A)]
    lists = by_kind(take(2, *rows).since_previous)
    assert list(lists) == list(ChangeKind)
    assert [len(one) for one in lists.values()] == [1, 0, 0, 0, 2, 0, 0]


SPOT = {"take_off": TakeOff.TRAMPOLINE, "landing": Landing.SOFT_FLAT_MAT}


@pytest.mark.parametrize(
    ("then", "now", "beds", "words"),
    [
        ({}, {}, ("bed A", "BED a "), []),
        ({}, {}, ("", "bed A"), []),
        ({}, {}, ("bed A", "bed B"), ["another bed (bed A then, bed B now)"]),
        ({"take_off": TakeOff.FLOOR}, {"take_off": TakeOff.FLOOR}, ("bed A", "bed B"), []),
        ({"take_off": None}, {}, ("", ""), []),
        ({"landing": None}, {}, ("", ""), []),
        ({"edition": ""}, {}, ("", ""), []),
        ({"raters": ("B", "A")}, {"raters": ("A", "C")}, ("", ""), []),
        ({"raters": ()}, {"raters": ("A",)}, ("", ""), []),
        (
            {"raters": ("A",), "landing": Landing.BED},
            {"raters": ("B", "C")},
            ("", ""),
            [
                "another landing (trampoline bed then, soft flat mat now)",
                "another rater (A then, B and C now)",
            ],
        ),
    ],
)
def test_what_differs_is_only_what_was_written_down(then, now, beds, words):
    one, other = (
        Showing(camp(n, bed=bed), stood(1, n, TUCK, T, **facts))
        for n, bed, facts in ((1, beds[0], then), (2, beds[1], now))
    )
    assert [gap.words for gap in differences(one, other, {})] == words


def test_first_ever_is_a_day_of_the_camp_or_its_first():
    """A list typed in a week later must not move the day."""
    on_sunday = datetime(2020, 10, 13, 9, 0, tzinfo=UTC)
    typed_later = datetime(2021, 4, 25, 9, 0, tzinfo=UTC)
    story = past(
        stood(1, 1, TUCK, A, first_at=on_sunday),
        stood(1, 2, TUCK, A),
        stood(1, 2, PIKE, A, first_at=typed_later),
        stood(1, 1, OPEN, H),
        stood(1, 3, OPEN, A),
    )
    hers = first_ever(story)[UUID(int=1)]
    assert {rung: one.on for rung, one in hers.items()} == {
        TUCK: date(2020, 10, 13),
        PIKE: date(2021, 4, 12),
        OPEN: date(2021, 10, 12),
    }
    assert hers[TUCK].camp == UUID(int=1001)
    assert OPEN not in first_ever(story, until=UUID(int=1002))[UUID(int=1)]
    assert PIKE in first_ever(story, until=UUID(int=1002))[UUID(int=1)]


def test_a_history_orders_camps_by_their_days():
    story = history_of([camp(3), camp(1), camp(2)], [])
    assert [one.name for one in story.camps] == ["Camp 1", "Camp 2", "Camp 3"]


def test_who_was_there():
    story = past(stood(1, 1, TUCK, State.ABSENT), stood(1, 1, PIKE, State.NO_RECORD), stood(1, 2, TUCK, N))
    girl_1 = UUID(int=1)
    assert [attended(story, girl_1, UUID(int=1000 + n)) for n in (1, 2, 3)] == [False, True, False]
    assert [one.name for one in attended_before(story, girl_1, UUID(int=1004))] == ["Camp 2"]


def test_a_mistake_of_the_caller_is_told():
    with pytest.raises(UnknownThing, match="one of the camps"):
        past(stood(1, 9, TUCK, A))
    with pytest.raises(AmbiguousThing, match="two standings"):
        past(stood(1, 1, TUCK, A), stood(1, 1, TUCK, T))
    with pytest.raises(UnknownThing, match="not in the history"):
        changes(camp(9), LADDER, athletes=[girl(1)], history=past())
    with pytest.raises(UnknownThing, match="not in the history"):
        first_ever(past(), until=UUID(int=1))


LIVES = st.lists(st.none() | st.sampled_from(list(State)), min_size=1, max_size=6)


def lived(states):
    return [stood(1, n, TUCK, state) for n, state in enumerate(states, start=1) if state is not None]


@given(LIVES)
def test_every_life_has_one_answer_and_the_words_keep_what_they_promise(states):
    """With nothing else different, the kind follows from the bare list of states."""
    kind = on(take(len(states), *lived(states)).since_previous).kind
    there = [s for s in states[:-1] if s not in (None, State.ABSENT, State.NO_RECORD)]
    now = states[-1]
    if kind is ChangeKind.NEW:
        assert now is A
        assert A not in there
        assert there
    elif kind is ChangeKind.HELD:
        assert there[-1] is now is A
    elif kind is ChangeKind.BACK_AGAIN:
        assert now is A
        assert A in there[:-1]
        assert there[-1] is not A
    elif kind is ChangeKind.NOT_NOW:
        assert now in (H, T)
        assert A in there
    elif kind is ChangeKind.STILL_LEARNING:
        assert now in (H, T)
        assert A not in there
        assert there
    elif kind is ChangeKind.FIRST_CAMP:
        assert not there
        assert now not in (None, State.ABSENT, State.NO_RECORD)
    else:
        assert now is None or now.is_blank


@given(LIVES, st.permutations(range(6)))
def test_the_order_in_which_standings_arrive_does_not_matter(states, order):
    rows = lived(states)
    shuffled = [rows[place] for place in order if place < len(rows)]
    assert take(len(states), *shuffled) == take(len(states), *rows)


@given(LIVES)
def test_renaming_the_bed_everywhere_changes_nothing(states):
    camps = [camp(n, bed="bed Z") for n in range(1, 7)]
    here = changes(
        camps[len(states) - 1], LADDER, athletes=[girl(1)], history=history_of(camps, lived(states))
    )
    plain = take(len(states), *lived(states))
    assert [one.kind for one in here.since_previous] == [one.kind for one in plain.since_previous]


def test_nobody_is_called_ready():
    """A change tells what was seen; it never clears anybody for anything."""
    rows = [stood(1, n, TUCK, state) for n, state in enumerate([T, H, A, N, A], start=1)]
    for at in range(2, 6):
        for one in (*take(at, *rows).since_previous, *take(at, *rows).since_first):
            assert not {"ready", "cleared", "failed", "lost"} & set(one.sentence.replace(",", " ").split())


def test_without_editions_the_ladder_speaks_for_its_own():
    other = replace(LADDER, edition="2031")
    rows = [stood(1, 1, TUCK, T, edition="2025"), stood(1, 2, TUCK, A, edition="2031")]
    found = changes(camp(2), other, athletes=[girl(1)], history=past(*rows))
    assert on(found.since_previous).kind is ChangeKind.CANNOT_TELL


def test_where_she_had_it_is_the_last_time():
    rows = [stood(1, n, TUCK, state) for n, state in enumerate([A, A, T, T], start=1)]
    assert on(take(4, *rows).since_previous).had_at == UUID(int=1002)


def test_two_editions_of_which_nothing_is_known_are_two():
    rows = [stood(1, 1, TUCK, T, edition="2019"), stood(1, 2, TUCK, A, edition="2020")]
    assert on(take(2, *rows, editions={}).since_previous).kind is ChangeKind.CANNOT_TELL


MET = LADDER.rung(TUCK).standard


@pytest.mark.parametrize(
    ("facts", "doubt"),
    [
        ({"help": None}, True),
        ({"help": None, "landing": Landing.LOOSE_PIT}, False),  # whatever the help, the pit is known
        ({"help": Help.BELT_LIGHT, "landing": None, "take_off": None}, False),  # a belt is a belt
        ({"help": Help.NOBODY_IN, "landing": None}, True),
        ({"help": Help.NOBODY_IN, "take_off": None}, True),
        ({"help": Help.NOBODY_IN, "take_off": None, "landing": Landing.LOOSE_PIT}, False),  # the pit is known
        ({"help": Help.NOBODY_IN, "take_off": TakeOff.FLOOR, "landing": None}, False),
        ({"help": Help.NOBODY_IN, "landing": Landing.LOOSE_PIT}, False),
    ],
)
def test_in_doubt_is_what_may_have_been_alone(facts, doubt):
    assert in_doubt(stood(1, 1, TUCK, H, **facts), MET) == doubt


def test_without_a_standard_all_that_is_unwritten_leaves_a_doubt():
    assert in_doubt(stood(1, 1, TUCK, H, help=Help.NOBODY_IN, landing=None), None)
    assert in_doubt(stood(1, 1, TUCK, H, help=None), None)
    assert not in_doubt(stood(1, 1, TUCK, H, help=Help.NOBODY_IN), None)
    assert not in_doubt(stood(1, 1, TUCK, A, landing=None), None)
