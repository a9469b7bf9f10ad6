"""The ways in which a text may name one child, and the same text without them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from uuid import UUID

from loftbook.book.people import Athlete, Name

GONE = "(erased)"
_BETWEEN = (
    r"[\s,;.|/_+-]{1,3}"  # what stands between two parts of a name in a list, a file's name, a sentence
)
_MARKS = "[\u0300-\u036f]*"
_APOSTROPHES = "'’‘`´ʼ"
_KEPT_KEYS = frozenset({"verdict", "kind", "outcome", "state", "file", "digest"})


@dataclass(frozen=True)
class Naming:
    """One child's id, her names now and earlier, and those of her given names that nobody else in the book has.

    A whole name is found in either order, in any case, with or without accents, whatever
    stands between its parts. A given name alone is found as it is written with a capital
    letter, since "rose" is a word too.
    """

    id: UUID
    names: tuple[Name, ...]
    alone: tuple[str, ...] = ()

    @property
    def patterns(self) -> tuple[str, ...]:
        """For a first look by a database, in lower case with % for whatever is unsure: finds all and somewhat more."""
        full = ((name.given, name.family) for name in self.names)
        both = {f"%{_sure(a)}%{_sure(b)}%" for given, family in full for a, b in _orders(given, family)}
        alone = {f"%{_sure(one)}%" for one in self.alone}
        return tuple(sorted({re.sub("%+", "%", one) for one in (*both, *alone)} | set(self._ids)))

    def names_her(self, text: str) -> bool:
        """Whether a text names her or holds her id.

        >>> her = Naming(UUID(int=7), (Name("Mira", "Šimić"),), ("Mira",))
        >>> [her.names_her(text) for text in ("SIMIĆ, mira", "letter-mira-simic.pdf", "as Mira did", "admiral")]
        [True, True, True, False]
        """
        return bool(self._whole.search(text) or self._alone.search(text))

    def without(self, value: Any) -> Any:
        """A text, list or document without her.

        In a list her id is left out, and of a row that names her no words stay.

        >>> her = Naming(UUID(int=7), (Name("Mira", "Moss"),))
        >>> her.without("took the bed after Moss, Mira; good")
        'took the bed after (erased); good'
        >>> her.without([{"row": 3, "verdict": "take", "text": "x", "sentence": "Mira Moss: new"}, str(her.id)])
        [{'row': 3, 'verdict': 'take', 'text': '(erased)', 'sentence': '(erased)'}]
        """
        if isinstance(value, str):
            return self._alone.sub(GONE, self._whole.sub(GONE, value)) if value else value
        if isinstance(value, dict):
            return {key: self.without(one) for key, one in value.items() if not self.names_her(str(key))}
        if isinstance(value, (list, tuple)):
            kept = [self._element(one) for one in value if not self._is_id(one)]
            return tuple(kept) if isinstance(value, tuple) else kept
        return value

    def _element(self, one: Any) -> Any:
        """Of a row that is about her in its own words, no words stay; what is nested deeper is looked at for itself."""
        if isinstance(one, dict) and self._is_about_her(one):
            return {key: _wordless(key, value) for key, value in one.items()}
        return self.without(one)

    def _is_about_her(self, row: dict[str, Any]) -> bool:
        told = [value for value in row.values() if isinstance(value, str)]
        if {"given", "family"} <= row.keys():
            told.append(f"{row['given']} {row['family']}")
        return any(self.names_her(text) for text in told)

    def _is_id(self, one: Any) -> bool:
        return isinstance(one, str) and one.strip().lower() in (str(self.id), self.id.hex)

    @property
    def _ids(self) -> tuple[str, str]:
        return (f"%{self.id}%", f"%{self.id.hex}%")

    @cached_property
    def _whole(self) -> re.Pattern[str]:
        parts = [str(self.id), self.id.hex]
        for name in self.names:
            for one, two in _orders(name.given, name.family):
                between = _BETWEEN if one and two else ""
                parts.append(
                    rf"(?<!\w){_letters(one)}{between}{_letters(two)}(?:-{str(self.id)[-6:]})?(?![^\W_])"
                )
        return re.compile("|".join(parts), re.IGNORECASE)

    @cached_property
    def _alone(self) -> re.Pattern[str]:
        parts = [rf"(?<!\w){_letters(form)}(?!\w)" for one in self.alone for form in (one, one.upper())]
        return re.compile("|".join(parts) or r"(?!)")


def naming_of(athlete: Athlete, others: Iterable[Athlete], coaches: Collection[str] = ()) -> Naming:
    """How texts may name her; a given name counts alone only where no other child or coach of the book bears it.

    >>> mira, other = (Athlete(UUID(int=n), (Name("Mira", f),)) for n, f in enumerate(("Moss", "Sedge")))
    >>> naming_of(mira, [mira]).alone, naming_of(mira, [mira, other]).alone
    (('Mira',), ())
    """
    names = tuple(name for name in athlete.names if (name.given + name.family).strip())
    borne = {
        word.casefold()
        for other in others
        if other.id != athlete.id
        for name in other.names
        for word in (*name.given.split(), name.given, *name.family.split())
    }
    borne |= {word.casefold() for coach in coaches for word in coach.split()}
    given = dict.fromkeys(name.given.strip() for name in names)
    alone = (one for one in given if len(one) >= 3 and one.casefold() not in borne and one[:1].isupper())
    return Naming(athlete.id, names, tuple(alone))


def _orders(given: str, family: str) -> tuple[tuple[str, str], ...]:
    given, family = given.strip(), family.strip()
    return ((given, family), (family, given)) if given and family else ((given, family),)


def _letters(text: str) -> str:
    """A pattern for a name: each letter with or without its accent, any apostrophe, any spaces."""
    found = []
    for letter in unicodedata.normalize("NFC", text):
        plain = unicodedata.normalize("NFD", letter)[0]
        if letter.isspace() or letter == "-":
            found.append(r"[\s_-]+")
        elif letter in _APOSTROPHES:
            found.append(f"[{_APOSTROPHES}]?")
        elif plain == letter:
            found.append(re.escape(letter) + (_MARKS if letter.isalpha() else ""))
        else:
            found.append(f"(?:{re.escape(letter)}|{re.escape(plain)}){_MARKS}")
    return "".join(found)


def _sure(text: str) -> str:
    """The letters of a name that are written in one way only, in lower case; % for the others."""
    letters = (one if one.isascii() and one.isalnum() else "%" for one in text.strip().lower())
    return "".join("%" if one in "%" else one for one in letters)


def _wordless(key: str, value: Any) -> Any:
    if isinstance(value, str):
        return value if key in _KEPT_KEYS else GONE
    if isinstance(value, (list, tuple)):
        return []
    return {} if isinstance(value, dict) else value
