"""The words of the sheets: one file a language, and every sheet says what stands there.

A sheet asks for a text by its name and gives the values that belong into it. This is the one
place of `reports` that reads shipped files: those in `languages`, and what the form for home is made of.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from loftbook.errors import UnknownThing

LANGUAGES = ("en",)


@dataclass(frozen=True)
class Texts:
    """The texts of one language by name, such as `hers.right.title`.

    >>> english()("hers.write.title")
    'You say'
    """

    lang: str
    words: Mapping[str, str]

    def __call__(self, name: str, /, **values: object) -> str:
        """One text with its values in it; raises UnknownThing for a name that the language lacks."""
        if name not in self.words:
            raise UnknownThing(
                f"a text called {name!r}", f"one of languages/{self.lang}.toml", "write it into that file"
            )
        return self.words[name].format_map(values)

    def count(self, name: str, number: int, /, **values: object) -> str:
        """A text that has one form for one and another for all else: `name.one`, `name.many`, with `n` in it."""
        return self(f"{name}.{'one' if number == 1 else 'many'}", n=number, **values)

    def all(self, name: str, /, **values: object) -> tuple[str, ...]:
        """The numbered texts under a name, in the order of the file: `name.1`, `name.2`, and so on."""
        some = (
            key for key in self.words if key.rpartition(".")[0] == name and key[len(name) + 1 :].isdigit()
        )
        return tuple(self(key, **values) for key in some)


@cache
def texts(lang: str = "en") -> Texts:
    """The texts of a language; raises UnknownThing for one that is not shipped."""
    if lang not in LANGUAGES:
        raise UnknownThing(f"the language {lang!r}", f"one of {', '.join(LANGUAGES)}", "choose one of these")
    text = files("loftbook.reports").joinpath("languages", f"{lang}.toml").read_text(encoding="utf-8")
    return Texts(lang, _flat(tomllib.loads(text)))


@cache
def form_part(name: str) -> str:
    """The look ("form.css") or the small program ("form.js") of the form that goes with a letter."""
    return files("loftbook.reports").joinpath("sheets", "home_form", name).read_text(encoding="utf-8")


def english() -> Texts:
    """The texts that every sheet has."""
    return texts()


def _flat(table: Mapping[str, object], under: str = "") -> dict[str, str]:
    """Nested tables as one, the names joined by dots.

    >>> _flat({"a": {"b": "c"}})
    {'a.b': 'c'}
    """
    found: dict[str, str] = {}
    for key, value in table.items():
        name = f"{under}{key}"
        found |= _flat(value, f"{name}.") if isinstance(value, Mapping) else {name: str(value)}
    return found
