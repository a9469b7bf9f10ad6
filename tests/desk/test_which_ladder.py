"""A book remembers the coach's own ladder, follows the shipped one, and never mixes two standards under one name.

What a ladder asks is read from the text that the test itself wrote; common practice, no source.
"""

from pathlib import Path
from uuid import uuid4

import pytest
from tests.desk import cast
from tests.desk.cast import SPRING_25, SPRING_26, a_camp, bring, child, payload, write
from tests.desk.gym import Clock, attempt, gym_desk

from loftbook.desk import editions
from loftbook.desk.opening import ladder_text, ladder_to_edit, open_desk, open_ladder
from loftbook.desk.people import all_camps
from loftbook.desk.sync import Batch, take_in
from loftbook.errors import BookFileError, LadderError
from loftbook.ladder import shipped
from loftbook.store import ladders

EDITION = 'edition = "loftbook-1"'
EASIER = ('[standard.camp]\nhelp = "nobody_in"', '[standard.camp]\nhelp = "hand_light"')
OTHER_DRILL = ('name = "Doubles"', 'name = "Our doubles"')


def own(folder: Path, edition: str = "ours-1", *changes: tuple[str, str]) -> Path:
    """A coach's own ladder: the shipped one under another edition, with changes."""
    text = ladder_text().replace(EDITION, f'edition = "{edition}"')
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file = folder / f"{edition}-{len(list(folder.iterdir()))}.toml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture
def place(tmp_path) -> Path:
    return tmp_path / "camp.book"


def edition_at(place: Path) -> str:
    desk = cast.a_desk(place)
    desk.store.close()
    return desk.ladder.edition


def kept(place: Path) -> list[str]:
    desk = cast.a_desk(place, any_ladder=True)
    with desk.store.read() as connection:
        texts = [one.text for one in ladders.ladder_texts(connection)]
    desk.store.close()
    return texts


def take_into_use(place: Path, text: str, edition: str = "ours-1") -> None:
    """As an earlier Loftbook left it, with no regard to what the text says."""
    desk = cast.a_desk(place)
    with desk.store.write() as connection:
        ladders.use_ladder(connection, ladders.LadderText(edition, SPRING_25, text, cast.NOW))
    desk.store.close()


def camp_with(place: Path, day=SPRING_25, **options) -> None:
    desk = cast.a_desk(place, **options)
    a_camp(desk, "Camp", day)
    desk.store.close()


# ---- her own ladder is remembered ----


def test_a_ladder_that_was_named_once_stays_in_use(place, tmp_path):
    camp_with(place, ladder_file=own(tmp_path))
    assert edition_at(place) == "ours-1"
    camp_with(place, SPRING_26)  # nobody names it this time
    desk = cast.a_desk(place)
    assert {camp.edition for camp in all_camps(desk)} == {"ours-1"}
    desk.store.close()
    assert len(kept(place)) == 1


def test_naming_it_for_a_look_does_not_bring_it_into_use(place, tmp_path):
    camp_with(place)
    assert open_ladder(own(tmp_path), book=place).edition == "ours-1"
    looked = cast.a_desk(place, ladder_file=own(tmp_path))
    assert looked.ladder.edition == "ours-1"
    looked.store.close()
    assert edition_at(place) == "loftbook-1"


@pytest.mark.parametrize("way", ["entry", "roster", "camp list", "devices"])
def test_each_way_of_writing_brings_it_into_use(place, tmp_path, way):
    file = own(tmp_path)
    before = gym_desk(book=place)  # two camps, made while the shipped one was in use
    before.store.close()
    desk = open_desk(place, clock=Clock(), ladder_file=file)
    if way == "entry":
        write(desk, payload(all_camps(desk)[0], cast.named(desk, "Given0 Family0")))
    elif way == "roster":
        cast.read_roster_file(desk, cast.roster_of("Mira Moss;2014-05-01;;;"), "roster.csv", write=True)
    elif way == "camp list":
        cast.read_camp_file(desk, cast.listed("Given0 Family0;x;;"), "camp.csv", write=True)
    else:
        assert take_in(desk, Batch([attempt(1)])).answers[0].status == "stored"
    desk.store.close()
    assert edition_at(place) == "ours-1"


def test_a_newer_own_ladder_takes_its_place_and_both_are_known(place, tmp_path):
    camp_with(place, ladder_file=own(tmp_path))
    camp_with(place, SPRING_26, ladder_file=own(tmp_path, "ours-2", EASIER))
    assert edition_at(place) == "ours-2"
    desk = cast.a_desk(place)
    with desk.store.read() as connection:
        assert set(editions.editions(connection, desk)) == {"ours-1", "ours-2"}
    desk.store.close()


def test_what_runs_already_does_not_bring_back_what_was_replaced_meanwhile(place, tmp_path):
    """The pages run while another window makes a camp by the coach's own ladder."""
    running = cast.a_desk(place)
    who = bring(running, child("Mira", "Moss"))[0]
    camp = a_camp(running, "Camp", SPRING_25)
    camp_with(place, SPRING_26, ladder_file=own(tmp_path))
    write(running, payload(camp, who))
    running.store.close()
    assert edition_at(place) == "ours-1"


def test_an_unedited_copy_goes_back_to_the_shipped_one(place, tmp_path):
    camp_with(place, ladder_file=own(tmp_path))
    copy = tmp_path / "copy.toml"
    copy.write_text(ladder_text(), encoding="utf-8")
    camp_with(place, SPRING_26, ladder_file=copy)
    assert edition_at(place) == "loftbook-1"


# ---- the shipped one follows the program ----


