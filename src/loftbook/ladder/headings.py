"""The names of a rung as headings: two that differ in capitals, signs and spaces only are one.

Word order counts: a full-in half-out and a half-in full-out are the same four words.
Which rung a typed heading means is for the reading of lists, which says how sure it is.
"""

from __future__ import annotations

import unicodedata

_FRACTIONS = str.maketrans({"¼": " 1/4 ", "½": " 1/2 ", "¾": " 3/4 "})


def heading_key(text: str) -> str:
    """A heading without capitals, signs and double spaces, to compare headings by.

    >>> heading_key("  DBL-tuck "), heading_key("1¾ front")
    ('dbl tuck', '1 3 4 front')
    """
    plain = unicodedata.normalize("NFKC", text.translate(_FRACTIONS)).casefold()
    return " ".join("".join(c if c.isalnum() else " " for c in plain).split())
