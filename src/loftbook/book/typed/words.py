"""Words as people type them, brought to one form so that they can be compared."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from functools import lru_cache

LOST = "?"  # a letter that an earlier save could not hold

# Marks that turn or hide text without being seen; joiners stay, some scripts need them.
_UNSEEN = dict.fromkeys(
    [*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200B, 0x200E, 0x200F, 0x061C, 0xFEFF, 0x00AD]
)
_SPELT = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h", "ŋ": "n"}
)
_LONG = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})
_LOST_FORMS = str.maketrans({"\ufffd": LOST, "？": LOST})

MONTH_NAMES = tuple(
    "January February March April May June July August September October November December".split()
)
MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "january jan januar janner janvier janv enero ene gennaio januari",
            "february feb februar fevrier fevr febrero febbraio februari",
            "march mar marz maerz mrz mars marzo maart",
            "april apr avril avr abril abr aprile",
            "may mai mayo maggio mei",
            "june jun juni juin junio giugno",
            "july jul juli juillet juil julio luglio",
            "august aug aout agosto ago augustus",
            "september sep sept septembre septiembre set settembre",
            "october oct oktober okt octobre octubre ottobre",
            "november nov novembre noviembre",
            "december dec dezember dez decembre diciembre dic dicembre",
        ),
        start=1,
    )
    for name in names.split()
}

TOTALS = frozenset(
    "total totals sum sums summe summen gesamt insgesamt somme totaux totales totale suma average mean "
    "mittelwert durchschnitt moyenne media count anzahl".split()
) | {"grand total", "total general", "in total"}


def day_in_words(day: date) -> str:
    """A day as a coach reads it.

    >>> day_in_words(date(2014, 10, 26))
    '26 October 2014'
    """
    return f"{day.day} {MONTH_NAMES[day.month - 1]} {day.year}"


def tidy(text: str) -> str:
    r"""Text without what cannot be seen: control signs, turned-direction marks, double spaces.

    >>> tidy("  Ayla\x00 \u202eAalto\n")
    'Ayla Aalto'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    text = unicodedata.normalize("NFC", text.translate(_UNSEEN))
    spaced = "".join(" " if c.isspace() else c for c in text)
    return " ".join("".join(c for c in spaced if unicodedata.category(c) not in ("Cc", "Cs")).split())


@lru_cache(maxsize=20_000)
def fold(text: str, *, keep: str = "", long_vowels: bool = False) -> str:
    """Letters and digits only, small, without accents: the form in which words are compared.

    `keep` names signs that stay; `long_vowels` writes ä, ö, ü, å, ø as ae, oe, ue, aa, oe.

    >>> fold("ČAPEK, Čalla"), fold("Größe (cm)"), fold("Møller", long_vowels=True)
    ('capek calla', 'grosse cm', 'moeller')
    """
    text = text.translate(_LOST_FORMS).casefold()
    if long_vowels:
        text = unicodedata.normalize("NFC", text).translate(_LONG)
    text = unicodedata.normalize("NFKD", text.translate(_SPELT)).casefold().translate(_SPELT)
    kept = (
        c if c in keep or unicodedata.category(c)[0] in "LNM" else ("" if c in "'’`´ʼ" else " ")
        for c in text
        if not unicodedata.combining(c)
    )
    return " ".join("".join(kept).split())


def fold_name(text: str) -> str:
    """A name in the form in which names are compared; a lost letter stays as ``?``.

    >>> fold_name("Y?ld?z")
    'y?ld?z'
    """
    return fold(text, keep=LOST)


def is_totals(text: str) -> bool:
    """True for the first cell of a row of totals.

    >>> is_totals("Totals:"), is_totals("Total, Anna")
    (True, False)
    """
    return fold(text) in TOTALS


def has_letters(text: str) -> bool:
    """True when there is at least one letter of any script.

    >>> has_letters("12 🤸"), has_letters("Ayla")
    (False, True)
    """
    return any(unicodedata.category(c)[0] == "L" for c in text)


def is_formula(text: str) -> bool:
    """True for text that a spreadsheet would run: it begins with ``=`` or ``@``.

    >>> is_formula("=cmd()"), is_formula("-")
    (True, False)
    """
    return bool(re.match(r"\s*[=@]\s*\S", text))


def shortened(text: str, length: int = 60) -> str:
    """A typed text, cut so that a sentence stays a sentence.

    >>> shortened("x" * 100, 5)
    'xxxx…'
    """
    return text if len(text) <= length else text[: length - 1] + "…"
