"""A camp put right: its name, days and surfaces; what was assumed is said to be assumed until a coach confirms it."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from tests.desk import cast
from tests.desk.cast import (
    COACH,
    PIKE,
    SPRING_25,
    TUCK,
    blank,
    counts,
    everything,
    listed,
    named,
    payload,
    write,
)

from loftbook.desk.camps import confirm_surfaces, described, make_camp, put_camp_right
from loftbook.desk.entry import entry_sheet
from loftbook.desk.importing import read_camp_file
from loftbook.desk.letters import letter_of_one
from loftbook.desk.people import all_camps, find_camp
from loftbook.errors import Refused
from loftbook.ladder.scales import Landing, TakeOff
from loftbook.reports.sheets.letter.compose import compose
from loftbook.store import attempts


def put_right(made, camp, **changes):
    return put_camp_right(made.desk, replace(camp, **changes), by=COACH)


def in_force(desk, camp):
    with desk.store.read() as connection:
        return attempts.attempts_of_camp(connection, camp.id)


def ever(desk, camp):
    with desk.store.read() as connection:
        return attempts.attempts_of_camp(connection, camp.id, all=True)


def test_a_name_and_a_hall_are_put_right_and_the_old_ones_kept(made):
    write(made.desk, payload(made.today, made.mira))
    before = counts(made.desk)
    done = put_right(made, made.today, name="Easter camp", place="Heronsgate hall")
    assert (done.changed, done.turns) == (True, 0)
    found = described(made.desk, made.today.id)
    assert (found.camp.name, found.camp.place) == ("Easter camp", "Heronsgate hall")
    (was,) = found.before
    assert dict(was.was) == {"name": "Spring camp", "place": "Saltmarsh hall"}
    assert (was.by, was.until) == (COACH, cast.NOW)
    assert counts(made.desk) == {**before, "camp_before": 1}


def test_putting_right_nothing_changes_nothing(made):
    before = everything(made.desk)
    assert put_right(made, made.today).changed is False
    assert everything(made.desk) == before


def test_a_turn_with_the_old_landing_is_written_anew_and_the_old_one_stays(made):
    write(
        made.desk,
        payload(made.today, made.mira),
        payload(made.today, made.noa, landing="floor"),
        blank(made.today, made.rika),
    )
    done = put_right(made, made.today, landing="pit_with_mat")
    assert done.turns == 1
    now = {turn.athlete: turn for turn in in_force(made.desk, made.today)}
    assert now[made.mira].landing is Landing.PIT_WITH_MAT
    assert now[made.mira].take_off is TakeOff.TRAMPOLINE
    assert now[made.noa].landing is Landing.FLOOR  # said of that turn, so it stands
    assert now[made.rika].landing is None
    (old,) = [turn for turn in ever(made.desk, made.today) if turn.id == now[made.mira].replaces]
    assert old.landing is Landing.SOFT_FLAT_MAT


def test_turns_stay_as_they_are_where_the_coach_says_so(made):
    write(made.desk, payload(made.today, made.mira))
    done = put_camp_right(made.desk, replace(made.today, landing="floor"), by=COACH, turns_too=False)
    assert (done.changed, done.turns) == (True, 0)
    assert in_force(made.desk, made.today)[0].landing is Landing.SOFT_FLAT_MAT


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": " "}, "without a name"),
        ({"starts": date(2199, 1, 1), "ends": date(2199, 1, 2)}, "year 2199"),
        ({"starts": date(1925, 4, 12), "ends": date(1925, 4, 13)}, "year 1925"),
        ({"ends": date(2025, 1, 1)}, "check both days"),
        ({"name": "camp " * 50}, "at most 120"),
        ({"bed": "x" * 121}, "at most 120"),
        ({"landing": "lava"}, "soft_flat_mat"),
        # The children of the cast were born on 1 May 2014, and today is 11 April 2026.
        ({"starts": date(2013, 4, 12), "ends": date(2013, 4, 13)}, "born on 2014-05-01"),
        ({"starts": date(2026, 5, 12), "ends": date(2026, 5, 13)}, "future"),
    ],
)
def test_what_a_camp_cannot_be_is_refused_and_nothing_changes(made, changes, said):
    write(made.desk, payload(made.today, made.mira))
    before = everything(made.desk)
    with pytest.raises(Refused, match=said):
        put_right(made, made.today, **changes)
    assert everything(made.desk) == before


def test_nobody_puts_a_camp_right_without_a_name(made):
    with pytest.raises(Refused, match="write your name"):
        put_camp_right(made.desk, made.today, by=" ")


def test_a_camp_of_next_year_can_be_made_and_moved_while_nothing_is_written_there(made):
    camp = cast.a_camp(made.desk, "Next camp", date(2027, 4, 10))
    assert put_right(made, camp, starts=date(2027, 4, 17), ends=date(2027, 4, 18)).changed


def test_a_camp_in_the_year_2199_is_refused_with_the_years_that_can_be(desk):
    with pytest.raises(Refused, match="from 1980 to 2029; today is 2026-04-11"):
        make_camp(desk, cast.Camp(cast.same_fact("x"), "Camp", date(2199, 1, 1), date(2199, 1, 2), ""))


# ---- surfaces that nobody wrote down ----


def bring_in(desk, data, **options):
    return read_camp_file(desk, data, "camp.csv", **({"write": True} | options))


def surfaces(report):
    return next(d for d in report.decisions if d.id == "camp surfaces")


LISTED = ("Ada Ashdown;yes;;", "Bea Birch;no;;")
NEW = {"new people": "create"}


def test_a_list_that_names_no_mat_is_marked_assumed_in_report_camp_and_letter(desk):
    report = bring_in(desk, listed(*LISTED), answers=NEW)
    assert "ASSUMED" in surfaces(report).sentence
    (camp,) = all_camps(desk)
    assert camp.surfaces_assumed
    letter = repr(compose(letter_of_one(desk, named(desk, "Ada Ashdown"))))
    assert letter.count("assumed, not written down") == 1


def test_a_list_that_says_bed_and_mat_assumes_nothing(desk):
    title = "Winter camp 10-11 Jan 2026, trampoline to soft mat"
    report = bring_in(desk, listed(*LISTED, title=title), answers=NEW)
    assert "as list and camp say" in surfaces(report).sentence
    assert not all_camps(desk)[0].surfaces_assumed
    assert "assumed, not written" not in repr(compose(letter_of_one(desk, named(desk, "Ada Ashdown"))))


def test_the_answer_in_the_report_confirms_and_reading_again_stays_confirmed(desk):
    bring_in(desk, listed(*LISTED), answers=NEW | {"camp surfaces": "camp"})
    assert not all_camps(desk)[0].surfaces_assumed
    before = everything(desk)
    bring_in(desk, listed(*LISTED), answers=NEW)
    assert everything(desk) == before


def test_a_second_list_of_an_assumed_camp_that_says_it_confirms_it(desk):
    bring_in(desk, listed(*LISTED), answers=NEW)
    title = "Winter camp 10-11 Jan 2026, trampoline to soft mat"
    bring_in(desk, listed("Cleo Cray;yes;;", title=title), answers=NEW)
    found = described(desk, all_camps(desk)[0].id)
    assert not found.camp.surfaces_assumed
    assert found.before[0].by == "list camp.csv"


def test_one_step_confirms_what_was_assumed_and_twice_changes_nothing(desk):
    bring_in(desk, listed(*LISTED), answers=NEW)
    camp = all_camps(desk)[0]
    turns = in_force(desk, camp)
    assert confirm_surfaces(desk, camp.id, by=COACH).changed
    assert not find_camp(desk).surfaces_assumed
    assert in_force(desk, camp) == turns
    before = everything(desk)
    assert not confirm_surfaces(desk, camp.id, by=COACH).changed
    assert everything(desk) == before


def test_a_list_of_a_camp_that_is_moved_moves_with_it_and_the_same_list_adds_nothing(desk):
    bring_in(desk, listed(*LISTED), answers=NEW)
    camp = all_camps(desk)[0]
    moved = replace(camp, starts=camp.starts - timedelta(days=7), ends=camp.ends - timedelta(days=7))
    done = put_camp_right(desk, moved, by=COACH)
    assert done.turns == 2
    assert {turn.at for turn in in_force(desk, camp)} == {datetime(2026, 1, 3, 12, tzinfo=UTC)}
    again = bring_in(desk, listed(*LISTED), answers=NEW)
    assert again.facts == ()
    assert next(d for d in again.decisions if d.id == "camp days").verdict == "ask"


# ---- what the book refuses of a list is said ----


def test_a_turn_that_the_book_refuses_is_refused_in_the_report_with_its_reason(desk, monkeypatch):
    real = attempts.add_attempts

    def one_lost(connection, rows):
        rows = tuple(rows)
        lost = attempts.Receipt(rows[0].id, attempts.Verdict.REFUSED, "the gymnast is not in the book")
        return (lost, *real(connection, rows[1:]))

    monkeypatch.setattr(attempts, "add_attempts", one_lost)
    report = bring_in(desk, listed(*LISTED), answers=NEW)
    (row,) = [row for row in report.rows if row.verdict == "refuse"]
    assert (row.row, "the gymnast is not in the book" in row.sentence) == (3, True)
    assert len(report.attempts) == 1
    assert "the gymnast is not in the book" in report.as_markdown()


def test_marks_of_before_are_of_the_camp_before_also_where_two_camps_begin_on_one_day(made):
    from loftbook.desk.entry import earlier_marks_of

    longer = cast.a_camp(made.desk, "Longer camp", SPRING_25)
    longer = put_right(made, longer, ends=SPRING_25 + timedelta(days=3)).camp
    write(made.desk, payload(made.spring, made.mira), payload(longer, made.mira, note="the later one"))
    found = earlier_marks_of(made.desk, longer.id, made.mira, [TUCK, PIKE])[TUCK]
    assert found.camp is not None
    assert found.camp.id == made.spring.id
    assert entry_sheet(made.desk, longer.id).camp.ends == longer.ends
