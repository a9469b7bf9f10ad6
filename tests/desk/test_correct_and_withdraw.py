"""Corrections and withdrawals are new facts: nothing is lost, and where she stands follows."""

from dataclasses import fields, replace
from datetime import timedelta
from uuid import UUID

import pytest
from tests.desk import cast
from tests.desk.cast import PIKE, TUCK, counts, payload, write

from loftbook.book.entries import entry_of
from loftbook.desk.answers import athlete_answer, camp_answer
from loftbook.desk.entry import entry_sheet, withdraw, write_entries, write_entry
from loftbook.desk.standing import remake_all
from loftbook.errors import Refused, UnknownThing
from loftbook.insight.standing import State
from loftbook.store import attempts

pytestmark = pytest.mark.both_engines


def states(made, camp=None):
    rows = camp_answer(made.desk, (camp or made.today).id).standings
    return {(s.athlete, s.rung): s.state for s in rows}


def written(made, who=None, **changes) -> UUID:
    entry = payload(made.today, who or made.mira, **changes)
    write(made.desk, entry)
    return entry.id


def test_a_correction_counts_and_the_first_stays_readable(made):
    first = written(made, outcome="tried", rotation="short")
    second = written(made, replaces=first)
    assert states(made)[made.mira, TUCK] is State.ALONE
    column = athlete_answer(made.desk, made.mira).columns[-1]
    assert [turn.id for turn in column.attempts[TUCK]] == [second]
    assert [turn.id for turn in column.replaced[TUCK]] == [first]
    assert counts(made.desk)["attempt"] == 2


def test_a_correction_of_a_correction(made):
    first = written(made)
    second = written(made, replaces=first, outcome="tried", help="hand_light")
    third = written(made, replaces=second, help="belt_light")
    column = athlete_answer(made.desk, made.mira).columns[-1]
    assert [turn.id for turn in column.attempts[TUCK]] == [third]
    assert {turn.id for turn in column.replaced[TUCK]} == {first, second}
    assert states(made)[made.mira, TUCK] is State.HELPED


def test_corrections_that_come_in_one_batch_before_what_they_correct(made):
    """A device sends what it has, in any order."""
    first = payload(made.today, made.mira, outcome="tried")
    second = payload(made.today, made.mira, replaces=first.id)
    assert [w.status for w in write_entries(made.desk, (second, first))] == ["stored", "stored"]
    assert states(made)[made.mira, TUCK] is State.ALONE


def test_written_for_the_wrong_child_and_put_right(made):
    """Both children's standings follow: hers appears, the other's goes."""
    wrong = written(made, who=made.noa)
    written(made, who=made.mira, replaces=wrong)
    assert states(made) == {(made.mira, TUCK): State.ALONE}


def test_written_on_the_wrong_rung_and_put_right(made):
    wrong = written(made, rung=PIKE)
    written(made, replaces=wrong)
    assert states(made) == {(made.mira, TUCK): State.ALONE}


def test_a_withdrawal_counts_and_the_turn_stays_readable(made):
    turn = written(made)
    fact = withdraw(made.desk, turn, by="H. Alder", reason="other child")
    assert states(made) == {}
    column = next(c for c in athlete_answer(made.desk, made.mira).columns if c.camp.id == made.today.id)
    assert (column.attempts, [t.id for t in column.replaced[TUCK]]) == ({}, [turn])
    with made.desk.store.read() as connection:
        assert attempts.withdrawals_of(connection, [turn]) == (fact,)


def test_one_of_two_turns_withdrawn_leaves_the_other(made):
    good = written(made)
    written(made, outcome="tried", at=payload(made.today, made.mira).at + timedelta(minutes=5))
    withdraw(made.desk, good, by="H. Alder")
    assert states(made)[made.mira, TUCK] is State.TRIED


def test_a_correction_taken_back_does_not_bring_the_first_to_life(made):
    first = written(made)
    second = written(made, replaces=first, outcome="tried")
    withdraw(made.desk, second, by="H. Alder")
    assert states(made) == {}


