"""Whatever is wrong is one sentence on standard error, exit status 1, and nothing is lost or half done."""

import io
import os
import socket
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import openpyxl
import pytest
from tests.cli.conftest import shell
from tests.cli.test_every_command import commands

from loftbook import cli


def is_one_sentence(answer, *parts):
    """Nothing on standard output, one line on standard error that says what to do, exit status 1."""
    assert answer.code == 1, answer
    assert answer.out == ""
    assert answer.err.count("\n") == 1, answer.err
    assert "Traceback" not in answer.err
    assert "What to do:" in answer.err
    for part in parts:
        assert part in answer.err, answer.err


def workbook(rows) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


ROSTER = [["Name", "Born", "Height cm"], ["Ayla Aalto", "2014-10-26", 140]]


# ---- the file of a list ----


@pytest.mark.parametrize("noun", ["squad", "camp"])
def test_a_file_that_is_not_there(run, noun):
    is_one_sentence(run(noun, "import", "nowhere.csv"), "nowhere.csv", "No such file")


@pytest.mark.parametrize("noun", ["squad", "camp"])
def test_a_folder_instead_of_a_file(run, tmp_path, noun):
    (tmp_path / "folder").mkdir()
    is_one_sentence(run(noun, "import", "folder"), "it is a folder")


@pytest.mark.parametrize("noun", ["squad", "camp"])
def test_a_file_of_200_megabytes(run, tmp_path, noun):
    with (tmp_path / "big.csv").open("wb") as file:
        file.truncate(200_000_000)  # a hole; it takes no room
    is_one_sentence(run(noun, "import", "big.csv"), "at most 32 MB")


@pytest.mark.parametrize("noun", ["squad", "camp"])
@pytest.mark.parametrize("part", [0.2, 0.5, 0.95])
def test_a_truncated_spreadsheet(run, tmp_path, noun, part):
    data = workbook(ROSTER)
    (tmp_path / "cut.xlsx").write_bytes(data[: int(len(data) * part)])
    is_one_sentence(run(noun, "import", "cut.xlsx"), "damaged spreadsheet")


@pytest.mark.parametrize("noun", ["squad", "camp"])
@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\n\n\n",
        b"%PDF-1.7\n",
        b"<html><table></table></html>",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 600,
    ],
)
def test_a_file_that_is_no_list(run, tmp_path, noun, data):
    (tmp_path / "list.csv").write_bytes(data)
    is_one_sentence(run(noun, "import", "list.csv"))


def test_a_file_name_that_is_no_text(run, tmp_path):
    """Bytes of another encoding in the name, as an old stick may hold them."""
    if sys.platform != "linux":
        pytest.skip("Other systems do not hold such names.")
    raw = os.fsencode(tmp_path) + b"/caf\xe9.csv"
    Path(os.fsdecode(raw)).write_bytes(b"Name;Born\nAyla Aalto;2014-10-26\n")
    answer = run("squad", "import", os.fsdecode(raw))
    assert answer.code == 0, answer.err
    assert "Ayla Aalto" in answer.out


def test_a_report_is_not_saved_over_the_list(run, tmp_path):
    (tmp_path / "list.csv").write_text("Name;Born\nAyla Aalto;2014-10-26\n")
    is_one_sentence(run("squad", "import", "list.csv", "--report", "./list.csv"), "the list itself")
    assert (tmp_path / "list.csv").read_text().startswith("Name;Born")


@pytest.mark.parametrize("typed", ["row 31 club", "=moved", "row 31 club="])
def test_an_answer_that_is_none(run, lists, typed):
    is_one_sentence(run("squad", "import", lists / "roster.csv", "--answer", typed), "ID=CHOICE")


# ---- what stands in a list is told in the report, row by row ----


def rows(run, tmp_path, *lines, noun="squad", heading="Name;Born;Height cm"):
    (tmp_path / "list.csv").write_text("\n".join((heading, *lines)), encoding="utf-8")
    return run(noun, "import", "list.csv", "--json")


