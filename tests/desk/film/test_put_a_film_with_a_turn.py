"""A film goes with a turn only where consent is recorded; it is kept untouched, once, and deleted for good."""

import hashlib
from datetime import date, timedelta
from io import BytesIO

import pytest
from tests.desk.cast import COACH, NOW
from tests.desk.film import cast

from loftbook.book.consent import Purpose
from loftbook.desk.entry import withdraw
from loftbook.desk.film.answers import film_answer, films_answer
from loftbook.desk.film.attaching import KEEP, KEEP_REFUSED, delete_film, delete_what_is_over
from loftbook.desk.film.consenting import Spoken, record_consent
from loftbook.desk.film.places import clip_files, films_folder, take_in
from loftbook.errors import ClipError, Refused, UnknownThing
from loftbook.store import clips, jobs

TODAY = NOW.date()


def said(hall, purpose, *, allowed=True, until=None, who=None):
    record_consent(hall.desk, who or hall.mira, Spoken(purpose, allowed, "a parent", COACH, until))


def test_the_original_is_kept_untouched_beside_the_book(hall):
    kept = hall.send()
    original = clip_files(hall.desk, kept.clip.id).original
    assert original.read_bytes() == cast.TUCK.read_bytes()
    assert kept.clip.digest == hashlib.sha256(cast.TUCK.read_bytes()).hexdigest()
    assert not original.stat().st_mode & 0o222, "nobody writes to it again"
    assert kept.clip.consent_words == "yes to being filmed, from the roster of 2025-04-12"
    assert kept.job is not None


def test_without_a_recorded_yes_nothing_is_kept(hall):
    with pytest.raises(Refused, match="no consent to filming Noa O’Nettle") as refused:
        hall.send(hall.turn_of_noa)
    assert "write down who said yes" in refused.value.sentence()
    assert not films_folder(hall.desk).exists()


def test_a_yes_that_is_written_down_lets_it_in_and_a_later_no_hides_it(hall):
    said(hall, Purpose.SHARING, who=hall.noa)
    with pytest.raises(Refused):
        hall.send(hall.turn_of_noa)  # a yes to something else is none to filming
    said(hall, Purpose.FILMING, who=hall.noa)
    kept = hall.send(hall.turn_of_noa)
    assert kept.clip.consent is not None
    said(hall, Purpose.FILMING, allowed=False, who=hall.noa)
    assert "not shown" in film_answer(hall.desk, kept.clip.id).line.withheld
    with pytest.raises(Refused, match="a word against it: no to being filmed by a parent"):
        hall.send(hall.turn_of_noa, name="another.mp4")


def test_how_long_a_film_is_kept_is_what_was_said(hall):
    assert hall.send().clip.keep_until == TODAY + KEEP
    said(hall, Purpose.KEEPING, until=TODAY + timedelta(days=30))
    assert hall.send(data=cast.TUCK.read_bytes() + b"\0").clip.keep_until == TODAY + timedelta(days=30)
    wanted = hall.send(data=cast.TUCK.read_bytes() + b"\0\0", keep_until=TODAY + timedelta(days=3))
    assert wanted.clip.keep_until == TODAY + timedelta(days=3)
    said(hall, Purpose.KEEPING, allowed=False)
    assert hall.send(data=cast.TUCK.read_bytes() + b"\0\0\0").clip.keep_until == TODAY + KEEP_REFUSED


def test_the_same_film_of_the_same_turn_is_kept_once(hall):
    first, again = hall.send(), hall.send(name="the same again.mp4")
    assert (again.there_already, again.clip) == (True, first.clip)
    assert len(list(films_folder(hall.desk).iterdir())) == 1
    with hall.desk.store.read() as connection:
        assert len(jobs.jobs(connection)) == 1


@pytest.mark.parametrize(
    "data", [b"", b"not a film at all", b"\x89PNG\r\n\x1a\n" + b"\0" * 64], ids=["empty", "text", "still"]
)
def test_what_is_no_film_leaves_nothing_behind(hall, data):
    with pytest.raises(ClipError):
        hall.send(data=data)
    assert list(films_folder(hall.desk).iterdir()) == []
    with hall.desk.store.read() as connection:
        assert clips.clips(connection) == ()


def test_a_name_of_another_machine_stays_a_name(hall):
    assert hall.send(name="C:\\Users\\x\\..\\Mira.mov").clip.name == "Mira.mov"
    assert hall.send(name="../../../etc/passwd", data=cast.TUCK.read_bytes() + b"\0").clip.name == "passwd"
    assert {p.parent for p in films_folder(hall.desk).rglob("original*")} == set(
        films_folder(hall.desk).iterdir()
    )


def test_too_large_a_film_is_given_up_at_the_limit(hall, tmp_path):
    """Piece by piece: no more than the limit and one piece is ever read."""

    class Endless(BytesIO):
        taken = 0

        def read(self, size=-1):
            self.taken += size
            return b"\0" * size

    source = Endless()
    from loftbook.desk.film.places import ClipFiles

    with pytest.raises(ClipError, match="more than 3 MB"):
        take_in(ClipFiles(tmp_path / "one"), source, "a.mp4", most=3_000_000)
    assert source.taken < 3_000_000 + 2 * 2**20
    assert not (tmp_path / "one").exists()


def test_a_turn_that_was_taken_back_or_is_unknown_gets_no_film(hall):
    withdraw(hall.desk, hall.turn, by=COACH)
    with pytest.raises(Refused, match="taken back"):
        hall.send()
    with pytest.raises(UnknownThing):
        hall.send(hall.mira)


def test_a_deleted_film_is_gone_with_every_file_and_finding(filmed):
    hall, clip = filmed
    folder = clip_files(hall.desk, clip).folder
    assert len(list(folder.iterdir())) >= 3  # original, copy, track
    delete_film(hall.desk, clip, by=COACH, why="asked by her parents")
    assert not folder.exists()
    assert films_answer(hall.desk).lines == ()
    with pytest.raises(UnknownThing):
        film_answer(hall.desk, clip)
    with hall.desk.store.read() as connection:
        assert [end.why for end in clips.gone(connection, [hall.turn])] == ["asked by her parents"]


def test_a_film_whose_day_is_over_is_deleted_and_no_other(hall):
    over = hall.send(keep_until=TODAY)
    stays = hall.send(data=cast.TUCK.read_bytes() + b"\0", keep_until=TODAY + timedelta(days=2))
    from dataclasses import replace

    tomorrow = replace(hall.desk, clock=lambda: NOW + timedelta(days=1))
    assert [end.clip for end in delete_what_is_over(tomorrow)] == [over.clip.id]
    assert [line.film for line in films_answer(hall.desk).lines] == [stays.clip]
    with pytest.raises(Refused, match="which is over"):
        hall.send(keep_until=date(2026, 1, 1), data=cast.TUCK.read_bytes() + b"\0\0")
