"""Opening the book and the ladder: where they lie, and a sentence for each way that fails."""

import sys
from pathlib import Path

import pytest
from tests.desk import cast
from tests.desk.cast import SPRING_25, SPRING_26, TUCK, a_camp, bring, child, payload, write

from loftbook.desk.answers import camp_answer
from loftbook.desk.camps import make_camp
from loftbook.desk.files import file_bytes, write_file
from loftbook.desk.opening import default_book, ladder_text, open_desk, open_ladder
from loftbook.desk.people import all_athletes, all_camps
from loftbook.errors import BookFileError, LadderError, LoftbookError, Refused
from loftbook.insight.change import ChangeKind


def test_it_works(tmp_path):
    desk = open_desk(tmp_path / "camp.book")
    bring(desk, child("Mira", "Moss"))
    desk.store.close()
    again = open_desk(str(tmp_path / "camp.book"))
    assert [one.name.full for one in all_athletes(again)] == ["Mira Moss"]
    again.store.close()


def test_the_environment_names_the_book(tmp_path, monkeypatch):
    monkeypatch.setenv("LOFTBOOK_BOOK", str(tmp_path / "new folder" / "ours.book"))
    assert default_book() == tmp_path / "new folder" / "ours.book"
    open_desk().store.close()
    assert (tmp_path / "new folder" / "ours.book").is_file()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems keep it elsewhere")
def test_without_it_the_book_lies_among_the_users_data(tmp_path, monkeypatch):
    monkeypatch.delenv("LOFTBOOK_BOOK", raising=False)
    # XDG Base Directory Specification 0.8: XDG_DATA_HOME is where a user's data files are stored.
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_book() == tmp_path / "loftbook" / "camp.book"


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("x")
    monkeypatch.setenv("LOFTBOOK_BOOK", str(tmp_path / "file" / "camp.book"))
    with pytest.raises(BookFileError, match="--book FILE"):
        open_desk()


# ---- the ladder ----


def own_ladder(tmp_path, change=("", "")) -> Path:
    file = tmp_path / "my-ladder.toml"
    file.write_text(ladder_text().replace(*change), encoding="utf-8")
    return file


def test_the_shipped_ladder_can_be_copied_and_read_back(tmp_path):
    assert open_ladder(own_ladder(tmp_path)) == open_ladder()


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda _: None, "no ladder file that can be read"),
        (lambda file: file.mkdir(), "no ladder file that can be read"),
        (lambda file: file.write_bytes(b"\xff\xfe\x00name"), "save it again as UTF-8"),
        (lambda file: file.write_text("name = [1"), "Line 1"),
        (lambda file: file.write_text(""), "What to do"),
    ],
    ids=["missing", "a folder", "another encoding", "no TOML", "empty"],
)
def test_a_ladder_that_cannot_be_read_is_a_sentence(tmp_path, make, said):
    file = tmp_path / "ladder.toml"
    make(file)
    with pytest.raises(LadderError, match=said):
        open_desk(":memory:", ladder_file=file)


def edition_of(text: str) -> str:
    return next(line for line in text.splitlines() if line.startswith("edition"))


@pytest.fixture
def later_edition(tmp_path):
    """The shipped ladder under another name of its edition, asking the same."""
    return own_ladder(tmp_path, (edition_of(ladder_text()), 'edition = "ours-2"'))


def test_two_editions_that_ask_the_same_are_one(tmp_path, later_edition):
    first = cast.a_desk(tmp_path / "camp.book")
    (who,) = bring(first, child("Mira", "Moss"))
    write(first, payload(a_camp(first, "Camp", SPRING_25), who))
    first.store.close()
    second = cast.a_desk(tmp_path / "camp.book", ladder_file=later_edition)
    write(second, payload(a_camp(second, "Camp", SPRING_26), who, help="hand_light"))
    assert {camp.edition for camp in all_camps(second)} == {open_ladder().edition, "ours-2"}
    camp = all_camps(second)[0]
    change = next(c for c in camp_answer(second, camp.id).changes if c.rung == TUCK)
    assert change.kind is ChangeKind.NOT_NOW
    second.store.close()


