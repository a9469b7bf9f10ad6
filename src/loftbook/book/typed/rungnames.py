"""Which rung of the ladder a heading means: by its names, by the trade's words, by likeness."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import fuzz

from loftbook.book.typed.headings import NOISE, is_trade_word, trade_words
from loftbook.book.typed.words import fold
from loftbook.ladder.rungs import Ladder, Rung

_ALIKE, _MARGIN = 88.0, 6.0  # of 100: how like a name must be, and how much liker than any other rung's


@dataclass(frozen=True)
class RungGuess:
    """The rung that a heading means, or none; `near` are those to choose from, likeliest first."""

    rung: Rung | None
    confidence: float
    how: str
    near: tuple[Rung, ...] = ()


def read_rung(heading: str, ladder: Ladder) -> RungGuess:
    """The rung that a heading means. A single word such as “tuck” is enough only as a name of the ladder.

    Confidence: 1 by one of its names, 0.95 by the same words in other spelling or
    order, 0.9 where only “back” or “somersault” was left away, less by likeness.
    """
    names = _names(ladder)
    plain, words = fold(heading), trade_words(heading)
    exact = _only([r for r, forms, _ in names if plain in forms])
    if exact:
        return RungGuess(exact, 1.0, "by its name")
    same = _only([r for r, _, bags in names if words in bags])
    if same and words:
        return RungGuess(same, 0.95, "by its words")
    spare = words - NOISE
    close = _only([r for r, _, bags in names if len(spare) > 1 and spare in {bag - NOISE for bag in bags}])
    if close:
        return RungGuess(close, 0.9, "by its words, “back” or “somersault” left away")
    scored = sorted(((_likeness(plain, forms), r) for r, forms, _ in names), key=lambda p: -p[0])
    if len(plain) > 3 and not all(is_trade_word(w) for w in plain.split()) and scored:
        best, rival = scored[0], scored[1][0] if len(scored) > 1 else 0.0
        if best[0] >= _ALIKE and best[0] - rival >= _MARGIN:
            return RungGuess(best[1], round(best[0] / 100 * 0.95, 2), "by likeness")
    near = [r for score, r in scored if score >= 55][:4]
    near += [r for r in ladder.test_rungs if r not in near]
    return RungGuess(None, 0.0, "", tuple(near))


def _only(rungs: list[Rung]) -> Rung | None:
    """The only rung, or the only one that is tested at camps."""
    if len(rungs) == 1:
        return rungs[0]
    tested = [rung for rung in rungs if rung.tested]
    return tested[0] if len(tested) == 1 else None


def _likeness(plain: str, forms: frozenset[str]) -> float:
    return max((fuzz.ratio(plain, form) for form in forms), default=0.0)


_Names = tuple[tuple[Rung, frozenset[str], frozenset[frozenset[str]]], ...]


def _names(ladder: Ladder) -> _Names:
    return tuple((rung, *_forms(rung.key, rung.name, rung.short, *rung.aliases)) for rung in ladder.rungs)


@lru_cache(maxsize=2_000)
def _forms(*names: str) -> tuple[frozenset[str], frozenset[frozenset[str]]]:
    plain = frozenset(fold(name.replace("_", " ")) for name in names) - {""}
    return plain, frozenset(trade_words(name) for name in names) - {frozenset()}
