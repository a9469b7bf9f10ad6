"""The command line: `loftbook NOUN VERB`, one file a noun; every command that answers takes --json."""

from __future__ import annotations

import os
import sys

from loftbook.errors import LoftbookError

DEBUG = "LOFTBOOK_DEBUG"


def main() -> None:
    """Runs the command line; a mistake is one sentence on standard error, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that lacks a letter shows a ? instead of failing
            stream.reconfigure(errors="replace")
    try:
        from loftbook.cli.app import app

        app()
    except LoftbookError as error:
        _stop(error.sentence(), error)
    except Exception as error:
        _stop(_our_fault(error), error)


def _stop(sentence: str, error: Exception) -> None:
    if os.environ.get(DEBUG):
        raise error
    print(sentence, file=sys.stderr)
    sys.exit(1)


def _our_fault(error: Exception) -> str:
    said = " ".join(f"{type(error).__name__}: {error}".split())
    return (
        f"Something went wrong inside Loftbook ({said[:300]}). It is a fault of the program, not yours; what was in "
        "the book before is still there. What to do: send this line, without the names of children in it, and the "
        f"command to whoever looks after Loftbook for you; with {DEBUG}=1 before the command it shows the place."
    )
