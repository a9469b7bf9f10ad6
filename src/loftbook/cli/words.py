"""Answers as lines of plain text for a terminal; no arithmetic, only words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.checks import Outcome
from loftbook.desk.answers import AthleteAnswer, CampAnswer, SquadAnswer
from loftbook.insight.change_kind import camp_words
from loftbook.insight.change_told import BlankNow, told
from loftbook.insight.families import NeverShown
from loftbook.insight.inventory import RungInventory, told_words
from loftbook.insight.standing import State

DECIDES = "Loftbook records and reminds. A qualified coach decides what comes next."


def squad_lines(answer: SquadAnswer) -> list[str]:
    """The squad, a line each."""
    lines = [f"Squad: {len(answer.athletes)} gymnasts, {len(answer.camps)} camps"]
    for row in answer.athletes:
        stood = ", ".join(
            f"{rung.short}: {row.standings[rung.key].words}"
            for rung in answer.rungs
            if rung.key in row.standings
        )
        camp = camp_words(row.last_camp) if row.last_camp else ""
        lines.append(f"  {row.athlete.name.full:28} {row.club:24} {camp:20} {stood or 'no camp yet'}")
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
                alone = answer.difficulty.get(rung.key) if standing.state is State.ALONE else None
                told_points = f", {alone.words}" if alone else ""
                lines.append(f"  {rung.name:28} {told_words(standing)}{told_points}")
    lines += ["What changed at the last of these camps", *_her_changes(answer), *_her_marks(answer)]
    names = {rung.key: rung.name for rung in answer.rungs}
    lines += [f"First {one.words}, {names.get(key, key)}: {one.on}" for key, one in answer.first_ever.items()]
    lines += [f"Families of movement: {_never(one)}" for one in answer.never_shown]
    return [*lines, f"Twist side: {answer.twist.sentence}", DECIDES]


def _never(one: NeverShown) -> str:
    return f"{one.sentence}. {one.policy}" if one.policy else one.sentence


def _her_changes(answer: AthleteAnswer) -> list[str]:
    names = {rung.key: rung.name for rung in answer.rungs}
    return [f"  {names.get(c.rung, c.rung)}: {c.sentence}" for c in answer.changes]


def _her_marks(answer: AthleteAnswer) -> list[str]:
    names = {rung.key: rung.name for rung in answer.rungs}
    lines = [
        f"  {names.get(one.rung, one.rung)}, {move.criterion.replace('_', ' ')}: {move.sentence}"
        for one in answer.marks
        for move in one.moves
    ]
    return ["Marks since the camp before", *lines] if lines else []


def camp_lines(answer: CampAnswer) -> list[str]:
    """A camp: each rung's list, patterns, changes, what was to be expected."""
    names = answer.athletes
    camp = answer.camp
    lines = [f"{camp.name}, {camp.starts} to {camp.ends}, {camp.place or 'place not written'}"]
    lines.append(f"{len(names)} gymnasts, {answer.turns} turns, edition {camp.edition}")
    lines += surface_lines(camp)
    for rung in answer.rungs:
        row = answer.inventory.rung(rung.key)
        if row is not None:
            lines += ["", rung.name, *_rung_lines(row, names)]
    lines += ["", f"Patterns over the test rungs (● {answer.inventory.met}, ○ shown, not so, · not shown)"]
    lines += [
        f"  {p.text}   {len(p.athletes):2}  {_names(names, p.athletes)}"
        for p in answer.inventory.patterns
        if p.athletes
    ]
    lines += [f"  Exception: {names[r.athlete].name.full}: {r.words}" for r in answer.inventory.reversals]
    lines += ["", "Since the last camp each came to", *_change_lines(answer)]
    lines += ["", "More or fewer than expected", *(f"  {e.sentence}" for e in answer.expected)]
    if never := [one for one in answer.never_shown if one.never]:
        lines += ["", "Families of movement never met here"]
        lines += [f"  {names[one.athlete].name.full}: {_never(one)}" for one in never]
    if answer.twist:
        lines += ["", "Twist side"]
        lines += [f"  {names[who].name.full}: {t.sentence}" for who, t in answer.twist.items()]
    return [*lines, "", DECIDES]


def surface_lines(camp: Camp) -> list[str]:
    """That a camp's surfaces are assumed, and how to say otherwise; nothing where somebody said them."""
    if not camp.surfaces_assumed:
        return []
    onto = f"{camp.take_off} to {camp.landing}".replace("_", " ")
    return [
        f"Surfaces assumed, not written down: {onto}. `loftbook camp correct --camp {camp.starts} --surfaces-are-right "
        "--by NAME` confirms it; --take-off and --landing correct it."
    ]


def check_lines(outcome: Outcome) -> str:
    """One outside check: its name, verdict, what was expected and got, how close is close enough, and the source."""
    check = outcome.check
    got = outcome.reason if outcome.holds is None else f"expected {check.expected}; got {outcome.got}"
    lines = (got, f"close enough: {check.tolerance}", f"{check.kind}: {check.source}")
    return "\n".join([f"{outcome.verdict:14} {check.name}", *(f"{'':14} {line}" for line in lines)])


def _rung_lines(row: RungInventory, names: Mapping[UUID, Athlete]) -> list[str]:
    lines = [f"  {row.sentence}", f"  {row.met} ({len(row.alone)}): {_names(names, row.alone)}"]
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
    changes = told(answer.changes)
    for kind, found in changes.kinds.items():
        if found:
            lines.append(f"  {kind.value} ({len(found)})")
            lines += [
                f"    {rung.name}: {_names(answer.athletes, who)}"
                for rung in answer.rungs
                if (who := [c.athlete for c in found if c.rung == rung.key])
            ]
    return [*lines, *(f"  {one.words}: {_blank(one, answer)}" for one in changes.blanks)]


def _blank(one: BlankNow, answer: CampAnswer) -> str:
    """Whose blank it is, with the rungs where it is not all of hers."""
    short = {rung.key: rung.short for rung in answer.rungs}
    rungs = {who: ", ".join(short.get(key, key) for key in keys) for who, keys in one.rungs.items()}
    return ", ".join(
        answer.athletes[who].name.full + (f" ({told_rungs})" if told_rungs else "")
        for who, told_rungs in rungs.items()
    )


def _names(names: Mapping[UUID, Athlete], who: Iterable[UUID]) -> str:
    return ", ".join(names[one].name.full for one in who) or "nobody"
