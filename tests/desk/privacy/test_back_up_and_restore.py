"""Backups that make themselves, are looked through and rotate; a restored book equals the one that was backed up."""

import sqlite3
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tests.desk import cast
from tests.desk.film import cast as filmed

from loftbook.book.rotation import Rotation, is_due, to_keep
from loftbook.desk.film.attaching import delete_film
from loftbook.desk.privacy import backups as desk_backups
from loftbook.desk.privacy.backups import back_up, backups_of, restore
from loftbook.desk.privacy.copies import back_up_to, listed, restore_from
from loftbook.desk.privacy.daily import daily_round
from loftbook.desk.privacy.erasing import erase_child
from loftbook.desk.privacy.sealing import is_sealed
from loftbook.errors import BookFileError, Refused
from loftbook.store import backups, imports
from loftbook.store.imports import PendingImport

LATER = cast.NOW + timedelta(days=2)


def clock():
    return LATER


@pytest.fixture
def desk(tmp_path):
    made = cast.a_desk(tmp_path / "camp.book")
    cast.imported(made)
    yield made
    made.store.close()


def test_restored_equals_the_original_table_by_table(desk):
    """SQL dumps of both files, taken by SQLite itself, are the same but for what names the moment."""
    book = desk.store.path
    whole, rows = dumped(book), cast.everything(desk)
    assert sum(map(len, rows.values())) > 200
    made = back_up(desk)
    cast.bring(desk, cast.child("Written", "After"))
    desk.store.close()
    assert dumped(book) != whole
    found = restore(book, made.file.stem, clock=clock)
    assert dumped(book) == whole
    again = cast.a_desk(book)
    assert cast.everything(again) == rows
    assert again.store.damage() == ()
    assert {name: count for name, count in found.rows.items() if name in rows} == {
        n: len(r) for n, r in rows.items()
    }
    again.store.close()
    # What was there before is kept: the way back from the way back.
    restore(book, found.kept.stem, clock=lambda: LATER + timedelta(hours=1))
    assert "Written" in dumped(book)


def test_a_book_that_was_replaced_outlives_the_next_backups_of_the_day(desk):
    """The copy that a slip is taken back with is in no rotation: the next `loftbook serve` backs up at once."""
    book = desk.store.path
    made = back_up(desk)
    cast.bring(desk, cast.child("Written", "After"))
    desk.store.close()
    found = restore(book, made.file.stem, clock=lambda: cast.NOW + timedelta(hours=1))
    again = cast.a_desk(book)
    for hours in (2, 3):
        back_up(replace(again, clock=lambda hours=hours: cast.NOW + timedelta(hours=hours)))
    assert found.kept in [one.file for one in listed(book)]
    erase_child(again, cast.named(again, "Ayla Aalto"), typed="Ayla Aalto", by="H. Alder")
    assert not found.kept.exists(), "an erasure takes every backup"
    again.store.close()


def test_a_damaged_book_does_not_bring_back_who_was_erased(desk, tmp_path):
    book, copy = desk.store.path, back_up_to(desk, tmp_path / "taken-along.book")
    erase_child(desk, cast.named(desk, "Ayla Aalto"), typed="Ayla Aalto", by="H. Alder")
    desk.store.close()
    book.write_bytes(b"not a book any more")
    assert restore(book, str(copy), clock=clock).erased_again == 1
    assert b"Aalto" not in book.read_bytes()


def test_a_backup_of_a_newer_loftbook_takes_nobodys_place(desk, tmp_path):
    book, copy = desk.store.path, desk.store.backup(tmp_path / "newer.book")
    with sqlite3.connect(copy) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()
    desk.store.close()
    before = dumped(book)
    with pytest.raises(BookFileError, match="newer Loftbook"):
        restore(book, str(copy), clock=clock)
    assert dumped(book) == before


def test_a_damaged_book_that_cannot_be_kept_is_not_replaced(desk, monkeypatch):
    book, made = desk.store.path, back_up(desk)
    desk.store.close()
    book.write_bytes(b"damaged")

    def full(file, _):
        file.touch()
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(type(book), "write_bytes", full)
    with pytest.raises(BookFileError, match="No space left"):
        restore(book, made.file.stem, clock=clock)
    assert book.read_bytes() == b"damaged"
    assert not list(made.file.parent.glob("damaged-*"))


def dumped(book):
    with sqlite3.connect(book) as raw:
        text = "\n".join(line for line in raw.iterdump() if not line.startswith('INSERT INTO "book"'))
    raw.close()
    return text


def test_a_child_erased_and_a_film_deleted_since_do_not_come_back(tmp_path):
    desk, (hers, _) = filmed.filmed_book(tmp_path)
    from io import BytesIO

    from loftbook.desk.film.attaching import Sent, attach

    kept = attach(
        desk, hers.id, Sent(BytesIO(filmed.TUCK.read_bytes()), "a.mp4", "H. Alder"), engine=filmed.ENGINE
    )
    copy = desk.store.backup(tmp_path / "taken-along.book")
    delete_film(desk, kept.clip.id, by="H. Alder", why="asked for")
    noa = cast.named(desk, "Noa O’Nettle")
    erase_child(desk, noa, typed="Noa O’Nettle", by="H. Alder")
    desk.store.close()
    found = restore(tmp_path / "camp.book", str(copy), clock=clock)
    assert (found.erased_again, found.films_gone) == (1, 1)
    again = cast.a_desk(tmp_path / "camp.book")
    assert cast.names(again) == ["Mira Moss"]
    assert not cast.everything(again)["clip"]
    assert b"Nettle" not in (tmp_path / "camp.book").read_bytes()
    again.store.close()


