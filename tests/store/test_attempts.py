"""Turns and withdrawals: written once, answered one by one, never changed."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from random import Random
from uuid import UUID

import pytest
from tests.store import cast

from loftbook.book.attempts import Withdrawal, in_force
from loftbook.ladder.scales import Help, Outcome
from loftbook.store import attempts
from loftbook.store.attempts import Verdict

pytestmark = pytest.mark.both_engines

CAMP, HER = cast.camp(1).id, cast.athlete(1).id


def verdicts(receipts):
    return [receipt.verdict for receipt in receipts]


def test_a_turn_comes_back_as_it_was_written(book):
    turns = (cast.attempt(1), cast.full_attempt(2))
    with book.write() as connection:
        assert verdicts(attempts.add_attempts(connection, turns)) == [Verdict.STORED] * 2
    with book.read() as connection:
        assert attempts.attempts_of_camp(connection, CAMP) == turns
        assert attempts.attempts_of_athlete(connection, HER) == turns
        assert attempts.attempts_by_id(connection, [turns[1].id]) == {turns[1].id: turns[1]}
        (_, full) = attempts.attempts_of_camp(connection, CAMP)
    assert isinstance(full.help, Help)  # and not only a number that equals one


def test_a_moment_keeps_its_instant_and_comes_back_in_utc(book):
    # Law: one instant, two clocks. Half past ten in India is five in the morning UTC.
    india = timezone(timedelta(hours=5, minutes=30))
    turn = cast.attempt(1, at=datetime(2025, 4, 5, 10, 30, 0, 1, tzinfo=india))
    with book.write() as connection:
        attempts.add_attempts(connection, [turn])
        (back,) = attempts.attempts_of_camp(connection, CAMP)
    assert back.at == turn.at
    assert (back.at.hour, back.at.microsecond, back.at.utcoffset()) == (5, 1, timedelta(0))


def test_turns_are_told_by_time_and_not_by_order_of_writing(book):
    early = datetime(999, 1, 1, tzinfo=UTC)  # a device whose clock is far off still sorts
    turns = [cast.attempt(3), cast.attempt(1), cast.attempt(2, at=early)]
    with book.write() as connection:
        attempts.add_attempts(connection, turns)
        found = attempts.attempts_of_camp(connection, CAMP)
    assert [turn.id for turn in found] == [turns[2].id, turns[1].id, turns[0].id]


def test_sending_twice_is_a_duplicate_and_another_content_a_conflict(book):
    turn = cast.full_attempt(1)
    other = replace(turn, note="something else")
    with book.write() as connection:
        attempts.add_attempts(connection, [turn])
    with book.write() as connection:
        receipts = attempts.add_attempts(connection, [turn, other])
        assert verdicts(receipts) == [Verdict.DUPLICATE, Verdict.CONFLICT]
        assert "new id" in receipts[1].why
        assert attempts.attempts_of_camp(connection, CAMP) == (turn,)


def test_the_same_turn_on_another_clock_is_still_a_duplicate(book):
    turn = cast.attempt(1)
    abroad = replace(turn, at=turn.at.astimezone(timezone(timedelta(hours=-7))))
    with book.write() as connection:
        assert verdicts(attempts.add_attempts(connection, [turn, abroad])) == [
            Verdict.STORED,
            Verdict.DUPLICATE,
        ]


def test_twice_in_one_batch(book):
    turn = cast.attempt(1)
    with book.write() as connection:
        receipts = attempts.add_attempts(connection, [turn, turn, replace(turn, note="x")])
    assert verdicts(receipts) == [Verdict.STORED, Verdict.DUPLICATE, Verdict.CONFLICT]


def test_what_cannot_stand_loses_nothing_else(book):
    nowhere, nobody = UUID(int=1), UUID(int=2)
    batch = [
        cast.attempt(1),
        cast.attempt(2, camp=nowhere),
        cast.attempt(3, athlete=nobody),
        cast.attempt(4, replaces=UUID(int=3)),
        cast.attempt(5, replaces=cast.attempt(5).id),
        cast.attempt(6, replaces=cast.attempt(2).id),
        cast.attempt(7, replaces=cast.attempt(6).id),
        cast.attempt(8, replaces=cast.attempt(9).id),  # a correction may come before what it corrects
        cast.attempt(9),
    ]
    with book.write() as connection:
        receipts = attempts.add_attempts(connection, batch)
        kept = attempts.attempts_of_camp(connection, CAMP, all=True)
    refused, stored = Verdict.REFUSED, Verdict.STORED
    assert verdicts(receipts) == [stored, *[refused] * 6, stored, stored]
    assert all(receipt.why for receipt in receipts if receipt.verdict is refused)
    assert [turn.id for turn in kept] == [cast.attempt(1).id, cast.attempt(8).id, cast.attempt(9).id]
    assert book.damage() == ()


def test_withdrawals_are_answered_in_the_same_way(book):
    turn = cast.attempt(1)
    gone = Withdrawal(UUID(int=1), turn.id, "Coach Q", turn.at, "wrong child")
    with book.write() as connection:
        attempts.add_attempts(connection, [turn])
        batch = [gone, gone, replace(gone, reason="x"), replace(gone, id=UUID(int=2), attempt=UUID(int=3))]
        expected = [Verdict.STORED, Verdict.DUPLICATE, Verdict.CONFLICT, Verdict.REFUSED]
        assert verdicts(attempts.add_withdrawals(connection, batch)) == expected
        assert attempts.withdrawals_of(connection, [turn.id]) == (gone,)
        assert attempts.attempts_of_camp(connection, CAMP) == ()
        assert attempts.attempts_of_camp(connection, CAMP, all=True) == (turn,)


def test_a_correction_for_another_child_takes_the_turn_from_the_first(book):
    first = cast.attempt(1)
    right = cast.attempt(2, athlete=cast.athlete(2).id, replaces=first.id)
    with book.write() as connection:
        attempts.add_attempts(connection, [first, right])
        assert attempts.attempts_of_athlete(connection, HER) == ()
        assert attempts.attempts_of_athlete(connection, HER, all=True) == (first,)
        assert attempts.attempts_of_camp(connection, CAMP, [HER]) == ()
        assert attempts.attempts_of_camp(connection, CAMP, [HER, cast.athlete(2).id]) == (right,)


@pytest.mark.parametrize("seed", range(5))
def test_the_database_and_the_book_agree_on_what_counts(book, seed):
    """Second method: the rule for values in `book.attempts`, against the rule in SQL."""
    chance = Random(seed)
    turns, withdrawals = [], []
    for number in range(80):
        earlier = chance.choice(turns).id if turns and chance.random() < 0.4 else None
        who = cast.athlete(chance.randint(1, 3)).id
        turns.append(
            cast.attempt(number, athlete=who, outcome=chance.choice(list(Outcome)), replaces=earlier)
        )
        if chance.random() < 0.2:
            withdrawn = chance.choice(turns)
            withdrawals.append(Withdrawal(UUID(int=number), withdrawn.id, "Coach Q", withdrawn.at))
    with book.write() as connection:
        attempts.add_attempts(connection, turns)
        attempts.add_withdrawals(connection, withdrawals)
        assert attempts.attempts_of_camp(connection, CAMP) == in_force(turns, withdrawals)


def test_the_fingerprint_leaves_out_what_was_not_written():
    """Recorded: a later field that is empty must not make an old record look changed."""
    assert attempts.digest_of(cast.attempt(1)) == attempts.digest_of(cast.attempt(1, note="", marks={}))
    assert attempts.digest_of(cast.attempt(1)) != attempts.digest_of(cast.attempt(1, marks={"lift": 1}))