def test_a_height_of_14_and_a_half_metres(run, tmp_path):
    told = rows(run, tmp_path, "Ayla Aalto;2014-10-26;14.5 m", "Brisa Berisha;2016-08-26;140").json
    refused = next(row for row in told["rows"] if row["verdict"] == "refuse")
    assert "14.5 m" in refused["sentence"]
    people = run("squad", "show", "--json").json["athletes"]
    assert [len(one["athlete"]["heights"]) for one in people] == [0, 1]


@pytest.mark.parametrize(
    "born", ["2014-31-02", "2031-01-01", "0000-00-00", "soon", "1850-01-01", "29/02/2015"]
)
def test_birth_dates_that_cannot_be(run, tmp_path, born):
    told = rows(run, tmp_path, f"Ayla Aalto;{born};140", "Brisa Berisha;2016-08-26;140").json
    about = next(row for row in told["rows"] if row["row"] == 2)
    assert about["verdict"] in ("refuse", "ask")
    assert about["sentence"].startswith("Ayla Aalto")
    assert [
        one["athlete"]["names"][0]["given"] for one in run("squad", "show", "--json").json["athletes"]
    ] == ["Brisa"]


def test_a_child_born_after_the_camp(run, tmp_path):
    rows(run, tmp_path, "Ayla Aalto;2024-10-26;", "Brisa Berisha;2016-08-26;")
    run("squad", "import", "list.csv", "--answer", "row 2 born=take")
    text = "Camp 12-13 April 2024\nName;Double tuck\nAyla Aalto;x\nBrisa Berisha;x"
    (tmp_path / "camp.csv").write_text(text)
    told = run("camp", "import", "camp.csv", "--json").json
    assert "after the camp" in next(row["sentence"] for row in told["rows"] if row["row"] == 3)
    assert len([fact for row in told["rows"] for fact in row["facts"]]) == 1


def test_formulas_are_never_run_nor_taken_for_names(run, tmp_path):
    (tmp_path / "list.xlsx").write_bytes(workbook([*ROSTER, ["=cmd|' /C calc'!A0", "2014-01-01", "=1+1"]]))
    told = run("squad", "import", "list.xlsx", "--json").json
    assert any("not run" in one["sentence"] for one in told["decisions"])
    assert [
        one["athlete"]["names"][0]["given"] for one in run("squad", "show", "--json").json["athletes"]
    ] == ["Ayla"]


def test_an_unknown_rung_is_asked_about(run, tmp_path):
    rows(run, tmp_path, "Ayla Aalto;2014-10-26;")
    text = "Camp 12-13 April 2025\nName;Double tuck;Quintuple dream\nAyla Aalto;x;x"
    (tmp_path / "camp.csv").write_text(text)
    told = run("camp", "import", "camp.csv", "--json").json
    assert any("Quintuple dream" in one["sentence"] for one in told["decisions"])
    assert {fact["rung"] for row in told["rows"] for fact in row["facts"]} <= {"double_tuck"}


# ---- people and camps ----


def test_an_unknown_camp(run, book):
    is_one_sentence(
        run("camp", "show", "--camp", "Atlantis", "--book", book), "Atlantis", "Spring camp 2025-04-12"
    )


def test_a_book_without_a_camp(run, lists):
    run("squad", "import", lists / "roster.csv")
    is_one_sentence(run("camp", "show"), "loftbook camp import FILE")


def test_an_unknown_name(run, book):
    is_one_sentence(
        run("athlete", "show", "Lumi Lindkvist", "--book", book), "did you mean", "Lumi Lindqvist"
    )


def test_a_name_of_two(run, book):
    is_one_sentence(run("athlete", "show", "Lindqvist", "--book", book), "2 people", "Anouk", "Lumi")


