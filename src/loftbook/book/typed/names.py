"""Names as people type them: which part is the family name, and where letters were lost."""

from __future__ import annotations

import re
from dataclasses import dataclass

from loftbook.book.typed.words import LOST, has_letters, is_formula, tidy

_NUMBERED = re.compile(r"^(?:#|(?:nr|no)\b\.?)?\s*\d{1,3}\s*[.):\-]?\s+(?=\S)", re.IGNORECASE)
_ASIDE = re.compile(r"\s*[(\[][^()\[\]]*[)\]]\s*$")
GUESSED = "given name first"  # the order where neither comma nor capitals tell it
_PARTICLES = frozenset(
    "van von der den de del della di da do dos das du la le las los el al bin ibn bint ben ter ten te zu zur af av y e "
    "st saint san santa mac o".split()
)


@dataclass(frozen=True)
class NameReading:
    """A typed name, taken apart.

    `how` says by what: "comma", "capitals", "columns", "given name first" or "one
    word"; `confidence` is how sure the order is. `lost` is true where a letter was
    lost by an earlier save (``?``). `note` says what was left out of the cell.
    """

    given: str
    family: str
    how: str
    confidence: float
    lost: bool = False
    note: str = ""
    problem: str = ""

    @property
    def full(self) -> str:
        """Given name first, as it is spoken."""
        return f"{self.given} {self.family}".strip()


def read_name(text: str, *, family_first: bool = False) -> NameReading:
    """One name from one cell, in whichever order it stands.

    A comma or capitals tell the order; without them the given name is taken to stand
    first, or the family name with `family_first`.

    >>> [(n.given, n.family) for n in map(read_name, ("ČAPEK Calla", "Berisha, Brisa", "Ayla Aalto"))]
    [('Calla', 'Čapek'), ('Brisa', 'Berisha'), ('Ayla', 'Aalto')]
    """
    text = text.replace("\ufffd", LOST)
    problem = _problem(text)
    if problem:
        return NameReading("", "", "", 0.0, problem=problem)
    plain = _ASIDE.sub("", _NUMBERED.sub("", text)) or text
    before, comma, after = plain.partition(",")
    if comma and has_letters(before) and has_letters(after):
        given, family, how, sure = tidy(after), tidy(before), "comma", 1.0
    else:
        given, family, how, sure = _by_order([w for w in plain.replace(",", " ").split() if _is_word(w)])
        if how == GUESSED and family_first:
            first, *rest = f"{given} {family}".split()
            given, family, how, sure = " ".join(rest), first, "family name first, as you said", 0.9
    note = f"typed as “{text}”" if _signs(given + family) != _signs(text) else ""
    return NameReading(
        _cased(given), _cased(family), how, sure, LOST in text and LOST in given + family, note
    )


def name_from_columns(given: str, family: str) -> NameReading:
    """One name from two cells, first name and family name.

    >>> name_from_columns("Inés", "IBSEN").full
    'Inés Ibsen'
    """
    given, family = given.replace("\ufffd", LOST), family.replace("\ufffd", LOST)
    problems = [_problem(part) for part in (given, family) if part.strip()] or ["there is no name"]
    if any(problems):
        return NameReading("", "", "", 0.0, problem=next(filter(None, problems)))
    sure = 1.0 if given and family else 0.4
    how = "columns" if given and family else "one word"
    return NameReading(_cased(given), _cased(family), how, sure, LOST in given + family)


def _problem(text: str) -> str:
    if is_formula(text):
        return "a spreadsheet formula stands where the name should be"
    if not text.strip():
        return "there is no name"
    if not has_letters(text):
        return f"“{text.strip()[:30]}” holds no letter"
    if len(text) > 120:
        return "the name is longer than 120 signs"
    return ""


def _signs(text: str) -> list[str]:
    """The signs of a text but spaces and commas, whatever their order."""
    return sorted(c for c in text.casefold() if not (c.isspace() or c == ","))


def _is_word(word: str) -> bool:
    return has_letters(word) or word.strip(LOST) == ""


def _by_order(words: list[str]) -> tuple[str, str, str, float]:
    if len(words) == 1:
        return words[0], "", "one word", 0.4
    capitals = [_in_capitals(word) for word in words]
    if any(capitals) and not all(capitals):
        first, last = capitals.index(True), len(capitals) - capitals[::-1].index(True)
        while first and words[first - 1].casefold() in _PARTICLES:
            first -= 1
        if first == 0 or last == len(words):
            family = " ".join(words[first:last])
            return " ".join(words[:first] + words[last:]), family, "capitals", 1.0
    at = len(words) - 1
    particles = [i for i, word in enumerate(words) if i and word.casefold() in _PARTICLES]
    if particles and particles[0] < at:
        return " ".join(words[: particles[0]]), " ".join(words[particles[0] :]), GUESSED, 0.8
    return " ".join(words[:at]), words[at], GUESSED, 0.8 if len(words) == 2 else 0.6


def _in_capitals(word: str) -> bool:
    letters = [c for c in word if c.isalpha()]
    return len(letters) > 1 and all(c.isupper() for c in letters)


def _cased(name: str) -> str:
    """A name in capitals as it is written otherwise; any other stays as typed."""
    words = name.split()
    if not any(_in_capitals(word) for word in words):
        return name
    return " ".join(_small(word) if _in_capitals(word) else word for word in words)


def _small(word: str) -> str:
    if word.casefold() in _PARTICLES and len(word) < 4:
        return word.lower()
    return "".join(part[:1] + part[1:].lower() for part in re.split(r"([-'’.])", word))
