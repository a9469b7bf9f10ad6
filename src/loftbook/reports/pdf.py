"""From a page to a PDF: the only place where Loftbook sets type and reads font files.

The words travel as JSON and the template sets them literally, so that nothing in a
name is ever read as markup, a path or a command. Fonts come from the packages that
Loftbook depends on, not from the machine, and so does the result. The file is tagged
for readers of the page (PDF/UA-1: title, language, headings, tables, pictures in words).
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib import resources

import typst

from loftbook.errors import LoftbookError
from loftbook.reports.page import Page
from loftbook.reports.plain import Plain, as_plain

PAPERS = {"a4": "a4", "letter": "us-letter"}
_FONT_PACKAGES = {
    "fontpkg_source_serif_4": "files",
    "fontpkg_source_sans_3": "files",
    "fontpkg_ibm_plex_sans_arabic": "files",
    "manimgx_fonts": "",
}
# Which family sets a letter that the text faces lack, first come first served.
_SCRIPTS = (
    *("Noto Sans", "IBM Plex Sans Arabic", "Noto Sans Hebrew", "Noto Sans Devanagari", "Noto Sans Bengali"),
    *("Noto Sans Gujarati", "Noto Sans Gurmukhi", "Noto Sans Kannada", "Noto Sans Malayalam"),
    *("Noto Sans Oriya", "Noto Sans Sinhala", "Noto Sans Tamil", "Noto Sans Telugu", "Noto Sans Armenian"),
    *("Noto Sans Georgian", "Noto Sans Ethiopic", "Noto Sans Thai", "Noto Sans Lao", "Noto Sans Khmer"),
    *("Noto Sans Myanmar", "Noto Sans Symbols", "Noto Emoji"),
)
_NO_LETTER = re.compile(r'the text `"(.*?)"` could not be displayed')
_NO_CODE = re.compile(r'disallowed codepoint `"(.*?)"`')
_ESCAPED = re.compile(r"\\u\{([0-9a-fA-F]+)\}")


class PageError(LoftbookError):
    """A page cannot be set on paper; the text says why and what to do."""


def write_pdf(page: Page, paper: str = "a4", lang: str = "en", *, made: datetime | None = None) -> bytes:
    """Set one page as a PDF.

    `paper` is "a4" or "letter", `lang` the language of the words as a reader program
    names it ("en"). `made` is the moment written into the file; without it no moment is
    written, and the same page gives the same bytes.

    Letters that none of our fonts has are looked for among the machine's fonts. Those
    that are nowhere stand as their code, with a note at the end: no page is lost.

    Raises `PageError` for an unknown paper or language, or when the page cannot be set.

    >>> write_pdf(Page("Mira", ()))[:5]
    b'%PDF-'
    """
    return write_pdfs([page], paper, lang, made=made)[0]


def write_pdfs(
    pages: Sequence[Page], paper: str = "a4", lang: str = "en", *, made: datetime | None = None
) -> tuple[bytes, ...]:
    """Set many pages, a PDF each, reading the fonts once; as `write_pdf` otherwise."""
    if paper not in PAPERS:
        raise PageError(f"a paper called {paper!r}", "a4 or letter", "choose one of these")
    if not re.fullmatch(r"[a-z]{2,3}", lang):
        raise PageError(f"a language {lang!r}", "two or three small letters, such as en", "correct it")
    common = {"paper": PAPERS[paper], "lang": lang, "dated": made is not None, "scripts": list(_SCRIPTS)}
    own = _Press(made, own_fonts_only=True)
    return tuple(_set(as_plain(page) | common | {"unset": ""}, own) for page in pages)


@dataclass(frozen=True)
class _Press:
    """Where type is set: the moment to write into the file, and which fonts may be used."""

    made: datetime | None
    own_fonts_only: bool

    def run(self, data: Plain) -> bytes:
        """The PDF; typst.TypstError where it cannot be set."""
        compiler = _compiler(self.own_fonts_only)
        told = {"data": json.dumps(data, ensure_ascii=False)}
        pdf = compiler.compile(format="pdf", sys_inputs=told, pdf_standards=["ua-1"], timestamp=self.made)
        assert isinstance(pdf, bytes)
        return pdf


def _set(data: Plain, press: _Press) -> bytes:
    """With our fonts; with the machine's; with codes in place of what nobody can print."""
    try:
        return press.run(data)
    except typst.TypstError as trouble:
        if not _missing(trouble):
            raise _page_error(trouble) from trouble
    wider = _Press(press.made, own_fonts_only=False)
    for _ in range(4):  # a long page may tell its missing letters in parts
        try:
            return wider.run(data)
        except typst.TypstError as trouble:
            missing = _missing(trouble)
            if not missing:
                raise _page_error(trouble) from trouble
            data = _with_codes(data, missing)
    raise PageError("letters that no font here has", "letters of a known script", "correct the name")


def _page_error(trouble: Exception) -> PageError:
    return PageError(
        f"a page that cannot be set ({trouble})",
        "plain words and drawings",
        "tell us the page: it is our fault",
    )


def _missing(trouble: Exception) -> tuple[str, ...]:
    """The letters that no font had, as the compiler names them; plain ASCII is never among them."""
    told = str(getattr(trouble, "diagnostic", trouble))
    texts = _NO_LETTER.findall(told) + _NO_CODE.findall(told)
    plain = [_ESCAPED.sub(lambda code: chr(int(code.group(1), 16)), text) for text in texts]
    return tuple(sorted({letter for text in plain for letter in text if ord(letter) > 0x7F}))


def _with_codes(data: Plain, missing: Sequence[str]) -> Plain:
    """The data with each missing letter as its code, and a note that says so."""
    table = {ord(letter): f"[U+{ord(letter):04X}]" for letter in missing}

    def told(value: object) -> object:
        if isinstance(value, str):
            return value.translate(table)
        if isinstance(value, list):
            return [told(one) for one in value]
        return {key: told(one) for key, one in value.items()} if isinstance(value, dict) else value

    changed = told(data)
    assert isinstance(changed, dict)
    note = "No font at hand has some letters of this page; each stands as its code, such as [U+4E00]."
    return changed | {"unset": note}


@cache
def _fonts(own_fonts_only: bool) -> typst.Fonts:  # noqa: FBT001 -- a key of the cache
    folders = [str(resources.files(name).joinpath(inside)) for name, inside in _FONT_PACKAGES.items()]
    return typst.Fonts(include_system_fonts=not own_fonts_only, font_paths=folders)


@cache
def _template() -> bytes:
    return resources.files("loftbook.reports").joinpath("page.typ").read_bytes()


def _compiler(own_fonts_only: bool) -> typst.Compiler:  # noqa: FBT001 -- passed on to the cache
    return typst.Compiler(
        input=_template(), font_paths=_fonts(own_fonts_only), ignore_system_fonts=own_fonts_only
    )