@pytest.mark.parametrize("starts", ["2026-02-30", "tomorrow", "12/04/2026"])
def test_a_day_that_is_none(run, starts):
    answer = run("camp", "new", "Camp", "--starts", starts)
    assert answer.code == 2  # a mistake in the words of the command, as every command line has it
    assert "Traceback" not in answer.err


def test_a_camp_that_ends_before_it_starts(run):
    answer = run("camp", "new", "Camp", "--starts", "2026-04-12", "--ends", "2026-04-11")
    is_one_sentence(answer, "check both days")


def test_a_letter_about_a_camp_she_did_not_come_to(run, book):
    run("camp", "new", "Winter", "--starts", "2026-01-10", "--book", book)
    is_one_sentence(run("print", "letter", "Ayla Aalto", "--camp", "Winter", "--book", book), "Ayla Aalto")


@pytest.mark.parametrize(("option", "value", "said"), [("--form", "ods", "csv or xlsx")])
def test_an_unknown_form(run, book, option, value, said):
    is_one_sentence(run("camp", "lists", option, value, "--book", book), said)


def test_an_unknown_paper(run, book):
    is_one_sentence(run("print", "lists", "--paper", "vellum", "--book", book), "a4 or letter")


# ---- the ladder ----


def test_a_ladder_with_a_ring(run, tmp_path):
    """Two rungs that each ask for the other first."""
    run("ladder", "copy", "mine.toml")
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8")
    old = 'prerequisites = ["one_and_quarter_back", "back_straight", "double_tuck_belt"]'
    assert text.count(old) == 1
    (tmp_path / "mine.toml").write_text(
        text.replace(old, 'prerequisites = ["double_pike"]'), encoding="utf-8"
    )
    for words in (("ladder", "check", "mine.toml"), ("camp", "show", "--ladder", "mine.toml")):
        is_one_sentence(run(*words), "Line ", "double_pike")


@pytest.mark.parametrize("text", ["", "name = [1", "\ud83e".encode("utf-8", "surrogatepass")])
def test_a_ladder_that_is_none(run, tmp_path, text):
    (tmp_path / "mine.toml").write_bytes(text if isinstance(text, bytes) else text.encode())
    is_one_sentence(run("ladder", "check", "mine.toml"))


def test_a_ladder_that_is_not_there(run):
    is_one_sentence(run("squad", "show", "--ladder", "nowhere.toml"), "loftbook ladder copy FILE")


# ---- the book file ----

MAKES_A_BOOK = {"squad import", "camp import", "camp new", "serve", "book restore"}
WORDS = {
    "athlete show": ("Ayla Aalto",),
    "entry write": ("Ayla Aalto", "double_tuck", "declined", "--rater", "H. Alder"),
    "entry withdraw": ("0190a5c0-0000-7000-8000-000000000000", "--by", "H. Alder"),
    "camp take-in": ("waiting.json",),
    "camp correct": ("--by", "H. Alder"),
    "book backup": ("copy.book",),
    "book phrase": ("--forget",),
    "book merge": ("other.book",),
    "book coach add": ("B. Penhallow",),
    "book coach camps": ("B. Penhallow",),
    "book coach end": ("B. Penhallow",),
    "ladder copy": ("copy.toml",),
    "print letter": ("Ayla Aalto",),
    "print child": ("Ayla Aalto", "letter"),
    "print mail": ("Ayla Aalto",),
    "print sheet": ("belt-list",),
    "answers form": ("Ayla Aalto",),
    "answers import": ("waiting.json",),
    "evidence show": ("Ayla Aalto",),
    "evidence decide": (
        *("Ayla Aalto", "double_open_tuck", "stay", "--by", "H. Alder", "--qualified", "head coach"),
        *("--reason", "not shown yet", "--review", "2027-01-01"),
    ),
    "film attach": ("waiting.json", "Ayla Aalto", "--by", "H. Alder"),
    "film consent": ("Ayla Aalto", "yes", "--said-by", "a parent", "--by", "H. Alder"),
    "film delete": ("last", "--by", "H. Alder"),
    "film export": ("last", "--to", "out"),
    "film judge": ("--corrected",),
    "film show": ("last",),
    "lab budget": ("Ayla Aalto",),
    "privacy agree": (*("Ayla Aalto", "parent", "yes", "--said-by", "a parent"), "--by", "H. Alder"),
    "privacy agreed": ("Ayla Aalto",),
    "privacy erase": ("Ayla Aalto", "--typed", "Ayla Aalto", "--by", "H. Alder"),
    "privacy export": ("Ayla Aalto", "--to", "all.zip"),
    "lab replay": ("last",),
}


