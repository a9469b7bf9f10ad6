"""`loftbook book coach`: who reads this book without holding it, and which camps are hers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, Json
from loftbook.cli.options import answer as say

if TYPE_CHECKING:
    from uuid import UUID

    from loftbook.book.accounts import Account
    from loftbook.desk import Desk

app = typer.Typer(help="Keys for head coaches who read their own camps only.", no_args_is_help=True)
Name = Annotated[str, typer.Argument(help="The coach's name, as the list of accounts shows it")]
Hers = Annotated[
    list[str] | None,
    typer.Option("--camp", help="A camp of hers, by its name or a day of it; as often as there are some."),
]


@app.command()
def add(
    name: Name,
    hers: Hers = None,
    programme: Annotated[
        bool, typer.Option("--programme", help="No coach: the programme, which sees counts and no name.")
    ] = False,
    book: Book = None,
    as_json: Json = False,
) -> None:
    """Makes an account and shows its key, once; the book needs a pass phrase first."""
    from loftbook.book.accounts import Sees
    from loftbook.desk.accounts import add_account

    desk = _opened(book)
    sees = Sees.PROGRAMME if programme else Sees.COACH
    new = add_account(desk, name, sees, camps_of=_camps(desk, hers))
    told = {"account": new.account, "key": new.key}
    lines = [
        f"{new.account.name} is let in as {sees.words}.",
        f"Her key, to be typed on the page that asks for the pass phrase; it is shown this once: {new.key}",
    ]
    say(told, lines, as_json=as_json)


@app.command("list")
def list_(book: Book = None, as_json: Json = False) -> None:
    """Lists the accounts with their camps."""
    from loftbook.desk.accounts import all_accounts
    from loftbook.desk.people import all_camps

    desk = _opened(book)
    names = {camp.id: camp.name for camp in all_camps(desk)}
    found = all_accounts(desk)
    say(found, [*_lines(found, names)] or ["None: whoever opens this book sees all of it."], as_json=as_json)


@app.command()
def camps(name: Name, hers: Hers = None, book: Book = None, as_json: Json = False) -> None:
    """Makes exactly these camps hers, from this moment; without any, none."""
    from loftbook.desk.accounts import give_camps

    desk = _opened(book)
    found = give_camps(desk, name, _camps(desk, hers))
    say(found, [f"{found.name} sees {len(found.camps)} of the book's camps."], as_json=as_json)


@app.command()
def end(name: Name, book: Book = None, as_json: Json = False) -> None:
    """Ends an account: its key opens nothing from this moment."""
    from loftbook.desk.accounts import end_account

    found = end_account(_opened(book), name)
    say(found, [f"The key of {found.name} opens nothing any more."], as_json=as_json)


def _opened(book: str | None) -> Desk:
    from loftbook.desk.opening import open_desk

    return open_desk(book, create=False, any_ladder=True)


def _camps(desk: Desk, named: Sequence[str] | None) -> frozenset[UUID]:
    from loftbook.desk.people import find_camp

    return frozenset(find_camp(desk, one).id for one in named or ())


def _lines(found: Sequence[Account], names: dict[UUID, str]) -> Iterator[str]:
    for one in found:
        hers = ", ".join(sorted(names[camp] for camp in one.camps)) or "no camp"
        what = "counts over all camps" if one.sees.value == "programme" else hers
        yield f"{one.name:30} {one.sees.value:10} {what if one.stands else 'ended'}"
