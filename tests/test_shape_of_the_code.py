"""The fence: which way imports go, what stays pure, how big things may grow.

The rules are in tests/fence.py. The second half of this file builds tiny houses
that break one rule each, because a fence that cannot fall is a painting of one.
"""

import ast
import importlib.util
import subprocess
from pathlib import Path

import pytest
from tests.fence import FUNCTION_END, MAY_IMPORT, MODULE_END, complaints, modules, questions

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src"
ROOT_ENTRIES = 17  # deploy and training came last, each asked for; the next one should move in with another


def test_the_house_stands_as_drawn():
    """Imports, purity, sizes and names of everything under src."""
    assert complaints(SOURCE) == []


def test_the_drawing_itself_has_no_ring():
    """If a package could be reached from what it may import, the table would allow a ring."""
    for package in MAY_IMPORT:
        below, todo = set(), set(MAY_IMPORT[package])
        while todo:
            other = todo.pop()
            below.add(other)
            todo |= MAY_IMPORT[other] - below
        assert package not in below, package


def test_the_root_can_be_taken_in_at_a_glance():
    listing = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listing.returncode:
        pytest.skip("This copy is no git checkout, so what belongs to the root is not known.")
    entries = {name.split("/")[0] for name in listing.stdout.split("\0") if name and name[0] != "."}
    assert len(entries) <= ROOT_ENTRIES, sorted(entries)


def exported_functions(package: Path) -> list[tuple[str, str]]:
    """Name and docstring of each function that a package's front door hands out."""
    doors = ast.parse((package / "__init__.py").read_text(encoding="utf-8"))
    handed_out = [
        (node.module.rpartition(".")[2], alias.name)
        for node in doors.body
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
    ]
    found = []
    for stem, name in handed_out:
        file = package / f"{stem}.py"
        if not file.is_file():
            continue
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name == name:
                found.append((f"{stem}.{name}", ast.get_docstring(node) or ""))
    return found


def missing_sections(docstring: str) -> list[str]:
    """Which of units, source and example a docstring lacks."""
    lines = [line.strip().rstrip(":") for line in docstring.splitlines()]
    missing = [section for section in ("Units", "Source") if section not in lines]
    return missing + ([] if ">>> " in docstring else ["example (>>>)"])


def test_public_mechanics_says_units_source_and_example():
    package = SOURCE / "loftbook" / "mechanics"
    if not (package / "__init__.py").is_file():
        pytest.skip("There is no mechanics yet.")
    lacking = {name: gaps for name, text in exported_functions(package) if (gaps := missing_sections(text))}
    assert lacking == {}


# ---- the fence can fall ----


def build(root: Path, **files: str) -> Path:
    """A tiny house: `mechanics__body="…"` is src/loftbook/mechanics/body.py."""
    for name, text in files.items():
        path = root / "loftbook" / (name.replace("__", "/") + ".py")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


CLOCK = "from datetime import date\n\ndef age():\n    return date.today()\n"
LONG_FUNCTION = "def long():\n" + "    a = 1\n" * FUNCTION_END
DOCUMENTED = 'def short():\n    """One.\n\n    Two.\n    """\n' + "    a = 1\n" * (FUNCTION_END - 1)

FOR_TYPES = "from typing import TYPE_CHECKING\n\nif TYPE_CHECKING:\n    from pathlib import Path\n"

