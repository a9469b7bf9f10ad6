"""Printing: a letter for each child and the camp's lists, read back out of the PDF by another program."""

from datetime import date
from uuid import UUID

import pytest
from tests.desk import cast
from tests.desk.cast import PIKE, TUCK, blank, bring, child, payload, write
from tests.reports.reading import opened, words

from loftbook.desk.answers import athlete_answer, camp_answer
from loftbook.desk.letters import letter_of_one, letters_of_camp
from loftbook.desk.people import all_athletes, find_camp
from loftbook.desk.printing import (
    camp_lists_pdf,
    file_name,
    letter,
    letter_pdf,
    letters_pdf,
    write_letters,
)
from loftbook.errors import LoftbookError, UnknownThing


@pytest.fixture
def filled(made):
    """Mira alone, Noa in the belt, Otylia tried, Petra declined, Rika away."""
    write(
        made.desk,
        payload(made.autumn, made.mira, help="hand_light"),
        payload(made.today, made.mira, note="set went back"),
        payload(made.today, made.noa, help="belt_light"),
        payload(made.today, made.otylia, PIKE, outcome="tried", rotation="short"),
        blank(made.today, made.petra, outcome="declined"),
        blank(made.today, made.rika, outcome="absent"),
    )
    return made


def test_it_works(filled):
    letters = letters_pdf(filled.desk, filled.today.id)
    assert set(letters) == {filled.mira, filled.noa, filled.otylia, filled.petra}
    known = {a.id: a.name for a in all_athletes(filled.desk)}
    for who, pdf in letters.items():
        told = words(pdf)
        assert known[who].given in told
        assert known[who].family in told
        assert "R. Sorrel" in told  # her home coach
        assert "parent or guardian" in told
        others = {name.given for one, name in known.items() if one != who}
        assert not any(name in told for name in others), told


@pytest.mark.both_engines
def test_a_letter_says_what_the_book_says(filled):
    told = words(letters_pdf(filled.desk, filled.today.id)[filled.noa])
    assert "Double back, tuck" in told
    assert "belt, light" in told
    assert "Spring camp" in told
    assert cast.COACH in told
    assert "Double back, pike" not in told.split("What we propose")[0].split("What we saw")[-1]


@pytest.mark.parametrize("name", ["mira", "noa", "otylia", "petra"])
def test_one_letter_is_the_same_as_that_of_the_batch(filled, name):
    who = getattr(filled, name)
    batch = {one.athlete.id: one for one in letters_of_camp(filled.desk, filled.today.id)}
    assert letter_of_one(filled.desk, who, filled.today.id) == batch[who]


@pytest.mark.both_engines
def test_a_letter_tells_the_changes_of_her_page(filled):
    """Worked out for all at once, and for one alone."""
    for who in filled.everyone[:4]:
        page = athlete_answer(filled.desk, who, until=filled.today.id)
        assert letter_of_one(filled.desk, who, filled.today.id).changes == page.changes


def test_every_letter_is_marked_as_invented(filled):
    for pdf in letters_pdf(filled.desk, filled.today.id).values():
        assert "Invented data" in words(pdf)


def test_whatever_proposes_training_carries_the_cautions(filled):
    letters = {who: words(pdf).casefold() for who, pdf in letters_pdf(filled.desk, filled.today.id).items()}
    proposing = {who for who, told in letters.items() if "stop rule" in told}
    assert proposing == {filled.mira, filled.noa, filled.otylia}
    for who in proposing:
        for caution in (
            "qualified",
            "mats",
            "federation",
            "stop on pain, on fear",
            "stopping is not failing",
        ):
            assert caution in letters[who], caution


def test_a_letter_about_an_earlier_camp_knows_nothing_of_later_ones(filled):
    told = words(letter_pdf(filled.desk, filled.mira, filled.autumn.id))
    assert "Autumn camp" in told
    assert "set went back" not in told


def test_without_a_camp_it_is_about_her_latest(filled):
    assert "Spring camp" in words(letter_pdf(filled.desk, filled.mira))


def test_of_two_halls_on_one_weekend_each_letter_is_about_its_own(filled):
    other = cast.a_camp(filled.desk, "Other hall", filled.today.starts, bed="bed Z")
    write(filled.desk, payload(other, filled.mira, help="belt_full"))
    assert "Other hall" in words(letter_pdf(filled.desk, filled.mira, other.id))
    assert (
        "Other hall" not in words(letter_pdf(filled.desk, filled.mira, filled.today.id)).split("What we")[0]
    )


def test_one_who_was_at_no_camp_is_a_sentence(filled):
    (who,) = bring(filled.desk, child("Zora", "New"))
    with pytest.raises(UnknownThing, match="Zora New"):
        letter(filled.desk, who)
    with pytest.raises(UnknownThing):
        letter(filled.desk, filled.mira, UUID(int=9))
    with pytest.raises(UnknownThing):
        letters_pdf(filled.desk, UUID(int=9))


def test_a_camp_without_a_result_has_no_letters(made):
    assert letters_pdf(made.desk, made.today.id) == {}


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_paper_is_the_one_that_was_asked_for(filled, paper):
    box = opened(letter_pdf(filled.desk, filled.mira, paper=paper)).pages[0].mediabox
    # ISO 216: A4 is 210 mm by 297 mm; ANSI Letter is 8.5 in by 11 in; a point is 1/72 in.
    wide, high = (210 / 25.4 * 72, 297 / 25.4 * 72) if paper == "a4" else (612, 792)
    assert (float(box.width), float(box.height)) == (pytest.approx(wide, abs=1), pytest.approx(high, abs=1))


