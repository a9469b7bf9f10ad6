"""Letting devices in: once, for five minutes, for one role; out at once; nothing secret in the book."""

import json
from datetime import timedelta

import pytest
from tests.desk import gym

from loftbook.book.access import Role
from loftbook.book.devices import Pairing
from loftbook.desk import devices
from loftbook.desk.opening import open_desk
from loftbook.desk.sheet import Who, day_sheet, earlier_for
from loftbook.desk.sync import Batch, take_in
from loftbook.errors import Refused
from loftbook.store.people import Born, add_facts


@pytest.fixture
def clock():
    return gym.Clock()


@pytest.fixture
def desk(clock, tmp_path):
    desk = gym.gym_desk(clock, book=str(tmp_path / "a.book"))
    yield desk
    desk.store.close()


def test_a_code_lets_one_device_in_once(desk):
    ticket = devices.offer(desk, Pairing(Role.ENTRY, rater="Coach Q", name="tablet 1"))
    let = devices.let_in(desk, code=f" {ticket.code.lower()} ")
    assert devices.device_of(desk, let.token).name == "tablet 1"
    for again in ({"code": ticket.code}, {"secret": ticket.secret}, {"code": ""}, {"secret": "x"}):
        with pytest.raises(Refused, match="wrong, was used, or is older"):
            devices.let_in(desk, **again)


def test_a_code_is_over_after_five_minutes(desk, clock):
    ticket = devices.offer(desk, Pairing(Role.ENTRY))
    clock.go(minutes=5)
    with pytest.raises(Refused):
        devices.let_in(desk, secret=ticket.secret)


def test_shut_out_is_at_once_and_a_device_is_over_after_ninety_days(desk, clock):
    token = devices.let_in(desk, secret=devices.offer(desk, Pairing(Role.READ)).secret).token
    clock.go(days=89)
    assert devices.device_of(desk, token).stands(clock())
    clock.go(days=1)
    assert not devices.device_of(desk, token).stands(clock())
    token = devices.let_in(desk, secret=devices.offer(desk, Pairing(Role.READ)).secret).token
    devices.shut_out(desk, devices.device_of(desk, token).id)
    assert not devices.device_of(desk, token).stands(clock())


def test_a_device_that_another_program_shuts_out_is_out_at_the_next_glance(tmp_path, clock):
    """As `loftbook serve` and a second program on the same file; a glance reads the row, and keeps nothing."""
    serving, other = (open_desk(tmp_path / "camp.book", clock=clock) for _ in range(2))
    token = devices.let_in(serving, secret=devices.offer(serving, Pairing(Role.READ)).secret).token
    seen = devices.device_at_once(serving, token)
    assert seen == devices.device_of(serving, token)
    assert devices.device_at_once(serving, token + "x") is None
    devices.shut_out(other, seen.id)
    assert not devices.device_at_once(serving, token).stands(clock())
    with other.store.write():  # a writer holds nobody up who only glances
        assert devices.device_at_once(serving, token).id == seen.id
    for desk in (serving, other):
        desk.store.close()


def test_a_book_that_is_in_no_file_is_never_glanced_at():
    desk = open_desk(":memory:")
    with pytest.raises(BlockingIOError):
        devices.device_at_once(desk, "a token")
    desk.store.close()


def test_guests_only_where_they_are_allowed_only_for_entry_and_for_a_day(desk, clock):
    def guest(role):
        return devices.let_in(desk, secret=devices.offer(desk, Pairing(role)).secret, guest=True)

    with pytest.raises(Refused, match="certificate"):
        guest(Role.ENTRY)
    devices.allow_guests(desk, allowed=True)
    for role in (Role.READ, Role.HEAD_COACH):
        with pytest.raises(Refused, match="others can read"):
            guest(role)
    one = guest(Role.ENTRY)
    assert one.device.until - clock() == timedelta(hours=18)
    devices.allow_guests(desk, allowed=False)
    assert not devices.device_of(desk, one.token).stands(clock())


