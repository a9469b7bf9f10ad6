"""A child who is erased: nothing of her in any file beside the book, others as they were, counts that stay."""

import os
import shutil
import unicodedata
from collections import Counter
from dataclasses import dataclass, replace
from datetime import date, timedelta
from hashlib import sha256
from io import BytesIO
from uuid import UUID

import pytest
from tests.desk import cast
from tests.desk.film import cast as filmed

from loftbook.book.access import Role
from loftbook.book.consent import Purpose
from loftbook.book.deciding import Decided, Decision
from loftbook.book.devices import Device
from loftbook.book.people import Camp, FilmConsent, Name
from loftbook.book.plan import Group, Plan
from loftbook.desk import Desk
from loftbook.desk.film.attaching import Sent, attach
from loftbook.desk.film.consenting import Spoken, record_consent
from loftbook.desk.film.working import work_all
from loftbook.desk.importing import read_roster_file
from loftbook.desk.plan import keep_plan
from loftbook.desk.privacy.backups import back_up, backups_folder, backups_of
from loftbook.desk.privacy.erasing import Erased, erase_child
from loftbook.desk.sync import Batch, take_in
from loftbook.errors import Refused, UnknownThing
from loftbook.insight.standing import State
from loftbook.store import attempts, camps, decisions, devices, erasing, imports, leaving, people, standings
from loftbook.store.backups import looked_through
from loftbook.store.imports import PendingImport

# Names that stand nowhere else, one of them with letters outside ASCII; the earlier one is an alias.
GIVEN, FAMILY, BEFORE = "Zephyrine", "Quillfeather", Name("Žófie", "Wrenmoor")
FULL = f"{GIVEN} {FAMILY}"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    """A book that holds her in every way that a book can; each test takes a copy of the folder."""
    folder = tmp_path_factory.mktemp("erasing")
    desk = cast.a_desk(folder / "camp.book")
    consents = (FilmConsent(allowed=True, on=cast.SPRING_25, said_by="a parent"),)
    her, noa = cast.bring(
        desk,
        cast.child(GIVEN, FAMILY, consents=consents),
        cast.child("Noa", "O’Nettle"),
    )
    camp = cast.a_camp(desk, "Spring camp", cast.SPRING_26)
    cast.expect(desk, camp, (her, noa))
    turn = cast.payload(camp, her, note=f"{GIVEN} saw the mat")
    others = cast.payload(
        camp, noa, note=f"after {FULL.upper()}; as {GIVEN} did, and ZEPHYRINE too; rose late"
    )
    cast.write(desk, turn, others, cast.payload(camp, her, cast.PIKE, outcome="tried"))
    _said_about(desk, her, camp)
    attach(
        desk,
        turn.id,
        Sent(BytesIO(filmed.TUCK.read_bytes()), f"{FULL}.mp4", "H. Alder"),
        engine=filmed.ENGINE,
    )
    assert {job.error for job in work_all(desk, engine=filmed.ENGINE)} == {""}
    back_up(replace(desk, clock=lambda: cast.NOW - timedelta(days=2)))
    yield desk, her, noa, camp
    desk.store.close()


def _said_about(desk, her, camp):
    with desk.store.write() as connection:
        people.add_facts(connection, {her: [BEFORE, Name(GIVEN, FAMILY, cast.SPRING_25)]})
        decided = Decision(UUID(int=1), her, cast.PIKE, Decided.STAY, cast.SPRING_26, date(2099, 1, 1), "H. Alder",
                           "coach", f"{GIVEN} wants to", desk.ladder.edition, desk.clock())  # fmt: skip
        decisions.add_decisions(connection, [decided])
        waiting = f"Name;Born\n{FULL};2014-05-01\n".encode("utf-16")
        imports.keep_pending(connection, PendingImport("d1", "waits.csv", "roster", desk.clock(), waiting))
        other = PendingImport(
            "d2", "others.csv", "roster", desk.clock(), b"Name;Born\nNoa O'Nettle;2014-05-01\n"
        )
        imports.keep_pending(connection, other)
    roster = cast.roster_of(
        f"{FULL};2014-05-01;Kittiwake Gym;left;140", "Noa O’Nettle;2014-05-01;Kittiwake Gym;;141"
    )
    read_roster_file(desk, roster, "roster.csv", write=True)
    record_consent(desk, her, Spoken(Purpose.FILMING, True, f"{FAMILY} senior", "H. Alder"))
    keep_plan(desk, camp.id, Plan(groups=(Group("one", (her,)),)))
    sent = {
        "kind": "attempt",
        "id": "00000000-0000-7000-8000-000000000009",
        "athlete": str(her),
        "camp": str(camp.id),
    }
    take_in(desk, Batch([sent | {"note": FULL}]))


