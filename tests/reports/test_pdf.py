"""The press: words come out as they went in, the file is tagged, and no name is a command."""

import io
from datetime import UTC, date, datetime

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.reports.cast import HARD_NAMES
from tests.reports.reading import fonts, opened, pictures, roles, words

from loftbook.book.people import Height
from loftbook.insight.standing import State
from loftbook.reports.charts.heights import height_history
from loftbook.reports.page import (
    Bullets,
    Figure,
    Heading,
    KeyValue,
    Note,
    Page,
    Paragraph,
    Span,
    Together,
    WriteIn,
)
from loftbook.reports.pdf import PageError, write_pdf, write_pdfs
from loftbook.reports.table import Cell, Column, Table

HEIGHTS = height_history("Mira", [Height(1.40, date(2025, 4, 12)), Height(1.43, date(2025, 10, 18))])


def everything(name: str) -> Page:
    """A page with each kind of block, and the name in each."""
    table = Table(
        (Column("Who"), Column("Turns", "number")), ((Cell(name, mark=State.ALONE, under=name), Cell("3")),)
    )
    return Page(
        title=name,
        blocks=(
            Heading(name, aside=name),
            Paragraph(name),
            Paragraph((Span(name, strong=True), Span(" "), Span(name, finding=True))),
            KeyValue((("To", name),)),
            Bullets((name,)),
            Together((Heading("Three", level=3), table)),
            Figure(HEIGHTS, name),
            Note(name, caution=True, points=(name,)),
            WriteIn("Decided by", name),
            Table((Column("Who"),), ((Cell(items=(name, name)),),)),
        ),
        kicker=name,
        subtitle=name,
        footer=name,
        author=name,
        invented=True,
    )


@pytest.mark.parametrize(
    "name",
    [
        "Ægir Þórðardóttir 🤸",
        "أمل",
        "محمد",
        "נועה",
        "Łucja Żółć",
        "Кира",
        "Δήμητρα",
        'O\'Neill "Nell" & <Sons>',
    ],
)
def test_names_are_read_back(name):
    told = words(write_pdf(everything(name)))
    # Title, kicker, subtitle, heading and its aside, three in paragraphs, two lists, two in a cell, caption,
    # note, point, hint, two in columns, footer.
    assert told.count(name) >= 17


@pytest.mark.parametrize(
    "name",
    [
        '#read("/etc/passwd")',
        "*bold* _slanted_",
        "$x^2$",
        "@label <label>",
        "= Heading",
        "// gone",
        "\\u{41}",
        "`raw`",
        "#",
    ],
)
def test_markup_is_literal(name):
    told = words(write_pdf(everything(name)))
    assert told.count(name) >= 17
    assert "root:" not in told


def test_the_title_the_language_and_the_marking_are_there():
    # ISO 14289-1:2014 (PDF/UA-1) asks for: 7.1 tagged content and a title that the reader shows, 7.2 a natural
    # language, 5 its identifier in the metadata. Clause numbers from memory.
    pdf = write_pdf(everything("Mira"), lang="en")
    reader = opened(pdf)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Mira: Mira"
    assert reader.metadata.author == "Mira"
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def test_the_structure_is_told():
    told = roles(write_pdf(everything("Mira")))
    assert [role for role in told if role[0] == "H" and role[1:].isdigit()] == ["H1", "H2", "H3"]
    for role in ("P", "L", "LI", "LBody", "Table", "TR", "TH", "TD", "Figure"):
        assert role in told, role


def test_pictures_are_told_in_words_and_forms_of_states_are_not_repeated():
    assert pictures(write_pdf(everything("Mira"))) == [HEIGHTS.alt]


def test_every_font_is_in_the_file():
    found = list(fonts(write_pdf(everything("Mira أمل נועה 🤸"))))
    assert {name.partition("+")[2].partition("-")[0] for name, _ in found} >= {
        "SourceSerif4Roman",
        "SourceSans3",
        "IBMPlexSansArabic",
        "NotoSansHebrew",
        "NotoEmoji",
    }
    assert all(inside for _, inside in found)


def test_the_same_page_gives_the_same_bytes():
    assert write_pdf(everything("Mira")) == write_pdf(everything("Mira"))
    assert b"/CreationDate" not in write_pdf(everything("Mira"))


def test_the_moment_is_the_one_that_was_given():
    made = datetime(2025, 10, 20, 9, 30, tzinfo=UTC)
    pdf = write_pdf(everything("Mira"), made=made)
    assert pdf == write_pdf(everything("Mira"), made=made)
    found = opened(pdf).metadata
    assert found is not None
    assert found.creation_date == made


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_paper_is_the_one_asked_for(paper, size):
    # ISO 216 for A4 in mm; US letter is 8.5 by 11 inches of 25.4 mm.
    box = opened(write_pdf(everything("Mira"), paper)).pages[0].mediabox
    assert [float(n) * 25.4 / 72 for n in (box.width, box.height)] == pytest.approx(size, abs=0.1)


def test_letters_that_no_font_has_stand_as_their_code():
    # Private use: no font of ours and none of a machine can know them. U+0378 is not assigned.
    told = words(write_pdf(everything("Kim \u0378")))
    assert "Kim [U+0378]" in told
    assert "No font at hand has some letters of this page" in told


@pytest.mark.parametrize(("paper", "lang"), [("a5", "en"), ("", "en"), ("a4", "English"), ("a4", "e")])
def test_an_unknown_paper_or_language_is_said(paper, lang):
    with pytest.raises(PageError, match="What to do"):
        write_pdf(Page("Mira", ()), paper, lang)


def test_invented_data_is_marked_on_every_sheet():
    page = Page("Mira", tuple(Paragraph("word " * 300) for _ in range(4)), invented=True)
    sheets = opened(write_pdf(page)).pages
    assert len(sheets) > 1
    assert all("Invented data" in sheet.extract_text() for sheet in sheets)
    real = Page("Mira", page.blocks)
    assert "Invented" not in words(write_pdf(real))


def test_the_sheets_are_counted():
    page = Page("Mira", tuple(Paragraph("word " * 300) for _ in range(4)), kicker="Letter")
    sheets = opened(write_pdf(page)).pages
    assert f"1 of {len(sheets)}" in sheets[0].extract_text()
    assert f"{len(sheets)} of {len(sheets)}" in sheets[-1].extract_text()
    assert "Letter · Mira" in sheets[1].extract_text()


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=60))
def test_any_text_can_be_printed(text):
    pdf = write_pdf(everything(text))
    assert pypdf.PdfReader(io.BytesIO(pdf)).pages


def test_many_pages_are_written_each_to_its_own_file():
    pages = [Page(name.full, (Paragraph(name.given),)) for name in HARD_NAMES]
    made = write_pdfs(pages)
    titles = [found.title for pdf in made if (found := opened(pdf).metadata)]
    assert titles == [name.full for name in HARD_NAMES]