def test_no_secret_is_in_the_file_of_the_book(desk):
    ticket = devices.offer(desk, Pairing(Role.ENTRY))
    token = devices.let_in(desk, secret=devices.offer(desk, Pairing(Role.ENTRY)).secret).token
    devices.set_phrase(desk, "four quite unlikely words")
    desk.store.tidy()
    held = desk.store.path.read_bytes()
    for secret in (ticket.secret, ticket.code.replace("-", ""), token, "four quite unlikely words"):
        assert secret.encode() not in held
    assert b"$argon2id$" in held


def test_the_pass_phrase(desk):
    assert not devices.has_phrase(desk)
    with pytest.raises(Refused, match="8 to 500"):
        devices.set_phrase(desk, "short")
    devices.set_phrase(desk, "four quite unlikely words")
    assert devices.has_phrase(desk)
    assert devices.is_phrase(desk, "four quite unlikely words")
    for wrong in ("", "Four quite unlikely words", "x" * 10_000):
        assert not devices.is_phrase(desk, wrong)
    devices.set_phrase(desk, "")
    assert not devices.has_phrase(desk)


# What a device sees ---------------------------------------------------------------------


def test_the_sheet_holds_first_names_numbers_and_rungs_and_nothing_else_of_a_child(desk):
    with desk.store.write() as connection:
        add_facts(connection, {gym.CHILDREN[0]: [Born(gym.STARTS.date().replace(year=2014))]})
    old = gym.attempt(1, camp=str(gym.OTHER_CAMP), note="secret of the last camp", at="2025-10-13T09:00:00Z")
    others = gym.attempt(2, note="another tablet's note")
    take_in(desk, Batch([old, others]))
    device = devices.let_in(
        desk, secret=devices.offer(desk, Pairing(Role.ENTRY, camp=gym.CAMP)).secret
    ).device
    take_in(desk, Batch([gym.attempt(3, turn=2, note="my own note")], device=device))
    sheet = day_sheet(desk, Who(device))
    assert [set(child) for child in sheet["athletes"]] == [{"id", "name", "bib"}] * 4
    assert sheet["athletes"][0]["name"] == "Given0"
    text = json.dumps(sheet)
    for hidden in ("Family", "2014", "secret of the last camp", "another tablet's note"):
        assert hidden not in text
    assert [record["note"] for record in sheet["mine"]] == ["my own note"]
    assert sheet["turns"] == {str(gym.CHILDREN[0]): {gym.RUNGS[0]: 2}}


def test_a_record_of_the_sheet_is_the_record_that_was_sent(desk):
    """A browser that lost its memory gets its own records back and can send them: nothing is doubled."""
    device = devices.let_in(desk, secret=devices.offer(desk, Pairing(Role.ENTRY)).secret).device
    sent = gym.attempt(
        1, marks={"lift": 2}, rotation="on", note="n", take_off="trampoline", landing="soft_flat_mat"
    )
    take_in(desk, Batch([sent], device=device))
    mine = day_sheet(desk, Who(device))["mine"]
    assert {key: value for key, value in mine[0].items() if value not in ("", None, False)} == sent | {
        "at": mine[0]["at"]
    }


def test_a_second_rater_sees_no_mark_and_no_count_of_the_first(desk):
    take_in(desk, Batch([gym.attempt(1), gym.attempt(2, turn=2)]))
    device = devices.let_in(desk, secret=devices.offer(desk, Pairing(Role.ENTRY, second=True)).secret).device
    sheet = day_sheet(desk, Who(device))
    assert (sheet["turns"], sheet["mine"], sheet["device"]["second"]) == ({}, [], True)


def test_the_camp_before_is_shown_once_this_device_has_marked(desk):
    old = gym.attempt(1, camp=str(gym.OTHER_CAMP), at="2025-10-13T09:00:00Z", note="before")
    take_in(desk, Batch([old, gym.attempt(2)]))  # another device has marked her
    device = devices.let_in(desk, secret=devices.offer(desk, Pairing(Role.ENTRY)).secret).device
    asked = {"camp": gym.CAMP, "athlete": gym.CHILDREN[0], "rung": gym.RUNGS[0]}
    assert not earlier_for(desk, Who(device), **asked, private=True).shown
    take_in(desk, Batch([gym.attempt(3, turn=2)], device=device))
    found = earlier_for(desk, Who(device), **asked, private=True)
    assert [a.note for a in found.attempts] == ["before"]
    assert not earlier_for(desk, Who(device), **asked, private=False).shown
