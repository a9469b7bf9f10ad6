"""Every cell of the table in `insight.change_kind`: then, now, had it earlier, and what differs.

The lines of the table are our own reasoning (no source); what is tested is that the
program draws them where the table says, in each of its cells, and nowhere else.
"""

from dataclasses import replace
from itertools import product

import pytest
from tests.insight.cast import LADDER, TUCK, camp, girl, past, stood

from loftbook.insight.change import ChangeKind, changes
from loftbook.insight.history import history_of
from loftbook.insight.standing import State
from loftbook.ladder.scales import Help, Landing, TakeOff

HELD, NEW, BACK = ChangeKind.HELD, ChangeKind.NEW, ChangeKind.BACK_AGAIN
NOT_NOW, CANNOT, LEARNING = ChangeKind.NOT_NOW, ChangeKind.CANNOT_TELL, ChangeKind.STILL_LEARNING
BLANKS = [state for state in State if state.is_blank]
SHOWN = {
    "alone": (State.ALONE, {}),
    "belt": (State.HELPED, {}),
    "pit": (  # nobody in, but not onto what the standard asks for
        State.HELPED,
        {"help": Help.NOBODY_IN, "landing": Landing.LOOSE_PIT, "why_not_alone": "onto loose pit"},
    ),
    "tried": (State.TRIED, {"why_not_alone": "short"}),
    "doubt": (State.HELPED, {"help": None, "why_not_alone": "help was not written down"}),
}
# What differs at "then" and at every camp before it; "now" is always as in the cast.
DIFFERENT = {
    "nothing": {},
    "bed": {},
    "take-off": {"take_off": TakeOff.TUMBLE_TRACK},
    "landing": {"landing": Landing.SOFT_BLOCK},
    "edition": {"edition": "2019"},
    "rater": {"raters": ("Rater B",)},
}
WORDS = {
    "bed": "another bed (bed B then, bed A now)",
    "take-off": "another take-off (tumble track then, trampoline now)",
    "landing": "another landing (soft block then, soft flat mat now)",
    "edition": "another edition (2019 then, 2025 now)",
    "rater": "another rater (Rater B then, Rater A now)",
}


def standing(at, what, **facts):
    if what in SHOWN:
        state, more = SHOWN[what]
        facts = {"raters": ("Rater A",)} | facts | more
        return stood(1, at, TUCK, state, **facts)
    return stood(1, at, TUCK, State(what))


def the_change(then, now, *, had_earlier=False, different="nothing"):
    """Camp 1 is where she had it earlier, or tried; camp 2 is then; camp 3 is now."""
    facts = DIFFERENT[different]
    bed = "bed B" if different == "bed" else "bed A"
    rows = [
        standing(1, "alone" if had_earlier else "tried", **facts),
        standing(2, then, **facts),
        standing(3, now),
        stood(1, 2, "barani", State.TRIED),  # she was there, whatever she did on the tuck
        stood(1, 3, "barani", State.TRIED),
    ]
    camps = [camp(1, bed=bed), camp(2, bed=bed), camp(3, bed="bed A")]
    found = changes(camps[2], LADDER, athletes=[girl(1)], history=history_of(camps, rows)).since_previous
    return next(one for one in found if one.rung == TUCK)


EVERY = [*SHOWN, *(blank.value for blank in BLANKS)]


@pytest.mark.parametrize("now", BLANKS)
def test_a_blank_now_says_nothing_about_her(now):
    for then, had_earlier, different in product(EVERY, [False, True], DIFFERENT):
        one = the_change(then, now.value, had_earlier=had_earlier, different=different)
        assert one.kind is CANNOT
        assert now.words in one.why
        had = one.had_at is not None
        assert had == (had_earlier or then == "alone")
        assert ("alone at" in one.why) == had


