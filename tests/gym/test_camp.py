"""A camp through the real screen with random cuts and kills ends with exactly what was meant."""

import pytest
from tests.gym.replay import in_the_book, replay


@pytest.mark.parametrize("seed", [20261125])
def test_a_camp_with_cuts_and_kills_ends_with_exactly_what_was_meant(hall, device, seed):
    """Some thirty turns here, each second one after a fault; the benchmark writes all 216."""
    place = hall(children=6)
    place.start()
    place.through_a_line()
    told, _ = replay(place, lambda: device("tablet"), seed=seed, turns=2, often=0.45)
    assert in_the_book(place) == sorted(told.meant.items())
    assert len(told.meant) >= 30
    assert len(told.faults) >= 13  # each kind at least once, and mended in between
    assert {"kill", "cut", "close", "reload", "lose"} <= set(told.faults)
    # The issue asks for three touches at most for a plain result.
    assert max(told.plain) <= 3