def test_an_unknown_paper_is_a_sentence(filled):
    with pytest.raises(LoftbookError, match="a4 or letter"):
        letter_pdf(filled.desk, filled.mira, paper="vellum")


def test_the_lists_name_everybody_and_stay_with_the_coaches(filled):
    told = words(camp_lists_pdf(filled.desk, filled.today.id))
    for one in all_athletes(filled.desk):
        assert one.name.family in told
    assert "it goes to no parent, no club and no wall" in told
    assert "invented" in told.casefold()
    tuck = camp_answer(filled.desk, filled.today.id).inventory.rung(TUCK)
    assert f"{len(tuck.alone)} of the {tuck.shown}" in told or "interval" in told


def test_the_lists_of_the_shipped_camps_can_be_printed(desk):
    cast.imported(desk)
    for day in ("2025-04-12", "2025-10-18"):
        told = words(camp_lists_pdf(desk, find_camp(desk, day).id))
        assert "Šimić" in told
        assert "invented" not in told.casefold()  # real people are not called invented


@pytest.mark.parametrize(
    ("given", "family"),
    [
        ("ליאת", "נור"),
        ("ليلى", "نور"),
        ("Łucja", "O’Żak"),
        ('Q"uote', "<b>"),
        ("=cmd()", "../../etc"),
        ("#let x", "$y$ *z* @a"),
        ("Nova 🤸", "Star"),
    ],
)
def test_a_name_of_any_kind_can_be_printed(filled, given, family):
    (who,) = bring(filled.desk, child(given, family))
    write(filled.desk, payload(filled.today, who))
    told = words(letter_pdf(filled.desk, who))
    plain = [part for part in f"{given} {family}".split() if part.isascii()]
    assert all(part in told for part in plain), told[:200]


def test_files_have_names_that_every_system_can_hold(filled, tmp_path):
    bad = [
        child("../..", "/etc/passwd"),
        child("ליאת", "נור"),
        child("CON", "a" * 300),
        child("Mira", "Moss "),
    ]
    bring(filled.desk, *bad)
    write(filled.desk, *(payload(filled.today, one.id) for one in bad))
    files = write_letters(filled.desk, filled.today.id, tmp_path / "deep" / "papers")
    assert len({file.name for file in files}) == len(files) == 8
    for file in files:
        assert file.parent == tmp_path / "deep" / "papers"
        assert file.read_bytes()[:5] == b"%PDF-"
        # 255 bytes is the longest name of ext4, APFS and NTFS.
        assert len(file.name.encode()) <= 255
        assert file.name.isascii()


def test_two_of_one_name_have_two_files():
    one, other = child("Lumi", "Lindqvist"), child("Lumi", "Lindqvist ", born=date(2015, 1, 1))
    assert file_name("letter", one) != file_name("letter", other)


def test_a_file_name_keeps_the_letters_that_ascii_lacks_as_their_nearest():
    assert file_name("letter", child("Yara", "Yıldız")).startswith("letter-yara-yildiz-")
    assert file_name("letter", child("Mirela", "Møller")).startswith("letter-mirela-moller-")


def test_a_folder_that_cannot_be_made_is_a_sentence(filled, tmp_path):
    (tmp_path / "papers").write_text("a file")
    with pytest.raises(LoftbookError, match="choose another with --to"):
        write_letters(filled.desk, filled.today.id, tmp_path / "papers")


def test_a_child_who_was_not_allowed_something_gets_no_drill(made):
    """An injury on one rung; the turns on the other carry marks that would set drills."""
    write(
        made.desk,
        payload(made.today, made.mira, marks={"lift": 1, "landing": 2}),
        blank(made.today, made.mira, PIKE, outcome="not_allowed"),
    )
    told = words(letter_pdf(made.desk, made.mira))
    assert "She was not allowed some skills at this camp, so no drill is set here." in told
    assert "Stop rule" not in told
    assert "propose to work on" not in told


@pytest.mark.both_engines
def test_the_letter_remembers_what_she_had(made):
    write(
        made.desk,
        payload(made.spring, made.mira),
        payload(made.autumn, made.mira, help="hand_light"),
    )
    told = words(letter_pdf(made.desk, made.mira, made.autumn.id))
    assert "Had it at Spring camp 2025, with help (by hand, light) now." in told
    assert "next rung" not in told
    assert "no record of what leads" not in told


@pytest.mark.parametrize(
    ("given", "family", "named"),
    [
        ("Vesper", "Ærøsund", "letter-vesper-aerosund-"),
        ("Yara", "Yıldız", "letter-yara-yildiz-"),
        ("Mirela", "Møller", "letter-mirela-moller-"),
        ("Łucja", "Strauß", "letter-lucja-strauss-"),
        ("Þóra", "Guðrún-Đurić", "letter-thora-gudrun-duric-"),
        ("نور", "علي", "letter-gymnast-"),
    ],
)
def test_the_name_of_a_file_loses_no_letter(given, family, named):
    assert file_name("letter", child(given, family)).startswith(named)
