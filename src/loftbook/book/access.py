"""Who may do what: one table, read by the pages, the JSON answers and the tests.

A visitor is known by three things: the role that she was let in with, whether she
sits at the laptop itself, and whether anybody on the hall's network can read along.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from uuid import UUID


class Role(Enum):
    """What a person or a device was let in for."""

    HEAD_COACH = "head_coach"
    ENTRY = "entry"
    READ = "read"
    PROGRAMME = "programme"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _ROLE_WORDS[self]


_ROLE_WORDS = {
    Role.HEAD_COACH: "head coach: everything but letting devices in",
    Role.ENTRY: "entry: writes results, sees first names and numbers of the day only",
    Role.READ: "read: sees the book, writes nothing",
    Role.PROGRAMME: "programme: sees counts over all camps, and no name",
}


class Action(Enum):
    """What can be asked for. Each address of the server asks for exactly one of these."""

    LOOK_IN = "look in"  # pages without a single name in them
    OWN_LEAVE = "leave"  # a device that wants to be forgotten
    DAY_SHEET = "see the day's sheet"
    SEND = "send results"
    LOOK_BACK = "see the marks of the camp before"
    COUNTS = "see counts without names"
    READ_BOOK = "read the book"
    WRITE_BOOK = "write the book"
    FILM = "see and measure films"
    ANSWER_FOR = "see what is held and what left, take a child's archive, erase her"
    LET_IN = "let devices in"


_EVERYBODY = frozenset(Role)
_WRITERS = frozenset({Role.HEAD_COACH, Role.ENTRY})
_READERS = frozenset({Role.HEAD_COACH, Role.READ})
_HEAD = frozenset({Role.HEAD_COACH})

#: The truth table. LOOK_IN needs no role at all.
MAY: Mapping[Action, frozenset[Role]] = MappingProxyType(
    {
        Action.LOOK_IN: _EVERYBODY,
        Action.OWN_LEAVE: _EVERYBODY,
        Action.DAY_SHEET: _WRITERS,
        Action.SEND: _WRITERS,
        Action.LOOK_BACK: _WRITERS,
        Action.COUNTS: _READERS | {Role.PROGRAMME},
        Action.READ_BOOK: _READERS,
        Action.WRITE_BOOK: _HEAD,
        Action.FILM: _HEAD,
        Action.ANSWER_FOR: _HEAD,
        Action.LET_IN: _HEAD,
    }
)
#: What may pass over a line that others can read (plain http in the hall): the entry role, and only this.
IN_THE_OPEN = frozenset({Action.LOOK_IN, Action.OWN_LEAVE, Action.DAY_SHEET, Action.SEND, Action.LOOK_BACK})
#: What is done by whoever sits at the laptop itself.
AT_THE_LAPTOP = frozenset({Action.ANSWER_FOR, Action.LET_IN})


@dataclass(frozen=True)
class Visitor:
    """Whoever asks: her role (None: nobody let her in), where she sits, who can read along."""

    role: Role | None = None
    here: bool = False  # at the laptop itself
    private: bool = True  # False: others on the network can read what goes over the line
    device: UUID | None = None
    name: str = ""


class Why(Enum):
    """What stands against a request."""

    NOTHING = ""
    NOBODY = "nobody let this device in"
    ROLE = "it is for another role"
    OPEN_LINE = "others on the network could read it"
    NOT_HERE = "it is done at the laptop only"


def may(visitor: Visitor, action: Action) -> Why:
    """Whether she may do that, and if not, what stands against it.

    >>> may(Visitor(), Action.SEND), may(Visitor(Role.ENTRY), Action.SEND)
    (<Why.NOBODY: 'nobody let this device in'>, <Why.NOTHING: ''>)
    >>> may(Visitor(Role.HEAD_COACH), Action.LET_IN).value
    'it is done at the laptop only'
    """
    if action is Action.LOOK_IN:
        return Why.NOTHING
    if visitor.role is None:
        return Why.NOBODY
    if visitor.role not in MAY[action]:
        return Why.ROLE
    if not visitor.private and (action not in IN_THE_OPEN or visitor.role is not Role.ENTRY):
        return Why.OPEN_LINE
    if action in AT_THE_LAPTOP and not visitor.here:
        return Why.NOT_HERE
    return Why.NOTHING
