"""What becomes of each turn of another book: new here, here already, in conflict, or without a place.

The number of a turn was made where it was written down. The same number with the same content is one
turn, however it came; the same number with another content is a conflict. A turn of a typed
list got its number from camp, child and mark, so a list that was read into two books is known again
by what it says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from uuid import UUID

from loftbook.book.attempts import Attempt


@dataclass(frozen=True)
class TurnsMet:
    """The turns of another book, told in this one's numbers.

    `numbers` says which turn of this book each of them is, for the new ones too. `conflicts`
    are pairs of what stands here and what the other book says; `refused` have a reason.
    """

    new: tuple[Attempt, ...]
    same: int
    conflicts: tuple[tuple[Attempt, Attempt], ...]
    refused: tuple[tuple[Attempt, str], ...]
    numbers: Mapping[UUID, UUID] = field(default_factory=dict)


def meet_turns(
    theirs: Iterable[Attempt],
    here: Mapping[UUID, Attempt],
    listed: Iterable[Attempt],
    *,
    sent_alike: Callable[[UUID], bool] = lambda _: False,
) -> TurnsMet:
    """Sorts the turns of another book, whose camps and children are told in this one's numbers already.

    `here` holds the turns of this book by number, those that `theirs` name among them; `listed` are the turns of
    this book that came from typed lists. `sent_alike` tells whether a device sent the very same
    record to both books.

    >>> meet_turns([], {}, []).new
    ()
    """
    twins: dict[object, list[UUID]] = {}
    for turn in listed:
        twins.setdefault(_as_listed(turn), []).append(turn.id)
    sorting = _Sorting(here, twins, sent_alike)
    for turn in _earlier_first(theirs):
        sorting.put(turn)
    return TurnsMet(
        tuple(sorting.new),
        sorting.same,
        tuple(sorting.conflicts),
        tuple(sorting.refused),
        sorting.numbers,
    )


class _Sorting:
    def __init__(
        self,
        here: Mapping[UUID, Attempt],
        twins: dict[object, list[UUID]],
        sent_alike: Callable[[UUID], bool],
    ) -> None:
        self.here, self.twins, self.sent_alike = here, twins, sent_alike
        self.new: list[Attempt] = []
        self.same = 0
        self.conflicts: list[tuple[Attempt, Attempt]] = []
        self.refused: list[tuple[Attempt, str]] = []
        self.numbers: dict[UUID, UUID] = {}

    def put(self, turn: Attempt) -> None:
        if turn.replaces is not None:
            target = self.numbers.get(turn.replaces)
            if target is None:
                self.refused.append((turn, "the turn that it corrects is not taken over"))
                return
            turn = replace(turn, replaces=target)
        stands = self.here.get(turn.id)
        if stands is not None:
            self.numbers[turn.id] = turn.id
            if says_the_same(stands, turn) or self.sent_alike(turn.id):
                self.same += 1
            else:
                self.conflicts.append((stands, turn))
            return
        twin = self.twins.get(_as_listed(turn)) if is_listed(turn) else None
        if twin:
            self.numbers[turn.id] = twin.pop(0)
            self.same += 1
            return
        self.numbers[turn.id] = turn.id
        self.new.append(turn)


def is_listed(turn: Attempt) -> bool:
    """True for a turn that came from a typed list."""
    return turn.source.startswith("list ")


def says_the_same(one: Attempt, other: Attempt) -> bool:
    """True when two records say the same, whichever device or list it came by."""
    return _said(one) == _said(other)


def _said(turn: Attempt) -> Attempt:
    return replace(turn, device="", source="", marks=dict(turn.marks))


def _as_listed(turn: Attempt) -> object:
    """All that a turn of a list says, but for its number and the name of the list."""
    said = {name: value for name, value in vars(_said(turn)).items() if name not in ("id", "marks")}
    return (*said.values(), tuple(sorted(turn.marks.items())))


def _earlier_first(turns: Iterable[Attempt]) -> Iterable[Attempt]:
    """Each after the one that it corrects, whatever their clocks say; else in the order given."""
    left = {turn.id: turn for turn in turns}
    done: set[UUID] = set()
    for turn in tuple(left.values()):
        chain: list[Attempt] = []
        now: Attempt | None = turn
        while now is not None and now.id not in done:
            done.add(now.id)
            chain.append(now)
            now = left.get(now.replaces) if now.replaces else None
        yield from reversed(chain)