@pytest.mark.parametrize("then", EVERY)
def test_in_doubt_now(then):
    for had_earlier, different in product([False, True], DIFFERENT):
        one = the_change(then, "doubt", had_earlier=had_earlier, different=different)
        assert (one.kind, one.why) == (CANNOT, "did it now, but help was not written down")


@pytest.mark.parametrize("different", DIFFERENT)
@pytest.mark.parametrize("had_earlier", [False, True])
def test_alone_then_and_now_is_held_on_whatever(different, had_earlier):
    one = the_change("alone", "alone", had_earlier=had_earlier, different=different)
    assert (one.kind, one.why) == (HELD, "alone at Camp 2 2021 and now")
    assert one.caveats == (() if different == "nothing" else (WORDS[different],))


@pytest.mark.parametrize(("had_earlier", "kind"), [(False, NEW), (True, BACK)])
@pytest.mark.parametrize("different", DIFFERENT)
def test_from_the_belt_to_alone(different, had_earlier, kind):
    """Less help is less help by any edition and in anybody's eyes: all circumstances are told beside."""
    one = the_change("belt", "alone", had_earlier=had_earlier, different=different)
    assert one.kind is kind
    assert one.caveats == (() if different == "nothing" else (WORDS[different],))


@pytest.mark.parametrize(("had_earlier", "kind"), [(False, NEW), (True, BACK)])
@pytest.mark.parametrize("different", DIFFERENT)
def test_from_tried_to_alone(different, had_earlier, kind):
    one = the_change("tried", "alone", had_earlier=had_earlier, different=different)
    if different == "edition":
        assert one.kind is CANNOT
        assert WORDS["edition"] in one.why
    else:
        assert one.kind is kind
        assert one.caveats == (() if different == "nothing" else (WORDS[different],))


def test_nobody_in_onto_another_surface_by_another_edition():
    """The old edition may have counted the pit, or the new one a block: as much help, another yardstick."""
    assert the_change("pit", "alone", different="edition").kind is CANNOT
    assert the_change("pit", "alone").kind is NEW
    assert the_change("pit", "alone").caveats == ("another landing (loose pit then, soft flat mat now)",)


@pytest.mark.parametrize("different", DIFFERENT)
@pytest.mark.parametrize("had_earlier", [False, True])
def test_in_doubt_then_it_may_have_been_alone(different, had_earlier):
    one = the_change("doubt", "alone", had_earlier=had_earlier, different=different)
    assert one.kind is CANNOT
    assert one.why == "alone now; did it at Camp 2 2021 too, but help was not written down"


@pytest.mark.parametrize(("had_earlier", "kind"), [(False, NEW), (True, BACK)])
@pytest.mark.parametrize("different", DIFFERENT)
@pytest.mark.parametrize("blank", BLANKS)
def test_not_shown_then_and_alone_now(different, blank, had_earlier, kind):
    one = the_change(blank.value, "alone", had_earlier=had_earlier, different=different)
    assert (one.kind, one.caveats) == (kind, ())
    assert f"{blank.words} at Camp 2 2021" in one.why


THEN_NOT_ALONE = [one for one in EVERY if one != "alone"]


@pytest.mark.parametrize("then", THEN_NOT_ALONE)
@pytest.mark.parametrize("now", ["belt", "pit", "tried"])
def test_never_alone_and_not_alone_now_is_still_learning(then, now):
    for different in DIFFERENT:
        one = the_change(then, now, different=different)
        assert one.kind is LEARNING
        assert one.had_at is None


@pytest.mark.parametrize("then", ["alone", *THEN_NOT_ALONE])
@pytest.mark.parametrize("now", ["belt", "tried"])
def test_had_it_and_not_alone_now_with_nothing_else_different(then, now):
    one = the_change(then, now, had_earlier=then != "alone")
    assert (one.kind, one.caveats) == (NOT_NOW, ())
    assert "alone at Camp" in one.why