def test_a_book_in_use_is_not_restored_over(desk):
    made = back_up(desk)
    with pytest.raises(BookFileError, match="open in another program"):
        restore(desk.store.path, made.file.name, clock=clock)
    assert "Ayla Aalto" in cast.names(desk)


def test_a_damaged_backup_touches_nothing_and_a_damaged_book_comes_back(desk, tmp_path):
    made, book, rows = back_up(desk), desk.store.path, cast.everything(desk)
    desk.store.tidy()
    desk.store.close()
    bad = tmp_path / "bad.book"
    data = bytearray(made.file.read_bytes())
    for at in range(8192, len(data) - 64, 4096):
        data[at : at + 64] = b"\xff" * 64
    bad.write_bytes(data)
    before = book.read_bytes()
    with pytest.raises(BookFileError):
        restore(book, str(bad), clock=clock)
    assert book.read_bytes() == before
    book.write_bytes(bad.read_bytes())
    found = restore(book, "latest", clock=clock)
    assert found.kept.read_bytes() == bytes(data)
    again = cast.a_desk(book)
    assert cast.everything(again) == rows
    again.store.close()


@pytest.mark.parametrize("which", ["latest", "nothing-such.book"])
def test_what_is_no_backup_is_a_sentence(tmp_path, which):
    with pytest.raises(BookFileError, match="There is no backup"):
        restore(tmp_path / "camp.book", which, clock=clock)


def test_a_copy_that_lacks_a_row_is_no_backup(desk, monkeypatch):
    """Every page may be sound and a row be missing: the counts tell."""
    real = backups._check

    def lose(draft):
        with sqlite3.connect(draft) as raw:
            raw.execute("DELETE FROM height WHERE seq = (SELECT min(seq) FROM height)")
        raw.close()
        real(draft)

    monkeypatch.setattr(backups, "_check", lose)
    with pytest.raises(BookFileError, match="rows of height"):
        back_up(desk)
    assert backups_of(desk.store.path) == ()


def test_once_a_day_by_itself_and_old_ones_go(desk):
    day = cast.NOW
    for n in range(40):
        for hour in (0, 3):
            daily_round(replace(desk, clock=lambda n=n, hour=hour: day + timedelta(days=n, hours=hour)))
    kept = [one.at for one in backups_of(desk.store.path)]
    assert kept == sorted(to_keep([day + timedelta(days=n) for n in range(40)]), reverse=True)
    assert 7 + 3 <= len(kept) <= 7 + 5 + 2
    assert kept[0] == day + timedelta(days=39)


def test_the_rotation_keeps_the_last_of_each_period():
    """By counting, on a calendar: a backup at noon each day of 2027."""
    made = [datetime(2027, 1, 1, 12, tzinfo=UTC) + timedelta(days=n) for n in range(365)]
    kept = to_keep(made, Rotation(days=7, weeks=0, months=12))
    assert {one.month for one in kept} == set(range(1, 13))
    ends = {(one.month, one.day) for one in kept if one.month < 12}
    assert ends == {
        (1, 31),
        (2, 28),
        (3, 31),
        (4, 30),
        (5, 31),
        (6, 30),
        (7, 31),
        (8, 31),
        (9, 30),
        (10, 31),
        (11, 30),
    }
    assert {one.day for one in kept if one.month == 12} == set(range(25, 32))
    assert not is_due(made, made[-1] + timedelta(hours=19))
    assert is_due(made, made[-1] + timedelta(hours=21))
    assert is_due([made[-1]], made[0]), "a backup from the future is none"


def test_a_list_that_waited_a_month_is_put_away(desk):
    with desk.store.write() as connection:
        waits = PendingImport("d", "roster.csv", "roster", cast.NOW, b"Name\nHidden Name\n")
        imports.keep_pending(connection, waits)
    assert daily_round(replace(desk, clock=lambda: cast.NOW + timedelta(days=29))).lists == ()
    assert daily_round(replace(desk, clock=lambda: cast.NOW + timedelta(days=31))).lists == ("roster.csv",)


def test_a_full_disk_stops_no_deletion(desk, monkeypatch):
    def full(*_, **__):
        raise BookFileError("The disk is full", todo="make room")

    monkeypatch.setattr(desk_backups, "_kept_now", full)
    assert "full" in daily_round(desk).trouble


def test_a_sealed_copy_comes_back_with_its_phrase_and_shows_nothing_without(desk, tmp_path):
    phrase, rows, book = "anvil cloud seven otter", cast.everything(desk), desk.store.path
    copy = back_up_to(desk, tmp_path / "copy.sealed", phrase=phrase)
    assert cast.everything(desk)["gone_out"], "it is written down that a copy left"
    desk.store.close()
    data = copy.read_bytes()
    assert is_sealed(copy)
    assert b"Aalto" not in data
    assert b"SQLite" not in data
    with pytest.raises(BookFileError, match="phrase is another"):
        restore_from(book, str(copy), phrase="anvil cloud seven badger")
    changed = tmp_path / "changed.sealed"
    changed.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    for much in (25, 40, len(data) // 2):  # cut in the salt, in the nonce, in the book
        cut = tmp_path / "cut.sealed"
        cut.write_bytes(data[:much])
        with pytest.raises(BookFileError, match="cut short"):
            restore_from(book, str(cut), phrase=phrase)
    with pytest.raises(BookFileError, match="was changed"):
        restore_from(book, str(changed), phrase=phrase)
    restore_from(book, str(copy), phrase=phrase)
    again = cast.a_desk(book)
    assert cast.everything(again) == rows
    again.store.close()
    assert not list(tmp_path.glob(".*"))


def test_a_short_phrase_seals_nothing(desk, tmp_path):
    with pytest.raises(Refused, match="pass phrase"):
        back_up_to(desk, tmp_path / "copy.sealed", phrase="short")
    assert not (tmp_path / "copy.sealed").exists()