@pytest.fixture
def upgraded(monkeypatch):
    """Ships another ladder from now on; the text of until now counts as an earlier one."""

    def ship(text: str) -> None:
        before = {text_sum(shipped.shipped_text())}
        monkeypatch.setattr(shipped, "_sums", lambda: frozenset(before))
        monkeypatch.setattr(shipped, "shipped_text", lambda: text)
        monkeypatch.setattr(editions, "shipped_text", lambda: text)

    return ship


def text_sum(text: str) -> str:
    import hashlib

    return hashlib.sha256(text.encode()).hexdigest()


def test_a_kept_copy_of_the_shipped_ladder_does_not_outlive_an_upgrade(place, upgraded):
    camp_with(place)
    old = ladder_text()
    assert kept(place) == [old]
    new = old.replace(EDITION, 'edition = "loftbook-2"')
    upgraded(new)
    assert edition_at(place) == "loftbook-2"
    camp_with(place, SPRING_26)
    assert kept(place) == [old, new]  # the old one still tells what its camps were marked by


def test_an_own_ladder_outlives_an_upgrade(place, tmp_path, upgraded):
    camp_with(place, ladder_file=own(tmp_path))
    upgraded(ladder_text().replace(EDITION, 'edition = "loftbook-2"'))
    assert edition_at(place) == "ours-1"


def test_a_mistake_in_a_shipped_edition_stops_nobody(place, upgraded):
    """She cannot rename what is shipped."""
    camp_with(place)
    upgraded(ladder_text().replace(*EASIER))
    camp_with(place, SPRING_26)
    assert len(kept(place)) == 2


# ---- a kept one that can no longer be read ----


@pytest.mark.parametrize("text", ["name = [", 'name = "Ours"', ""])
def test_a_kept_ladder_that_cannot_be_read_is_a_sentence(place, tmp_path, text):
    take_into_use(place, text)
    with pytest.raises(LadderError, match=r"no longer readable .*--ladder FILE"):
        cast.a_desk(place)
    assert ladder_to_edit(place) == text  # so that she can put it right
    cast.a_desk(place, any_ladder=True).store.close()  # what needs no ladder goes on
    camp_with(place, ladder_file=own(tmp_path))
    assert edition_at(place) == "ours-1"


# ---- one edition, one standard ----


def test_an_edited_ladder_of_a_known_edition_is_refused(place, tmp_path):
    camp_with(place, ladder_file=own(tmp_path))
    edited = own(tmp_path, "ours-1", EASIER)
    with pytest.raises(LadderError, match=r"“ours-1” that asks for something else on .*“Double back, tuck”"):
        cast.a_desk(place, ladder_file=edited)
    with pytest.raises(LadderError, match='edition = "ours-1-2"'):
        cast.a_desk(place, ladder_file=edited)
    elsewhere = cast.a_desk(tmp_path / "other.book", ladder_file=edited)  # which knows no ours-1
    elsewhere.store.close()


def test_the_shipped_edition_is_known_everywhere(place, tmp_path):
    edited = own(tmp_path, "loftbook-1", EASIER)
    with pytest.raises(LadderError, match="loftbook-1-2"):
        cast.a_desk(place, ladder_file=edited)
    assert not place.exists()
    with pytest.raises(LadderError, match="loftbook-1-2"):
        open_ladder(edited)


def test_what_asks_the_same_may_keep_its_edition(place, tmp_path):
    camp_with(place, ladder_file=own(tmp_path))
    camp_with(place, SPRING_26, ladder_file=own(tmp_path, "ours-1", OTHER_DRILL))
    desk = cast.a_desk(place)
    assert desk.ladder.name == "Our doubles"
    desk.store.close()


def test_keeping_refuses_and_writes_nothing(place, tmp_path):
    """Two windows: one brings an edition into use that the other holds with another standard."""
    desk = cast.a_desk(place, ladder_file=own(tmp_path, "ours-1", EASIER))
    who = bring(desk, child("Mira", "Moss"))[0]
    before = cast.a_desk(place)
    camp = a_camp(before, "Earlier", SPRING_26)
    before.store.close()
    camp_with(place, ladder_file=own(tmp_path))
    for writes in (
        lambda: a_camp(desk, "Camp", SPRING_26),
        lambda: write(desk, payload(camp, who)),
        lambda: cast.read_camp_file(desk, cast.listed("Mira Moss;x;;"), "camp.csv", write=True),
    ):
        rows = cast.everything(desk)
        with pytest.raises(LadderError, match="ours-1-2"):
            writes()
        assert cast.everything(desk) == rows
    desk.store.close()


def test_devices_are_never_stopped_by_a_ladder(place, tmp_path):
    before = gym_desk(book=place)
    before.store.close()
    desk = open_desk(place, clock=Clock(), ladder_file=own(tmp_path, "ours-1", EASIER))
    camp_with(place, SPRING_26.replace(month=6), ladder_file=own(tmp_path))
    assert take_in(desk, Batch([attempt(1)])).answers[0].status == "stored"
    desk.store.close()
    assert kept(place) == [own(tmp_path).read_text(encoding="utf-8")]  # not the edited one
    assert edition_at(place) == "ours-1"


# ---- a book that is not there ----


def test_a_ladder_is_shown_without_any_book_but_not_of_a_mistyped_one(tmp_path, monkeypatch):
    monkeypatch.setenv("LOFTBOOK_BOOK", str(tmp_path / "none.book"))
    assert open_ladder().edition == "loftbook-1"
    assert ladder_to_edit() == ladder_text()
    wrong = tmp_path / f"{uuid4()}.book"
    for asks in (lambda: open_ladder(book=wrong), lambda: ladder_to_edit(wrong)):
        with pytest.raises(BookFileError, match="no book at"):
            asks()
    assert list(tmp_path.iterdir()) == []
