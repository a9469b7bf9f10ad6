"""Which marks a list uses, what each was taken for, and which must be asked about."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loftbook.book.typed.decisions import Answers, Choice, FileDecision, answer_to
from loftbook.book.typed.legend import Legend, read_legend
from loftbook.book.typed.marks import (
    ASKED_ALWAYS,
    MEANINGS,
    NOTHING,
    Meaning,
    known_code,
    mark_code,
    read_mark,
)
from loftbook.book.typed.words import is_formula, shortened
from loftbook.ladder.scales import Help, Outcome

# Marks that name the help themselves, so that the answer about ticks does not touch them.
_SAYS_ALONE = frozenset(
    "alone;solo;self;unassisted;unaided;allein;alleine;seule;seul;sola;on her own;no help;nobody in".split(
        ";"
    )
)
_CROSSES = frozenset("✗✘☒❌")
_DOUBTED = ("alone", "tried", "not_tried")


@dataclass(frozen=True)
class CodeBook:
    """The marks of one list with what they mean; a mark that is asked about is missing here."""

    meanings: Mapping[str, tuple[Meaning, ...]]
    decisions: tuple[FileDecision, ...]
    asked: frozenset[str]  # asked once for the whole list

    def turns(self, text: str) -> tuple[Meaning, ...] | None:
        """The turns that a cell tells of: none where it is empty or left out, None while it is asked."""
        code = _code(text)
        return () if not code else self.meanings.get(code)


def choices_of_meaning(first: Iterable[str] = ()) -> tuple[Choice, ...]:
    """Everything that a mark can be said to mean, the likely ones first."""
    keys = dict.fromkeys((*first, *MEANINGS))
    return (
        *(Choice(key, MEANINGS[key].words) for key in keys),
        Choice(NOTHING, "leave these cells out"),
    )


def survey(cells: Iterable[str], answers: Answers, legends: Iterable[str] = ()) -> CodeBook:
    """All marks of a list: stated where they are known, asked where they are not.

    A mark that stands in one cell only is asked beside its row, any other once for
    the whole list (id ``code <mark>``). `legends` are texts in which the list may say
    itself what its marks mean; what they say otherwise than usual is asked.
    """
    forms: dict[str, Counter[str]] = {}
    for text in cells:
        if code := _code(text):
            forms.setdefault(code, Counter())[text] += 1
    legend = read_legend(legends, forms)
    marks = {code: _mark(code, forms, legend, answers) for code in forms}
    ticks = _ticks([code for code in forms if (legend.key(code) or known_code(code)) == "alone"], answers)
    shaken = {mark.code for mark in marks.values() if mark.told or mark.doubt}
    meanings: dict[str, tuple[Meaning, ...]] = {}
    decisions = [ticks] if ticks else []
    for code in sorted(forms, key=lambda c: (-forms[c].total(), c)):
        read = _meaning(marks[code], shaken)
        if read is not None:
            read = tuple(_ticked(m, legend.words.get(code, code), ticks) for m in read)
            meanings[code] = read
        decision = _decision(marks[code], read, frozenset(forms))
        if decision:
            decisions.append(decision)
    asked = frozenset(d.id.removeprefix("code ") for d in decisions if d.verdict == "ask")
    return CodeBook(meanings, tuple(decisions), asked)


@dataclass(frozen=True)
class _Mark:
    """A mark of the list: how it is typed, what was answered, what the list's legend says, why it is doubted."""

    code: str
    forms: Counter[str]
    told: str
    legend: str
    doubt: str
    likely: tuple[str, ...]


def _mark(code: str, forms: Mapping[str, Counter[str]], legend: Legend, answers: Answers) -> _Mark:
    told = answer_to(answers, f"code {code}", choices_of_meaning())
    key = legend.key(code)
    doubt = "" if key else legend.doubt(code) or _doubt(code, frozenset(forms))
    likely = legend.likely(code) or ASKED_ALWAYS.get(code, _DOUBTED if doubt else ())
    return _Mark(code, forms[code], told, key, doubt, likely)


def _code(text: str) -> str:
    return f"={text.strip()}" if is_formula(text) else mark_code(text)


