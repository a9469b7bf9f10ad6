"""The part of the camp lists that tells what changed since the camp before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from uuid import UUID

from loftbook.insight.change import Change, ChangeKind, by_kind
from loftbook.insight.standing import State
from loftbook.ladder.rungs import Ladder
from loftbook.reports.page import Block, Heading, Paragraph, Together
from loftbook.reports.sheets.wording import rung_name, sentence
from loftbook.reports.table import Cell, Column, Table

# The kinds whose reason is told for each; of the others the names are enough.
_WITH_REASON = (ChangeKind.NEW, ChangeKind.BACK_AGAIN, ChangeKind.NOT_NOW, ChangeKind.CANNOT_TELL)
_BY_NAME = (ChangeKind.HELD, ChangeKind.STILL_LEARNING, ChangeKind.FIRST_CAMP)
_AWAY = (State.ABSENT, State.NO_RECORD)


def changed(found: Iterable[Change], ladder: Ladder, names: Mapping[UUID, str]) -> Iterator[Block]:
    """What changed, kind by kind; whoever was not at the camp is named once."""
    order = {who: place for place, who in enumerate(names)}
    told = sorted(found, key=lambda one: order.get(one.athlete, len(order)))
    here = {one.athlete for one in told if one.now.state not in _AWAY}
    kinds = by_kind(one for one in told if one.athlete in here and one.now.state is not State.NO_RECORD)
    if not told:
        return
    yield Heading("What changed since the camp before", aside="worked out from the book")
    for kind in _WITH_REASON:
        if kinds[kind]:
            yield from _reasoned(kind, kinds[kind], ladder, names)
    yield from _named(kinds, ladder, names)
    away = [
        names.get(who, "somebody") for who in dict.fromkeys(one.athlete for one in told) if who not in here
    ]
    if away:
        yield Paragraph(f"Not at this camp, so nothing is said of them: {'; '.join(away)}.")


def _reasoned(
    kind: ChangeKind, ones: tuple[Change, ...], ladder: Ladder, names: Mapping[UUID, str]
) -> Iterator[Block]:
    columns = (Column("Who", share=1.3), Column("Rung", share=0.9), Column("Why", share=3))
    shared = [c for c in ones[0].caveats if len(ones) > 1 and all(c in one.caveats for one in ones)]
    rows = tuple(
        (
            Cell(names.get(one.athlete, "somebody")),
            Cell(rung_name(ladder, one.rung, short=True)),
            Cell(f"{sentence(one.why)}.", under="; ".join(c for c in one.caveats if c not in shared)),
        )
        for one in ones
    )
    yield Heading(sentence(kind.value), level=3, aside=str(len(ones)))
    yield Table(columns, rows, caption=f"To bear in mind for each: {'; '.join(shared)}." if shared else "")


def _named(
    kinds: Mapping[ChangeKind, tuple[Change, ...]], ladder: Ladder, names: Mapping[UUID, str]
) -> Iterator[Block]:
    rows = []
    for kind in _BY_NAME:
        keys = {one.rung for one in kinds[kind]}
        known = [rung.key for rung in ladder.rungs if rung.key in keys]
        for rung in [*known, *sorted(keys - set(known))]:
            whom = tuple(names.get(one.athlete, "somebody") for one in kinds[kind] if one.rung == rung)
            rows.append(
                (Cell(sentence(kind.value)), Cell(rung_name(ladder, rung, short=True)), Cell(items=whom))
            )
    if rows:
        columns = (Column("Change", share=1), Column("Rung", share=1), Column("Who", share=3.4))
        yield Together((Heading("The others", level=3), Table(columns, tuple(rows))))
