"""`loftbook camp new` and `loftbook camp correct`: how a camp is described, and put right."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Annotated
from uuid import UUID

import typer

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say

TakeOffKey = Annotated[str | None, typer.Option("--take-off", help="From what, such as trampoline")]
LandingKey = Annotated[str | None, typer.Option("--landing", help="Onto what, such as soft_flat_mat")]
Hall = Annotated[str | None, typer.Option("--place", help="The hall")]
Bed = Annotated[str | None, typer.Option("--bed", help="The bed's own name")]
Raters = Annotated[list[str] | None, typer.Option("--rater", help="Who marks; may be given several times")]


def new(
    name: Annotated[str, typer.Argument(help="What the camp is called")],
    starts: Annotated[datetime, typer.Option(formats=["%Y-%m-%d"], help="First day")],
    ends: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help="Last day")] = None,
    place: Hall = None,
    bed: Bed = None,
    take_off: TakeOffKey = None,
    landing: LandingKey = None,
    rater: Raters = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Makes a camp; surfaces that are not given are assumed to be the usual, and said to be so."""
    from loftbook.book.people import Camp
    from loftbook.cli.words import surface_lines
    from loftbook.desk.camps import make_camp
    from loftbook.desk.opening import open_desk

    first = starts.date()
    desk = open_desk(book, ladder_file=ladder)
    said = _said(place=place, bed=bed, take_off=take_off, landing=landing, raters=rater)
    asked = Camp(UUID(int=0), name, first, ends.date() if ends else first, desk.ladder.edition)
    assumed = take_off is None or landing is None
    camp = make_camp(desk, replace(asked, surfaces_assumed=assumed, **said))  # type: ignore[arg-type]
    lines = [
        f"Made {camp.name}, {camp.starts} to {camp.ends}.",
        *surface_lines(camp),
        f"Who is expected there: `loftbook camp expect --camp {camp.starts}`.",
    ]
    say(camp, lines, as_json=as_json)


def correct(
    by: Annotated[str, typer.Option(help="Who puts it right")],
    which: Which = None,
    name: Annotated[str | None, typer.Option(help="What the camp is called")] = None,
    starts: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help="First day")] = None,
    ends: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help="Last day")] = None,
    place: Hall = None,
    bed: Bed = None,
    take_off: TakeOffKey = None,
    landing: LandingKey = None,
    rater: Raters = None,
    confirmed: Annotated[
        bool, typer.Option("--surfaces-are-right", help="What was assumed is so: no longer say “assumed”.")
    ] = False,
    turns_too: Annotated[
        bool, typer.Option(help="Correct turns written with the camp's old surface as well.")
    ] = True,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Puts right how a camp is described; what stood there before is kept, and so are its results."""
    from loftbook.cli.words import surface_lines
    from loftbook.desk.camps import put_camp_right
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    old = find_camp(desk, which)
    said = _said(name=name, place=place, bed=bed, take_off=take_off, landing=landing, raters=rater)
    first, last = _days(old.starts, old.ends, starts, ends)
    assumed = old.surfaces_assumed and not (confirmed or (take_off and landing))
    camp = replace(old, starts=first, ends=last, surfaces_assumed=assumed, **said)  # type: ignore[arg-type]
    done = put_camp_right(desk, camp, by=by, turns_too=turns_too)
    told = "Put right" if done.changed else "Nothing is otherwise"
    lines = [f"{told}: {done.camp.name}, {done.camp.starts} to {done.camp.ends}.", *surface_lines(done.camp)]
    if done.turns:
        lines.append(f"{done.turns} turns were written anew with it; the old ones stay readable.")
    say(done, lines, as_json=as_json)


def _days(
    old_first: date, old_last: date, first: datetime | None, last: datetime | None
) -> tuple[date, date]:
    """The days as they are to be; a camp that is only given another first day lasts as long as before."""
    start = first.date() if first else old_first
    if last is not None:
        return start, last.date()
    return start, old_last + (start - old_first)


def _said(*, raters: list[str] | None, **texts: str | None) -> dict[str, str | tuple[str, ...]]:
    """What was given, by its field of the camp; what was left out stays as it is."""
    given: dict[str, str | tuple[str, ...]] = {key: text for key, text in texts.items() if text is not None}
    return given | ({"raters": tuple(raters)} if raters else {})
