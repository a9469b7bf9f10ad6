"""What leads to what."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftbook.errors import LadderError, UnknownThing
from loftbook.ladder.graph import before, by_depth, depths, ring_in
from loftbook.ladder.shipped import shipped_ladder

LADDER = shipped_ladder()


def keys(rungs):
    return [rung.key for rung in rungs]


def test_it_works():
    assert keys(before(LADDER, "double_pike"))[-1] == "double_tuck"


def test_everything_stands_after_what_leads_to_it():
    place = {rung.key: number for number, rung in enumerate(by_depth(LADDER))}
    assert len(place) == len(LADDER.rungs)
    assert all(place[one] < place[rung.key] for rung in LADDER.rungs for one in rung.prerequisites)


def ways_to(rung):
    """Every way up to a rung, walked one by one: the slow second way of counting."""
    below = [way for one in rung.prerequisites for way in ways_to(LADDER.rung(one))]
    return [(*way, rung) for way in below or [()]]


def test_depth_is_the_longest_way_up():
    depth = depths(LADDER)
    for rung in LADDER.rungs:
        longest = max(map(len, ways_to(rung)))
        assert depth[rung.key] == longest - 1, rung.key


def test_unknown_rungs_are_named_with_the_nearest():
    with pytest.raises(UnknownThing, match="double_tuck"):
        before(LADDER, "double_tuk")


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
