"""What devices send: one answer for each record, whatever is in it; nothing lost, nothing doubled, a plain sentence."""

import json
from datetime import UTC, datetime, timedelta
from threading import Barrier, Thread
from uuid import UUID

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.desk import gym

from loftbook.book.records import digest_of_record, read_record
from loftbook.desk.clashes import open_clashes
from loftbook.desk.intake import Intake
from loftbook.desk.sent_words import sent_in_words
from loftbook.desk.standing import up_to_date
from loftbook.desk.sync import MOST_RECORDS, Batch, take_in
from loftbook.desk.waiting_file import take_in_file
from loftbook.errors import BookFileError, Refused
from loftbook.ladder.scales import Landing, Outcome
from loftbook.store import attempts, received, schema, standings
from loftbook.store.erasing import erase_athlete


@pytest.fixture
def clock():
    return gym.Clock()


@pytest.fixture
def desk(clock):
    desk = gym.gym_desk(clock)
    yield desk
    desk.store.close()


def inside(desk, camp=gym.CAMP):
    with desk.store.read() as connection:
        return attempts.attempts_of_camp(connection, camp)


def statuses(desk, records, **more):
    return [answer.status for answer in take_in(desk, Batch(records, **more)).answers]


@pytest.mark.both_engines
def test_a_batch_in_any_order_is_kept_once(desk):
    first, wrong = gym.attempt(1), gym.attempt(2, turn=2)
    right = gym.attempt(3, turn=2, outcome="tried", help="", replaces=wrong["id"])
    back = gym.withdrawal(4, right["id"])
    assert statuses(desk, [back, right, first, wrong]) == ["stored"] * 4
    assert [str(a.id) for a in inside(desk)] == [first["id"]]
    assert statuses(desk, [wrong, first, right, back]) == ["duplicate"] * 4


@pytest.mark.both_engines
def test_what_a_correction_needs_may_come_in_a_later_batch(desk):
    right = gym.attempt(2, replaces=gym.attempt(1)["id"])
    answer = take_in(desk, Batch([right])).answers[0]
    assert (answer.status, answer.again) == ("refused", True)
    assert "Send that one first" in answer.why
    assert statuses(desk, [gym.attempt(1), right]) == ["stored", "stored"]
    assert len(inside(desk)) == 1


@pytest.mark.both_engines
def test_two_records_that_correct_each_other_are_both_refused(desk):
    """Both in force would be false, neither in force would lose two results."""
    one, other = gym.attempt(1), gym.attempt(2)
    batch = [one | {"replaces": other["id"]}, other | {"replaces": one["id"]}]
    assert statuses(desk, batch) == ["refused", "refused"]


@pytest.mark.both_engines
def test_an_id_used_again_with_other_content_overwrites_nothing(desk):
    assert statuses(desk, [gym.attempt(1)]) == ["stored"]
    answer = take_in(
        desk, Batch([gym.attempt(1, outcome="tried", help="belt_slack", landing="soft_flat_mat")])
    ).answers[0]
    assert answer.status == "conflict"
    assert "kept for the head coach" in answer.why
    assert [a.outcome.value for a in inside(desk)] == ["did_it"]
    kept = open_clashes(desk, gym.CAMP).aside[0]
    assert (kept.row.record["outcome"], kept.stands.outcome.value) == ("tried", "did_it")
    # The head coach reads the ladder's words, not the keys of a file.
    said = dict(kept.said)
    assert (said["rung"], said["help"]) == (desk.ladder.rung(gym.RUNGS[0]).name, "belt, slack")
    assert (said["result"], said["onto"]) == (Outcome.TRIED.words, Landing.SOFT_FLAT_MAT.words)
    assert not any("_" in word or word == str(gym.CAMP) for row in kept.said for word in row)


@pytest.mark.both_engines
def test_what_nobody_can_read_is_shown_as_it_was_sent(desk):
    strange = gym.attempt(2, rung="dance", help=7, marks=["a"], at="noon", who_knows=True)
    told = dict(sent_in_words(strange, desk.ladder, {}))
    assert (told["rung"], told["help"], told["marks"], told["who knows"]) == ("dance", "7", "['a']", "True")
    assert told["by the device’s clock"] == "noon"
    assert sent_in_words("no record", desk.ladder, {}) == (("sent", "no record"),)


def test_what_is_left_empty_does_not_make_another_record(desk):
    empty = {"note": "", "marks": {}, "replaces": None, "second": False, "rotation": ""}
    assert statuses(desk, [gym.attempt(1), gym.attempt(1) | empty]) == ["stored", "duplicate"]


@pytest.mark.both_engines
def test_a_turn_that_was_another_childs_moves_with_its_correction(desk):
    wrong = gym.attempt(1)
    batch = [wrong, gym.attempt(2, athlete=str(gym.CHILDREN[1]), replaces=wrong["id"])]
    assert statuses(desk, batch) == ["stored", "stored"]
    with up_to_date(desk) as connection:
        here = standings.standings_of_camp(connection, gym.CAMP)
    assert [one.athlete for one in here] == [gym.CHILDREN[1]]


