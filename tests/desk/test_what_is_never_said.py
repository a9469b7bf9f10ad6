"""Nobody is ever called ready or cleared, on no page, no paper and in no command; nobody is weighed.

The skills can paralyse, and the program sees too little to say such a thing. So the words
are looked for in everything that can come out: in the texts of the program, and in what
it prints about a whole invented camp.
"""

import ast
import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests.reports.reading import words

import loftbook
from loftbook.cli.words import athlete_lines, camp_lines, squad_lines
from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.demo.run import build_demo
from loftbook.desk.exporting import all_lists, as_csv
from loftbook.desk.people import all_athletes, all_camps
from loftbook.desk.printing import camp_lists_pdf, letters_pdf
from loftbook.web import create_app

HOUSE = Path(loftbook.__file__).resolve().parent
NEVER = re.compile(
    r"\b(ready|readiness|cleared|clearance|good to go|safe to (go|do|try|attempt))\b", re.IGNORECASE
)
WEIGHED = re.compile(r"\b(kg|kilograms?|body weight of|weighs?|weighed)\b", re.IGNORECASE)
SHELLS = ("cli", "web")  # their docstrings are help texts and the description of the API


def texts_of(file: Path) -> list[tuple[int, str]]:
    """Every text of a module that can be printed: constants, and in the shells docstrings too."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    silent = set()
    if file.relative_to(HOUSE).parts[0] not in SHELLS:
        for node in ast.walk(tree):
            body = getattr(node, "body", None)
            if isinstance(body, list) and body and isinstance(body[0], ast.Expr):
                silent.add(id(body[0].value))
    return [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent
    ]


def test_no_text_of_the_program_says_it():
    found = [
        f"{file.relative_to(HOUSE)}:{line} {text[:60]}"
        for file in sorted(HOUSE.rglob("*.py"))
        for line, text in texts_of(file)
        if NEVER.search(text)
    ]
    assert found == []


def test_no_template_sheet_or_ladder_says_it():
    kinds = (".html", ".typ", ".toml", ".css", ".js", ".txt", ".md", ".csv", ".json", ".svg")
    files = [file for file in HOUSE.rglob("*") if file.suffix in kinds]
    assert {".html", ".typ", ".toml"} <= {file.suffix for file in files}
    found = [
        f"{file.relative_to(HOUSE)}:{number}"
        for file in files
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if NEVER.search(line) and not line.lstrip().startswith("#")
    ]
    assert found == []


@pytest.mark.parametrize("text", ["She is ready.", "READY", "cleared for it", "safe to go on"])
def test_the_looking_itself_finds_it(text):
    assert NEVER.search(text)


@pytest.mark.parametrize("text", ["already", "unclear", "nuclear", "a readymade"])
def test_and_finds_nothing_else(text):
    assert NEVER.search(text) is None


# ---- what comes out about a whole camp ----


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    desk = build_demo(tmp_path_factory.mktemp("demo"), say=lambda _: None)
    yield desk
    desk.store.close()


def pages(desk) -> dict[str, str]:
    """Every page of the squad, of each camp and of each gymnast, without its markup."""
    client = TestClient(create_app(desk), base_url="http://localhost")
    wanted = ["/", "/camps", "/camps/new", "/import", "/lists", "/cautions"]
    for camp in all_camps(desk):
        wanted += [f"/camps/{camp.id}", f"/camps/{camp.id}/entry"]
    for who in all_athletes(desk):
        wanted += [f"/athletes/{who.id}", f"/athletes/{who.id}/letter"]
    answers = {address: client.get(address) for address in wanted}
    assert {answer.status_code for answer in answers.values()} == {200}
    return {address: re.sub(r"<[^>]+>", " ", answer.text) for address, answer in answers.items()}


def papers(desk) -> dict[str, str]:
    told = {}
    for camp in all_camps(desk)[:2]:  # reading PDF back is slow
        told |= {f"letter {who}": words(pdf) for who, pdf in letters_pdf(desk, camp.id).items()}
        told[f"lists {camp.starts}"] = words(camp_lists_pdf(desk, camp.id))
    return told


def lines(desk) -> dict[str, str]:
    told = {"squad": "\n".join(squad_lines(squad_answer(desk)))}
    told |= {str(c.starts): "\n".join(camp_lines(camp_answer(desk, c.id))) for c in all_camps(desk)}
    told |= {a.name.full: "\n".join(athlete_lines(athlete_answer(desk, a.id))) for a in all_athletes(desk)}
    return told


def tables(desk) -> dict[str, str]:
    lists = all_lists(desk, all_camps(desk)[0].id)
    return {name: as_csv(table).decode("utf-8-sig") for name, table in lists.items()}


@pytest.fixture(scope="module")
def told(demo) -> dict[str, str]:
    """Everything that comes out, by what it is; made once."""
    kinds = {"page": pages, "paper": papers, "lines": lines, "list": tables}
    return {f"{kind} {name}": text for kind, of in kinds.items() for name, text in of(demo).items()}


def test_nothing_that_comes_out_says_it(told):
    assert {name.split()[0] for name in told} == {"page", "paper", "lines", "list"}
    assert len(told) > 100
    found = {name: NEVER.search(text).group() for name, text in told.items() if NEVER.search(text)}
    assert found == {}


def test_nothing_that_comes_out_weighs_anybody(told):
    assert [name for name, text in told.items() if WEIGHED.search(text)] == []


def test_who_decides_is_said_wherever_a_camp_or_a_gymnast_is_told(told):
    for name, text in told.items():
        if name.startswith("paper letter"):
            assert "a qualified person decides" in text, name
        if name.startswith("lines") and name != "lines squad":
            assert "A qualified coach decides" in text, name
