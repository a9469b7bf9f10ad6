"""A record that was set aside, in the words of the ladder: a key is no word that a coach reads."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from loftbook.book.records import moment_of
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff

#: What each field is called; the ids of the record and of its camp say nothing to a reader.
_CALLED: Mapping[str, str] = {
    "athlete": "who",
    "rung": "rung",
    "outcome": "result",
    "help": "help",
    "rotation": "came round",
    "take_off": "from",
    "landing": "onto",
    "marks": "marks",
    "turn": "turn",
    "note": "note",
    "rater": "seen by",
    "second": "which mark",
    "at": "by the device’s clock",
    "by": "taken back by",
    "reason": "why",
    "replaces": "corrects",
    "attempt": "takes back",
}
_UNTOLD = ("id", "kind", "camp")


def sent_in_words(sent: Any, ladder: Ladder, names: Mapping[UUID, str]) -> tuple[tuple[str, str], ...]:
    """What a record says, field by field; what nobody can read stands there as it was sent."""
    if not isinstance(sent, Mapping):
        return (("sent", str(sent)),)
    told = {key: value for key, value in sent.items() if value not in (None, "", {}, [], False)}
    known = [key for key in _CALLED if key in told]
    strange = [key for key in told if key not in _CALLED and key not in _UNTOLD]
    words = _words(ladder, names)
    return tuple((_CALLED[key], _told(words.get(key), told[key])) for key in known) + tuple(
        (str(key).replace("_", " "), str(told[key])) for key in strange
    )


def _told(word: Callable[[Any], str] | None, value: Any) -> str:
    try:
        return str(value) if word is None else word(value)
    except (KeyError, ValueError, TypeError, AttributeError):
        return str(value)


def _words(ladder: Ladder, names: Mapping[UUID, str]) -> Mapping[str, Callable[[Any], str]]:
    rungs = {rung.key: rung.name for rung in ladder.rungs}
    criteria = {one.key: one.name for one in ladder.criteria}
    return {
        "athlete": lambda value: names.get(UUID(value), "nobody whom this book knows"),
        "rung": rungs.__getitem__,
        "outcome": lambda value: Outcome(value).words,
        "help": lambda value: Help.from_key(value).words,
        "rotation": lambda value: Rotation(value).value,
        "take_off": lambda value: TakeOff(value).words,
        "landing": lambda value: Landing(value).words,
        "marks": lambda value: ", ".join(f"{criteria.get(key, key)} {mark}" for key, mark in value.items()),
        "second": lambda value: "a second one, unseen by the first" if value is True else str(value),
        "at": _moment,
        "replaces": lambda _: "an earlier result",
        "attempt": lambda _: "an earlier result",
    }


def _moment(value: Any) -> str:
    moment = moment_of(value)
    return str(value) if moment is None else f"{moment.astimezone():%Y-%m-%d %H:%M}"
