"""`python -m loftbook.cli` is `loftbook`."""

from loftbook.cli import main

main()
