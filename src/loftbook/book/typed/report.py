"""The report on a typed list: what was understood, what is asked, what would be written.

A value with two forms: Markdown for the coach, a dictionary for a file or a page.
Nothing is written by reading a list; the facts stand in the report until somebody
takes them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import date, datetime
from enum import Enum
from typing import Any
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.typed.decisions import Decision, Fact, FileDecision, RowDecision, Verdict

_WORDS: dict[Verdict, str] = {
    "ask": "Asked",
    "refuse": "Refused",
    "skip": "Passed over",
    "take": "Taken",
    "same": "In the book already",
}
_ABOUT_FIGURES = "Per cents are this program's own scale of how sure a reading is, not measured error rates."


@dataclass(frozen=True)
class ListReport:
    """All decisions on one list. `kind` is "roster" or "camp list"; `names` tells who an id is."""

    kind: str
    file: str
    digest: str
    decisions: tuple[FileDecision, ...]
    rows: tuple[RowDecision, ...]
    names: Mapping[UUID, str] = field(default_factory=dict)
    camp: UUID | None = None

    @property
    def counts(self) -> Mapping[Verdict, int]:
        """How many row decisions have which verdict."""
        found = Counter(row.verdict for row in self.rows)
        return {verdict: found[verdict] for verdict in _WORDS}

    @property
    def questions(self) -> tuple[Decision, ...]:
        """Everything that is asked, the whole list's questions first."""
        decisions: tuple[Decision, ...] = (*self.decisions, *self.rows)
        return tuple(d for d in decisions if d.verdict == "ask")

    @property
    def facts(self) -> tuple[tuple[UUID, Fact], ...]:
        """What would be written, with whom it belongs to, in the order of the list."""
        return tuple((row.athlete, fact) for row in self.rows if row.athlete for fact in row.facts)

    @property
    def attempts(self) -> tuple[Attempt, ...]:
        """The attempts among the facts."""
        return tuple(fact for _, fact in self.facts if isinstance(fact, Attempt))

    def as_markdown(self) -> str:
        """The report as a coach reads it."""
        return as_markdown(self)

    def as_dict(self) -> dict[str, Any]:
        """The report as plain values that JSON can hold."""
        return {
            "kind": self.kind,
            "file": self.file,
            "digest": self.digest,
            "camp": str(self.camp) if self.camp else None,
            "counts": dict(self.counts),
            "questions": [d.id for d in self.questions],
            "decisions": [plain(d) for d in self.decisions],
            "rows": [{**plain(r), "facts": [_fact(f) for f in r.facts]} for r in self.rows],
        }


def without_lost(report: ListReport, lost: Mapping[UUID, str]) -> ListReport:
    """The report without the turns that the book did not take: each such row is refused, and says why.

    `lost` is the reason by the number of the turn. What else a row gives stays.
    """
    rows: list[RowDecision] = []
    for row in report.rows:
        gone = [fact.id for fact in row.facts if isinstance(fact, Attempt) and fact.id in lost]
        if not gone:
            rows.append(row)
            continue
        stays = tuple(fact for fact in row.facts if not (isinstance(fact, Attempt) and fact.id in lost))
        if stays:
            rows.append(replace(row, facts=stays))
        reasons = "; ".join(dict.fromkeys(lost[one] for one in gone))
        count = "1 turn" if len(gone) == 1 else f"{len(gone)} turns"
        sentence = f"{row.sentence} Not written, {count} of it: {reasons}."
        rows.append(
            replace(row, id=f"{row.id} lost", verdict="refuse", facts=(), choices=(), sentence=sentence)
        )
    return replace(report, rows=tuple(rows))


def as_markdown(report: ListReport) -> str:
    """The report as Markdown: what was understood, counts, questions, then row by row."""
    parts = [f"# How `{_safe(report.file)}` was read ({report.kind})", "## What was understood"]
    parts.append("\n".join(_file_line(d) for d in report.decisions) or "- Nothing to say.")
    parts += ["## In numbers", _numbers(report)]
    for verdict, title in _WORDS.items():
        rows = [row for row in report.rows if row.verdict == verdict]
        if rows:
            parts += [f"## {title} ({len(rows)})", "\n".join(_row_line(row) for row in rows)]
    parts += _otherwise(report.decisions)
    parts.append(f"_{_ABOUT_FIGURES} SHA-256 of the file: {report.digest}._")
    return "\n\n".join(parts) + "\n"