def reading() -> list[str]:
    """Every command that takes a book and makes none."""
    taking = {n for n, one in commands().items() if any("--book" in param.opts for param in one.params)}
    return sorted(taking - MAKES_A_BOOK - {"book where"})


@pytest.mark.parametrize("name", reading())
@pytest.mark.parametrize("mistyped", ["sprnig.book", "nowhere/spring.book"])
def test_a_mistyped_book_is_not_made(run, tmp_path, name, mistyped):
    (tmp_path / "waiting.json").write_text('{"records": []}')
    before = sorted(tmp_path.rglob("*"))
    answer = run(*name.split(), *WORDS.get(name, ()), "--book", mistyped)
    is_one_sentence(answer, f"There is no book at {tmp_path / mistyped}", "import a roster first")
    assert sorted(tmp_path.rglob("*")) == before


def test_the_default_book_is_not_made_by_looking(run, tmp_path):
    is_one_sentence(run("squad", "show"), "There is no book at", "import a roster first")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("noun", ["squad", "camp"])
def test_a_dry_run_makes_no_book(run, tmp_path, lists, noun):
    file = lists / ("roster.csv" if noun == "squad" else "camp-spring.csv")
    for named in ((), ("--book", "new.book")):
        answer = run(noun, "import", file, "--dry-run", *named)
        assert (answer.code, answer.err) == (0, "")
        assert "Nothing was written, as you asked" in answer.out
    assert list(tmp_path.iterdir()) == []


def test_a_book_in_a_folder_that_is_not_there(run):
    is_one_sentence(run("squad", "show", "--book", "nowhere/camp.book"), "does not exist")


def test_a_folder_instead_of_a_book(run, tmp_path):
    is_one_sentence(run("squad", "show", "--book", tmp_path), "is a folder")


def test_a_file_that_is_no_book(run, lists):
    is_one_sentence(run("squad", "show", "--book", lists / "roster.csv"), "not a book")


def test_a_damaged_book(run, book):
    data = bytearray(book.read_bytes())
    for start in range(4096 * 4, len(data), 4096):
        data[start : start + 200] = b"\xaa" * 200
    book.write_bytes(data)
    for words in (("squad", "show"), ("camp", "show"), ("book", "backup", "copy.book")):
        is_one_sentence(run(*words, "--book", book), "damaged", "latest backup")
    assert book.read_bytes() == data


