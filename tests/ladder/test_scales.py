"""The scales a result is written on."""

import pytest

from loftbook.ladder.scales import Help, Landing, Outcome, Shape, TakeOff


def test_help_goes_from_full_belt_to_nobody_in():
    # trade facts, assistance ladder (common practice, no source): belt full, light, slack; hand full, light,
    # following; standing in; nobody in
    ladder = [
        Help.BELT_FULL,
        Help.BELT_LIGHT,
        Help.BELT_SLACK,
        Help.HAND_FULL,
        Help.HAND_LIGHT,
        Help.HANDS_FOLLOWING,
        Help.STANDING_IN,
        Help.NOBODY_IN,
    ]
    assert ladder == sorted(ladder)
    assert max(Help) is Help.NOBODY_IN


def test_help_whose_degree_was_not_written_counts_as_the_most_of_its_kind():
    assert min(Help.BELT_FULL, Help.BELT_LIGHT, Help.BELT_SLACK) > Help.BELT
    assert Help.BELT_SLACK < Help.HAND < Help.HAND_FULL


@pytest.mark.parametrize("one", Help)
def test_a_key_leads_back_to_its_help(one):
    assert Help.from_key(one.key) is one


def test_there_are_five_different_blanks():
    # DESIGN §2: not tried, stopped, declined, not allowed today, absent
    blanks = {one.value for one in Outcome if one.is_blank}
    assert blanks == {"not_tried", "stopped", "declined", "not_allowed", "absent"}


@pytest.mark.parametrize("scale", [Help, Landing, Outcome, Shape, TakeOff])
def test_every_step_has_words_of_its_own(scale):
    words = [one.words for one in scale]
    assert len(set(words)) == len(words)
    assert all(words)
