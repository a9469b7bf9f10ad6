"""Findings: replaced camp by camp, made again from the facts, counted in pairs."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime
from random import Random

import pytest
from tests.store import cast

from loftbook.errors import Refused
from loftbook.insight.history import history_of
from loftbook.insight.pairing import Before, PairCounts, pair_counts
from loftbook.insight.standing import Standing, State
from loftbook.ladder.scales import Help, Landing, Outcome, TakeOff
from loftbook.store import attempts, camps, erasing, last_visits, standings
from loftbook.store.migrations.versions.r0012_camp_last import COUNTED

pytestmark = pytest.mark.both_engines

ALONE, TRIED, ABSENT, NOTHING = State.ALONE, State.TRIED, State.ABSENT, State.NO_RECORD
A, B = cast.athlete(1).id, cast.athlete(2).id
TUCK, PIKE, _ = cast.RUNGS


def put(connection, *rows):
    """Keeps standings given as (camp, athlete, rung, state)."""
    made = [cast.standing(*row) for row in rows]
    for camp in {one.camp for one in made}:
        standings.replace_standings(connection, camp, None, [one for one in made if one.camp == camp])


def test_a_standing_comes_back_as_it_was_made(book):
    full = Standing(
        athlete=A,
        camp=cast.camp(1).id,
        rung=TUCK,
        state=State.HELPED,
        turns=4,
        done=1,
        help=Help.HAND_LIGHT,
        take_off=TakeOff.TRAMPOLINE,
        landing=Landing.PIT_WITH_MAT,
        raters=("Coach Q", "Coach R"),
        edition="one",
        first_at=datetime(2025, 4, 5, 9, 1, tzinfo=UTC),
        why_not_alone="by hand, light",
    )
    with book.write() as connection:
        standings.replace_standings(connection, full.camp, [A], [full])
        assert standings.standings_of_camp(connection, full.camp) == (full,)
        assert standings.standings_of_athletes(connection, [A, B]) == (full,)


def test_replacing_touches_only_those_who_are_named(book):
    with book.write() as connection:
        put(connection, (1, 1, TUCK, TRIED), (1, 1, PIKE, TRIED), (1, 2, TUCK, TRIED))
        standings.replace_standings(connection, cast.camp(1).id, [A], [cast.standing(1, 1, TUCK, ALONE)])
        found = standings.standings_of_camp(connection, cast.camp(1).id)
        assert [(one.athlete, one.rung, one.state) for one in found] == [(A, TUCK, ALONE), (B, TUCK, TRIED)]
        standings.replace_standings(connection, cast.camp(1).id, [A], [])
        assert [one.athlete for one in standings.standings_of_camp(connection, cast.camp(1).id)] == [B]


def test_standings_of_others_are_refused(book):
    stray = cast.standing(2, 2, TUCK, ALONE)
    with book.write() as connection:
        for camp, who in ((1, [B]), (2, [A])):
            with pytest.raises(Refused, match="group them first"):
                standings.replace_standings(connection, cast.camp(camp).id, who, [stray])


def test_a_gymnasts_standings_are_told_camp_by_camp(book):
    with book.write() as connection:
        put(connection, (3, 1, TUCK, ALONE), (1, 1, TUCK, TRIED), (2, 1, PIKE, TRIED), (2, 2, TUCK, TRIED))
        hers = standings.standings_of_athletes(connection, [A])
        tuck = standings.standings_of_athletes(connection, [A, B], rungs=[TUCK])
    assert [one.camp.int - 0xC000 for one in hers] == [1, 2, 3]
    assert [(one.camp.int - 0xC000, one.athlete) for one in tuck] == [(1, A), (2, B), (3, A)]


def test_the_last_camp_is_the_last_that_she_attended(book):
    with book.write() as connection:
        put(connection, (1, 1, TUCK, TRIED), (2, 1, TUCK, ALONE), (2, 1, PIKE, TRIED), (3, 1, TUCK, ABSENT))
        latest = standings.latest_by_athlete(connection)
        assert {(one.camp, one.rung) for one in latest[A]} == {
            (cast.camp(2).id, TUCK),
            (cast.camp(2).id, PIKE),
        }
        assert standings.latest_by_athlete(connection, [B]) == {}


def test_standings_are_made_again_from_the_turns(book):
    turns = [cast.attempt(1), cast.attempt(2, rung=PIKE), cast.attempt(3, camp=cast.camp(2).id, athlete=B)]
    corrected = cast.attempt(4, outcome=Outcome.TRIED, replaces=turns[0].id)
    with book.write() as connection:
        put(connection, (5, 8, TUCK, ALONE))  # a finding without a fact under it goes
        attempts.add_attempts(connection, [*turns, corrected])
        assert standings.rebuild_standings(connection, cast.last_word) == 3
        everything = standings.standings_of_athletes(connection, [A, B, cast.athlete(8).id])
    states = {(one.camp.int - 0xC000, one.athlete, one.rung): one.state for one in everything}
    assert states == {(1, A, TUCK): TRIED, (1, A, PIKE): ALONE, (2, B, TUCK): ALONE}


def test_pairs_of_a_small_book_counted_by_hand(book):
    """A: tried, absent, alone. B: alone, nothing, alone in pike at the third camp.

    Tuck was shown three times: twice at a first camp, by A and B, of whom B was alone,
    and once after having tried it. Pike was shown once, by B, who had not shown it before.
    """
    with book.write() as connection:
        put(connection, (1, 1, TUCK, TRIED), (1, 2, TUCK, ALONE), (2, 1, TUCK, ABSENT))
        put(connection, (3, 1, TUCK, ALONE), (3, 2, PIKE, ALONE))
        first, tried, other = Before.FIRST_CAMP, Before.TRIED, Before.NOT_SHOWN
        assert standings.pair_counts(connection) == {
            TUCK: PairCounts(TUCK, {first: (1, 2), tried: (1, 1)}, camps=2),
            PIKE: PairCounts(PIKE, {other: (1, 1)}, camps=1),
        }
        only = {TUCK: PairCounts(TUCK, {first: (1, 2)}, camps=1)}
        assert standings.pair_counts(connection, before=cast.camp(3)) == only
        assert standings.pair_counts(connection, before=cast.camp(1)) == {}


@pytest.mark.parametrize("seed", range(6))
def test_pairs_stay_true_through_any_order_of_changes(book, seed):
    """Second method: `insight.pairing`, which counts a whole history in plain Python."""
    chance = Random(seed)
    order = [cast.camp(number).id for number in range(1, 6)]
    with book.write() as connection:
        for _ in range(40):
            camp, who = chance.choice(order), chance.sample(range(1, 9), chance.randint(1, 3))
            rows = [
                cast.standing(camp.int - 0xC000, one, rung, chance.choice(list(State)[:-1]))
                for one in who
                for rung in chance.sample(cast.RUNGS, chance.randint(0, 3))
            ]
            standings.replace_standings(connection, camp, [cast.athlete(one).id for one in who], rows)
            assert lasts(connection) == by_name(connection)
        assert last_visits.last_counted_anew(connection) == last_visits.last_counts(connection)
        connection.exec_driver_sql("DELETE FROM camp_last")
        connection.exec_driver_sql(COUNTED)  # as the step of the tables fills it
        assert lasts(connection) == by_name(connection)
        everyone = [cast.athlete(number).id for number in range(1, 9)]
        found = standings.standings_of_athletes(connection, everyone)
        history = history_of(camps.camps(connection), found)
        for number in (1, 3, 5):
            slow = pair_counts(history, before=cast.camp(number).id)
            assert standings.pair_counts(connection, before=cast.camp(number)) == slow


def lasts(connection):
    """The kept counts of who stands how at her last camp, by rung and state."""
    kept = last_visits.last_counts(connection)
    return Counter({(rung, state): n for rung, states in kept.items() for state, n in states.items()})


def by_name(connection):
    """The same by the second way: gymnast by gymnast."""
    everybody = standings.latest_by_athlete(connection)
    return Counter((one.rung, one.state) for hers in everybody.values() for one in hers)


def groups(connection):
    """The counts for the tuck: (alone, shown) by group."""
    found = standings.pair_counts(connection)
    return dict(found[TUCK].counts) if TUCK in found else {}


def test_pairs_follow_when_a_camp_moves_to_another_day(book):
    with book.write() as connection:
        put(connection, (1, 1, TUCK, TRIED), (2, 1, TUCK, ALONE))
        assert groups(connection) == {Before.FIRST_CAMP: (0, 1), Before.TRIED: (1, 1)}
        earlier = replace(cast.camp(2), starts=date(2020, 1, 1), ends=date(2020, 1, 2))
        camps.change_camp(connection, earlier, at=datetime(2026, 1, 1, tzinfo=UTC))
        assert groups(connection) == {Before.FIRST_CAMP: (1, 1), Before.ALONE: (0, 1)}
        assert lasts(connection) == {(TUCK, TRIED): 1}


def test_pairs_follow_when_a_child_is_erased(book):
    with book.write() as connection:
        attempts.add_attempts(connection, [cast.attempt(1), cast.attempt(2, camp=cast.camp(2).id)])
        standings.rebuild_standings(connection, cast.last_word)
        assert groups(connection) == {Before.FIRST_CAMP: (1, 1), Before.ALONE: (1, 1)}
        assert lasts(connection) == {(TUCK, ALONE): 1}
        erasing.erase_athlete(connection, A)
        assert groups(connection) == {}
        assert lasts(connection) == {}
