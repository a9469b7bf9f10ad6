"""What leaves on paper, read back by a program that did not make it."""

from __future__ import annotations

import io
import re
from datetime import date
from functools import cache
from typing import Any

from loftbook.checks.places import needed
from loftbook.checks.registry import Finding, check
from loftbook.insight.standing import State
from loftbook.reports.charts.drawing import FINDING, INK, PAPER, QUIET, for_print
from loftbook.reports.charts.marks import state_mark
from loftbook.reports.page import Figure, Heading, Page, Paragraph
from loftbook.reports.pdf import write_pdf
from loftbook.reports.table import Cell, Column, Table

NAMES = ("Ægir Þórðardóttir", "Łucja Żółć", "أمل", "נועה", "Δήμητρα", "Кира", '#read("/etc/hostname") *bold*')
_FORM = state_mark(State.HELPED, size=40)


@cache
def _sheet() -> bytes:
    rows = tuple((Cell(name), Cell("alone", mark=State.ALONE)) for name in NAMES)
    blocks = (
        Heading("What was seen"),
        Paragraph(f"Written on {date(2025, 10, 20)}."),
        Table((Column("Who"), Column("State")), rows),
        Figure(_FORM),
    )
    return write_pdf(Page("A sheet for reading back", blocks, kicker="Check", invented=True))


def _reader() -> Any:
    return needed("pypdf").PdfReader(io.BytesIO(_sheet()), strict=True)


@check(
    name="Names are read back out of a PDF as they were written",
    kind="second engine",
    source="pypdf, a reader of PDF that shares no code with the typesetter",
    expected=f"{len(NAMES)} names in six scripts, one of them written like a command",
    tolerance="none: every letter",
)
def names_read_back() -> Finding:
    """Each name of the sheet, looked for in what pypdf extracts."""
    told = " ".join(" ".join(page.extract_text() for page in _reader().pages).split())
    found = [name for name in NAMES if name in told]
    return Finding(got=f"{len(found)} of {len(NAMES)} names", holds=len(found) == len(NAMES))


@check(
    name="A PDF carries the marks of an accessible document",
    kind="standard",
    source="ISO 14289-1:2014 (PDF/UA-1), clauses 5, 7.1, 7.2 and 7.18 (clause numbers from memory); read by pypdf",
    expected="identifier part 1, tagged, a shown title, a language, a structure tree, words for each figure",
    tolerance="none: each mark is there or not",
)
def accessible_document() -> Finding:
    """The identifier, the tags, the title, the language and the figures' words, as pypdf finds them."""
    reader = _reader()
    root = reader.trailer["/Root"]
    marks = {
        "identifier": b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data(),
        "tagged": bool(root["/MarkInfo"]["/Marked"]),
        "title": reader.metadata.title == "Check: A sheet for reading back",
        "title shown": bool(root["/ViewerPreferences"]["/DisplayDocTitle"]),
        "language": root["/Lang"] == "en",
        "structure": "/StructTreeRoot" in root,
        "figures in words": _alts(root["/StructTreeRoot"]) == [_FORM.alt],
    }
    missing = [name for name, there in marks.items() if not there]
    return Finding(got=f"missing: {', '.join(missing)}" if missing else "all there", holds=not missing)


def _alts(node: Any) -> list[str]:
    """What each figure under a node of the structure tree is said to show."""
    children = node.get("/K", [])
    told: list[str] = []
    for child in children if isinstance(children, list) else [children]:
        found = child.get_object()
        if isinstance(found, dict):
            told += [str(found.get("/Alt", ""))] if found.get("/S") == "/Figure" else []
            told += _alts(found)
    return told


@check(
    name="Every ink can be read on paper",
    kind="standard",
    source="WCAG 2.2, success criterion 1.4.3, with its definition of relative luminance (from memory)",
    expected="a contrast of at least 4.5 to 1",
    tolerance="none: the criterion is a limit",
)
def ink_contrast() -> Finding:
    """The weakest of the inks of words against white, by the published formula."""
    paper = _luminance(PAPER)
    weakest = min((paper + 0.05) / (_luminance(ink) + 0.05) for ink in (INK, FINDING, QUIET))
    return Finding(got=f"{weakest:.1f} to 1 for the weakest", holds=weakest >= 4.5)


def _luminance(ink: str) -> float:
    found = re.search(r"#([0-9a-f]{6})", for_print(ink))
    assert found is not None
    parts = [int(found.group(1)[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
