"""Which rung a coach means by the heading of a column.

Exact in words, easy on capitals, dashes and spaces. Word order counts: a full-in
half-out and a half-in full-out are the same four words. Guessing from a
near-match is for the reading of lists, which says how sure it is.
"""

from __future__ import annotations

import unicodedata

from loftbook.ladder.rungs import Ladder, Rung

_FRACTIONS = str.maketrans({"¼": " 1/4 ", "½": " 1/2 ", "¾": " 3/4 "})


def heading_key(text: str) -> str:
    """A heading without capitals, signs and double spaces, to compare headings by.

    >>> heading_key("  DBL-tuck "), heading_key("1¾ front")
    ('dbl tuck', '1 3 4 front')
    """
    plain = unicodedata.normalize("NFKC", text.translate(_FRACTIONS)).casefold()
    return " ".join("".join(c if c.isalnum() else " " for c in plain).split())


def headings_of(rung: Rung) -> tuple[str, ...]:
    """Every way to write this rung: its name, its short name, its key and its aliases."""
    return (rung.name, rung.short, rung.key, *rung.aliases)


def rung_for_heading(ladder: Ladder, text: str) -> Rung | None:
    """The rung that is called so, or nothing.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> rung_for_heading(shipped_ladder(), "Open DBL tuck").key
    'double_open_tuck'
    """
    wanted = heading_key(text)
    for rung in ladder.rungs:
        if wanted and wanted in map(heading_key, headings_of(rung)):
            return rung
    return None
