"""`loftbook entry`: write a result, correct it, take it back, see what is written at a camp."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Annotated
from uuid import UUID

import typer

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say
from loftbook.errors import LoftbookError, Refused

if TYPE_CHECKING:
    from loftbook.book.attempts import Attempt
    from loftbook.desk.entry import EntrySheet

app = typer.Typer(help="Results of the camp in hand; earlier marks are not shown here.", no_args_is_help=True)
Key = Annotated[str, typer.Option(help="A key of the scale; empty: not written down")]
Turn = Annotated[int | None, typer.Option(help="Which of her turns on this rung at this camp, from 1")]
Second = Annotated[
    bool, typer.Option("--second", help="Marked beside another rater, or again later from a clip")
]


@app.command()
def show(which: Which = None, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Everybody at the camp with the results written there so far, each with its id."""
    from loftbook.desk.entry import entry_sheet
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    sheet = entry_sheet(desk, find_camp(desk, which).id)
    say(sheet, _lines(sheet), as_json=as_json)


@app.command()
def write(
    name: Annotated[str, typer.Argument(help="Her name, either order, or her id")],
    rung: Annotated[str, typer.Argument(help="The rung's key, as `loftbook ladder show` lists it")],
    outcome: Annotated[str, typer.Argument(help="did_it, tried, or one of the blanks, such as declined")],
    rater: Annotated[str, typer.Option(help="Who saw it")],
    given: Annotated[str, typer.Option("--helped", help="With which help, from belt_full to nobody_in")] = "",
    rotation: Key = "",
    take_off: Key = "",
    landing: Key = "",
    mark: Annotated[list[str] | None, typer.Option(help="CRITERION=1, 2 or 3; may be repeated")] = None,
    note: Annotated[str, typer.Option(help="A few words")] = "",
    turn: Turn = None,
    second: Second = False,
    corrects: Annotated[
        UUID | None, typer.Option(help="The id of the result that this one puts right")
    ] = None,
    entry_id: Annotated[
        UUID | None, typer.Option("--id", help="The same id again writes nothing twice")
    ] = None,
    which: Which = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Writes one result; a refused one is told in a sentence and nothing is overwritten."""
    from loftbook.book.entries import Entry
    from loftbook.desk.entry import entry_sheet, new_id, stop_prompt, write_entry
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete, find_camp

    marks = _marks(mark or ())
    desk = open_desk(book, ladder_file=ladder, create=False)
    who, camp = find_athlete(desk, name), find_camp(desk, which)
    entry = Entry(
        id=entry_id or new_id(desk),
        camp=camp.id,
        athlete=who.id,
        rung=rung,
        outcome=outcome,
        at=desk.clock(),
        rater=rater,
        help=given,
        take_off=take_off,
        landing=landing,
        rotation=rotation,
        marks=marks,
        note=note,
        device="command line",
        replaces=corrects,
        turn=turn,
        second=second,
    )
    written = write_entry(desk, entry)
    if written.attempt is None or written.status not in ("stored", "duplicate"):
        raise Refused(written.why)
    stop = stop_prompt(desk, entry_sheet(desk, camp.id), who.id)
    done = "Written" if written.status == "stored" else "In the book already"
    lines = [f"{done}: {who.name.full}, {_turn(written.attempt)}", *([stop] if stop else [])]
    say({**vars(written), "stop": stop}, lines, as_json=as_json)


@app.command()
def withdraw(
    attempt: Annotated[UUID, typer.Argument(help="The id of the result, as `loftbook entry show` lists it")],
    by: Annotated[str, typer.Option(help="Who takes it back")],
    reason: Annotated[str, typer.Option(help="Why, in a few words")] = "",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Takes back a result that was written by mistake; it stays in the book, withdrawn."""
    from loftbook.desk.entry import withdraw as take_back
    from loftbook.desk.opening import open_desk

    fact = take_back(open_desk(book, ladder_file=ladder, create=False), attempt, by=by, reason=reason)
    say(fact, [f"Taken back by {fact.by}: it no longer counts, and stays readable."], as_json=as_json)


def _marks(typed: Iterable[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in typed:
        criterion, _, level = one.partition("=")
        if level.strip() not in ("1", "2", "3"):
            raise LoftbookError(f"the mark {one!r}", "CRITERION=1, 2 or 3", "write it as in --mark lift=2")
        found[criterion.strip()] = int(level)
    return found


def _lines(sheet: EntrySheet) -> Iterator[str]:
    camp = sheet.camp
    yield f"{camp.name}, {camp.starts} to {camp.ends}"
    for athlete in sheet.athletes:
        yield f"{sheet.bibs.get(athlete.id, ''):>4}  {athlete.name.full}"
        for (who, _), turns in sheet.entered.items():
            if who == athlete.id:
                yield from (f"        {_turn(turn)}" for turn in turns)


def _turn(turn: Attempt) -> str:
    words = [
        turn.outcome.words,
        turn.help.words if turn.help else "",
        turn.rotation.value if turn.rotation else "",
    ]
    return f"{turn.rung}: {', '.join(filter(None, words))}  ({turn.id})"
