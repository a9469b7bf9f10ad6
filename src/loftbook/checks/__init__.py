"""Every number that Loftbook holds against something outside itself.

One module a subject; a new module here is found by itself. Published tables lie in
`authorities/`, as published, with their source in the head.

    registered()       every check there is
    run_all()          run them, and say what each got
    as_markdown(...)   the page docs/checks.md
"""

from __future__ import annotations

import pkgutil
from collections import Counter
from importlib import import_module

from loftbook.checks.registry import Check, Finding, NotHere, Outcome, as_markdown, as_rows, check, outcome_of
from loftbook.errors import LoftbookError, UnknownThing

__all__ = [
    "Check",
    "Finding",
    "NotHere",
    "Outcome",
    "as_markdown",
    "as_rows",
    "check",
    "outcome_of",
    "registered",
    "run_all",
]

_NO_CHECKS_IN = frozenset({"registry", "places", "__main__"})


def registered() -> tuple[Check, ...]:
    """Every check of the house, by module and then as written.

    >>> all(one.source for one in registered())
    True
    """
    names = sorted(found.name for found in pkgutil.iter_modules(__path__) if found.name not in _NO_CHECKS_IN)
    modules = [import_module(f"{__name__}.{name}") for name in names]
    checks = tuple(thing for module in modules for thing in vars(module).values() if isinstance(thing, Check))
    twice = [name for name, times in Counter(one.name for one in checks).items() if times > 1]
    if twice:
        raise LoftbookError(f"more than one check named {twice[0]!r}", "one", "give each its own name")
    return checks


def run_all(only: str | None = None) -> tuple[Outcome, ...]:
    """Run every check, or those whose name or subject holds the given words.

    >>> [outcome.verdict for outcome in run_all("a radian in degrees")]
    ['holds']
    """
    checks = registered()
    if only:
        words = only.casefold()
        checks = tuple(one for one in checks if words in f"{one.subject}: {one.name}".casefold())
        if not checks:
            subjects = ", ".join(sorted({one.subject for one in registered()}))
            raise UnknownThing(
                f"no check about {only!r}", f"a word from a check's name, or one of {subjects}"
            )
    return tuple(outcome_of(one) for one in checks)
