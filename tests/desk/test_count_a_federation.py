"""All camps together in counts, on both databases, against the same counted child by child from the pages."""

from collections import Counter

import pytest
from tests.desk import cast

from loftbook.desk.answers import camp_answer, federation_answer, squad_answer
from loftbook.desk.people import all_camps
from loftbook.desk.plain import as_plain
from loftbook.insight.federation import RungOfYear
from loftbook.insight.standing import State

pytestmark = pytest.mark.both_engines


@pytest.fixture
def told(made):
    """Five children: some alone, some with help, one away at the last camp, one at none."""
    for camp, words in ((made.spring, "tried"), (made.autumn, "did_it"), (made.today, "did_it")):
        for number, who in enumerate(made.everyone[:4]):
            if camp is made.today and number == 0:
                cast.write(made.desk, cast.blank(camp, who, outcome="absent"))
                continue
            help_ = "hand_light" if number == 3 else "nobody_in"
            more = {"outcome": words, "rotation": "short" if words == "tried" else "on", "help": help_}
            cast.write(made.desk, cast.payload(camp, who, **more))
    cast.write(made.desk, cast.blank(made.today, made.noa, cast.PIKE, "declined"))
    return made


def test_each_gymnast_is_counted_once_at_her_last_camp(told):
    """The second way: the squad's page, which is about each of them by name."""
    found, names = federation_answer(told.desk), squad_answer(told.desk)
    by_hand = Counter((rung, one.state) for row in names.athletes for rung, one in row.standings.items())
    for one in found.now:
        assert one.alone == by_hand[one.rung, State.ALONE]
        assert one.helped == by_hand[one.rung, State.HELPED]
        assert one.tried == by_hand[one.rung, State.TRIED]
    assert {one.rung for one in found.now} == {rung for rung, _ in by_hand}
    assert (found.camps, found.gymnasts) == (3, 4)
    tuck = next(one for one in found.now if one.rung == cast.TUCK)
    assert (tuck.alone, tuck.helped, tuck.shown) == (3, 1, 4)


def test_years_are_the_sums_of_the_camps(told):
    """The second way: what each camp's own page says, added up."""
    alone, shown = Counter(), Counter()
    for camp in all_camps(told.desk):
        for rung in camp_answer(told.desk, camp.id).inventory.rungs:
            if rung.shown:
                alone[camp.starts.year, rung.rung] += len(rung.alone)
                shown[camp.starts.year, rung.rung] += rung.shown
    by_hand = {RungOfYear(*key, alone[key], shown[key]) for key in shown}
    assert set(federation_answer(told.desk).years) == by_hand


def test_nobody_is_named(told):
    said = str(as_plain(federation_answer(told.desk)))
    assert not [who for who in told.everyone if str(who) in said]
    for given, family in cast.NAMES:
        assert given not in said
        assert family not in said
