"""`loftbook evidence`: what lies on the table for a rung, and who decided."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from uuid import UUID

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

if TYPE_CHECKING:
    from loftbook.desk.evidence import EvidenceAnswer

app = typer.Typer(
    help="Evidence for the next step. It is laid out; a qualified person decides.", no_args_is_help=True
)
Name = Annotated[str, typer.Argument(help="Her name, either order, or her id")]
_DAY = ["%Y-%m-%d"]


@app.command()
def show(
    name: Name,
    rung: Annotated[str, typer.Option(help="The rung's key; default: the next of hers")] = "",
    pdf: Annotated[Path | None, typer.Option(help="Write it as PDF to this file")] = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Shows what was seen, measured, what is missing, what speaks against, and who decided."""
    from loftbook.desk.evidence import evidence_answer, evidence_pdf
    from loftbook.desk.files import write_file
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete
    from loftbook.desk.privacy.leaving import Leaving, written

    desk = open_desk(book, ladder_file=ladder, create=False)
    who = find_athlete(desk, name)
    found = evidence_answer(desk, who.id, rung)
    if pdf is not None:
        write_file(pdf, evidence_pdf(desk, who.id, rung))
        written(desk, Leaving("evidence for a next step", "own coaches", (who.id,)), pdf)
    say(found.facts.evidence, _lines(found), as_json=as_json)


@app.command()
def decide(
    name: Name,
    rung: Annotated[str, typer.Argument(help="The rung's key")],
    decided: Annotated[str, typer.Argument(help="begin, stay or look_again")],
    by: Annotated[str, typer.Option(help="Who decided")],
    qualified: Annotated[str, typer.Option(help="In what capacity: the qualification")],
    reason: Annotated[str, typer.Option(help="Why, and on which conditions")],
    review: Annotated[datetime, typer.Option(formats=_DAY, help="By when it is looked at again")],
    on: Annotated[datetime | None, typer.Option(formats=_DAY, help="The day; default: today")] = None,
    replaces: Annotated[UUID | None, typer.Option(help="The id of a decision that this corrects")] = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Writes down what a named, qualified person decided. Nothing is overwritten."""
    from loftbook.desk.evidence import Deciding
    from loftbook.desk.evidence import decide as write_down
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete

    desk = open_desk(book, ladder_file=ladder, create=False)
    who = find_athlete(desk, name)
    given = Deciding(
        decided=decided,
        by=by,
        qualified=qualified,
        reason=reason,
        review=review.date(),
        on=on.date() if on else None,
        replaces=replaces,
    )
    kept = write_down(desk, who.id, rung, given)
    line = f"{who.name.full}, {rung}: {kept.decided.words}. {kept.by}, {kept.on}; look again by {kept.review}"
    say(kept, [line, f"id {kept.id}"], as_json=as_json)


def _lines(found: EvidenceAnswer) -> Iterator[str]:
    from loftbook.cli.sheet_words import page_lines

    yield from page_lines(found.page)
