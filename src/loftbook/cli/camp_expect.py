"""`loftbook camp expect`: who is expected at a camp."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say
from loftbook.errors import LoftbookError

if TYPE_CHECKING:
    from loftbook.desk.expecting import Expecting


def expect(
    which: Which = None,
    add: Annotated[
        list[str] | None, typer.Option(help="NAME, or NAME=NUMBER on her back; may be repeated")
    ] = None,
    drop: Annotated[list[str] | None, typer.Option(help="NAME who is not expected; may be repeated")] = None,
    proposed: Annotated[
        bool, typer.Option("--proposed", help="Begin with those proposed: of the newest roster, else all.")
    ] = False,
    nobody: Annotated[
        bool, typer.Option("--nobody", help="Take the list back: the whole book stands there again.")
    ] = False,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Shows who is expected at a camp; with options, says so."""
    from loftbook.desk.expecting import expect_named, expecting
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    if nobody and (add or drop or proposed):
        raise LoftbookError("--nobody together with names", "one of them", "leave the other out")
    desk = open_desk(book, ladder_file=ladder, create=False)
    camp = find_camp(desk, which).id
    if add or drop or proposed or nobody:
        found = expect_named(
            desk, camp, add=_numbered(add or ()), drop=drop or (), proposed=proposed, nobody=nobody
        )
    else:
        found = expecting(desk, camp)
    told = {
        "camp": found.camp,
        "said": found.said,
        "why": found.why,
        "expected": found.expected,
        "bibs": found.bibs,
    }
    say(told, _lines(found), as_json=as_json)


def _numbered(typed: Iterable[str]) -> dict[str, str]:
    pairs = (one.partition("=") for one in typed)
    return {name.strip(): number.strip() for name, _, number in pairs}


def _lines(found: Expecting) -> Iterator[str]:
    camp = found.camp
    yield f"{camp.name}, {camp.starts} to {camp.ends}: {len(found.expected)} expected ({found.why})"
    for athlete in found.expected:
        yield f"{found.bibs.get(athlete.id, ''):>4}  {athlete.name.full}"
    others = len(found.everyone) - len(found.expected)
    if found.said and others:
        yield (
            f"{others} more of the squad are not on this list; entry finds them by name. To begin again with all "
            "who are proposed: --nobody, then --proposed."
        )
    if not found.said:
        yield "Nobody said so yet; until then entry shows the whole book. --proposed takes this list."
