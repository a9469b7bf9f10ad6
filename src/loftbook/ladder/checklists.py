"""The lists that lie on the table before somebody decides about a rung: the programme's, with their own edition.

They ask nothing of a mark, so a new edition of them changes no comparison: what counts on a
rung keeps the edition of the ladder.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from loftbook.ladder.contents import day, text, texts
from loftbook.ladder.fields import Fields, only, table
from loftbook.ladder.rungs import Rung


@dataclass(frozen=True)
class Checklists:
    """The lines for every rung and for the rungs of a group, under their edition and date."""

    edition: str
    dated: date
    every: tuple[str, ...]
    groups: Mapping[str, tuple[str, ...]]

    def of(self, rung: Rung) -> tuple[str, ...]:
        """The whole list of a rung: what is asked of every one, of its group, and of itself; each line once."""
        return tuple(dict.fromkeys((*self.every, *self.groups.get(rung.group, ()), *rung.checklist)))


def read_checklists(fields: Fields, groups: Iterable[str]) -> Checklists | None:
    """The table [checklists] of a ladder file, or nothing where it has none.

    Raises LadderError with the line of the first mistake.
    """
    if "checklists" not in fields.values:
        return None
    told = table(fields, "checklists")
    only(told, ["edition", "dated", "every", "group"])
    found = table(told, "group")
    only(found, groups)
    return Checklists(
        edition=text(told, "edition"),
        dated=day(told, "dated"),
        every=texts(told, "every"),
        groups={key: texts(found, key) for key in found.values},
    )


def with_lists(rungs: Iterable[Rung], lists: Checklists | None) -> tuple[Rung, ...]:
    """The rungs with their whole lists."""
    if lists is None:
        return tuple(rungs)
    return tuple(replace(rung, checklist=lists.of(rung)) for rung in rungs)
