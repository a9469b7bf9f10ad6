"""`loftbook camp take-in`: results that a device could not send, from a file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say


def take_in(
    file: Annotated[Path, typer.Argument(help="A file of waiting results, as the entry screen saves it")],
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Takes in results that a device could not send; twice changes nothing."""
    from loftbook.desk.files import file_bytes
    from loftbook.desk.opening import open_desk
    from loftbook.desk.waiting_file import take_in_file

    data = file_bytes(file)
    taken = take_in_file(open_desk(book, ladder_file=ladder, create=False), data, file.name)
    counts = taken.counts
    lines = [
        f"{len(taken.answers)} records: {counts['stored']} new in the book, {counts['duplicate']} there already, "
        f"{counts['conflict']} with other content, {counts['refused']} that cannot stand."
    ]
    lines += [f"  {one.id or 'without a number'}: {one.why}" for one in taken.answers if one.why]
    told = {"file": taken.name, "device": taken.device, "counts": counts, "answers": taken.answers}
    say(told, lines, as_json=as_json)
