"""What leads to what."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftbook.errors import LadderError, UnknownThing
from loftbook.ladder.graph import after, before, by_depth, depths, missing, ring_in, ways_to
from loftbook.ladder.shipped import shipped_ladder

LADDER = shipped_ladder()


def keys(rungs):
    return [rung.key for rung in rungs]


def test_it_works():
    assert keys(before(LADDER, "double_pike"))[-1] == "double_tuck"
    assert "double_open_tuck" in keys(after(LADDER, "double_pike"))


def test_everything_stands_after_what_leads_to_it():
    place = {rung.key: number for number, rung in enumerate(by_depth(LADDER))}
    assert len(place) == len(LADDER.rungs)
    assert all(place[one] < place[rung.key] for rung in LADDER.rungs for one in rung.prerequisites)


def test_depth_is_the_longest_way_up():
    depth = depths(LADDER)
    for rung in LADDER.rungs:
        longest = max(len(way) for way in ways_to(LADDER, rung.key, most=10_000))
        assert depth[rung.key] == longest - 1, rung.key


def test_a_way_up_starts_at_the_bottom_and_takes_one_step_at_a_time():
    for way in ways_to(LADDER, "full_out", most=50):
        assert not way[0].prerequisites
        assert way[-1].key == "full_out"
        assert all(low.key in high.prerequisites for low, high in pairwise(way))


def test_ways_are_no_more_than_asked_for():
    assert len(ways_to(LADDER, "full_out", most=3)) == 3


def test_nothing_is_inferred_about_what_was_not_shown():
    """A shown pike does not stand in for a tuck that nobody saw."""
    assert "double_tuck" in keys(missing(LADDER, "double_open_tuck", {"double_pike"}))
    assert missing(LADDER, "straight_jumps", set()) == ()


def test_unknown_rungs_are_named_with_the_nearest():
    with pytest.raises(UnknownThing, match="double_tuck"):
        before(LADDER, "double_tuk")
    with pytest.raises(UnknownThing):
        after(LADDER, "nothing")
    with pytest.raises(UnknownThing):
        ways_to(LADDER, "nothing")


def test_a_ladder_made_by_hand_with_a_ring_does_not_hang():
    looped = replace(
        LADDER, rungs=(replace(LADDER.rungs[0], prerequisites=("back_drop",)), *LADDER.rungs[1:])
    )
    with pytest.raises(LadderError, match="straight_jumps → back_drop → straight_jumps"):
        depths(looped)


def closes_by_walking(leads):
    """Whether somebody can come back to where she was: by brute force."""
    for start in leads:
        seen, todo = set(), list(leads[start])
        while todo:
            one = todo.pop()
            if one == start:
                return True
            if one not in seen:
                seen.add(one)
                todo += leads.get(one, [])
    return False


@given(
    st.dictionaries(st.sampled_from("abcdefg"), st.lists(st.sampled_from("abcdefg"), max_size=4), max_size=7)
)
def test_a_ring_is_found_exactly_where_there_is_one(leads):
    ring = ring_in(leads)
    assert bool(ring) == closes_by_walking(leads)
    if ring:
        assert ring[0] == ring[-1]
        assert all(later in leads[earlier] for earlier, later in pairwise(ring))