def test_a_book_cut_short(run, book):
    book.write_bytes(book.read_bytes()[: book.stat().st_size // 2])
    is_one_sentence(run("squad", "show", "--book", book), "damaged")


def test_a_book_of_a_newer_loftbook(run, book):
    with sqlite3.connect(book) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9000'")
    raw.close()
    is_one_sentence(run("squad", "show", "--book", book), "newer Loftbook")


def test_a_backup_over_the_book_itself_or_into_nowhere(run, book):
    is_one_sentence(run("book", "backup", book, "--book", book), "name another file")
    is_one_sentence(run("book", "backup", "nowhere/copy.book", "--book", book), "does not exist")


# ---- folders that may not be written ----


@pytest.fixture
def blocked(tmp_path):
    """A place where no folder can be made, for whoever runs the tests."""
    (tmp_path / "blocked").write_text("a file")
    return tmp_path / "blocked"


def test_papers_and_lists_into_a_place_that_cannot_be(run, book, blocked):
    for words in (
        ("print", "lists", "--to", blocked),
        ("print", "letters", "--to", blocked / "deep"),
        ("print", "letter", "Ayla Aalto", "--to", blocked),
        ("camp", "lists", "--to", blocked),
        ("demo", "--no-serve", "--to", blocked / "demo"),
    ):
        named = () if words[0] == "demo" else ("--book", book)
        is_one_sentence(run(*words, *named), "--to")


# Runs commands while everything may be read, so that all is imported and the shipped ladder read, then one as nobody.
AS_NOBODY = """
import _strptime, importlib.readers, io, os, sys
from contextlib import redirect_stdout
from loftbook.cli import main
words = sys.argv[2:]
for run in (
    ["squad", "show", "--book", sys.argv[1]],
    ["ladder", "show", "--book", sys.argv[1]],
    ["ladder", "check", "nowhere.toml"],
):
    sys.argv = ["loftbook", *run]
    try:
        with redirect_stdout(io.StringIO()), open(os.devnull, "w") as sys.stderr:
            main()
    except SystemExit:
        sys.stderr = sys.__stderr__
os.setgid(65534)
os.setuid(65534)
sys.argv = ["loftbook", *words]
main()
"""


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can become another user"
)
def test_a_folder_that_may_only_be_read(shelf):
    """As another user, since root may write everywhere."""
    with tempfile.TemporaryDirectory() as name:  # pytest keeps its own folders to the user who runs it
        _only_read(Path(name), shelf)


def _only_read(folder: Path, shelf: Path) -> None:
    copy = folder / "camp.book"
    copy.write_bytes(shelf.read_bytes())
    copy.chmod(0o444)
    folder.chmod(0o755)
    for words, said in (
        (["squad", "show", "--book", str(copy)], "can be read but not written"),
        (
            ["camp", "new", "Camp", "--starts", "2026-01-10", "--book", str(folder / "new.book")],
            "may not be written to",
        ),
        (["ladder", "copy", str(folder / "mine.toml")], "Permission denied"),
    ):
        done = subprocess.run(
            [sys.executable, "-c", AS_NOBODY, shelf, *words],
            capture_output=True,
            text=True,
            check=False,
            cwd="/",
        )
        assert done.returncode == 1, done.stderr
        assert said in done.stderr
        assert done.stderr.count("\n") == 1, done.stderr


# ---- what nobody thought of ----


def test_a_port_that_is_taken(run, book):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        answer = run("serve", "--port", taken.getsockname()[1], "--book", book)
    is_one_sentence(answer, "--port")


def test_a_fault_of_our_own_is_a_sentence_too(book, tmp_path):
    """A book whose rows contradict each other in a way that no check at opening can see."""
    with sqlite3.connect(book) as raw:
        raw.execute("PRAGMA foreign_keys = OFF")
        raw.execute("DELETE FROM athlete_name")
    raw.close()
    answer = shell("squad", "show", book=book, folder=tmp_path)
    is_one_sentence(answer, "fault of the program", f"{cli.DEBUG}=1")
    shown = shell("squad", "show", book=book, folder=tmp_path, LOFTBOOK_DEBUG="1")
    assert shown.code == 1
    assert "Traceback" in shown.err


def test_an_error_with_the_place_when_it_is_asked_for(tmp_path):
    shown = shell("camp", "show", book=tmp_path / "camp.book", folder=tmp_path, LOFTBOOK_DEBUG="1")
    assert shown.code == 1
    assert "Traceback" in shown.err


@pytest.mark.parametrize("words", [("squad", "fly"), ("squad", "show", "--nonsense"), ("athlete", "show")])
def test_words_that_are_no_command(run, words):
    answer = run(*words)
    assert answer.code == 2
    assert "Traceback" not in answer.err
    assert "Usage" in answer.err
