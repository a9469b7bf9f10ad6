"""The guide of privacy: each default names a test that is there, and each command line is one of the product's."""

import ast
import re
import shlex
from pathlib import Path

import pytest
from tests.cli.test_every_command import commands

from loftbook.store import schema

ROOT = Path(__file__).resolve().parents[3]
GUIDE = (ROOT / "docs" / "guide" / "privacy.md").read_text(encoding="utf-8")
ROWS = [line.strip("|").split("|") for line in GUIDE.splitlines() if line.startswith("| ") and "::" in line]
LINES = [
    line for block in re.findall(r"```\n(.*?)```", GUIDE, re.DOTALL) for line in block.splitlines() if line
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0].strip()[:50])
def test_every_default_has_a_source_and_a_test_that_is_there(row):
    default, source, named = (cell.strip() for cell in row)
    assert default
    assert len(source) > 10
    file, test = re.fullmatch(r"`(tests/[\w/]+\.py)::(test_\w+)`", named).groups()
    functions = {
        node.name
        for node in ast.walk(ast.parse((ROOT / file).read_text()))
        if isinstance(node, ast.FunctionDef)
    }
    assert test in functions


def test_the_table_is_read_whole():
    table = GUIDE.split("| --- | --- | --- |")[1].strip().splitlines()
    assert len(ROWS) == len(table) >= 20


@pytest.mark.parametrize("line", LINES)
def test_every_command_of_the_guide_is_one(line):
    words = shlex.split(re.split(r"\s{3,}", line)[0])
    assert words[0] == "loftbook"
    command = commands()[" ".join(words[1:3])]
    options = {name for one in command.params for name in one.opts}
    assert {word for word in words if word.startswith("--")} <= options


def test_no_column_holds_a_weight_a_diagnosis_or_a_face():
    """By the names of the columns; a note is free text, and what stands in it is the coach's."""
    named = {
        f"{table.name}.{column.name}" for table in schema.metadata.sorted_tables for column in table.columns
    }
    wrong = re.compile(
        r"weight|mass\b|bmi|fat|diagnos|medic|injur|health|(?<!sur)face|biometr|puberty|menstr|address|phone"
    )
    assert [name for name in named if wrong.search(name)] == []