def _doubt(code: str, used: frozenset[str]) -> str:
    """Why a known mark cannot be read in this list, empty where it can."""
    if code in ASKED_ALWAYS:
        return "coaches use this sign for different things"
    said = {c: known_code(c) for c in used}
    yes = {c for c, key in said.items() if key == "alone" and c not in ("x", *_SAYS_ALONE)}
    no = {c for c, key in said.items() if key == "tried" and c not in _CROSSES}
    crosses = used & _CROSSES
    if code == "x" and (yes or crosses) and not no:
        others = " and ".join(f"`{c}`" for c in sorted(yes | crosses)[:3])
        return f"the list uses {others} too, and no word for “no”: a cross may mean done or not done"
    if code in ("0", "1") and (digits := sorted(c for c in used if c in "23456789")):
        return f"the list uses `{digits[0]}` too, so these may be marks or counts"
    if code == "0" and "1" not in used:
        return "without any `1` beside it, a zero may mean tried or not tried"
    return ""


def _ticks(codes: Iterable[str], answers: Answers) -> FileDecision | None:
    if all(code in _SAYS_ALONE for code in codes):
        return None
    choices = (Choice("alone", "did it, nobody in"), Choice("did", "did it, help not written"))
    chosen = answer_to(answers, "ticks", choices)
    if chosen == "did":
        sentence = "A tick was read as: did it; with which help is not written, as you said."
    else:
        sentence = (
            "A tick was read as: did it, nobody in; the purpose of a camp list is to say who did it alone. "
            "If ticks here say nothing of the help, answer so."
        )
    return FileDecision("ticks", "take", sentence, None if chosen else 0.9, choices, chosen)


def _ticked(meaning: Meaning, words: str, ticks: FileDecision | None) -> Meaning:
    bare = meaning == MEANINGS["alone"] and mark_code(words) not in _SAYS_ALONE
    return MEANINGS["did"] if bare and ticks and ticks.chosen == "did" else meaning


def _meaning(mark: _Mark, shaken: set[str]) -> tuple[Meaning, ...] | None:
    code, said = mark.code, mark.told or mark.legend
    if said:
        return () if said == NOTHING else (MEANINGS[said],)
    if mark.doubt or code.startswith("="):
        return None
    parts = {*re.split(r"[\s(),;→>]+", code), *(code if set(code) <= set("x✓✔✗✘") else "")}
    if not known_code(code) and parts & shaken:
        return None  # a mark made of others, one of which is not read as usual
    return read_mark(code) or None


def _decision(mark: _Mark, read: tuple[Meaning, ...] | None, used: frozenset[str]) -> FileDecision | None:
    code, total = mark.code, mark.forms.total()
    marks = ", ".join(f"`{shortened(form, 30)}`" for form, _ in mark.forms.most_common(4))
    where = f"{marks} ({total} {'cell' if total == 1 else 'cells'})"
    choices = choices_of_meaning(mark.likely)
    if read is None:
        if total == 1 and not mark.doubt:
            return None
        why = mark.doubt or ("it is a formula" if code.startswith("=") else "this mark is not known here")
        return FileDecision(f"code {code}", "ask", f"{where}: what does it mean? ({why}.)", None, choices)
    words = "; then ".join(m.words for m in read) or "left out"
    how = ", as you said" if mark.told else ", as the list’s own legend says" if mark.legend else ""
    sentence = f"{where}: {words}{how}.{'' if mark.told or mark.legend else _remark(code, read, used)}"
    sure = None if mark.told else 0.95 if mark.legend else 0.9
    return FileDecision(f"code {code}", "take", sentence, sure, choices, mark.told)


def _remark(code: str, read: tuple[Meaning, ...], used: frozenset[str]) -> str:
    no_blank = not any(known_code(c) == "not_tried" for c in used)
    if known_code(code) == "tried" and no_blank:
        return " The list has no mark of its own for “not tried”; say so if this one also stands for it."
    if known_code(code) == "not_allowed":
        return " An injury is written as “not allowed today”, not as a failure; nothing else of it is kept."
    if known_code(code) == "absent":
        return " It counts for the rung where it stands; empty cells beside it stay “nothing written”."
    if len(read) == 1 and read[0].help in (Help.BELT, Help.HAND) and read[0].outcome is Outcome.DID_IT:
        return " It counts as the most help of its kind."
    return ""
