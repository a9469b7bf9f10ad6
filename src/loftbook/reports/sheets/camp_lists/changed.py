"""The part of the camp lists that tells what changed since the camp before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from uuid import UUID

from loftbook.insight.change import Change, ChangeKind
from loftbook.insight.change_told import BlankNow, told
from loftbook.ladder.rungs import Ladder
from loftbook.reports.page import Block, Bullets, Heading, Span, Together
from loftbook.reports.sheets.wording import rung_name, sentence
from loftbook.reports.table import Cell, Column, Table

# The kinds whose reason is told for each; of the others the names are enough.
_WITH_REASON = (ChangeKind.NEW, ChangeKind.BACK_AGAIN, ChangeKind.NOT_NOW, ChangeKind.CANNOT_TELL)
_BY_NAME = (ChangeKind.HELD, ChangeKind.STILL_LEARNING, ChangeKind.FIRST_CAMP)


def changed(found: Iterable[Change], ladder: Ladder, names: Mapping[UUID, str]) -> Iterator[Block]:
    """What changed, kind by kind; whatever is blank now is folded into a line for each blank."""
    order = {who: place for place, who in enumerate(names)}
    ordered = sorted(found, key=lambda one: order.get(one.athlete, len(order)))
    if not ordered:
        return
    changes = told(ordered)
    yield Heading("What changed since the camp before", aside="worked out from the book")
    for kind in _WITH_REASON:
        if changes.kinds[kind]:
            yield from _reasoned(kind, changes.kinds[kind], ladder, names)
    yield from _named(changes.kinds, ladder, names)
    if changes.blanks:
        head = Heading("Nothing shown now, so nothing is said of it", level=3)
        yield Together((head, Bullets(tuple(_blank(one, ladder, names) for one in changes.blanks))))


def _blank(one: BlankNow, ladder: Ladder, names: Mapping[UUID, str]) -> tuple[Span, ...]:
    whom = []
    for who, keys in one.rungs.items():
        rungs = ", ".join(rung_name(ladder, key, short=True) for key in keys)
        whom.append(names.get(who, "somebody") + (f" ({rungs})" if rungs else ""))
    return (Span(f"{sentence(one.words)}: ", strong=True), Span(f"{'; '.join(whom)}."))


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