def _file_line(decision: FileDecision) -> str:
    mark = {"ask": "**Asked:** ", "refuse": "**Not read:** "}.get(decision.verdict, "")
    line = f"- {mark}{_safe(decision.sentence)}"
    return line + (_choices(decision) if decision.verdict == "ask" else "")


def _otherwise(decisions: tuple[FileDecision, ...]) -> list[str]:
    """Which readings of the list can be answered otherwise, and with what."""
    keys: dict[tuple[str, ...], list[str]] = {}
    for decision in decisions:
        if decision.verdict == "take" and decision.choices:
            choices = tuple(sorted(choice.key for choice in decision.choices))
            keys.setdefault(choices, []).append(f"“{_safe(decision.id)}”")
    lines = [f"- {', '.join(ids)} with {_listed(choices)}" for choices, ids in keys.items()]
    return (
        [
            "## What can be read otherwise",
            "Answer the id of a decision with another key:\n\n" + "\n".join(lines),
        ]
        if lines
        else []
    )


def _listed(keys: tuple[str, ...]) -> str:
    shown = [f"`{key}`" for key in keys[:20]]
    return ", ".join(shown) + (f" or {len(keys) - 20} more" if len(keys) > 20 else "")


def _row_line(row: RowDecision) -> str:
    sure = f" ({row.confidence:.0%} sure)" if row.confidence is not None and row.confidence < 1 else ""
    line = f"- Row {row.row}: {_safe(row.sentence)}{sure}"
    if row.verdict in ("ask", "refuse", "skip"):
        line += f"\n  - as typed: `{_safe(row.text).replace('`', '´')}`"
    return line + (_choices(row) if row.verdict == "ask" else "")


def _choices(decision: Decision) -> str:
    if not decision.choices:
        return ""
    shown = decision.choices[:8]
    lines = [f"\n  - answer “{_safe(decision.id)}” with one of:"]
    lines += [f"\n    - `{choice.key}`: {_safe(choice.label)}" for choice in shown]
    if len(decision.choices) > len(shown):
        others = ", ".join(f"`{choice.key}`" for choice in decision.choices[len(shown) :])
        lines.append(f"\n    - or {others}")
    return "".join(lines)


def _numbers(report: ListReport) -> str:
    counts = report.counts
    lines = [f"- {title}: {counts[verdict]}" for verdict, title in _WORDS.items() if counts[verdict]]
    kinds = Counter(type(fact).__name__ for _, fact in report.facts)
    words = {
        "Athlete": "new people",
        "Attempt": "attempts",
        "Height": "heights",
        "ClubStay": "clubs",
        "Name": "names",
        "TwistNote": "twist sides",
        "FilmConsent": "words on filming",
        "BirthDate": "birth dates",
    }
    written = ", ".join(f"{words[kind]}: {n}" for kind, n in kinds.items())
    lines.append(f"- To be written: {written or 'nothing'}")
    asked = sum(d.verdict == "ask" for d in report.decisions)
    if asked:
        lines.append(f"- Questions about the whole list: {asked}")
    return "\n".join(lines)


def _safe(text: str) -> str:
    """Typed text that cannot become markup: no tags, no line breaks, direction kept to itself."""
    text = " ".join(text.split()).replace("<", "‹").replace(">", "›")
    turned = any("\u0590" <= c <= "\u08ff" for c in text)
    return f"\u2068{text}\u2069" if turned else text


def plain(value: object) -> Any:
    """Any value of a report as numbers, words, lists and dictionaries.

    >>> plain(date(2025, 4, 12))
    '2025-04-12'
    """
    if isinstance(value, Enum):
        return value.name.lower() if isinstance(value.value, int) else value.value
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, (UUID, date, datetime)):
        return str(value) if isinstance(value, UUID) else value.isoformat()
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    return value


def _fact(fact: Fact) -> dict[str, Any]:
    return {"kind": type(fact).__name__, **plain(fact)}
