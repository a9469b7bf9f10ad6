"""All nouns together."""

from __future__ import annotations

import typer

from loftbook.cli.answers import app as answers
from loftbook.cli.athlete import app as athlete
from loftbook.cli.book import app as book
from loftbook.cli.camp import app as camp
from loftbook.cli.check import check
from loftbook.cli.demo import demo
from loftbook.cli.entry import app as entry
from loftbook.cli.evidence import app as evidence
from loftbook.cli.film import app as film
from loftbook.cli.lab import app as lab
from loftbook.cli.ladder import app as ladder
from loftbook.cli.merging import merge
from loftbook.cli.printing import app as printing
from loftbook.cli.privacy import app as privacy
from loftbook.cli.serve import serve
from loftbook.cli.squad import app as squad
from loftbook.cli.sweep import sweep

app = typer.Typer(
    help="The camp book: who did what, what changed, the letters. It records and reminds; "
    "a qualified person decides.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
)
app.add_typer(squad, name="squad")
app.add_typer(camp, name="camp")
app.add_typer(athlete, name="athlete")
app.add_typer(entry, name="entry")
app.add_typer(film, name="film")
app.add_typer(evidence, name="evidence")
app.add_typer(printing, name="print")
app.add_typer(answers, name="answers")
app.add_typer(ladder, name="ladder")
lab.command("sweep")(sweep)
app.add_typer(lab, name="lab")
book.command("merge")(merge)
app.add_typer(privacy, name="privacy")
app.add_typer(book, name="book")
app.command("serve")(serve)
app.command("check")(check)
app.command("demo")(demo)