def test_an_edition_that_asks_for_something_else_blurs_what_is_not_there_now(tmp_path, later_edition):
    """At first a hand counted as alone; the new edition asks for nobody in."""
    easier = own_ladder(
        tmp_path, ('[standard.camp]\nhelp = "nobody_in"', '[standard.camp]\nhelp = "hand_light"')
    )
    easier = easier.rename(tmp_path / "easier.toml")
    easier.write_text(
        easier.read_text(encoding="utf-8").replace(edition_of(ladder_text()), 'edition = "ours-1"'), "utf-8"
    )
    later_edition.write_text(
        ladder_text().replace(edition_of(ladder_text()), 'edition = "ours-2"'), encoding="utf-8"
    )
    first = cast.a_desk(tmp_path / "camp.book", ladder_file=easier)
    (who,) = bring(first, child("Mira", "Moss"))
    write(first, payload(a_camp(first, "Camp", SPRING_25), who, help="hand_light"))
    first.store.close()
    second = cast.a_desk(tmp_path / "camp.book", ladder_file=later_edition)
    write(second, payload(a_camp(second, "Camp", SPRING_26), who, help="hand_light"))
    camp = all_camps(second)[0]
    change = next(c for c in camp_answer(second, camp.id).changes if c.rung == TUCK)
    assert (change.kind, "another edition" in change.why) == (ChangeKind.CANNOT_TELL, True)
    second.store.close()


# ---- making a camp ----


def test_a_camp_is_made_with_a_number_of_its_own(desk):
    from dataclasses import replace
    from datetime import timedelta
    from uuid import UUID

    asked = cast.Camp(UUID(int=0), "Camp", SPRING_25, SPRING_25 + timedelta(days=1), "")
    made = [make_camp(desk, asked), make_camp(desk, replace(asked, starts=SPRING_26, ends=SPRING_26))]
    assert len({camp.id for camp in made} - {UUID(int=0)}) == 2
    assert all(camp.edition == desk.ladder.edition and camp.recorded == cast.NOW for camp in made)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": "  "}, "without a name"),
        ({"take_off": "moon"}, "trampoline"),
        ({"landing": "lava"}, "soft_flat_mat"),
        ({"ends": SPRING_25.replace(year=2024)}, "check both days"),
        ({"ends": SPRING_25.replace(year=2026)}, "check both days"),
        ({"name": "a\x00b"}, "NUL"),
    ],
)
def test_a_camp_that_cannot_be_is_refused(desk, changes, said):
    from dataclasses import replace

    good = cast.Camp(cast.same_fact("x"), "Camp", SPRING_25, SPRING_25, "")
    with pytest.raises(Refused, match=said):
        make_camp(desk, replace(good, **changes))
    assert all_camps(desk) == ()


def test_a_camp_is_not_made_twice_under_one_number(desk):
    camp = a_camp(desk, "Camp", SPRING_25)
    with pytest.raises(Refused):
        make_camp(desk, camp)
    assert all_camps(desk) == (camp,)


# ---- files ----


def test_a_list_is_never_read_beyond_what_a_list_can_be(tmp_path):
    big = tmp_path / "big.csv"
    with big.open("wb") as file:
        file.truncate(200_000_000)  # as a hole: it takes no room on the disk
    with pytest.raises(LoftbookError, match=r"big\.csv, which has more than 32 MB"):
        file_bytes(big)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there is no endless file on this system")
def test_an_endless_file_ends(tmp_path):
    with pytest.raises(LoftbookError, match="more than 1 MB"):
        file_bytes(Path("/dev/zero"), most=1_000_000)


def test_a_file_is_written_whole_and_its_folder_made(tmp_path):
    write_file(tmp_path / "a" / "b" / "c.txt", b"words")
    assert file_bytes(tmp_path / "a" / "b" / "c.txt") == b"words"
