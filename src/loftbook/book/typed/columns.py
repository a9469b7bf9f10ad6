"""What each column of a list means: from its heading, from its neighbours, or from the coach."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from rapidfuzz import fuzz, process

from loftbook.book.typed.decisions import Answers, Choice, FileDecision, answer_to
from loftbook.book.typed.headings import ALIASES, MEANINGS, trade_words
from loftbook.book.typed.rungnames import read_rung
from loftbook.book.typed.table import TypedTable
from loftbook.book.typed.words import fold, has_letters, shortened
from loftbook.ladder.rungs import Ladder

_SURE_ALIKE, _PERHAPS = 88.0, 72.0
_TURN = re.compile(
    r"^(?P<rung>.*?\D)[\s#.:_-]*(?:turn|try|attempt|go|versuch|essai|intento)?[\s#.:_-]*(?P<turn>[1-9])\.?$"
)
_CAMP_LIST = ("name", "given", "family", "born", "club")
_ROSTER = (*_CAMP_LIST, "coach_name", "coach_email", "twist", "height", "consent")


@dataclass(frozen=True)
class Column:
    """A column with its meaning: a key of `MEANINGS`, or ``rung <key>``; empty while it is asked."""

    index: int
    heading: str
    meaning: str
    confidence: float
    how: str
    choices: tuple[Choice, ...] = ()
    told: bool = False  # the coach said so

    @property
    def id(self) -> str:
        """The id of the decision about it."""
        return f"column {self.index + 1}"

    @property
    def rung(self) -> str:
        """The key of its rung, empty for any other column."""
        return self.meaning.removeprefix("rung ") if self.meaning.startswith("rung ") else ""


def roster_columns(
    table: TypedTable, answers: Answers
) -> tuple[tuple[Column, ...], tuple[FileDecision, ...]]:
    """The columns of a roster, and a decision about each."""
    return _columns(table, answers, allowed=_ROSTER, choices=_choices(_ROSTER), guess=_roster_guess)


def camp_list_columns(
    table: TypedTable, ladder: Ladder, answers: Answers
) -> tuple[tuple[Column, ...], tuple[FileDecision, ...]]:
    """The columns of a camp list, and a decision about each; its marks stand under rungs of the ladder."""
    rungs = tuple(Choice(f"rung {r.key}", f"the rung “{r.name}”") for r in ladder.rungs)

    def guess(column: Column) -> Column:
        above = table.above[column.index] if column.index < len(table.above) else ""
        return _rung_guess(column, ladder, above)

    return _columns(table, answers, allowed=_CAMP_LIST, choices=_choices(_CAMP_LIST) + rungs, guess=guess)


def index_of(columns: tuple[Column, ...], meaning: str) -> int | None:
    """The place of the column with that meaning, None where the list has none.

    >>> index_of((Column(2, "Club", "club", 1.0, ""),), "club")
    2
    """
    return next((c.index for c in columns if c.meaning == meaning), None)


def has_names(columns: tuple[Column, ...]) -> bool:
    """True when some column tells who a row is.

    >>> has_names((Column(0, "Club", "club", 1.0, ""),))
    False
    """
    return any(c.meaning in ("name", "given", "family") for c in columns)


def _choices(meanings: tuple[str, ...]) -> tuple[Choice, ...]:
    return tuple(Choice(key, MEANINGS[key]) for key in (*meanings, "ignored"))


def _columns(
    table: TypedTable,
    answers: Answers,
    *,
    allowed: tuple[str, ...],
    choices: tuple[Choice, ...],
    guess: Callable[[Column], Column],
) -> tuple[tuple[Column, ...], tuple[FileDecision, ...]]:
    columns = []
    for index in range(table.width):
        column = Column(index, table.header.cell(index), "", 0.0, "")
        told = answer_to(answers, column.id, choices)
        if told:
            columns.append(replace(column, meaning=told, confidence=1.0, how="as you said", told=True))
        elif column.heading or any(table.column(index)):
            columns.append(guess(column) if column.heading else _without_heading(column))
    columns = _first_of_each(_paired(_names_without_heading(columns, table)), allowed)
    decisions = tuple(_decision(c, tuple(dict.fromkeys((*c.choices, *choices)))) for c in columns)
    return tuple(columns), decisions


def _known_heading(column: Column, allowed: tuple[str, ...]) -> Column:
    """The meaning of a heading by its wording alone."""
    plain = fold(column.heading)
    meaning, confidence, how = ALIASES.get(plain, ""), 1.0, "by its wording"
    if not plain:
        meaning, how = "ignored", "a sign, no word"
    if not meaning and len(plain) > 3:
        found = process.extractOne(plain, ALIASES.keys(), scorer=fuzz.ratio, score_cutoff=_PERHAPS)
        if found:
            meaning, confidence, how = (
                ALIASES[found[0]],
                round(found[1] / 100 * 0.95, 2),
                f"like “{found[0]}”",
            )
            if found[1] < _SURE_ALIKE:
                likely = (Choice(meaning, MEANINGS[meaning]),) if meaning in allowed else ()
                how = f"perhaps {MEANINGS.get(meaning, meaning)}"
                return replace(column, how=how, confidence=confidence, choices=likely)
    if meaning == "email":
        return replace(column, how="whose address is it? A letter goes only to the home coach's")
    if meaning == "weight":
        return replace(column, meaning="ignored", confidence=1.0, how="weights are never read")
    if meaning and meaning not in allowed:
        meaning, how = "ignored", "by its wording" if meaning == "ignored" else "that is read from a roster"
    return replace(
        column, meaning=meaning, confidence=confidence if meaning else 0.0, how=how if meaning else ""
    )


def _roster_guess(column: Column) -> Column:
    known = _known_heading(column, _ROSTER)
    if not known.meaning and trade_words(column.heading) & {"double", "tuck", "pike", "straight", "barani"}:
        return replace(known, meaning="ignored", confidence=0.9, how="marks are read as a camp list")
    return known


def _rung_guess(column: Column, ladder: Ladder, above: str) -> Column:
    found = read_rung(column.heading, ladder)
    if above and not found.rung:
        both = read_rung(f"{above} {column.heading}", ladder)
        if both.confidence >= 0.9:
            how = f"{both.how}, with “{shortened(above, 20)}” above it"
            return replace(
                column, meaning=f"rung {both.rung.key if both.rung else ''}", confidence=0.9, how=how
            )
    turn = _TURN.match(column.heading.strip()) if found.confidence < 1 else None
    if turn:
        found = read_rung(turn["rung"], ladder)
    if found.rung:
        how = found.how + (f", turn {turn['turn']}" if turn else "")
        return replace(column, meaning=f"rung {found.rung.key}", confidence=found.confidence, how=how)
    known = _known_heading(column, _CAMP_LIST)
    if known.meaning:
        return known
    near = tuple(Choice(f"rung {r.key}", f"the rung “{r.name}”") for r in found.near)
    return replace(
        known, choices=near + _choices(_CAMP_LIST), how=known.how or "no rung of the ladder is called so"
    )


def _without_heading(column: Column) -> Column:
    return replace(column, how="it has no heading")


def _names_without_heading(columns: list[Column], table: TypedTable) -> list[Column]:
    """A first column without a heading that holds names is the column of names."""
    if any(c.meaning in ("name", "given", "family") for c in columns) or not columns or columns[0].heading:
        return columns
    first = columns[0]
    cells = [cell for cell in table.column(first.index) if cell]
    named = [cell for cell in cells if has_letters(cell) and 1 < len(cell.replace(",", " ").split()) < 6]
    if first.meaning or len(named) < 0.6 * len(cells):
        return columns
    return [
        replace(first, meaning="name", confidence=0.8, how="it has no heading, but holds names"),
        *columns[1:],
    ]


def _paired(columns: list[Column]) -> list[Column]:
    """“Name” beside “Vorname” is the family name; “Nombre” beside “Apellidos” the first name."""
    have = {c.meaning for c in columns}
    missing = {frozenset({"name", "given"}): "family", frozenset({"name", "family"}): "given"}
    instead = missing.get(frozenset(have & {"name", "given", "family"}), "")
    if not instead:
        return columns
    return [
        replace(c, meaning=instead, confidence=0.95, how="by the column beside it")
        if c.meaning == "name" and not c.told
        else c
        for c in columns
    ]


def _first_of_each(columns: list[Column], allowed: tuple[str, ...]) -> list[Column]:
    """A meaning that two columns claim goes to the one the coach named, or the first; the other is asked."""
    owner: dict[str, int] = {}
    for column in sorted(columns, key=lambda c: (not c.told, c.index)):
        if column.meaning in allowed or (column.rung and not column.told and ", turn " not in column.how):
            owner.setdefault(column.meaning, column.index)
    return [
        replace(c, meaning="", how=f"column {owner[c.meaning] + 1} means the same", confidence=0.0)
        if owner.get(c.meaning, c.index) != c.index and not (c.rung and (c.told or ", turn " in c.how))
        else c
        for c in columns
    ]


def _decision(column: Column, choices: tuple[Choice, ...]) -> FileDecision:
    title = f"Column {column.index + 1}, “{shortened(column.heading, 40)}”"
    if not column.meaning:
        sentence = f"{title}: what it means is not clear ({column.how or 'the heading is not known'}). It was not read."
        return FileDecision(column.id, "ask", sentence, None, choices)
    label = next(
        (c.label for c in choices if c.key == column.meaning), MEANINGS.get(column.meaning, column.meaning)
    )
    if column.rung and label == column.meaning:
        label = f"the rung {column.rung}"
    sure = f", {column.confidence:.0%}" if column.confidence < 1 else ""
    sentence = f"{title}: {label} ({column.how}{sure})."
    chosen = column.meaning if column.told else ""
    return FileDecision(column.id, "take", sentence, column.confidence, choices, chosen)
