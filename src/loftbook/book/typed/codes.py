"""Which marks a list uses, what each was taken for, and which must be asked about."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loftbook.book.typed.decisions import Answers, Choice, FileDecision, answer_to
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


def survey(cells: Iterable[str], answers: Answers) -> CodeBook:
    """All marks of a list: stated where they are known, asked where they are not.

    A mark that stands in one cell only is asked beside its row, any other once for
    the whole list (id ``code <mark>``).
    """
    forms: dict[str, Counter[str]] = {}
    for text in cells:
        if code := _code(text):
            forms.setdefault(code, Counter())[text] += 1
    single = {code: _doubt(code, frozenset(forms)) for code in forms}
    told = {code: answer_to(answers, f"code {code}", choices_of_meaning()) for code in forms}
    ticks = _ticks(forms, answers)
    shaken = {code for code in forms if told[code] or single[code]}
    meanings: dict[str, tuple[Meaning, ...]] = {}
    decisions = [ticks] if ticks else []
    for code in sorted(forms, key=lambda c: (-forms[c].total(), c)):
        read = _meaning(code, told[code], single[code], shaken)
        if read is not None:
            read = tuple(_ticked(m, code, ticks) for m in read)
            meanings[code] = read
        decision = _decision(code, forms[code], read, told[code] or "", single[code], frozenset(forms))
        if decision:
            decisions.append(decision)
    asked = frozenset(d.id.removeprefix("code ") for d in decisions if d.verdict == "ask")
    return CodeBook(meanings, tuple(decisions), asked)


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


def _ticks(forms: Mapping[str, Counter[str]], answers: Answers) -> FileDecision | None:
    ticks = [code for code in forms if known_code(code) == "alone" and code not in _SAYS_ALONE]
    if not ticks:
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


def _ticked(meaning: Meaning, code: str, ticks: FileDecision | None) -> Meaning:
    bare = meaning == MEANINGS["alone"] and code not in _SAYS_ALONE
    return MEANINGS["did"] if bare and ticks and ticks.chosen == "did" else meaning


def _meaning(code: str, told: str, doubt: str, shaken: set[str]) -> tuple[Meaning, ...] | None:
    if told:
        return () if told == NOTHING else (MEANINGS[told],)
    if doubt or code.startswith("="):
        return None
    parts = {*re.split(r"[\s(),;→>]+", code), *(code if set(code) <= set("x✓✔✗✘") else "")}
    if not known_code(code) and parts & shaken:
        return None  # a mark made of others, one of which is not read as usual
    return read_mark(code) or None


def _decision(
    code: str,
    forms: Counter[str],
    read: tuple[Meaning, ...] | None,
    told: str,
    doubt: str,
    used: frozenset[str],
) -> FileDecision | None:
    marks = ", ".join(f"`{shortened(form, 30)}`" for form, _ in forms.most_common(4))
    total = forms.total()
    where = f"{marks} ({total} {'cell' if total == 1 else 'cells'})"
    likely = ASKED_ALWAYS.get(code, _DOUBTED if doubt else ())
    choices = choices_of_meaning(likely)
    if read is None:
        if total == 1 and not doubt:
            return None
        why = doubt or ("it is a formula" if code.startswith("=") else "this mark is not known here")
        return FileDecision(f"code {code}", "ask", f"{where}: what does it mean? ({why}.)", None, choices)
    words = "; then ".join(m.words for m in read) or "left out"
    sentence = f"{where}: {words}{', as you said' if told else ''}.{_remark(code, read, used, told)}"
    return FileDecision(f"code {code}", "take", sentence, None if told else 0.9, choices, told)


def _remark(code: str, read: tuple[Meaning, ...], used: frozenset[str], told: str) -> str:
    if told:
        return ""
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
