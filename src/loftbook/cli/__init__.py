"""The command line: `loftbook NOUN VERB`, one file a noun; every read command takes --json."""

from __future__ import annotations

import sys

from loftbook.errors import LoftbookError


def main() -> None:
    """Runs the command line; a mistake is one sentence on standard error, never a traceback."""
    from loftbook.cli.app import app

    try:
        app()
    except LoftbookError as error:
        print(error.sentence(), file=sys.stderr)
        sys.exit(1)
