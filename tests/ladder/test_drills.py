"""Which drills go home."""

from dataclasses import replace

import pytest

from loftbook.errors import UnknownThing
from loftbook.ladder.drills import drills_for
from loftbook.ladder.graph import before
from loftbook.ladder.shipped import shipped_ladder

LADDER = shipped_ladder()
CRITERIA = [criterion.key for criterion in LADDER.criteria]


def test_it_works():
    assert [drill.key for drill in drills_for(LADDER, "double_pike", ["hands"], most=1)] == ["pike_snaps"]


@pytest.mark.parametrize("rung", LADDER.test_rungs, ids=lambda rung: rung.key)
@pytest.mark.parametrize("criterion", CRITERIA)
def test_each_thing_seen_on_a_test_rung_has_a_drill_made_for_it(rung, criterion):
    best = drills_for(LADDER, rung.key, [criterion], most=1)
    assert best
    assert criterion in best[0].criteria
    assert rung.key in best[0].rungs


@pytest.mark.parametrize("rung", LADDER.rungs, ids=lambda rung: rung.key)
def test_each_rung_has_something_to_send_home(rung):
    assert drills_for(LADDER, rung.key)


def made(key, *criteria, rungs=("double_tuck",)):
    return replace(LADDER.drills[0], key=key, criteria=criteria, rungs=rungs)


def test_each_priority_is_served_before_one_is_served_twice():
    """Two good drills for lift do not push out the only one for landing."""
    drills = (made("a", "lift"), made("b", "lift", "hands"), made("c", "travel"), made("d", "landing"))
    ladder = replace(LADDER, drills=drills)
    chosen = drills_for(ladder, "double_tuck", ["lift", "landing", "travel"], most=4)
    assert [drill.key for drill in chosen] == ["a", "d", "c", "b"]


def test_a_drill_made_for_the_rung_goes_before_one_for_what_leads_to_it():
    drills = (
        made("low", "lift", rungs=("back_tuck",)),
        made("own", "lift"),
        made("other", "lift", rungs=("barani",)),
    )
    ladder = replace(LADDER, drills=drills)
    assert [drill.key for drill in drills_for(ladder, "double_tuck", ["lift"])] == ["own", "low"]


def test_the_shipped_drills_cover_three_priorities():
    wanted = ["lift", "landing", "travel"]
    chosen = drills_for(LADDER, "double_tuck", wanted, most=3)
    assert set(wanted) <= {key for drill in chosen for key in drill.criteria}
    assert wanted[0] in chosen[0].criteria


def test_a_drill_is_for_the_rung_or_for_what_leads_to_it():
    for rung in LADDER.rungs:
        lower = {rung.key, *(one.key for one in before(LADDER, rung.key))}
        for drill in drills_for(LADDER, rung.key, CRITERIA, most=99):
            assert lower & set(drill.rungs), (rung.key, drill.key)


def test_never_more_than_asked_for_and_none_twice():
    chosen = drills_for(LADDER, "double_tuck", CRITERIA, most=5)
    assert len({drill.key for drill in chosen}) == 5
    assert drills_for(LADDER, "double_tuck", CRITERIA, most=0) == ()


def test_an_unknown_criterion_or_rung_is_named():
    with pytest.raises(UnknownThing, match="air_awareness"):
        drills_for(LADDER, "double_tuck", ["bravery"])
    with pytest.raises(UnknownThing):
        drills_for(LADDER, "double_tuk", ["lift"])
