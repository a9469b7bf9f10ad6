"""Every command answers people in words and programs in JSON, and does what it says."""

import json
import shutil
from pathlib import Path

import click
import pytest
import typer
from pypdf import PdfReader
from tests.cli.conftest import shell

from loftbook.cli.app import app

ANSWERING = {
    "squad show": (),
    "squad counts": (),
    "camp list": (),
    "camp show": (),
    "camp show --camp 2025-04-12": (),
    "athlete show": ("Lumi Lindqvist",),
    "entry show": (),
    "entry write": ("Ayla Aalto", "double_tuck", "declined", "--rater", "H. Alder"),
    "ladder show": (),
    "ladder copy": ("my-ladder.toml",),
    "ladder check": ("own.toml",),
    "book where": (),
    "privacy agree": (*("Lumi Lindqvist", "home_coach", "yes", "--said-by", "a parent"), "--by", "H. Alder"),
    "privacy agreed": ("Lumi Lindqvist",),
    "privacy export": ("Lumi Lindqvist", "--to", "everything.zip"),
    "privacy erase": ("Lumi Lindqvist", "--typed", "Lumi Lindqvist", "--by", "H. Alder"),
    "privacy log": (),
    "privacy report": (),
    "privacy expire": (),
    "book backup": ("copy.book",),
    "book backups": (),
    "book tidy": (),
    "book remake": (),
    "book merge": ("other.book",),
    "camp lists": (),
    "camp agreement": (),
    "camp new": ("Winter camp", "--starts", "2026-01-10", "--ends", "2026-01-11"),
    "camp expect": (),
    "camp expect --add": ("Ayla Aalto=17", "--add", "Lumi Lindqvist"),
    "camp correct": ("--by", "H. Alder", "--name", "October camp"),
    "print letter": ("Lumi Lindqvist",),
    "print letters": (),
    "print lists": (),
    "print blank": (),
    "print child": ("Lumi Lindqvist", "hers"),
    "print sheet": ("programme-summary",),
    "print all": (),
    "print mail": ("Lumi Lindqvist", "--second", "adult@example.org"),
    "answers form": ("Lumi Lindqvist",),
    "answers show": (),
    "lab sweep": ("double_tuck", "--count", "20", "--spin", "100"),
    "evidence show": ("Lumi Lindqvist",),
    "evidence decide": (
        *("Lumi Lindqvist", "double_pike", "stay", "--by", "H. Alder", "--qualified", "invented"),
        *("--reason", "The pit first.", "--review", "2099-06-01"),
    ),
}
FILM = ("measure", "attach", "list", "show", "remeasure", "export", "consent", "delete", "judge")
LAB = ("budget", "group", "presets", "fly", "fan", "forgive", "card", "replay")
WITHOUT_BOOK = {"lab sweep", "ladder show", "ladder copy", "ladder check"}


def commands() -> dict[str, click.Command]:
    """Every command of the product by its words."""
    found = {}

    def walk(command, words):
        if isinstance(command, click.Group) or hasattr(command, "commands"):
            for name, inner in command.commands.items():
                walk(inner, [*words, name])
        else:
            found[" ".join(words)] = command

    walk(typer.main.get_command(app), [])
    return found


def words_of(name, book, tmp_path):
    if name == "book merge":
        shutil.copy(book, tmp_path / "other.book")
    if name == "ladder check":
        from loftbook.desk.opening import ladder_text

        (tmp_path / "own.toml").write_text(ladder_text(), encoding="utf-8")
    named = () if name in WITHOUT_BOOK else ("--book", book)
    return (*name.split(), *ANSWERING[name], *named)


def test_no_command_is_missing_here():
    told = {" ".join(name.split()[:2]) for name in ANSWERING}
    # Tested below, or in files of their own.
    apart = {
        "squad import",
        "camp import",
        "camp take-in",
        "answers import",  # test_answers
        "entry withdraw",
        "book phrase",
        "book restore",  # tests/desk/privacy
        *(f"book coach {verb}" for verb in ("add", "list", "camps", "end")),  # test_coaches
        "serve",
        "demo",
        "check",
        *(f"lab {verb}" for verb in LAB),
        *(f"film {verb}" for verb in FILM),
    }
    assert set(commands()) == told | apart


def test_every_command_that_answers_takes_json():
    lacking = {
        name
        for name, command in commands().items()
        if not any("--json" in option.opts for option in command.params)
    }
    assert lacking == {
        "serve",
        "demo",
        "book phrase",
    }  # a server, a walk through, and a question without an answer


def test_every_command_and_every_option_has_its_help():
    for name, command in commands().items():
        assert command.help, name
        for option in command.params:
            if option.name not in ("help", "paper"):
                assert getattr(option, "help", None) or option.name == "port", (name, option.name)


@pytest.mark.parametrize("name", ANSWERING)
def test_in_words(run, book, tmp_path, name):
    answer = run(*words_of(name, book, tmp_path))
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.strip()
    assert "Traceback" not in answer.out


@pytest.mark.parametrize("name", ANSWERING)
def test_as_json(run, book, tmp_path, name):
    answer = run(*words_of(name, book, tmp_path), "--json")
    assert (answer.code, answer.err) == (0, "")
    assert answer.json


@pytest.mark.parametrize("kind", ["squad", "camp"])
def test_an_import_as_json_says_each_decision_and_whether_it_was_written(run, lists, kind):
    run("squad", "import", lists / "roster.csv")
    file = lists / ("roster.csv" if kind == "squad" else "camp-spring.csv")
    dry = run(kind, "import", file, "--dry-run", "--json").json
    assert dry["written"] is False
    told = run(kind, "import", file, "--json").json
    assert told["written"] is True
    assert {row["verdict"] for row in told["rows"]} <= {"take", "ask", "refuse", "skip", "same"}
    assert len(told["digest"]) == 64  # SHA-256 in hex


