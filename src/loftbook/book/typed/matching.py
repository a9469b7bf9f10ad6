"""Who in the book is meant by a typed name, and how sure that is.

The figures are this program's own scale, not measured error rates: 1 the name as
it stands in the book, 0.97 without accents, 0.95 with ä written ae or the two names
in the other order, 0.9 with a lost letter that fits one person only. Everything below
`SURE` is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from rapidfuzz import fuzz, process

from loftbook.book.people import Athlete
from loftbook.book.typed.decisions import RowDecision
from loftbook.book.typed.names import NameReading
from loftbook.book.typed.words import LOST, fold, fold_name

SURE = 0.9
_MOST_LOST = 6  # letters; a name with more is hardly a name
_LEAST = 0.6  # names less alike are not offered
_HOW = {1.0: "as written", 0.97: "without accents", 0.95: "other spelling", 0.94: "other order"}


@dataclass(frozen=True)
class Candidate:
    """Somebody in the book whom a typed name may mean."""

    athlete: Athlete
    confidence: float
    how: str  # "as written", "without accents", "other spelling", "other order", "lost letter", "part", "alike"


class Register:
    """The people known so far, found by any name they ever had.

    It grows while a roster is read, so that a second row of the same child is seen.
    `rows` tells in which row of the list somebody first stood, `open_names` which names
    stand in a row that is asked about.
    """

    def __init__(self, known: Iterable[Athlete]) -> None:
        self.people: dict[UUID, Athlete] = {}
        self.rows: dict[UUID, int] = {}
        self.open_names: dict[str, int] = {}
        self._exact: dict[str, dict[UUID, float]] = {}
        self._folded: dict[UUID, tuple[str, ...]] = {}
        self._sorted: dict[tuple[UUID, int], str] = {}  # the words of each name in order
        for athlete in known:
            self.put(athlete)

    def put(self, athlete: Athlete, *, row: int | None = None) -> None:
        """Adds somebody, or what is now known of her."""
        self.people[athlete.id] = athlete
        if row is not None:
            self.rows.setdefault(athlete.id, row)
        for called in athlete.names:
            for key, confidence in _spellings(called.given, called.family):
                held = self._exact.setdefault(key, {})
                held[athlete.id] = max(confidence, held.get(athlete.id, 0.0))
        self._folded[athlete.id] = tuple(fold_name(name.full) for name in athlete.names)
        for place, name in enumerate(self._folded[athlete.id]):
            self._sorted[athlete.id, place] = " ".join(sorted(name.split()))

    def names_of(self, decisions: Iterable[RowDecision]) -> dict[UUID, str]:
        """What everybody is called of whom there is a decision."""
        told = {decision.athlete for decision in decisions}
        return {who: person.name.full for who, person in self.people.items() if who in told}

    def candidates(self, reading: NameReading) -> tuple[Candidate, ...]:
        """Everybody whom the name may mean, the likeliest first; nobody twice."""
        found = self._by_spelling(reading)
        if found:
            return found
        if reading.lost and reading.full.count(LOST) <= _MOST_LOST:
            found = self._by_lost_letters(reading)
            if found:
                return found
        return self._by_part(reading) if not (reading.given and reading.family) else self._alike(reading)

    def _by_spelling(self, reading: NameReading) -> tuple[Candidate, ...]:
        best: dict[UUID, float] = {}
        for key, confidence in _spellings(reading.given, reading.family):
            for who, sure in self._exact.get(key, {}).items():
                best[who] = max(best.get(who, 0.0), min(confidence, sure))
        return self._ranked((who, sure, _HOW[sure]) for who, sure in best.items())

    def _by_lost_letters(self, reading: NameReading) -> tuple[Candidate, ...]:
        forms = {
            fold_name(f"{a} {b}")
            for a, b in ((reading.given, reading.family), (reading.family, reading.given))
        }
        pattern = re.compile("|".join(re.escape(form).replace(re.escape(LOST), r"\w{1,2}") for form in forms))
        return self._ranked(
            (who, 0.9, "lost letter")
            for who, names in self._folded.items()
            if any(pattern.fullmatch(name) for name in names)
        )

    def _by_part(self, reading: NameReading) -> tuple[Candidate, ...]:
        part = fold_name(reading.full)
        return self._ranked(
            (who, 0.7, "part")
            for who, person in self.people.items()
            if any(part in (fold_name(n.given), fold_name(n.family)) for n in person.names)
        )

    def _alike(self, reading: NameReading) -> tuple[Candidate, ...]:
        typed = " ".join(sorted(fold_name(reading.full).split()))
        found = process.extract(typed, self._sorted, scorer=fuzz.ratio, score_cutoff=100 * _LEAST, limit=12)
        best: dict[UUID, float] = {}
        for _, score, (who, _) in found:
            best[who] = max(best.get(who, 0.0), round(min(score / 100 * 0.95, 0.89), 2))
        return self._ranked((who, sure, "alike") for who, sure in best.items() if sure >= _LEAST)[:4]

    def _ranked(self, found: Iterable[tuple[UUID, float, str]]) -> tuple[Candidate, ...]:
        people = [Candidate(self.people[who], sure, how) for who, sure, how in found]
        return tuple(sorted(people, key=lambda c: (-c.confidence, c.athlete.name.full, c.athlete.id)))


def _spellings(given: str, family: str) -> list[tuple[str, float]]:
    """The forms under which a name is kept and looked up, each with what it is worth."""
    forms: list[tuple[str, float]] = []
    for a, b, worth in ((given, family, 1.0), (family, given, 0.94)):
        if not (a and b):
            continue
        raw = f"={a.casefold()} {b.casefold()}"
        forms.append((raw, worth))
        forms.append((fold_name(f"{a} {b}"), min(worth, 0.97)))
        forms.append(("~" + fold(f"{a} {b}", keep=LOST, long_vowels=True), min(worth, 0.95)))
    return forms
