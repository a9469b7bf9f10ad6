"""Answers as lines of plain text for a terminal; no arithmetic, only words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from uuid import UUID

from loftbook.book.people import Athlete
from loftbook.checks import Outcome
from loftbook.desk.answers import AthleteAnswer, CampAnswer, SquadAnswer
from loftbook.insight.change import ChangeKind, by_kind
from loftbook.insight.inventory import RungInventory

DECIDES = "Loftbook records and reminds. A qualified coach decides what comes next."


def squad_lines(answer: SquadAnswer) -> list[str]:
    """The squad, a line each."""
    lines = [f"Squad: {len(answer.athletes)} gymnasts, {len(answer.camps)} camps"]
    for row in answer.athletes:
        stood = ", ".join(
            f"{rung.short}: {row.standings[rung.key].state.words}"
            for rung in answer.rungs
            if rung.key in row.standings
        )
        lines.append(f"  {row.athlete.name.full:28} {row.club:24} {stood or 'no camp yet'}")
    return lines


def athlete_lines(answer: AthleteAnswer) -> list[str]:
    """One gymnast: rungs over the camps, what changed, what was never shown."""
    who = answer.athlete
    club = who.club.club if who.club else "club not written"
    lines = [f"{who.name.full}, {club}" + (f", {answer.age} years" if answer.age is not None else "")]
    for column in answer.columns:
        lines.append(f"{column.camp.name}, {column.camp.starts}")
        for rung in answer.rungs:
            standing = column.standings.get(rung.key)
            if standing is not None:
                extra = f" ({standing.why_not_alone})" if standing.why_not_alone else ""
                lines.append(f"  {rung.name:28} {standing.state.words}{extra}")
    lines += ["What changed at the last of these camps", *_her_changes(answer)]
    names = {rung.key: rung.name for rung in answer.rungs}
    lines += [f"First alone on {names.get(key, key)}: {first.on}" for key, first in answer.first_ever.items()]
    return [*lines, answer.twist.sentence, DECIDES]


def _her_changes(answer: AthleteAnswer) -> list[str]:
    names = {rung.key: rung.name for rung in answer.rungs}
    return [f"  {names.get(c.rung, c.rung)}: {c.sentence}" for c in answer.changes]


def camp_lines(answer: CampAnswer) -> list[str]:
    """A camp: each rung's list, patterns, changes, what was to be expected."""
    names = answer.athletes
    camp = answer.camp
    lines = [f"{camp.name}, {camp.starts} to {camp.ends}, {camp.place or 'place not written'}"]
    lines.append(f"{len(names)} gymnasts, {answer.turns} turns, edition {camp.edition}")
    for rung in answer.rungs:
        row = answer.inventory.rung(rung.key)
        if row is not None:
            lines += ["", rung.name, *_rung_lines(row, names)]
    lines += ["", "Patterns over the test rungs (● alone, ○ shown, not alone, · not shown)"]
    lines += [
        f"  {p.text}   {len(p.athletes):2}  {_names(names, p.athletes)}"
        for p in answer.inventory.patterns
        if p.athletes
    ]
    lines += [f"  Exception: {names[r.athlete].name.full}: {r.words}" for r in answer.inventory.reversals]
    lines += ["", "Since the last camp each came to", *_change_lines(answer)]
    lines += ["", "More or fewer than expected", *(f"  {e.sentence}" for e in answer.expected)]
    lines += [f"Twist side, {names[who].name.full}: {t.sentence}" for who, t in answer.twist.items()]
    return [*lines, "", DECIDES]


def check_lines(outcome: Outcome) -> str:
    """One outside check: its name, verdict, what was expected and got, and the source."""
    check = outcome.check
    got = outcome.reason if outcome.holds is None else f"expected {check.expected}; got {outcome.got}"
    return f"{outcome.verdict:14} {check.name}\n{'':14} {got}\n{'':14} {check.kind}: {check.source}"


def _rung_lines(row: RungInventory, names: Mapping[UUID, Athlete]) -> list[str]:
    lines = [f"  {row.sentence}", f"  alone ({len(row.alone)}): {_names(names, row.alone)}"]
    lines += [f"  {h.words} ({len(h.athletes)}): {_names(names, h.athletes)}" for h in row.helped]
    lines += [
        f"  tried{', ' + t.how if t.how else ''} ({len(t.athletes)}): {_names(names, t.athletes)}"
        for t in row.tried
    ]
    lines += [
        f"  {state.words} ({len(who)}): {_names(names, who)}" for state, who in row.blanks.items() if who
    ]
    return lines


def _change_lines(answer: CampAnswer) -> list[str]:
    lines = []
    for kind, found in by_kind(answer.changes).items():
        if found and kind is not ChangeKind.FIRST_CAMP:
            lines.append(f"  {kind.value} ({len(found)})")
            lines += [
                f"    {rung.name}: {_names(answer.athletes, who)}"
                for rung in answer.rungs
                if (who := [c.athlete for c in found if c.rung == rung.key])
            ]
    return lines


def _names(names: Mapping[UUID, Athlete], who: Iterable[UUID]) -> str:
    return ", ".join(names[one].name.full for one in who) or "nobody"
