"""The next step from a book: what is seen, what is filmed, what is missing, who said no."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from loftbook.book.entries import Entry
from loftbook.book.films import FilmedTurn
from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp, FilmConsent, Height, Name
from loftbook.desk.entry import write_entries
from loftbook.desk.lab.next_steps import athlete_steps, camp_steps
from loftbook.desk.opening import open_desk
from loftbook.film.reading import Reading
from loftbook.mechanics import Trust, Verdict
from loftbook.store import camps, clips, people, readings

NOW = datetime(2026, 4, 11, 15, 0, tzinfo=UTC)
CAMP, MIRA, NOA, LIV = (same_fact(name) for name in ("camp", "mira", "noa", "liv"))
TURN = same_fact("turn")


@pytest.fixture
def desk():
    desk = open_desk(":memory:", clock=lambda: NOW)
    with desk.store.write() as connection:
        height = (Height(1.44, date(2026, 4, 11)),)
        yes, no = (FilmConsent(allowed, date(2026, 4, 1)) for allowed in (True, False))
        people.add_athletes(
            connection,
            [
                Athlete(
                    MIRA,
                    (Name("Mira", "Moss"),),
                    date(2015, 2, 1),
                    heights=height,
                    consents=(yes,),
                    invented=True,
                ),
                Athlete(NOA, (Name("Noa", "Nettle"),), date(2014, 2, 1), consents=(no,), invented=True),
                Athlete(LIV, (Name("Liv", "Ling"),), invented=True),
            ],
        )
        camps.add_camp(
            connection, Camp(CAMP, "Spring", NOW.date(), NOW.date(), desk.ladder.edition, invented=True)
        )
        camps.expect(connection, CAMP, {MIRA: "1", NOA: "2", LIV: "3"})
    written = write_entries(
        desk,
        (
            entry(TURN, MIRA, "double_tuck", "did_it"),
            entry(same_fact("2"), NOA, "double_tuck", "did_it"),
            entry(same_fact("3"), NOA, "double_pike", "declined", help=""),
        ),
    )
    assert {one.status for one in written} == {"stored"}, written
    yield desk
    desk.store.close()


def entry(number: UUID, who: UUID, rung: str, outcome: str, help: str = "nobody_in") -> Entry:  # noqa: A002
    return Entry(
        id=number, camp=CAMP, athlete=who, rung=rung, outcome=outcome, at=NOW, rater="Coach Q",
        help=help, take_off="trampoline", landing="soft_flat_mat",
    )  # fmt: skip


def film(desk, *, momentum=0.60, trust=Trust.GOOD):
    clip = same_fact("clip")
    good = Verdict(trust, "Seen.")
    with desk.store.write() as connection:
        clips.add_clip(
            connection,
            FilmedTurn(
                clip,
                TURN,
                "0" * 64,
                "a.mp4",
                10,
                NOW,
                "Coach Q",
                "left",
                None,
                "roster",
                NOW.date(),
                invented=True,
            ),
        )
        told = (
            Reading("time of flight", 1.42, "s", 0.01, good, "feet", "time of flight/1"),
            Reading("angular momentum", momentum, "m²/s", 0.05, good, "joints", "angular momentum/1"),
        )
        readings.keep_measured(connection, readings.FilmMeasured(clip, None, good, (), "film/1", {}, told))


def test_from_what_was_seen_only(desk):
    found = athlete_steps(desk, MIRA)
    assert [one.rung for one in found.steps] == ["double_pike", "double_open_tuck"]
    assert found.done == ("Double tuck",)
    assert "assumed 1.35 s in the air" in found.steps[0].sentence
    assert any("film two attempts from the side" in one for one in found.steps[0].missing)
    assert not any("No height" in one for one in found.steps[0].missing)


def test_film_is_used_where_there_is_one(desk):
    film(desk)
    found = athlete_steps(desk, MIRA)
    assert found.filmed == 1
    assert found.steps[1].sentence.startswith(
        "With the flight and the spin she has, a double back in an open tuck"
    )
    assert found.steps[1].missing == ()
    # definition: the reading over the square of the height that is written
    assert found.steps[1].margin.has.middle == pytest.approx(0.60 / 1.44**2)


def test_a_film_with_less_spin_than_she_has_shown_does_not_speak_for_her_spin(desk):
    film(desk, momentum=0.20)  # over 1.44 m squared, half of what any double of this time was recorded with
    found = athlete_steps(desk, MIRA)
    assert found.steps[1].sentence.startswith(
        "With the spin that her double back in a tuck shows at least, and 1.42"
    )
    told = "Film tells her time in the air, but her spin in a double back in a tuck is not measured"
    assert found.steps[1].missing[0].startswith(told)


def test_rungs_of_another_kind_are_named_with_what_is_missing(desk):
    told = athlete_steps(desk, MIRA).beyond
    assert any("tumble track" in one and "film two attempts there" in one for one in told)
    assert not any("Full-out" in one for one in told)  # the ladder sets them after the open tuck


def test_a_film_that_nobody_trusts_is_not_used(desk):
    film(desk, trust=Trust.NONE)
    assert athlete_steps(desk, MIRA).filmed == 0


def test_what_she_declined_is_left_out(desk):
    found = athlete_steps(desk, NOA)
    assert "double_pike" not in [one.rung for one in found.steps]
    assert found.set_aside == ("Double pike",)
    assert any("ask for leave to film first" in one for one in found.steps[0].missing)


def test_a_camp_names_who_has_no_measurement_in_the_order_of_names(desk):
    film(desk)
    found = camp_steps(desk, CAMP)
    assert [row.name for row in found.rows] == ["Liv Ling", "Mira Moss", "Noa Nettle"]
    assert found.unmeasured == ("Liv Ling", "Noa Nettle")
    assert found.rows[0].margin is None
    assert camp_steps(desk, CAMP, rung="double_open_tuck").rows[1].rung == "double_open_tuck"
