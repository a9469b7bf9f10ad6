"""Writing a result: kept once, refused with a sentence, never overwritten; five blanks, none a failure."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from tests.desk.cast import COACH, NOW, OPEN, PIKE, TUCK, blank, counts, everything, payload, write

from loftbook.desk.answers import camp_answer
from loftbook.desk.entry import entry_sheet, new_id, write_entries, write_entry
from loftbook.insight.standing import State
from loftbook.ladder.scales import Help, Landing, TakeOff

pytestmark = pytest.mark.both_engines


def standing(made, who, rung=TUCK, camp=None):
    rows = camp_answer(made.desk, (camp or made.today).id).standings
    return next((s for s in rows if s.athlete == who and s.rung == rung), None)


def test_it_works(made):
    entry = payload(made.today, made.mira, marks={"lift": 3, "hands": 2}, note="saw the bed")
    written = write_entry(made.desk, entry)
    assert (written.status, written.why) == ("stored", "")
    (turn,) = entry_sheet(made.desk, made.today.id).entered[made.mira, TUCK]
    assert turn == written.attempt
    assert (turn.help, turn.take_off, turn.landing) == (
        Help.NOBODY_IN,
        TakeOff.TRAMPOLINE,
        Landing.SOFT_FLAT_MAT,
    )
    assert (dict(turn.marks), turn.note, turn.rater) == ({"lift": 3, "hands": 2}, "saw the bed", COACH)
    assert turn.edition == made.today.edition
    assert standing(made, made.mira).state is State.ALONE


def test_the_same_entry_twice_is_one_result(made):
    entry = payload(made.today, made.mira)
    write_entry(made.desk, entry)
    before = everything(made.desk)
    assert write_entry(made.desk, entry).status == "duplicate"
    assert everything(made.desk) == before
    assert [w.status for w in write_entries(made.desk, (entry, entry))] == ["duplicate", "duplicate"]


def test_the_same_number_with_something_else_overwrites_nothing(made):
    entry = payload(made.today, made.mira)
    write_entry(made.desk, entry)
    before = everything(made.desk)
    written = write_entry(made.desk, replace(entry, outcome="tried"))
    assert written.status == "conflict"
    assert "send a correction with a new id" in written.why
    assert everything(made.desk) == before


UNKNOWN = UUID(int=5)
REFUSED = [
    ({"rung": "double_dream"}, "double_dream"),
    ({"outcome": "won"}, "won"),
    ({"outcome": ""}, "no outcome"),
    ({"help": ""}, "without the help she had"),
    ({"help": "angel"}, "angel"),
    ({"take_off": "moon"}, "moon"),
    ({"landing": "lava"}, "lava"),
    ({"rotation": "sideways"}, "sideways"),
    ({"marks": {"charm": 3}}, "charm"),
    ({"marks": {"lift": 4}}, "1, 2 or 3"),
    ({"marks": {"lift": True}}, "1, 2 or 3"),
    ({"marks": {"lift": 2.5}}, "1, 2 or 3"),
    ({"rater": " "}, "no name of who saw it"),
    ({"note": "x" * 2001}, "2001 characters"),
    ({"note": "a\x00b"}, "cannot be written down"),
    ({"device": "\ud83e"}, "cannot be written down"),
    ({"at": datetime(2026, 4, 11, 10)}, "without a time zone"),  # noqa: DTZ001 - that is the mistake
    ({"at": NOW + timedelta(days=2)}, "in the future"),
    ({"at": datetime(2013, 1, 1, tzinfo=UTC)}, "born on 2014-05-01"),
    ({"camp": UNKNOWN}, "no camp"),
    ({"athlete": UNKNOWN}, "nobody"),
    ({"replaces": UNKNOWN}, "not in the book"),
]


@pytest.mark.parametrize(("changes", "said"), REFUSED)
def test_what_cannot_stand_is_a_sentence_and_loses_no_other(made, changes, said):
    bad = replace(payload(made.today, made.mira, PIKE), **changes)
    good = payload(made.today, made.noa)
    refused, stored = write_entries(made.desk, (bad, good))
    assert (refused.status, stored.status) == ("refused", "stored")
    assert said in refused.why
    assert refused.why.endswith(".")
    assert refused.why[0].isupper()
    assert counts(made.desk)["attempt"] == 1


@pytest.mark.parametrize(
    ("outcome", "state"),
    [
        ("not_tried", State.NOT_TRIED),
        ("stopped", State.STOPPED),
        ("declined", State.DECLINED),
        ("not_allowed", State.NOT_ALLOWED),
        ("absent", State.ABSENT),
    ],
)
def test_five_blanks_are_five_and_none_of_them_is_a_failure(made, outcome, state):
    write(made.desk, blank(made.today, made.mira, outcome=outcome))
    found = standing(made, made.mira)
    assert (found.state, found.turns, found.help) == (state, 0, None)
    tuck = camp_answer(made.desk, made.today.id).inventory.rung(TUCK)
    assert tuck.blanks[state] == (made.mira,)
    assert tuck.shown == 0


def test_what_was_written_of_a_surface_stands_against_the_camps_own(made):
    write(made.desk, payload(made.today, made.mira, landing="loose_pit"))
    found = standing(made, made.mira)
    assert found.state is State.HELPED  # did it, but not as the standard asks
    assert "pit" in found.why_not_alone


def test_marks_of_every_level_and_words_of_any_script(made):
    note = "‘hänger’; =cmd() \N{PERSON DOING CARTWHEEL} שלום \u202eabc"
    for level in (1, 2, 3):
        marks = dict.fromkeys((c.key for c in made.desk.ladder.criteria), level)
        write(made.desk, payload(made.today, made.mira, id=uuid4(), marks=marks, note=note))
    turns = entry_sheet(made.desk, made.today.id).entered[made.mira, TUCK]
    assert sorted(max(turn.marks.values()) for turn in turns) == [1, 2, 3]
    assert all(len(turn.marks) == len(made.desk.ladder.criteria) for turn in turns)
    assert {turn.note for turn in turns} == {note}


def test_a_device_with_a_wrong_old_clock_is_believed_about_everything_else(made):
    write(made.desk, payload(made.today, made.mira, at=datetime(1970, 1, 1, tzinfo=UTC)))
    assert standing(made, made.mira).state is State.ALONE


def test_the_sheet_has_everybody_in_running_order_with_her_number(made):
    sheet = entry_sheet(made.desk, made.today.id)
    assert [a.name.family for a in sheet.athletes] == ["Moss", "O’Nettle", "Pine", "Quince", "Sorrel"]
    assert [sheet.bibs[a.id] for a in sheet.athletes] == ["1", "2", "3", "4", "5"]
    assert [rung.key for rung in sheet.rungs[:3]] == [TUCK, PIKE, OPEN]


def test_one_who_was_not_expected_is_on_the_sheet_once_something_is_written(made):
    from tests.desk.cast import bring, child

    (guest,) = bring(made.desk, child("Zora", "Guest"))
    assert guest not in {a.id for a in entry_sheet(made.desk, made.today.id).athletes}
    write(made.desk, payload(made.today, guest))
    assert guest in {a.id for a in entry_sheet(made.desk, made.today.id).athletes}


def test_a_camp_that_expects_nobody_by_name_shows_the_whole_squad(made):
    from tests.desk.cast import SPRING_25, a_camp

    extra = a_camp(made.desk, "Extra camp", SPRING_25 + timedelta(days=30))
    assert len(entry_sheet(made.desk, extra.id).athletes) == 5


def test_numbers_for_new_entries_are_all_different(made):
    assert len({new_id(made.desk) for _ in range(200)}) == 200
