"""The line of every key is found, in the same places where Python's own reader sees values."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.ladder.lines import lines_of
from loftbook.ladder.shipped import shipped_text

EVERYTHING = r'''# every way to write a thing in TOML 1.0
plain = 1
"quoted # key" = "a # no comment"
'literal.key' = 'C:\no\escape'
dotted . key = true
basic = "an escaped \" quote and a \\ backslash"
long = """
first line " with "" quotes \""" and
last line""""
literal_long = \'\'\'
it's [here] = {no table}\'\'\'
day = 2026-11-25
instant = 2026-11-25 10:00:00
list = [ # a comment ] in a list
  "a",   # another
  [1, 2,
   3],
  { x = 1, y.z = "}" },
]
empty = []
nothing = {}

[table] # comment
key = "v"

  [ table . "inner one" ]
  key = 2

[[rows]]
key = "a"
[rows.below]
deep = [ { k = [ 1 ] } ]

[[rows]]
key = "b"
[[rows.inner]]
n = 1
[[rows.inner]]
n = 2

[last]
'''.replace("\\'\\'\\'", "'''")


def paths(value, path=()):
    """Every way down that Python's reader sees."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, one in value.items():
            yield from paths(one, (*path, key))
    elif isinstance(value, list):
        for place, one in enumerate(value):
            yield from paths(one, (*path, place))


@pytest.mark.parametrize("text", [EVERYTHING, EVERYTHING.replace("\n", "\r\n"), shipped_text()])
def test_every_value_has_its_line(text):
    assert set(lines_of(text)) == set(paths(tomllib.loads(text)))


@pytest.mark.parametrize(
    ("path", "start"),
    [
        (("plain",), "plain ="),
        (("quoted # key",), '"quoted # key"'),
        (("dotted", "key"), "dotted . key"),
        (("day",), "day ="),
        (("list",), "list ="),
        (("list", 0), '"a",'),
        (("list", 1, 2), "3],"),
        (("list", 2, "y", "z"), "{ x = 1"),
        (("table",), "[table]"),
        (("table", "inner one", "key"), "key = 2"),
        (("rows", 0), "[[rows]]"),
        (("rows", 0, "below", "deep", 0, "k", 0), "deep ="),
        (("rows", 1, "key"), 'key = "b"'),
        (("rows", 1, "inner", 1, "n"), "n = 2"),
        (("last",), "[last]"),
    ],
)
def test_the_line_is_the_one_a_coach_would_point_at(path, start):
    line = lines_of(EVERYTHING)[path]
    assert EVERYTHING.splitlines()[line - 1].strip().startswith(start)


NAMES = st.text("abcxyz_-09", min_size=1, max_size=6)
SCALARS = st.one_of(
    st.integers(-(2**62), 2**62).map(str),
    st.booleans().map(lambda yes: str(yes).lower()),
    st.text("ab#[]{}=,.'\"\\ é", max_size=12).map(
        lambda t: '"' + t.replace("\\", "\\\\").replace('"', '\\"') + '"'
    ),
    st.text('ab#[]{}=,."\\ é', max_size=12).map(lambda t: f"'{t}'"),
    st.text("ab#[]{}=,.'\\ é\n", max_size=12).map(lambda t: '"""' + t.replace("\\", "\\\\") + '"""'),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda v: "[\n" + ", # , ]\n".join(v) + "\n]"),
        st.dictionaries(NAMES, inner.filter(lambda v: "\n" not in v), max_size=3).map(
            lambda d: "{" + ", ".join(f"{k} = {v}" for k, v in d.items()) + "}"
        ),
    ),
    max_leaves=6,
)


@settings(deadline=None)
@given(
    st.dictionaries(NAMES, VALUES, max_size=3),
    st.lists(st.dictionaries(NAMES, VALUES, max_size=3), max_size=3),
)
def test_any_file_that_python_reads(top, rows):
    lines = [f"{key} = {value}" for key, value in top.items()]
    for row in rows:
        lines += ["[[ROWS]]", *(f"{key} = {value}" for key, value in row.items())]
    text = "\n".join(lines)
    found = lines_of(text)
    assert set(found) == set(paths(tomllib.loads(text)))
    assert all(1 <= line <= text.count("\n") + 1 for line in found.values())
