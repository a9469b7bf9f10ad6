"""One table of a ladder file: its keys, and the line on which a mistake in it stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from loftbook.errors import LadderError
from loftbook.ladder.lines import Path


@dataclass(frozen=True)
class Fields:
    """One table of the file: what it holds, where it stands, and all lines of the file."""

    values: Mapping[str, object]
    path: Path
    lines: Mapping[Path, int]

    @property
    def what(self) -> str:
        """How the file names it, such as ``[[rung]]``, with its key where it has one."""
        if not self.path:
            return "the ladder"
        array = isinstance(self.path[-1], int)
        name = ".".join(str(part) for part in self.path if isinstance(part, str))
        key = self.values.get("key")
        named = f" {key}" if isinstance(key, str) and key else ""
        return f"{'[[' if array else '['}{name}{']]' if array else ']'}{named}"

    def line(self, *below: str | int) -> int:
        """The line of this table, or of something in it; the nearest one above if that is unknown."""
        path = (*self.path, *below)
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def mistake(self, found: str, expected: str, todo: str, at: tuple[str | int, ...] = ()) -> LadderError:
        """The error to raise for something in this table."""
        return LadderError(found, expected, todo, line=self.line(*at))


def only(fields: Fields, known: Iterable[str]) -> None:
    """Refuse a key that no ladder has; a misspelt key would otherwise do nothing, silently."""
    names = list(known)
    for key in fields.values:
        if key not in names:
            raise fields.mistake(
                f"the key {key!r} in {fields.what}",
                listed(names),
                nearest(key, names) or "take the line out, or correct its spelling",
                at=(key,),
            )


def tables(fields: Fields, key: str) -> tuple[Fields, ...]:
    """The tables of a ``[[key]]`` list, in the order of the file."""
    value = fields.values.get(key, [])
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        raise fields.mistake(
            f"{key} = {shown(value)}",
            f"tables headed [[{key}]]",
            f"write [[{key}]] with double brackets, and its keys below it",
            at=(key,),
        )
    return tuple(Fields(one, (*fields.path, key, place), fields.lines) for place, one in enumerate(value))


def table(fields: Fields, key: str) -> Fields:
    """The table headed ``[key]``, empty where it is not there."""
    value = fields.values.get(key, {})
    if not isinstance(value, dict):
        raise fields.mistake(
            f"{key} = {shown(value)} in {fields.what}",
            f"a table headed [{key}]",
            f"write [{key}] with single brackets, and its keys below it",
            at=(key,),
        )
    return Fields(value, (*fields.path, key), fields.lines)


def listed(names: list[str]) -> str:
    """The words that may stand there, the first twenty of them."""
    shown = names[:20]
    rest = f" and {len(names) - 20} more" if len(names) > 20 else ""
    return ("one of " if len(names) > 1 else "") + ", ".join(shown) + rest


def nearest(word: str, names: list[str]) -> str:
    """What to write instead of a misspelt word, or an empty text."""
    near = get_close_matches(word.casefold().replace(" ", "_"), names, n=1, cutoff=0.6)
    return f"write {near[0]}, if that is what was meant" if near else ""


def shown(value: object) -> str:
    """A value as the file would have it, cut where it is long."""
    words = str(value).lower() if isinstance(value, bool) else repr(value)
    return words if len(words) <= 40 else words[:39] + "…"
