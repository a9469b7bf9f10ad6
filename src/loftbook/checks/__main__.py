"""`python -m loftbook.checks [FILE]`: write the page of all checks, or print it."""

from __future__ import annotations

import sys
from pathlib import Path

from loftbook.checks import as_markdown, registered


def main(arguments: list[str]) -> None:
    """Write the page to the named file; without a name, to the screen."""
    text = as_markdown(registered())
    if arguments:
        Path(arguments[0]).write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)


if __name__ == "__main__":
    main(sys.argv[1:])