def test_taking_back_what_is_not_there_is_a_sentence(made):
    with pytest.raises(UnknownThing, match="reload the page"):
        withdraw(made.desk, UUID(int=7), by="H. Alder")


def test_two_who_correct_the_same_turn_clash_and_neither_is_chosen(made):
    first = written(made)
    one = written(made, replaces=first, outcome="tried", rater="H. Alder")
    other = written(made, replaces=first, help="belt_light", rater="T. Hazel")
    (clash,) = camp_answer(made.desk, made.today.id).clashes
    assert clash.original == first
    assert {turn.id for turn in clash.corrections} == {one, other}
    withdraw(made.desk, other, by="H. Alder", reason="the head coach chose")
    assert camp_answer(made.desk, made.today.id).clashes == ()
    assert states(made)[made.mira, TUCK] is State.TRIED


def test_the_facts_alone_give_the_same_standings_again(made):
    first = written(made, outcome="tried")
    written(made, replaces=first)
    withdraw(made.desk, written(made, who=made.noa), by="H. Alder")
    write(made.desk, payload(made.autumn, made.mira, PIKE), payload(made.spring, made.noa))
    before = [states(made, camp) for camp in (made.spring, made.autumn, made.today)]
    assert remake_all(made.desk) == 3
    assert [states(made, camp) for camp in (made.spring, made.autumn, made.today)] == before


def test_a_refused_correction_changes_nothing(made):
    first = written(made)
    assert (
        write_entry(made.desk, payload(made.today, made.mira, replaces=first, help="angel")).status
        == "refused"
    )
    assert states(made)[made.mira, TUCK] is State.ALONE


def test_a_correction_cannot_reach_into_another_camp(made):
    """What was seen in spring stays, whatever is sent at today's camp."""
    then = payload(made.spring, made.noa)
    write(made.desk, then)
    sent = write_entry(made.desk, payload(made.today, made.mira, replaces=then.id))
    assert (sent.status, "another camp" in sent.why) == ("refused", True)
    assert states(made, made.spring) == {(made.noa, TUCK): State.ALONE}
    assert states(made) == {}


def test_taking_back_twice_is_once(made):
    turn = written(made)
    first = withdraw(made.desk, turn, by="H. Alder")
    assert withdraw(made.desk, turn, by="somebody else") == first


def test_a_turn_of_another_child_is_not_taken_back(made):
    turn = written(made)
    with pytest.raises(Refused, match="another child"):
        withdraw(made.desk, turn, by="H. Alder", place=(made.today.id, made.noa))
    assert states(made)[made.mira, TUCK] is State.ALONE


def test_a_turn_that_was_taken_back_does_not_come_back_by_a_correction(made):
    turn = written(made)
    withdraw(made.desk, turn, by="H. Alder")
    answer = write_entry(made.desk, payload(made.today, made.mira, replaces=turn))
    assert answer.status == "refused"
    assert "taken back" in answer.why
    assert states(made) == {}


def test_a_correction_sent_again_after_its_turn_was_taken_back_is_a_duplicate(made):
    turn = written(made)
    again = payload(made.today, made.mira, replaces=turn, outcome="tried")
    assert write_entry(made.desk, again).status == "stored"
    withdraw(made.desk, turn, by="H. Alder")
    assert write_entry(made.desk, again).status == "duplicate"


def test_an_attempt_written_anew_says_all_that_it_said(made):
    """Field by field against the attempt itself: nothing is lost but the number, and what it replaces."""
    rich = payload(
        made.today, made.mira, marks={"lift": 2}, note="late set", landing="floor", turn=2, second=True
    )
    write(made.desk, rich)
    (turn,) = entry_sheet(made.desk, made.today.id).entered[made.mira, TUCK]
    again = entry_of(turn, id=cast.same_fact("again"), replaces=turn.id)
    assert again == replace(
        rich, id=again.id, replaces=turn.id, take_off="trampoline", source=again.source, device=again.device
    )
    (stored,) = write(made.desk, again)
    said = {one.name for one in fields(turn)} - {"id", "replaces"}
    assert {name: getattr(stored.attempt, name) for name in said} == {
        name: getattr(turn, name) for name in said
    }