def test_a_correction_of_another_camp_is_refused(desk):
    wrong = gym.attempt(1)
    answers = take_in(
        desk, Batch([wrong, gym.attempt(2, camp=str(gym.OTHER_CAMP), replaces=wrong["id"])])
    ).answers
    assert [a.status for a in answers] == ["stored", "refused"]
    assert "another camp" in answers[1].why


@pytest.mark.parametrize(
    ("record", "word"),
    [
        (gym.attempt(1, athlete=str(UUID(int=9))), "nobody of that number"),
        (gym.attempt(1, camp=str(UUID(int=9))), "no such camp"),
        (gym.attempt(1, rung="triple"), "triple"),
        (gym.attempt(1, help=""), "without the help"),
        (gym.attempt(1, second=True, turn=None), "number of the turn"),
        (gym.attempt(1, turn=2**70), "as turn"),
        (gym.attempt(1, turn=True), "as turn"),
        (gym.attempt(1, marks={"lift": 2**70}), "as marks"),
        (gym.attempt(1, marks={"weight": 1}), "weight"),
        (gym.attempt(1, note="x" * 2001), "2000 letters"),
        (gym.attempt(1, note="\ud800"), "written down"),
        (gym.attempt(1, note="a\x00b"), "written down"),
        (gym.attempt(1, at="yesterday"), "time with its zone"),
        (gym.attempt(1, at="2026-04-11T09:00:00"), "time with its zone"),
        (gym.attempt(1, id="7"), "as id"),
        (gym.attempt(1, weight=40), "does not know"),
        (gym.attempt(1) | {"kind": "photo"}, "attempt or withdrawal"),
        (gym.attempt(1, note="y" * 30_000), "Shorten"),
        (gym.withdrawal(1, str(UUID(int=5))), "takes back"),
        (gym.withdrawal(1, str(UUID(int=5)), by=" "), "who takes it back"),
        ({}, "attempt or withdrawal"),
        (None, "named fields"),
        ([1, 2], "named fields"),
        ("text", "named fields"),
        (10**30, "named fields"),
    ],
)
def test_a_record_that_cannot_stand_gets_a_sentence_and_loses_no_other(desk, record, word):
    answers = take_in(desk, Batch([gym.attempt(50), record, gym.attempt(51, turn=2)])).answers
    assert [a.status for a in answers] == ["stored", "refused", "stored"]
    assert word in answers[1].why
    assert answers[1].why.endswith(".")
    with desk.store.read() as connection:
        assert len(received.aside(connection)) == (0 if answers[1].again else 1)


junk = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(st.sampled_from([*sorted(gym.attempt(1)), "marks", "note", "second", "replaces"]), junk)
)
def test_junk_in_any_field_is_answered(changes):
    desk = _one_desk()
    record = gym.attempt(1) | changes
    answer = take_in(desk, Batch([record, record])).answers
    assert {a.status for a in answer} <= {"stored", "duplicate", "conflict", "refused"}
    assert all(a.why for a in answer if a.status == "refused")


def _one_desk(made=[]):  # noqa: B006  one book for all examples
    if not made:
        made.append(gym.gym_desk())
    return made[0]


@given(junk)
def test_reading_and_fingerprints_stand_anything(sent):
    read_record(sent)
    assert digest_of_record(sent) == digest_of_record(sent)


# Clocks -------------------------------------------------------------------------------


@pytest.mark.both_engines
def test_a_clock_that_is_three_hours_behind_is_put_right(desk, clock):
    """The device says 6:10 for what it sends at 6:12, when the laptop says 9:12: it was seen at 9:10."""
    clock.now = datetime(2026, 4, 11, 9, 12, tzinfo=UTC)
    record = gym.attempt(1, at="2026-04-11T06:10:00Z")
    taken = take_in(desk, Batch([record], sent_at=datetime(2026, 4, 11, 6, 12, tzinfo=UTC)))
    assert inside(desk)[0].at == datetime(2026, 4, 11, 9, 10, tzinfo=UTC)
    assert "3 hours behind" in taken.skew.why
    with desk.store.read() as connection:
        row = connection.execute(sa.select(schema.received)).one()
    assert row.said_at == datetime(2026, 4, 11, 6, 10, tzinfo=UTC)
    assert row.at == datetime(2026, 4, 11, 9, 12, tzinfo=UTC)
    assert "shifted by 10800 s" in row.clock


def test_a_clock_in_1970_that_was_set_before_sending(desk, clock):
    record = gym.attempt(1, at="1970-01-01T00:03:00Z")
    take_in(desk, Batch([record], sent_at=clock()))
    assert inside(desk)[0].at == clock()


def test_a_clock_in_1970_keeps_the_order_of_turns(desk, clock):
    said = [f"1970-01-01T00:0{minute}:00Z" for minute in (1, 2, 3)]
    records = [gym.attempt(n, at=at, turn=n + 1) for n, at in enumerate(said)]
    take_in(desk, Batch(records[::-1], sent_at=datetime(1970, 1, 1, 0, 5, tzinfo=UTC)))
    assert [a.turn for a in inside(desk)] == [1, 2, 3]
    assert inside(desk)[0].at == clock() - timedelta(minutes=4)