@pytest.fixture(scope="module")
def after(shelf, tmp_path_factory):
    """A copy of that folder in which she was erased: what was answered, and who stood where before."""
    desk, her, noa, camp = shelf
    with desk.store.read() as connection:
        before = standings.standings_of_camp(connection, camp.id)
    folder = tmp_path_factory.mktemp("erased")
    desk.store.tidy()
    shutil.copytree(desk.store.path.parent, folder, dirs_exist_ok=True)
    copy = cast.a_desk(folder / "camp.book")
    assert {name for name, _ in found_in(folder, her)} >= {"camp.book"}, "the search would find her"
    assert len(backups_of(copy.store.path)) == 1
    yield After(copy, erase_child(copy, her, typed=FULL, by="H. Alder"), before, her, noa, camp)
    copy.store.close()


@dataclass(frozen=True)
class After:
    desk: Desk
    done: Erased
    before: tuple
    her: UUID
    noa: UUID
    camp: Camp

    @property
    def folder(self):
        return self.desk.store.path.parent


def found_in(folder, her):
    """Where bytes of her id or of her names stand, in any case, composed or not."""
    words = {GIVEN, FAMILY, BEFORE.given, BEFORE.family, str(her), her.hex}
    forms = {form(word) for word in words for form in (str, str.upper, str.lower, str.title)}
    forms |= {unicodedata.normalize("NFD", form) for form in forms}
    needles = [her.bytes, *(f.encode() for f in forms), *(f.encode("utf-16-le") for f in forms)]
    hits = []
    for file in (one for one in folder.rglob("*") if one.is_file()):
        data = file.name.encode() + b"\n" + file.read_bytes()
        hits += [(file.name, needle) for needle in needles if needle in data]
    return hits


def test_no_byte_of_her_is_left_in_any_file(after):
    """Database file, write-ahead log, shared memory, backups, films: searched byte by byte, while it is open."""
    assert {one.name for one in after.folder.iterdir()} >= {"camp.book", "camp.book-wal", "camp.book-shm"}
    assert after.done.left == ()
    assert after.done.lists == ("waits.csv",)
    assert (after.done.films, after.done.backups) == (1, 1)
    assert found_in(after.folder, after.her) == []


def test_the_others_stay_and_name_her_no_more(after):
    with after.desk.store.read() as connection:
        (turn,) = attempts.attempts_of_camp(connection, after.camp.id)
        assert turn.athlete == after.noa
        assert turn.note == "after (erased); as (erased) did, and (erased) too; rose late"
        assert [one.name for one in imports.all_pending(connection)] == ["others.csv"]
        assert camps.expected(connection, after.camp.id) == {after.noa: "2"}
        rows = imports.imports(connection)[0].report["rows"]
    assert any("O’Nettle" in row["sentence"] for row in rows)
    assert after.desk.store.damage() == ()


def test_counts_stay_without_her(after):
    with after.desk.store.read() as connection:
        kept = erasing.counts_kept(connection)
        now = standings.standings_of_camp(connection, after.camp.id)
        (line,) = erasing.erasures(connection)
    camp = after.camp.id
    assert kept == {(camp, cast.TUCK, State.ALONE): 1, (camp, cast.PIKE, State.TRIED): 1}
    for rung in (cast.TUCK, cast.PIKE):  # how many stood where is as it was, whoever they are
        there = [one.state for one in now if one.rung == rung]
        there += [state for (_, r, state), n in kept.items() for _ in range(n) if r == rung]
        assert Counter(there) == Counter(one.state for one in after.before if one.rung == rung)
    assert (line.by, line.told["attempt"]) == ("H. Alder", 2)


def test_the_backup_that_held_her_is_gone_and_a_whole_one_is_there(after):
    book = after.desk.store.path
    assert [one.file for one in backups_of(book)] == [after.done.fresh]
    assert looked_through(after.done.fresh).rows["athlete"] == 1
    if os.name == "posix":
        assert backups_folder(book).stat().st_mode & 0o077 == 0, "nobody else of this machine looks in"


