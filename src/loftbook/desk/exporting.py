"""Every list as CSV or XLSX, safe to open in a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.answers import CampAnswer, SquadAnswer, camp_answer, squad_answer
from loftbook.errors import UnknownThing
from loftbook.insight.standing import State
from loftbook.reports.spreadsheet import ListTable, Value, as_csv, as_xlsx
from loftbook.store import attempts

FORMS = ("csv", "xlsx")


def in_form(table: ListTable, form: str) -> bytes:
    """The list as bytes of a CSV or XLSX file."""
    if form not in FORMS:
        raise UnknownThing(f"the form {form!r}", "csv or xlsx", "choose one of these")
    return as_csv(table) if form == "csv" else as_xlsx(table)


def all_lists(desk: Desk, camp_id: UUID) -> Mapping[str, ListTable]:
    """Every list of a camp, with the squad, by name."""
    answer = camp_answer(desk, camp_id)
    return {
        "squad": squad_list(squad_answer(desk)),
        "attempts": attempts_list(desk, answer),
        **{name: make(answer) for name, make in _OF_A_CAMP.items()},
    }


def one_list(desk: Desk, name: str, camp_id: UUID) -> ListTable:
    """The list of that name; the squad's needs no camp worked out."""
    if name == "squad":
        return squad_list(squad_answer(desk))
    known = ("squad", "attempts", *_OF_A_CAMP)
    if name not in known:
        raise UnknownThing(f"a list called {name!r}", f"one of {', '.join(known)}", "choose one of these")
    answer = camp_answer(desk, camp_id)
    return attempts_list(desk, answer) if name == "attempts" else _OF_A_CAMP[name](answer)


def squad_list(answer: SquadAnswer) -> ListTable:
    """The squad with each gymnast's latest standing on the test rungs."""
    rows: list[tuple[Value, ...]] = []
    for row in answer.athletes:
        height = row.athlete.height
        states = [row.standings[r.key].words if r.key in row.standings else "" for r in answer.rungs]
        rows.append(
            (
                row.athlete.name.given,
                row.athlete.name.family,
                row.athlete.born,
                row.club,
                height.metres if height else None,
                row.last_camp.name if row.last_camp else "",
                row.last_camp.starts if row.last_camp else None,
                *states,
                ", ".join(row.missing),
            )
        )
    columns = ("given name", "family name", "born", "club", "height (m)", "last camp", "last camp starts")
    return ListTable(
        "squad", (*columns, *(f"{r.name} ({r.key})" for r in answer.rungs), "missing"), tuple(rows)
    )


def attempts_list(desk: Desk, answer: CampAnswer) -> ListTable:
    """Each turn in force at a camp, as it was written."""
    with desk.store.read() as connection:
        turns = attempts.attempts_of_camp(connection, answer.camp.id)
    criteria = [criterion.key for criterion in desk.ladder.criteria]
    rows = tuple(
        (
            _name(answer, a.athlete),
            *_rung(answer, a.rung),
            a.outcome.words,
            a.help.words if a.help else "",
            a.take_off.words if a.take_off else "",
            a.landing.words if a.landing else "",
            a.came_round,
            *(a.marks.get(key) for key in criteria),
            a.note,
            a.rater,
            None if a.source.startswith("list") else a.at,  # a typed list tells no hour
            a.edition,
            a.source,
            a.turn,
            "yes" if a.second else "",
        )
        for a in turns
    )
    columns = ("gymnast", *_RUNG, "outcome", "help", "take-off", "landing", "came round")
    marks = tuple(f"mark: {key}" for key in criteria)  # "landing" and "rotation" are criteria too
    more = ("note", "rater", "time (UTC)", "edition", "source", "turn", "second mark")
    return ListTable("attempts", (*columns, *marks, *more), rows)


def inventory_list(answer: CampAnswer) -> ListTable:
    """Where everybody stood on each rung at a camp."""
    rows = tuple(
        (
            _name(answer, s.athlete),
            _club(answer, s.athlete),
            *_rung(answer, s.rung),
            s.words,
            s.help.words if s.help else "",
            s.turns,
            s.done,
            s.why_not_alone if s.state is State.HELPED else "",
            ", ".join(s.raters),
        )
        for s in sorted(answer.standings, key=lambda s: (s.rung, _name(answer, s.athlete)))
    )
    columns = (
        "gymnast",
        "club",
        *_RUNG,
        "where she stood",
        "help",
        "turns",
        "met the standard",
        "why",
        "seen by",
    )
    return ListTable("inventory", columns, rows)


def patterns_list(answer: CampAnswer) -> ListTable:
    """The patterns over the test rungs, with who shows each."""
    rows = tuple(
        (p.text, len(p.athletes), "yes" if p.reversal else "", "; ".join(_names(answer, p.athletes)))
        for p in answer.inventory.patterns
        if p.athletes
    )
    return ListTable("patterns", ("pattern", "how many", "reversal", "who"), rows)


def changes_list(answer: CampAnswer) -> ListTable:
    """What changed for each gymnast on each rung, and why."""
    rows = tuple(
        (_name(answer, c.athlete), *_rung(answer, c.rung), c.kind.value, c.why) for c in answer.changes
    )
    return ListTable("changes", ("gymnast", *_RUNG, "change", "why"), rows)


def expected_list(answer: CampAnswer) -> ListTable:
    """How many were to be expected on each rung, and how many were seen."""
    rows = tuple(
        (*_rung(answer, e.rung), e.people, round(e.mean, 1), e.low, e.high, e.seen, e.sentence)
        for e in answer.expected
    )
    columns = (*_RUNG, "people", "expected", "low (95 %)", "high (95 %)", "seen", "in words")
    return ListTable("expected", columns, rows)


def never_met_list(answer: CampAnswer) -> ListTable:
    """Which families of movement each child has never met at a camp of this book, with her age."""
    rows = tuple(
        (_name(answer, one.athlete), "; ".join(f.words for f in one.never), one.age, one.policy)
        for one in answer.never_shown
        if one.never
    )
    return ListTable("never_met", ("gymnast", "never met at a camp of this book", "age", "policy"), rows)


def twist_side_list(answer: CampAnswer) -> ListTable:
    """Who does not twist to one side in all her skills, and which of them disagree."""
    rows = tuple(
        (
            _name(answer, who),
            one.side.value if one.side else "",
            "; ".join(f"{d.name} {d.side.value}" for d in one.disagree),
            one.sentence,
        )
        for who, one in answer.twist.items()
    )
    return ListTable("twist_side", ("gymnast", "her side", "disagree", "in words"), rows)


_OF_A_CAMP: Mapping[str, Callable[[CampAnswer], ListTable]] = {
    "inventory": inventory_list,
    "patterns": patterns_list,
    "changes": changes_list,
    "expected": expected_list,
    "never_met": never_met_list,
    "twist_side": twist_side_list,
}
_RUNG = ("rung", "rung key")


def _rung(answer: CampAnswer, key: str) -> tuple[str, str]:
    """A rung's name and its key; one that the ladder no longer has keeps its key as a name."""
    names = {rung.key: rung.name for rung in answer.rungs}
    return names.get(key, key.replace("_", " ")), key


def _name(answer: CampAnswer, athlete: UUID) -> str:
    return answer.athletes[athlete].name.full


def _names(answer: CampAnswer, athletes: Iterable[UUID]) -> list[str]:
    return [_name(answer, who) for who in athletes]


def _club(answer: CampAnswer, athlete: UUID) -> str:
    stay = answer.athletes[athlete].club_on(answer.camp.starts)
    return stay.club if stay else ""
