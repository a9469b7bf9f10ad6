"""Films and what is said about them, in and out; one function takes a film away for good."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from tests.store import cast

from loftbook.book.attempts import Withdrawal
from loftbook.book.consent import Consent, Purpose
from loftbook.book.films import BedLine, FilmedTurn, FilmGone, PointSet, Said, TrackMade, points_in_force
from loftbook.errors import UnknownThing
from loftbook.film.reading import Reading
from loftbook.mechanics.flight import Trust, Verdict
from loftbook.store import attempts, clips, erasing, readings

pytestmark = pytest.mark.both_engines

NOW = datetime(2026, 4, 11, 15, tzinfo=UTC)
HER = cast.athlete(1).id
YES = Consent(UUID(int=1), HER, Purpose.FILMING, True, date(2026, 4, 1), "a parent", "H. Alder", NOW)


def film(number: int = 1, **more) -> FilmedTurn:
    told = {
        "attempt": cast.attempt(1).id,
        "digest": "d" * 64,
        "name": "IMG 1.mov",
        "size": 1234,
        "attached": NOW,
        "by": "H. Alder",
        "station": "side A",
        "consent": YES.id,
        "consent_words": "yes",
        "keep_until": date(2027, 4, 11),
        "made": NOW - timedelta(hours=2),
    }
    return FilmedTurn(UUID(int=0xF1 + number), **(told | more))


@pytest.fixture
def filmed(book):
    """A book with one turn, its film, and everything that can be said about that."""
    one = film()
    with book.write() as connection:
        attempts.add_attempts(connection, [cast.attempt(1), cast.attempt(2)])
        clips.add_consents(connection, [YES])
        clips.add_clip(connection, one)
        clips.add_track(connection, track(1))
        clips.add_points(connection, [point(1), point(2, x=None, y=None), point(3, frame=9)])
        clips.draw_bed_line(connection, line(1, one.id))
        for value in (1, 8):
            clips.say(connection, Said(one.id, "speed", value, "H. Alder", NOW))
        readings.keep_measured(connection, measured(one.id))
    return book


def track(number: int, **more) -> TrackMade:
    told = {"by_hand": False, "detector": "a model", "settings": {"model": "full"}, "at": NOW, "by": ""}
    return TrackMade(
        UUID(int=0x77 + number), film().id, file=f"track-{number}", digest="t" * 64, **(told | more)
    )


def point(number: int, *, frame: int = 5, x: float | None = 3.25, y: float | None = 4.5) -> PointSet:
    return PointSet(UUID(int=0x99 + number), film().id, frame, "left_hip", x, y, "H. Alder", NOW)


def line(number: int, clip: UUID | None, **more) -> BedLine:
    told = {"station": "side A", "ends": (0.0, 600.0, 1280.0, 610.5), "width": 1280, "height": 720}
    told |= {"by": "H. Alder", "at": NOW}
    return BedLine(UUID(int=0xBED + number), cast.camp(1).id, clip=clip, **(told | more))


def measured(clip: UUID) -> readings.FilmMeasured:
    good, none = Verdict(Trust.GOOD, "Feet seen."), Verdict(Trust.NONE, "The hands are hidden.")
    made = (
        Reading("time of flight", 0.1 + 0.2, "s", 1e-17 / 3, good, "both feet", "time of flight/1"),
        Reading("shape", "pike", "", None, good, "hip and knee", "shape/1"),
        Reading("hands", None, "", None, none, "wrists", "hands/1"),
    )
    return readings.FilmMeasured(clip, track(1).id, good, ("One.", "Two."), "measure/1", {"a": [1.5]}, made)


def test_everything_about_a_film_comes_back(filmed):
    with filmed.read() as connection:
        facts = clips.facts(connection, film().id)
        assert facts.clip == film()
        assert facts.track == track(1)
        assert facts.bed == line(1, film().id)
        assert facts.said == {"speed": 8}, "the last word stands"
        assert [p.id for p in points_in_force(facts.points)] == [point(3).id], "the other was taken back"
        assert clips.consents_of(connection, [HER]) == (YES,)
        assert readings.measured(connection) == {film().id: measured(film().id)}, "to the last bit"


def test_a_bed_line_is_drawn_once_for_a_camera_place(filmed):
    """The station's line serves a second film; a film of another place, or of none, has its own or nothing."""
    with filmed.write() as connection:
        clips.add_clip(connection, film(2))
        clips.add_clip(connection, film(3, station="side B"))
        clips.add_clip(connection, film(4, station=""))
        found = [clips.facts(connection, film(n).id).bed for n in (2, 3, 4)]
    assert found == [line(1, film().id), None, None]


def test_a_newer_track_of_the_model_takes_the_place_of_the_old_one_and_a_hand_made_one_stays(filmed):
    by_hand = track(2, by_hand=True)
    with filmed.write() as connection:
        assert clips.add_track(connection, by_hand) == ()
        assert clips.add_track(connection, track(3)) == ("track-1",), "this file is free to go"
        assert readings.measured(connection) == {}, "what rested on it went with it"


def test_a_deleted_film_leaves_one_line(filmed):
    end = FilmGone(film().id, film().attempt, NOW, "H. Alder", "its day was over")
    with filmed.write() as connection:
        clips.add_clip(connection, film(2))
        clips.forget_clip(connection, end)
        with pytest.raises(UnknownThing, match="may have been deleted"):
            clips.clip(connection, film().id)
        assert clips.gone(connection, [film().attempt]) == (end,)
        assert readings.measured(connection) == {}
        assert clips.facts(connection, film(2).id).bed == line(1, None), "the camera place keeps its line"


def test_a_film_follows_the_corrections_of_its_turn(filmed):
    first, second, third = cast.attempt(1), cast.attempt(5), cast.attempt(6)
    chain = [replace(second, replaces=first.id), replace(third, replaces=second.id)]
    with filmed.write() as connection:
        attempts.add_attempts(connection, chain)
        assert clips.correction_of(connection, [first.id, cast.attempt(2).id]) == {
            first.id: third.id,
            cast.attempt(2).id: cast.attempt(2).id,
        }
        assert clips.versions_of(connection, [third.id]) == {first.id, second.id, third.id}
        assert clips.clips_of_athletes(connection, [HER]) == clips.clips(connection)
        assert clips.clips_of_athletes(connection, [cast.athlete(2).id]) == ()
        attempts.add_withdrawals(connection, [Withdrawal(UUID(int=0xDEAD), third.id, "H. Alder", NOW, "no")])
        assert clips.correction_of(connection, [first.id]) == {first.id: None}


def test_a_child_who_is_erased_leaves_no_film(filmed):
    other = cast.attempt(7, athlete=cast.athlete(2).id)
    hers = replace(cast.attempt(8), replaces=other.id)
    with filmed.write() as connection:
        attempts.add_attempts(connection, [other, hers])
        clips.add_clip(connection, film(2, attempt=other.id))  # became hers by a correction
        gone = erasing.erase_athlete(connection, HER)
        assert (gone["clip"], gone["consent"]) == (2, 1)
        assert clips.clips(connection) == ()