@pytest.mark.parametrize("then", ["alone", *THEN_NOT_ALONE])
@pytest.mark.parametrize(
    ("now", "different", "kind"),
    [
        ("tried", "bed", CANNOT),
        ("tried", "take-off", CANNOT),
        ("tried", "landing", CANNOT),
        ("tried", "edition", CANNOT),
        ("tried", "rater", CANNOT),
        ("belt", "bed", CANNOT),
        ("belt", "take-off", CANNOT),
        ("belt", "landing", CANNOT),
        ("belt", "edition", NOT_NOW),  # a belt now and nobody in then is more help by any edition
        ("belt", "rater", NOT_NOW),  # and in anybody's eyes
        ("pit", "nothing", CANNOT),  # the pit is another landing
        ("pit", "edition", CANNOT),
        ("pit", "rater", CANNOT),
    ],
)
def test_had_it_and_not_alone_now_where_something_else_may_be_why(then, now, different, kind):
    one = the_change(then, now, had_earlier=then != "alone", different=different)
    assert one.kind is kind
    told = " ".join([one.why, *one.caveats])
    assert WORDS.get(different, "another landing") in told


def test_what_is_compared_is_where_she_had_it_last():
    """Alone on bed B at camp 1, tried on bed A at camps 2 and 3: the last loss is not hers to explain."""
    camps = [camp(1, bed="bed B"), camp(2, bed="bed A"), camp(3, bed="bed A")]
    rows = [standing(1, "alone"), standing(2, "tried"), standing(3, "tried")]
    one = changes(camps[2], LADDER, athletes=[girl(1)], history=history_of(camps, rows)).since_previous[0]
    assert one.kind is CANNOT
    assert one.why == (
        "alone at Camp 1 2020; tried, not yet (short) at Camp 2 2021; tried, not yet (short) now, "
        "but with another bed (bed B then, bed A now)"
    )


@pytest.mark.parametrize("now", EVERY)
def test_her_first_camp(now):
    rows = [standing(3, now), stood(1, 3, "barani", State.TRIED)]
    one = changes(camp(3), LADDER, athletes=[girl(1)], history=past(*rows)).since_previous[0]
    assert (one.kind, one.before, one.against) == (ChangeKind.FIRST_CAMP, None, None)


@pytest.mark.parametrize("nothing", [State.ABSENT, State.NO_RECORD, None])
@pytest.mark.parametrize("was_before", [False, True])
def test_not_there_now(nothing, was_before):
    rows = [stood(1, 3, rung, nothing) for rung in (TUCK,) if nothing]
    rows += [standing(1, "alone")] if was_before else []
    one = changes(camp(3), LADDER, athletes=[girl(1)], history=past(*rows)).since_previous[0]
    assert one.kind is CANNOT
    assert (nothing or State.NO_RECORD).words in one.why


EDITIONS = {"2025": LADDER, "2019": replace(LADDER, edition="2019")}


def test_two_editions_that_ask_the_same_are_one():
    rows = [standing(1, "tried", edition="2019"), standing(2, "alone")]
    story = past(*rows, camps=2)
    girls = [girl(1)]
    assert changes(camp(2), LADDER, athletes=girls, history=story).since_previous[0].kind is CANNOT
    one = changes(camp(2), LADDER, athletes=girls, history=story, editions=EDITIONS).since_previous[0]
    assert (one.kind, one.caveats) == (NEW, ())


def test_two_editions_that_ask_another_thing_are_two():
    changed = tuple(
        replace(one, standard=replace(one.standard, did_it="hands down is not counted"))
        for one in LADDER.rungs
    )
    editions = EDITIONS | {"2019": replace(LADDER, edition="2019", rungs=changed)}
    rows = [standing(1, "tried", edition="2019"), standing(2, "alone")]
    story = past(*rows, camps=2)
    found = changes(camp(2), LADDER, athletes=[girl(1)], history=story, editions=editions)
    assert found.since_previous[0].kind is CANNOT
