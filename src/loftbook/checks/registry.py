"""A check holds one number or property of Loftbook against something outside it.

A check is a function that works out what we get and says whether that holds. The
decorator gives it a name, says what kind of outside it is held against, where that
can be read, what it says, and how close is close enough and why. Nothing here
knows which checks there are: `loftbook.checks.registered` finds them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from loftbook.errors import LoftbookError

KINDS = ("published", "law", "second engine", "open data", "standard", "common practice")


class NotHere(LoftbookError):
    """A check cannot run on this machine: a program or a data folder is missing."""


@dataclass(frozen=True)
class Finding:
    """What a check got, in words with units, and whether that is close enough."""

    got: str
    holds: bool


@dataclass(frozen=True)
class Check:
    """One check, not yet run.

    Parameters
        name : a short sentence that a coach understands, unlike every other
        kind : one of KINDS
        subject : the part of the house that it looks at
        source : where the expected value can be read, to the page or table
        expected : what the source says, with units
        tolerance : how close is close enough, and why
        run : works it out; raises NotHere when something it needs is missing
    """

    name: str
    kind: str
    subject: str
    source: str
    expected: str
    tolerance: str
    run: Callable[[], Finding]


@dataclass(frozen=True)
class Outcome:
    """What came of one check. `holds` is None when it could not run; `reason` then says why."""

    check: Check
    got: str
    holds: bool | None
    reason: str = ""

    @property
    def verdict(self) -> str:
        """The outcome as a word or two.

        >>> Outcome(check=None, got="", holds=None, reason="no network").verdict  # type: ignore[arg-type]
        'not run'
        """
        if self.holds is None:
            return "not run"
        return "holds" if self.holds else "does not hold"


def check(
    *, name: str, kind: str, source: str, expected: str, tolerance: str
) -> Callable[[Callable[[], Finding]], Check]:
    """Turn a function into a check of the module where it stands.

    The subject is the name of that module: what stands in `mechanics_flight.py`
    is about "mechanics flight". An unknown kind or an empty field is refused.

    >>> @check(name="Half a turn", kind="law", source="a definition", expected="180", tolerance="none")
    ... def half_a_turn() -> Finding:
    ...     return Finding(got="180", holds=True)
    >>> half_a_turn.kind, outcome_of(half_a_turn).verdict
    ('law', 'holds')
    """
    told = {"name": name, "source": source, "expected": expected, "tolerance": tolerance}
    for field, text in told.items():
        if not text.strip():
            raise LoftbookError(f"a check with an empty {field}", "a few words", f"say its {field}")
    if kind not in KINDS:
        raise LoftbookError(
            f"a check of kind {kind!r}", f"one of {', '.join(KINDS)}", "choose the one that fits"
        )

    def made(run: Callable[[], Finding]) -> Check:
        subject = run.__module__.rpartition(".")[2].replace("_", " ")
        return Check(kind=kind, subject=subject, run=run, **told)

    return made


def outcome_of(check: Check) -> Outcome:
    """Run one check; whatever it raises becomes part of the outcome.

    >>> def lost() -> Finding:
    ...     raise NotHere("The recorded flights are not on this machine")
    >>> outcome_of(Check("n", "law", "s", "s", "e", "t", lost)).reason
    'The recorded flights are not on this machine.'
    """
    try:
        finding = check.run()
    except NotHere as missing:
        return Outcome(check, got="", holds=None, reason=str(missing))
    except Exception as trouble:
        reason = f"The check itself stopped with {type(trouble).__name__}: {trouble}"
        return Outcome(check, got="nothing", holds=False, reason=reason)
    return Outcome(check, got=finding.got, holds=bool(finding.holds))


def as_rows(outcomes: Iterable[Outcome]) -> list[dict[str, str]]:
    """Outcomes as rows of plain text, for a table or for JSON.

    >>> as_rows([Outcome(Check("n", "law", "s", "o", "1", "0", lambda: Finding("1", True)), "1", True)])
    ... # doctest: +NORMALIZE_WHITESPACE
    [{'name': 'n', 'kind': 'law', 'subject': 's', 'source': 'o', 'expected': '1', 'got': '1',
      'tolerance': '0', 'verdict': 'holds', 'reason': ''}]
    """
    return [
        {
            "name": outcome.check.name,
            "kind": outcome.check.kind,
            "subject": outcome.check.subject,
            "source": outcome.check.source,
            "expected": outcome.check.expected,
            "got": outcome.got,
            "tolerance": outcome.check.tolerance,
            "verdict": outcome.verdict,
            "reason": outcome.reason,
        }
        for outcome in outcomes
    ]


def as_markdown(checks: Iterable[Check]) -> str:
    """The page docs/checks.md: what is held against what, subject by subject.

    It depends on the checks alone, never on the machine or on a result.
    """
    by_subject: dict[str, list[Check]] = {}
    for one in checks:
        by_subject.setdefault(one.subject, []).append(one)
    count = sum(map(len, by_subject.values()))
    lines = [
        "# What Loftbook is checked against",
        "",
        "This page is generated by `python3 dev.py docs` from `src/loftbook/checks`; change it there.",
        f"`loftbook check` runs them and says what it got for each. Number of checks: {count}.",
        "",
    ]
    for subject in sorted(by_subject):
        lines += [f"## {subject.capitalize()}", "", *_table(by_subject[subject]), ""]
    return "\n".join(lines)


def _table(checks: list[Check]) -> list[str]:
    head = ["| check | kind | source | expected | tolerance |", "| --- | --- | --- | --- | --- |"]
    rows = ((c.name, c.kind, c.source, c.expected, c.tolerance) for c in sorted(checks, key=lambda c: c.name))
    return head + ["| " + " | ".join(map(_cell, row)) + " |" for row in rows]


def _cell(text: str) -> str:
    """Text on one line that cannot end its cell early."""
    return " ".join(text.split()).replace("|", "\\|")
