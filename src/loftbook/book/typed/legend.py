"""What a list itself says that its marks mean: “x = not done, ✓ = done” in a title, a heading or a row.

A legend is used where its words are marks of the dictionary and say nothing else than the mark is usually
read as, or where the mark has no usual reading. Any other legend makes its mark a question.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from loftbook.book.typed.marks import ASKED_ALWAYS, known_code, mark_code
from loftbook.book.typed.table import TypedRow, TypedTable
from loftbook.book.typed.words import fold, has_letters, shortened

_BETWEEN = re.compile(r"[,;|•·\n]|\.\s")
_EQUALS = re.compile(r"\s*(?:=+>?|→|\b(?:means|bedeutet|heisst|heißt)\b)\s*", re.IGNORECASE)
_BESIDE = re.compile(r"\s*:\s*|\s+[-–—]\s+")
_OR = re.compile(r"\s*(?:/|&|\+|\b(?:or|and|oder|und|ou|o)\b)\s*", re.IGNORECASE)
_TITLE = re.compile(
    r"^\W*(?:legende?|key|codes?|marks|zeichen|zeichenerkl\w+|leyenda|clave)\b[\s:.=]*", re.IGNORECASE
)
_ENTRY = re.compile(r"[^\s=@][^=]*=\s*[^\s=].*|\S{1,4}\s*[:→]\s*\S.*")
_SIGN = 3  # letters; a longer first cell is a name


@dataclass(frozen=True)
class Legend:
    """What a list says of its marks: code of a mark -> the words beside it, as typed."""

    words: Mapping[str, str] = field(default_factory=dict)

    def doubt(self, code: str) -> str:
        """Why a mark must be asked about although it is known, empty where the legend is content with it."""
        said = self.words.get(code, "")
        if not said or self.key(code):
            return ""
        return f"the list itself says of it “{shortened(said, 60)}”"

    def key(self, code: str) -> str:
        """What the legend says that a mark means, where it can be used; empty otherwise."""
        said = known_code(mark_code(self.words.get(code, "")))
        usual = known_code(code)
        return said if said and usual in ("", said) else ""

    def likely(self, code: str) -> tuple[str, ...]:
        """What a mark may mean by its legend and by its usual reading, for the first choices of a question."""
        said = known_code(mark_code(self.words.get(code, "")))
        keys = (said, "tried" if said == "not_tried" else "", known_code(code))
        return tuple(dict.fromkeys(filter(None, keys)))


def read_legend(texts: Iterable[str], codes: Collection[str]) -> Legend:
    """What texts say of the marks `codes` that a list uses.

    >>> dict(read_legend(["Key: x = not done, ✓ = done"], {"x", "✓"}).words)
    {'x': 'not done', '✓': 'done'}
    """
    found: dict[str, str] = {}
    for text in texts:
        for mark, words in _entries(text, codes):
            found[mark] = f"{found[mark]}; {words}" if mark in found and found[mark] != words else words
    return Legend(found)


def is_legend(row: TypedRow) -> bool:
    """True for a row that explains marks and has none: each filled cell is a legend, or announces one.

    >>> is_legend(TypedRow(9, ("Key", "x = not done", ""))), is_legend(TypedRow(9, ("x", "not done")))
    (True, True)
    >>> is_legend(TypedRow(9, ("Ayla", "=A1")))
    False
    """
    filled = [cell for cell in row.cells if cell]
    entries = [bool(_ENTRY.fullmatch(cell)) for cell in filled]
    if any(entries):
        return all(is_ or _TITLE.fullmatch(cell) for is_, cell in zip(entries, filled, strict=True))
    return _is_pair(filled)


def _is_pair(filled: list[str]) -> bool:
    """A sign and its words in two cells."""
    if len(filled) != 2 or len(filled[0]) > _SIGN or not has_letters(filled[1]):
        return False
    code = mark_code(filled[0])
    return bool(known_code(code) or code in ASKED_ALWAYS) and len(fold(filled[1])) > _SIGN


def legend_texts(table: TypedTable) -> tuple[str, ...]:
    """Where a list may explain its marks: above the headings, in them, and in rows of their own."""
    headings = [cell for cell in table.header.cells if "=" in cell]
    rows = [[cell for cell in row.cells if cell] for row in table.rows if is_legend(row)]
    return (*table.titles, *headings, *((" = " if _is_pair(row) else ", ").join(row) for row in rows))


def _entries(text: str, codes: Collection[str]) -> Iterator[tuple[str, str]]:
    """Each mark of a text with the words beside it."""
    announced = _TITLE.match(text)
    text = text[announced.end() :] if announced else text
    for part in _BETWEEN.split(re.sub(r"\s*,?\s*(=|→)\s*,?\s*", r" \1 ", text)):
        sides = [side.strip(" ()[]“”\"'.") for side in _EQUALS.split(part.strip())]
        for at in range(len(sides) - 1):
            yield from _said(sides[at], _without_next(sides[at + 1], codes, last=at + 2 == len(sides)), codes)
        if len(sides) > 1:
            continue
        mark, *words = _BESIDE.split(part.strip(), maxsplit=1)
        if not words and announced:
            mark, *words = part.split(maxsplit=1) or [""]
        for one in _OR.split(mark):
            if words and (code := mark_code(one)) in codes:
                yield code, words[0].strip()


def _said(left: str, right: str, codes: Collection[str]) -> Iterator[tuple[str, str]]:
    """The marks of one “=”: “x = done”, “x or ✓ = done”, “done = x”."""
    words = left.split()
    ends = {" ".join(words[at:]) for at in range(len(words))}
    marks = {mark_code(one) for end in ends for one in (end, *_OR.split(end))} & set(codes)
    yield from ((mark, right) for mark in sorted(marks) if right)
    if not marks and has_letters(left):
        others = {mark_code(one) for one in (right, *_OR.split(right))} & set(codes)
        yield from ((mark, left) for mark in sorted(others))


def _without_next(right: str, codes: Collection[str], *, last: bool) -> str:
    """The words of an entry without the mark of the next, where nothing stands between them."""
    words = right.split()
    return right if last or len(words) < 2 or mark_code(words[-1]) not in codes else " ".join(words[:-1])