def test_the_job_from_lists_to_papers(run, lists, tmp_path):
    """What the README says, in its order."""
    roster = run("squad", "import", lists / "roster.csv")
    assert "Row 30: Lumi Lindqvist: there is no month 31" in roster.out
    assert 'read the list again with --answer "ID=CHOICE"' in roster.out
    again = run("squad", "import", lists / "roster.csv", "--answer", "row 31 club=moved")
    assert "What was taken is in the book." in again.out
    assert run("camp", "import", lists / "camp-spring.csv").code == 0
    assert run("camp", "import", lists / "camp-autumn.csv").code == 0
    assert "Nothing new was written." in run("camp", "import", lists / "camp-autumn.csv").out
    shown = run("camp", "show").out
    assert "Autumn camp, 2025-10-18 to 2025-10-19" in shown
    assert "held (" in shown
    assert "Lumi Lindqvist, Old Mill Club" in run("athlete", "show", "Lumi Lindqvist").out
    assert run("print", "letters", "--to", "papers").code == 0
    files = sorted((tmp_path / "papers").iterdir())
    # 28 children stand in the autumn list; Fenna, Jutta and Vesna were absent.
    assert len(files) == 25
    (ayla,) = (file for file in files if file.name.startswith("letter-ayla-aalto-"))
    assert "Ayla Aalto" in PdfReader(ayla).pages[0].extract_text()


def test_a_dry_run_leaves_no_trace(run, lists, book):
    before = book.read_bytes()
    answer = run("camp", "import", lists / "camp-spring.csv", "--dry-run", "--book", book)
    assert "Nothing was written, as you asked (--dry-run)." in answer.out
    assert book.read_bytes() == before


def test_the_report_is_saved_where_it_was_asked_for(run, lists, tmp_path):
    run("squad", "import", lists / "roster.csv", "--report", "deep/report.md")
    text = (tmp_path / "deep" / "report.md").read_text(encoding="utf-8")
    assert text.startswith("# How `roster.csv` was read (roster)")
    assert "row 31 club" in text


def test_json_is_the_same_answer_as_the_words(run, book):
    told = run("camp", "show", "--book", book, "--json").json
    tuck = next(rung for rung in told["inventory"]["rungs"] if rung["rung"] == "double_tuck")
    names = [told["athletes"][who]["names"][-1]["given"] for who in tuck["alone"]]
    words = run("camp", "show", "--book", book).out
    line = next(line for line in words.splitlines() if line.startswith("  alone ("))
    assert line.startswith(f"  alone ({len(names)}): ")
    assert all(name in line for name in names)


def test_the_lists_are_written_in_both_forms(run, book, tmp_path):
    for form in ("csv", "xlsx"):
        run("camp", "lists", "--to", form, "--form", form, "--book", book)
        names = {file.name for file in (tmp_path / form).iterdir()}
        assert names == {
            f"{n}.{form}"
            for n in (
                *("squad", "attempts", "inventory", "patterns", "changes", "expected"),
                *("never_met", "twist_side"),
            )
        }


def test_a_copied_ladder_is_never_written_over(run, tmp_path):
    run("ladder", "copy", "mine.toml")
    (tmp_path / "mine.toml").write_text("# edited for hours", encoding="utf-8")
    answer = run("ladder", "copy", "mine.toml")
    assert (answer.code, "there already" in answer.err) == (1, True)
    assert (tmp_path / "mine.toml").read_text() == "# edited for hours"


def test_checks_of_one_subject(run):
    answer = run("check", "--only", "Wilson", "--json")
    assert answer.code == 0
    assert answer.json
    assert {row["verdict"] for row in answer.json} == {"holds"}


# ---- one process of its own for each noun ----


@pytest.mark.parametrize(
    "words",
    [
        ("squad", "show", "--json"),
        ("camp", "show", "--json"),
        ("athlete", "show", "Šimić Senja", "--json"),
        ("print", "letter", "Šimić", "--json"),
        ("ladder", "show", "--json"),
        ("entry", "show", "--json"),
        ("book", "where", "--json"),
        ("check", "--only", "Wilson", "--json"),
    ],
    ids=lambda words: words[0],
)
def test_from_a_shell(book, tmp_path, words):
    answer = shell(*words, book=book, folder=tmp_path)
    assert (answer.code, answer.err) == (0, "")
    assert answer.json


def test_help_names_every_noun(tmp_path):
    answer = shell("--help", book=tmp_path / "none", folder=tmp_path)
    assert answer.code == 0
    for noun in ("squad", "camp", "athlete", "entry", "print", "ladder", "book", "serve", "check", "demo"):
        assert noun in answer.out
    assert not Path(tmp_path / "none").exists()


@pytest.mark.parametrize("words", [("--json",), ()], ids=["json", "words"])
def test_a_terminal_that_knows_few_letters(book, tmp_path, words):
    """An old console: a letter that it lacks is a question mark, and JSON stays JSON."""
    answer = shell("camp", "show", *words, book=book, folder=tmp_path, encoding="latin-1")
    assert (answer.code, answer.err) == (0, "")
    if words:
        names = [who["names"][-1]["family"] for who in json.loads(answer.out)["athletes"].values()]
        assert "Šimić" in names
    else:
        assert "?imi?" in answer.out


def test_a_reader_that_leaves_early(book, tmp_path):
    """`loftbook camp show | head -1`."""
    import subprocess
    import sys

    done = subprocess.run(
        f'"{sys.executable}" -m loftbook.cli camp show --book "{book}" --json | head -1',
        shell=True,
        cwd=tmp_path,
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert done.stdout.strip() == b"{"
    assert b"Traceback" not in done.stderr