def test_what_an_old_tablet_still_sends_of_her_is_not_kept(after):
    sent = {"kind": "attempt", "id": "00000000-0000-7000-8000-00000000000b", "athlete": str(after.her),
            "camp": str(after.camp.id), "rung": cast.TUCK, "outcome": "did_it", "at": "2026-04-11T10:00:00Z",
            "rater": "H. Alder", "note": FULL}  # fmt: skip
    for record in (sent, sent | {"outcome": "no such thing"}):
        (answer,) = take_in(after.desk, Batch([record])).answers
        assert (answer.status, "erased" in answer.why) == ("refused", True)
    after.desk.store.tidy()
    assert found_in(after.folder, after.her) == []


def test_nobody_twice(after):
    with pytest.raises(UnknownThing):
        erase_child(after.desk, after.her, typed=FULL, by="H. Alder")


@pytest.mark.parametrize("typed", ["", GIVEN, FULL.lower(), "Noa O’Nettle"])
def test_a_slip_erases_nobody(shelf, typed):
    desk, her, _, _ = shelf
    before = cast.everything(desk)
    with pytest.raises(Refused, match="whole name"):
        erase_child(desk, her, typed=typed, by="H. Alder")
    with pytest.raises(Refused, match="who erases"):
        erase_child(desk, her, typed=FULL, by=" ")
    assert cast.everything(desk) == before


def test_what_lies_elsewhere_is_said(tmp_path):
    """A paper that a command wrote goes, if nobody changed it; what went home or lies on a tablet is named."""
    desk = cast.a_desk()
    her, noa = cast.bring(desk, cast.child(GIVEN, FAMILY), cast.child("Noa", "O’Nettle"))
    alone, changed = tmp_path / "letter.pdf", tmp_path / "other.pdf"
    at, digest = desk.clock() - timedelta(days=3), sha256(b"about her").hexdigest()
    alone.write_bytes(b"about her")
    changed.write_bytes(b"about her, with a line by hand")
    with desk.store.write() as connection:
        for number, (file, who) in enumerate(((alone, [her]), (changed, [her]), ("", [her, noa]))):
            line = leaving.GoneOut(UUID(int=50 + number), at, "letter", "this laptop", "home coach", len(who), None,
                                   str(file), digest if file else "")  # fmt: skip
            leaving.note(connection, line, who)
        tablet = Device(UUID(int=70), "tablet 4", Role.ENTRY, at, at + timedelta(days=30))
        devices.add_device(connection, tablet, "token")
    done = erase_child(desk, her, typed=FULL, by="H. Alder")
    assert (alone.exists(), changed.exists()) == (False, True)
    assert done.papers == (str(alone),)
    told = " ".join(done.elsewhere)
    assert "other.pdf" in told
    assert "tablet 4" in told
    with desk.store.read() as connection:
        assert [line.children for line in leaving.latest(connection)] == [2, 1, 1]
        assert leaving.about(connection, her) == ()
    desk.store.close()


def test_her_name_within_a_longer_one_is_the_other_childs(tmp_path):
    """Mia Moorland stays and is no trace of Mia Moor."""
    desk = cast.a_desk(tmp_path / "camp.book")
    mia, longer = cast.bring(desk, cast.child("Mia", "Moor"), cast.child("Mia", "Moorland"))
    camp = cast.a_camp(desk, "Spring camp", cast.SPRING_26)
    cast.expect(desk, camp, (mia, longer))
    cast.write(desk, cast.payload(camp, longer, note="Mia Moorland rose late"))
    (tmp_path / "camp.book.note").write_text("MIA MOORLAND, and mia moorland")
    assert erase_child(desk, mia, typed="Mia Moor", by="H. Alder").left == ()
    desk.store.close()


def test_a_word_about_her_beside_a_longer_name_is_still_found(tmp_path):
    desk = cast.a_desk(tmp_path / "camp.book")
    mia, _ = cast.bring(desk, cast.child("Mia", "Moor"), cast.child("Mia", "Moorland"))
    (tmp_path / "camp.book.note").write_text("Mia Moorland and Mia Moor")
    (line,) = erase_child(desk, mia, typed="Mia Moor", by="H. Alder").left
    assert "camp.book.note" in line
    desk.store.close()