@pytest.mark.parametrize("at", ["0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z", "2041-01-01T00:00:00+14:00"])
def test_the_ends_of_time(desk, clock, at):
    assert statuses(desk, [gym.attempt(1, at=at)], sent_at=datetime(1, 1, 2, tzinfo=UTC)) == ["stored"]
    assert inside(desk)[0].at <= clock()


def test_a_device_that_comes_back_two_days_later(desk, clock):
    seen = clock()
    clock.go(days=2)
    assert statuses(desk, [gym.attempt(1, at=seen.isoformat())], sent_at=clock()) == ["stored"]
    assert inside(desk)[0].at == seen


# Files ----------------------------------------------------------------------------------


def waiting(records, **more):
    return json.dumps({"kind": "loftbook-waiting", "version": 1, "records": records} | more).encode()


@pytest.mark.both_engines
def test_a_file_and_the_network_are_one_path(desk):
    records = [gym.attempt(1), gym.attempt(2, turn=2)]
    assert statuses(desk, records[:1]) == ["stored"]
    assert take_in_file(desk, waiting(records), "a.json").counts == {
        "stored": 1,
        "duplicate": 1,
        "conflict": 0,
        "refused": 0,
    }
    assert statuses(desk, records) == ["duplicate"] * 2
    assert len(inside(desk)) == 2


def test_ten_thousand_records_in_one_file_in_the_worst_order(desk):
    """A chain of corrections that stands backwards, over twenty portions; and the same file once more."""
    records = [gym.attempt(0)]
    for number in range(1, 2000):
        records.append(gym.attempt(number, replaces=records[-1]["id"]))
    for number in range(2000, 10_000):
        child = gym.CHILDREN[number % 4]
        records.append(
            gym.attempt(number, athlete=str(child), rung=gym.RUNGS[number % 3], turn=number % 900 + 1)
        )
    data = waiting(records[::-1])
    assert take_in_file(desk, data, "all.json").counts["stored"] == 10_000
    assert take_in_file(desk, data, "all.json").counts["duplicate"] == 10_000
    assert len(inside(desk)) == 8001


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "cannot be read"),
        (b"{", "ends in the middle"),
        (b"\xff\xfe", "cannot be read"),
        (b"[" * 100_000, "cannot be read"),
        (b'{"kind": "other", "records": []}', "another kind"),
        (b'{"kind": "loftbook-waiting"}', "without a list"),
        (b"7", "without a list"),
        (json.dumps([None] * 10_001).encode(), "10001 records"),
        (b"[" + b"9" * 5000 + b"]", "cannot be read"),
    ],
)
def test_a_file_that_is_none_of_ours(desk, data, word):
    with pytest.raises(Refused, match=word):
        take_in_file(desk, data, "a.json")


def test_a_batch_that_is_too_long_is_answered_for_each(desk):
    answers = take_in(
        desk, Batch([gym.attempt(n, turn=n % 900 + 1) for n in range(MOST_RECORDS + 1)])
    ).answers
    assert [a.status for a in answers[-2:]] == ["stored", "refused"]


# Many at once, and faults inside ------------------------------------------------------------


def test_many_threads_at_once_each_get_their_own_answers(tmp_path):
    desk = gym.gym_desk(book=str(tmp_path / "a.book"))
    intake, ready, answers = Intake(desk), Barrier(20), {}

    def send(number):
        ready.wait()
        answers[number] = intake.take_in(
            Batch([gym.attempt(number, turn=number + 1), gym.attempt(99, turn=99)])
        )

    threads = [Thread(target=send, args=(number,)) for number in range(20)]
    [thread.start() for thread in threads]
    [thread.join() for thread in threads]
    assert {number: taken.answers[0].status for number, taken in answers.items()} == dict.fromkeys(
        range(20), "stored"
    )
    assert sorted(taken.answers[1].status for taken in answers.values()) == ["duplicate"] * 19 + ["stored"]
    assert len(inside(desk)) == 21
    desk.store.close()


@pytest.mark.both_engines
def test_a_fault_in_the_middle_writes_nothing_and_is_told_to_each(desk, monkeypatch):
    """The disk fills up while a batch is written: the device gets no answer, and sends all of it again."""

    def full(*_):
        raise BookFileError("The book does not fit: the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr("loftbook.store.standings.fall_behind", full)
        with pytest.raises(BookFileError):
            Intake(desk).take_in(Batch([gym.attempt(1)]))
    assert inside(desk) == ()
    assert statuses(desk, [gym.attempt(1)]) == ["stored"]


def test_a_child_who_is_erased_leaves_nothing_in_what_devices_sent(desk):
    statuses(desk, [gym.attempt(1), gym.attempt(1, note="other"), gym.withdrawal(2, gym.attempt(1)["id"])])
    with desk.store.write() as connection:
        gone = erase_athlete(connection, gym.CHILDREN[0])
        assert (gone["received"], gone["set_aside"]) == (2, 1)
        assert received.aside(connection) == ()
