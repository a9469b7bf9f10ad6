"""`loftbook camp`: import a typed camp list, make a camp and put it right, show it, save its lists."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.agreement import agreement
from loftbook.cli.camp_described import correct, new
from loftbook.cli.camp_expect import expect
from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say
from loftbook.cli.take_in import take_in
from loftbook.cli.typed import Answers, DryRun, SaveTo, Sheet, tell, typed_list

app = typer.Typer(help="The camps: lists, patterns, changes.", no_args_is_help=True)
app.command("take-in")(take_in)
app.command("new")(new)
app.command("correct")(correct)
app.command("expect")(expect)
app.command("agreement")(agreement)


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A camp list, CSV or XLSX")],
    which: Which = None,
    answer: Answers = None,
    sheet: Sheet = "",
    dry_run: DryRun = False,
    report: SaveTo = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Reads a camp list; the camp is made from the titles above the header unless --camp names one."""
    from loftbook.desk.importing import read_camp_file
    from loftbook.desk.opening import open_desk, open_desk_to_try
    from loftbook.desk.people import find_camp

    typed = typed_list(file, said=answer, report=report)
    desk = open_desk_to_try(book, ladder) if dry_run else open_desk(book, ladder_file=ladder)
    camp = find_camp(desk, which).id if which else None
    said = read_camp_file(
        desk, typed.data, typed.name, camp=camp, answers=typed.answers, sheet=sheet, write=not dry_run
    )
    tell(said, save_to=report, written=not dry_run, as_json=as_json)


@app.command("list")
def list_(book: Book = None, as_json: Json = False) -> None:
    """Lists the camps of the book, the newest first."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import all_camps

    found = all_camps(open_desk(book, create=False, any_ladder=True))
    lines = [f"{c.starts} to {c.ends}  {c.name}{', ' + c.place if c.place else ''}" for c in found]
    say(found, lines or ["No camp in this book yet."], as_json=as_json)


@app.command()
def show(which: Which = None, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Shows a camp: who did what, patterns, changes, more or fewer than expected."""
    from loftbook.cli.words import camp_lines
    from loftbook.desk.answers import camp_answer
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = camp_answer(desk, find_camp(desk, which).id)
    say(found, camp_lines(found), as_json=as_json)


@app.command()
def lists(
    to: Annotated[Path, typer.Option(help="The folder to write to")] = Path("lists"),
    which: Which = None,
    form: Annotated[str, typer.Option(help="csv or xlsx")] = "csv",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Saves every list of a camp as CSV or XLSX."""
    from loftbook.desk.exporting import all_lists, in_form
    from loftbook.desk.files import write_file
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp
    from loftbook.desk.privacy.leaving import papers_written

    desk = open_desk(book, ladder_file=ladder, create=False)
    files: dict[str, int] = {}
    camp = find_camp(desk, which).id
    for table in all_lists(desk, camp).values():
        file = to / f"{table.name}.{form}"
        write_file(file, in_form(table, form))
        files[str(file)] = len(table.rows)
    papers_written(desk, [Path(file) for file in files], camp=camp)
    lines = [f"{file}  ({rows} rows)" for file, rows in files.items()]
    say({"rows of each file": files}, lines, as_json=as_json)
