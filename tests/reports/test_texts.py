"""Every text of a sheet stands in the file of its language, and none of the file is idle."""

import ast
import re
from dataclasses import replace
from pathlib import Path

import pytest

from loftbook import reports
from loftbook.errors import UnknownThing
from loftbook.reports.texts import LANGUAGES, Texts, texts

SHEETS = Path(reports.__file__).parent / "sheets"
MODULES = [
    SHEETS / name / "compose.py"
    for name in ("letter", "blank", "evidence", "hers", "parent", "belt", "programme")
]
WORDLIKE = re.compile(r"[A-Za-z]{2,}.*\s|\s.*[A-Za-z]{2,}|^[A-Z][a-z]+")
BRACES = re.compile(r"\{(\w+)\}")


def docstrings(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef) and ast.get_docstring(node):
            yield id(node.body[0].value)


def strings(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    aside = set(docstrings(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in aside:
            yield node.value


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.parent.name)
def test_a_sheet_has_no_sentence_of_its_own(path):
    assert [told for told in strings(path) if WORDLIKE.search(told)] == []


def test_the_test_would_see_one():
    for told in ("What was seen", "Seen", " turns"):
        assert WORDLIKE.search(told)
    for told in ("evidence.seen.title", ", ", "number", "measured"):
        assert not WORDLIKE.search(told)


def test_every_name_that_a_sheet_asks_for_is_in_the_file():
    english = texts().words
    for path in MODULES:
        for told in strings(path):
            if re.fullmatch(r"[a-z]+(\.[a-z_0-9]+)+", told):
                assert (
                    told in english
                    or f"{told}.one" in english
                    or any(k.startswith(f"{told}.") for k in english)
                )


@pytest.mark.parametrize("lang", [one for one in LANGUAGES if one != "en"] or ["en"])
def test_a_language_has_every_text_with_the_same_values(lang):
    theirs, english = texts(lang).words, texts("en").words
    assert theirs.keys() == english.keys()
    for name, told in english.items():
        assert set(BRACES.findall(theirs[name])) == set(BRACES.findall(told))


def test_what_is_not_there_says_what_to_do():
    with pytest.raises(UnknownThing, match=r"languages/en\.toml"):
        texts()("evidence.no_such_text")
    with pytest.raises(UnknownThing, match="one of en"):
        texts("xx")


def invented_language() -> Texts:
    """English with each text between marks, the values inside left as they are."""
    return replace(texts(), words={name: f"⟦{told}⟧" for name, told in texts().words.items()})


def test_a_sentence_with_one_and_with_many():
    say = texts()
    assert say.count("evidence.seen.short", 1) == "1 came round short"
    assert say.count("evidence.seen.short", 3) == "3 came round short"


def test_no_text_says_that_a_child_is_ready_or_gives_her_a_rank():
    """The rules of the house."""
    told = " ".join(texts().words.values()).lower().replace("no ranking", "")
    assert not re.search(r"\b(ready|cleared|best|worst|rank(ed|ing)?|better than|weight)\b", told)
