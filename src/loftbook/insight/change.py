"""What changed for each gymnast on each rung since an earlier camp, with the reason in words.

Each camp is compared with the one before it that she attended, and with her first.
`change_kind` holds the table of what is called what, and why.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.insight.change_kind import ChangeKind, Comparison, answer
from loftbook.insight.comparing import Editions, Showing
from loftbook.insight.history import History, attended, visits_before
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Ladder, Rung

__all__ = ["Change", "ChangeKind", "Changes", "by_kind", "changes"]


@dataclass(frozen=True)
class Change:
    """One gymnast on one rung: what changed, why we say so, and what blurs it.

    `before` and `against` are her standing at, and the id of, the earlier camp; None
    where she has none. `had_at` is the last camp before this one where she did it alone.
    """

    athlete: UUID
    rung: str
    kind: ChangeKind
    why: str
    now: Standing
    before: Standing | None = None
    against: UUID | None = None
    had_at: UUID | None = None
    caveats: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """Kind, reason and caveats in one line."""
        return f"{self.kind.value}: {'; '.join((self.why, *self.caveats))}"


@dataclass(frozen=True)
class Changes:
    """All changes of a camp, in the order of the athletes and the ladder."""

    camp: UUID
    since_previous: tuple[Change, ...]
    since_first: tuple[Change, ...]


def changes(
    camp: Camp,
    ladder: Ladder,
    *,
    athletes: Iterable[Athlete],
    history: History,
    editions: Editions | None = None,
    first: bool = True,
) -> Changes:
    """What changed at this camp, against the last one she attended and, if asked, against her first.

    `history` holds this camp and all earlier ones; later ones are passed over.
    `editions` are the ladders by edition, where known (without it, this ladder's own):
    an edition that is not among them counts as another standard. The test rungs are
    always answered, another rung where something was written on it at this camp.
    Raises `UnknownThing` when the camp is not in the history.
    """
    previous: list[Change] = []
    since_first: list[Change] = []
    known = editions if editions is not None else {ladder.edition: ladder}
    for athlete in athletes:
        visits = visits_before(history, athlete.id, camp.id)
        there = attended(history, athlete.id, camp.id)
        earlier = [one for one, _ in visits]
        written = history.at(athlete.id, camp.id)
        for key, rung in _rungs(ladder, written):
            case = Comparison(
                now=Showing(camp, written.get(key) or Standing(athlete.id, camp.id, key, State.NO_RECORD)),
                camps=earlier,
                seen=[stood.get(key) for _, stood in visits],
                place=len(visits) - 1,
                there=there,
                standard=rung.standard if rung else None,
                editions=known,
            )
            latest = _change(case)
            previous.append(latest)
            if first:
                since_first.append(latest if len(visits) < 2 else _change(replace(case, place=0)))
    return Changes(camp.id, tuple(previous), tuple(since_first))


def by_kind(found: Iterable[Change]) -> Mapping[ChangeKind, tuple[Change, ...]]:
    """The changes as one list for each kind, all kinds present, order kept.

    >>> by_kind([])[ChangeKind.NEW]
    ()
    """
    lists: dict[ChangeKind, list[Change]] = {kind: [] for kind in ChangeKind}
    for one in found:
        lists[one.kind].append(one)
    return {kind: tuple(ones) for kind, ones in lists.items()}


def _rungs(ladder: Ladder, written: Mapping[str, Standing]) -> Iterable[tuple[str, Rung | None]]:
    for rung in ladder.rungs:
        if rung.tested or rung.key in written:
            yield rung.key, rung
    for key in sorted(written.keys() - {rung.key for rung in ladder.rungs}):
        yield key, None


def _change(case: Comparison) -> Change:
    then, had, found = case.then, case.had, answer(case)
    return Change(
        athlete=case.now.standing.athlete,
        rung=case.now.standing.rung,
        kind=found.kind,
        why=found.why,
        now=case.now.standing,
        before=then.standing if then else None,
        against=then.camp.id if then else None,
        had_at=case.camps[had].id if had is not None else None,
        caveats=found.caveats,
    )
