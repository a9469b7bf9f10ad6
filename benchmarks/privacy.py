"""Erasing a child with 40 films from a squad's book: rows, names in the words of others, files, backups, the search.

The clock counts what others do on the machine; the seconds of the processor are her erasure's own.
"""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from time import perf_counter, process_time
from uuid import UUID, uuid5

from benchmarks.registry import Row, bench
from loftbook.book.attempts import Attempt
from loftbook.book.films import FilmedTurn
from loftbook.book.people import Athlete, Camp, ClubStay, Name
from loftbook.desk import Desk
from loftbook.desk.film.places import film_folder_of
from loftbook.desk.opening import open_desk
from loftbook.desk.privacy.backups import back_up
from loftbook.desk.privacy.erasing import erase_child
from loftbook.desk.standing import remake_all
from loftbook.ladder.scales import Help, Outcome
from loftbook.store import attempts, camps, clips, people

CHILDREN, CAMPS, TURNS, FILMS, FILM_BYTES = 60, 20, 12, 40, 4_000_000
FIRST = datetime(2016, 4, 2, 9, tzinfo=UTC)
SPACE = UUID(int=0xE4A5)
GIVEN, FAMILY = "Zephyrine", "Quillfeather"


@bench("erase a child", f"one of {CHILDREN} children, {CAMPS} camps, {FILMS} films of 4 MB, 24 backups")
def erase() -> list[Row]:
    with tempfile.TemporaryDirectory() as place:
        desk = _filled(Path(place) / "shelf" / "camp.book")
        desk.store.close()
        taken, worked, size = [], [], desk.store.path.stat().st_size if desk.store.path else 0
        for number in range(3):
            copy = shutil.copytree(Path(place) / "shelf", Path(place) / str(number))
            opened = open_desk(copy / "camp.book")
            begun, working = perf_counter(), process_time()
            done = erase_child(opened, _id("child", 0), typed=f"{GIVEN} {FAMILY}", by="a bench")
            taken.append(perf_counter() - begun)
            worked.append(process_time() - working)
            assert (done.left, done.films, done.rows["attempt"]) == ((), FILMS, CAMPS * TURNS)
            opened.store.close()
            shutil.rmtree(copy)
        begun = perf_counter()
        again = open_desk(Path(place) / "shelf" / "camp.book")
        back_up(again)
        backup = perf_counter() - begun
        again.store.close()
    return [
        Row("erasing her, median of 3", sorted(taken)[1], "s", target=2.0),
        Row("the same, seconds of the processor", sorted(worked)[1], "s"),
        Row("one backup, checked and counted", backup, "s"),
        Row("the book", size / 1e6, "MB"),
    ]


def _id(*words: object) -> UUID:
    return uuid5(SPACE, " ".join(map(str, words)))


def _filled(file: Path) -> Desk:
    file.parent.mkdir(parents=True)
    desk = open_desk(file)
    rungs = [rung.key for rung in desk.ladder.rungs][:4]
    squad = [_child(number) for number in range(CHILDREN)]
    held = [_camp(desk, number) for number in range(CAMPS)]
    with desk.store.write() as connection:
        people.add_athletes(connection, squad)
        for camp in held:
            camps.add_camp(connection, camp)
            turns = [_turn(camp, who, n, rungs) for who in range(CHILDREN) for n in range(TURNS)]
            attempts.add_attempts(connection, turns)
        for number in range(FILMS):
            clips.add_clip(connection, _film(number))
    remake_all(desk)
    for number in range(FILMS):
        folder = film_folder_of(file) / str(_id("film", number))
        folder.mkdir(parents=True)
        (folder / "original.mp4").write_bytes(bytes(FILM_BYTES))
        (folder / "proxy.mp4").write_bytes(bytes(FILM_BYTES // 2))
        (folder / "track.npz").write_bytes(bytes(60_000))
    for day in range(24):
        now = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(days=20 * day)
        back_up(replace(desk, clock=partial(_same, now)))
    return desk


def _same(now: datetime) -> datetime:
    return now


def _child(number: int) -> Athlete:
    name = Name(GIVEN, FAMILY) if number == 0 else Name(f"Given{number}", f"Family{number}")
    return Athlete(
        _id("child", number), (name,), born=date(2010, 1, 1), clubs=(ClubStay("Ridge"),), invented=True
    )


def _camp(desk: Desk, number: int) -> Camp:
    day = FIRST.date() + timedelta(days=182 * number)
    return Camp(_id("camp", number), f"Camp {number}", day, day, desk.ladder.edition, invented=True)


def _turn(camp: Camp, who: int, number: int, rungs: list[str]) -> Attempt:
    note = f"after {GIVEN} {FAMILY}" if number == 5 and who % 7 == 1 else "saw the bed"
    return Attempt(
        id=_id("turn", camp.id, who, number),
        camp=camp.id,
        athlete=_id("child", who),
        rung=rungs[number % len(rungs)],
        outcome=Outcome.DID_IT,
        at=datetime.combine(camp.starts, FIRST.timetz()) + timedelta(minutes=60 * number + who),
        rater="Coach Q",
        edition=camp.edition,
        help=Help.NOBODY_IN,
        note=note,
    )


def _film(number: int) -> FilmedTurn:
    turn = _id("turn", _id("camp", number % CAMPS), 0, number // CAMPS)
    return FilmedTurn(
        id=_id("film", number),
        attempt=turn,
        digest=f"{number:064x}",
        name=f"IMG_{number}.mp4",
        size=FILM_BYTES,
        attached=FIRST,
        by="Coach Q",
        station="side A",
        consent=None,
        consent_words="yes",
        keep_until=date(2099, 1, 1),
        invented=True,
    )