BROKEN = [
    (
        "an arrow up",
        {"book__people": "import loftbook.store.rows\n"},
        "book/people.py:1 imports loftbook.store.rows; book may import errors, ladder and units.",
    ),
    (
        "an arrow up by a relative path",
        {"book__people": "from ..store import rows\n"},
        "book/people.py:1 imports loftbook.store.rows; book may import errors, ladder and units.",
    ),
    (
        "an arrow hidden in a function",
        {"ladder__rungs": "def f():\n    from loftbook import book\n"},
        "ladder/rungs.py:2 imports loftbook.book; ladder may import errors and units.",
    ),
    (
        "film must not know children",
        {"film__track": "from loftbook.book import people\n"},
        "film/track.py:1 imports loftbook.book.people; film may import errors, mechanics and units.",
    ),
    (
        "two shells",
        {"cli__camp": "from loftbook.web import app\n"},
        "cli/camp.py:1 imports loftbook.web.app; cli may import "
        "book, checks, desk, errors, insight, ladder, mechanics, reports and units.",
    ),
    (
        "a package nobody drew",
        {"cloud__send": "a = 1\n"},
        "cloud/send.py stands in no package of the design; add it to MAY_IMPORT in tests/fence.py.",
    ),
    (
        "checks in the pages",
        {"checks__web": "from loftbook.web.pages import camp\n"},
        "checks/web.py:1 imports loftbook.web.pages.camp; it may use that package's front door only.",
    ),
    (
        "SQL outside store",
        {"desk__answers": "import sqlalchemy as sa\n"},
        "desk/answers.py:1 imports sqlalchemy, which only store may use.",
    ),
    (
        "a frame around mechanics",
        {"mechanics__body": "import pandas\n"},
        "mechanics/body.py:1 imports pandas; mechanics uses numba, numpy and scipy of other people's work.",
    ),
    (
        "a clock",
        {"insight__trend": CLOCK},
        "insight/trend.py:4 reads the clock; take `today` as an argument.",
    ),
    (
        "a clock passed on",
        {"insight__trend": "import datetime as dt\n\nclock = dt.datetime.now\n"},
        "insight/trend.py:3 reads the clock; take the time as an argument.",
    ),
    (
        "a clock by module",
        {"book__attempts": "import time\n"},
        "book/attempts.py:1 imports time, which reads the clock; take the time as an argument.",
    ),
    (
        "a file",
        {"book__lists": "def f(name):\n    return open(name)\n"},
        "book/lists.py:2 opens a file; take its contents as an argument.",
    ),
    (
        "a path",
        {"ladder__rungs": "def f(p):\n    return p.read_text()\n"},
        "ladder/rungs.py:2 touches a file (.read_text); take its contents as an argument.",
    ),
    ("a print", {"reports__page": "print(1)\n"}, "reports/page.py:1 prints; return the text instead."),
    (
        "chance",
        {"insight__chance": "import numpy as np\n\na = np.random.rand(3)\n"},
        "insight/chance.py:3 draws unseeded chance (numpy.random.rand); take a seed as an argument.",
    ),
    (
        "a generator without a seed",
        {"insight__chance": "from numpy.random import default_rng\n\na = default_rng()\n"},
        "insight/chance.py:3 draws unseeded chance (numpy.random.default_rng); take a seed as an argument.",
    ),
    (
        "tables read in a second place",
        {"mechanics__body": "from importlib.resources import files\n"},
        "mechanics/body.py:1 reads a shipped file; in mechanics that is for mechanics/segments.py.",
    ),
    (
        "two readers of one ladder",
        {
            "ladder__reading": "from importlib.resources import files\n",
            "ladder__shipped": "import importlib.resources\n",
        },
        "ladder/reading.py and ladder/shipped.py both read shipped files; one place is enough.",
    ),
    (
        "a long function",
        {"web__app": LONG_FUNCTION},
        f"web/app.py:1 long has {FUNCTION_END + 1} lines; {FUNCTION_END} is the end. Name its stages.",
    ),
    (
        "a long module",
        {"web__app": "a = 1\n" * (MODULE_END + 1)},
        f"web/app.py has {MODULE_END + 1} lines; {MODULE_END} is the end. Split it by subject.",
    ),
    (
        "a name that says nothing",
        {"web__utils": "a = 1\n"},
        "web/utils.py is named utils, which names no subject. Call it after what it holds.",
    ),
    (
        "a ring",
        {"book__a": "from loftbook.book import b\n", "book__b": "from .a import x\n"},
        "loftbook.book.a imports loftbook.book.b imports loftbook.book.a: a ring. "
        "Move what both need into a module below.",
    ),
]

SOUND = [
    ("its own package", {"book__people": "from . import scales\n", "book__scales": "a = 1\n"}),
    ("a seed", {"insight__chance": "import numpy as np\n\na = np.random.default_rng(7)\n"}),
    (
        "a type of chance",
        {"insight__chance": "import numpy as np\n\nis_chance = isinstance(1, np.random.Generator)\n"},
    ),
    ("the edge of film", {"film__decode": "from pathlib import Path\n\na = Path('x').read_bytes()\n"}),
    ("a function at the end, its docstring not counted", {"web__app": DOCUMENTED}),
    ("an import for the type checker", {"film__track": FOR_TYPES}),
    (
        "the time of day as a value",
        {"book__camps": "from datetime import date, time\n\na = date(2026, 1, 2), time(9, 30)\n"},
    ),
    ("the command that serves", {"cli__serve": "from loftbook.web import create_app\n"}),
    ("a check that asks the web for an app", {"checks__web": "from loftbook.web import create_app\n"}),
]


@pytest.mark.parametrize(
    ("files", "sentence"), [case[1:] for case in BROKEN], ids=[case[0] for case in BROKEN]
)
def test_a_house_that_breaks_a_rule_is_told(tmp_path, files, sentence):
    assert complaints(build(tmp_path, **files)) == [sentence]


@pytest.mark.parametrize("files", [case[1] for case in SOUND], ids=[case[0] for case in SOUND])
def test_a_house_that_keeps_the_rules_is_left_alone(tmp_path, files):
    assert complaints(build(tmp_path, **files)) == []


def test_growth_is_asked_about_before_it_is_forbidden(tmp_path):
    house = build(tmp_path, web__app="def f():\n" + "    a = 1\n" * 40)
    assert complaints(house) == []
    assert questions(house) == ["web/app.py:1 f has 41 lines; over 30 ask why."]


@pytest.mark.parametrize(
    ("docstring", "gaps"),
    [
        ("A word.\n\nUnits\n    s\n\nSource\n    law\n\n>>> f()\n1\n", []),
        ("A word.\n\nUnits\n    s\n", ["Source", "example (>>>)"]),
        ("Units of time, and their Source.", ["Units", "Source", "example (>>>)"]),
    ],
)
def test_a_docstring_with_gaps_is_seen(docstring, gaps):
    assert missing_sections(docstring) == gaps


def test_every_module_of_the_house_was_read():
    """The walk finds what Python finds; a fence around an empty field proves nothing."""
    spec = importlib.util.find_spec("loftbook")
    assert spec is not None
    assert spec.submodule_search_locations
    names = {module.name for module in modules(SOURCE)}
    assert {"loftbook", "loftbook.errors", "loftbook.units"} <= names
