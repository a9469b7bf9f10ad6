"""From the text of a ladder file to a Ladder, or to the line of the first mistake.

The file is TOML. What each table may hold is shown, with comments, by the ladder
that comes with Loftbook (`loftbook ladder copy FILE`). Nothing in it is guessed:
an unknown key, a word outside its list or a rung that leads to itself is refused,
with what to write instead.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable

from loftbook.errors import LadderError
from loftbook.ladder.checklists import read_checklists, with_lists
from loftbook.ladder.contents import day, flag, number, one_of, some_of, text, texts, whole
from loftbook.ladder.fields import Fields, only, table, tables
from loftbook.ladder.graph import ring_in
from loftbook.ladder.headings import heading_key
from loftbook.ladder.lines import Path, lines_of
from loftbook.ladder.rung_reading import read_rung, read_standards
from loftbook.ladder.rungs import Criterion, Drill, Ladder, Policy, Rung

MOST_LETTERS = 1_000_000
MOST_RUNGS = 300
LEVELS = 3

_KEY = re.compile(r"[a-z][a-z0-9_]{0,59}")
_TABLES = ["policy", "checklists", "group", "criterion", "standard", "rung", "drill"]
_DRILL_TEXTS = ["name", "how", "surface", "help", "dose", "stop", "evidence"]


def read_ladder(toml: str) -> Ladder:
    r"""The ladder that a file describes.

    Takes the whole text of the file. Raises LadderError with the line of the first
    mistake, what was expected there and what to do.

    >>> from loftbook.errors import LadderError
    >>> try:
    ...     read_ladder("name = 'Doubles' \ndatd = 2026-11-25")
    ... except LadderError as error:
    ...     error.line, error.todo
    (2, 'write dated, if that is what was meant')
    """
    fields = _parsed(toml.removeprefix("\ufeff"))
    only(fields, ["name", "edition", "dated", "cautions", *_TABLES])
    groups = _keyed(tables(fields, "group"))
    criteria = _keyed(tables(fields, "criterion"))
    rung_fields = _keyed(tables(fields, "rung"))
    drill_fields = _keyed(tables(fields, "drill"))
    _wants(fields, rung=rung_fields, criterion=criteria, group=groups)
    _not_more(rung_fields)
    standards = read_standards(table(fields, "standard"))
    rungs = tuple(read_rung(one, groups=list(groups), standards=standards) for one in rung_fields.values())
    _check_tested(rungs, fields)
    _check_headings(rungs, rung_fields)
    _check_way_up(rungs, rung_fields)
    lists = read_checklists(fields, groups)
    return Ladder(
        name=text(fields, "name"),
        edition=text(fields, "edition"),
        dated=day(fields, "dated"),
        rungs=with_lists(rungs, lists),
        criteria=tuple(_criterion(one) for one in criteria.values()),
        drills=tuple(_drill(one, rungs=rung_fields, criteria=criteria) for one in drill_fields.values()),
        policy=_policy(table(fields, "policy")),
        groups=tuple(_group(one) for one in groups.values()),
        cautions=_cautions(fields),
        lists=lists.edition if lists else "",
        lists_dated=lists.dated if lists else None,
    )


def _parsed(toml: str) -> Fields:
    """The file's values with their lines; a mistake of spelling gets its line from Python's reader."""
    if len(toml) > MOST_LETTERS:
        raise LadderError(
            f"a ladder file of {len(toml):,} letters",
            f"at most {MOST_LETTERS:,}",
            "check that it is the right file",
        )
    try:
        return Fields(tomllib.loads(toml), (), lines_of(toml))
    except tomllib.TOMLDecodeError as error:
        reason, _, place = str(error).partition(" (at ")
        line = re.match(r"line (\d+)", place)
        raise LadderError(
            f"a text that is not TOML ({reason[:1].lower()}{reason[1:]})",
            "lines such as key = value, with texts in quotes and lists in brackets",
            "look for a quote, a bracket or an equals sign that is missing here, or for a key written twice",
            line=int(line[1]) if line else toml.count("\n") + 1,
        ) from error
    except (ValueError, RecursionError) as error:
        raise LadderError(
            "a number or a list that no ladder has",
            "plain values",
            "compare the file with the shipped ladder",
        ) from error


def _keyed(found: tuple[Fields, ...]) -> dict[str, Fields]:
    """Tables by their key, each key once."""
    keyed: dict[str, Fields] = {}
    for one in found:
        key = text(one, "key")
        if not _KEY.fullmatch(key):
            raise one.mistake(
                f"the key {key!r}",
                "small letters a to z, digits and _, such as double_tuck",
                "choose a plain key; what people read is the name",
                at=("key",),
            )
        if key in keyed:
            raise one.mistake(
                f"the key {key!r} a second time (first on line {keyed[key].line('key')})",
                "each key once",
                "give one of the two another key, or take it out",
                at=("key",),
            )
        keyed[key] = one
    return keyed


def _wants(fields: Fields, **needed: dict[str, Fields]) -> None:
    for name, found in needed.items():
        if not found:
            raise fields.mistake(
                f"a ladder without a {name}", f"at least one [[{name}]]", f"add a [[{name}]]"
            )


def _check_tested(rungs: tuple[Rung, ...], fields: Fields) -> None:
    if not any(rung.tested for rung in rungs):
        raise fields.mistake(
            "a ladder in which no rung is tested",
            "at least one rung with tested = true",
            "add the line tested = true to the rungs that everybody shows at the camp",
            at=("rung",),
        )


def _not_more(rungs: dict[str, Fields]) -> None:
    if len(rungs) > MOST_RUNGS:
        first_over = list(rungs.values())[MOST_RUNGS]
        raise first_over.mistake(f"{len(rungs)} rungs", f"at most {MOST_RUNGS}", "make two ladders of it")


def _cautions(fields: Fields) -> tuple[str, ...]:
    """The cautions, of which there must be one: they stand on each page that suggests training."""
    cautions = texts(fields, "cautions")
    if not cautions:
        raise fields.mistake(
            "a ladder without cautions",
            "at least one sentence",
            "copy the cautions of the shipped ladder: they are printed wherever training is suggested",
            at=("cautions",),
        )
    return cautions


def _group(fields: Fields) -> tuple[str, str]:
    only(fields, ["key", "name"])
    return text(fields, "key"), text(fields, "name")


def _criterion(fields: Fields) -> Criterion:
    only(fields, ["key", "name", "levels", "watch"])
    levels = texts(fields, "levels")
    if len(levels) != LEVELS:
        raise fields.mistake(
            f"{len(levels)} levels in {fields.what}",
            f"{LEVELS} levels in words, the lowest first",
            "write one sentence for each of 1, 2 and 3",
            at=("levels",),
        )
    first, second, third = levels
    return Criterion(
        text(fields, "key"), text(fields, "name"), (first, second, third), text(fields, "watch", "")
    )


def _drill(fields: Fields, *, rungs: Iterable[str], criteria: Iterable[str]) -> Drill:
    only(fields, ["key", "rungs", "criteria", *_DRILL_TEXTS])
    words = {name: text(fields, name) for name in _DRILL_TEXTS}
    return Drill(
        key=text(fields, "key"),
        rungs=_linked(fields, "rungs", rungs),
        criteria=_linked(fields, "criteria", criteria),
        **words,
    )


def _linked(fields: Fields, name: str, known: Iterable[str]) -> tuple[str, ...]:
    keys = some_of(fields, name, known)
    if not keys:
        raise fields.mistake(
            f"{fields.what} without {name}",
            f"the keys of the {name} that it is for",
            f'add {name} = ["…"]; a drill that is for nothing is never sent home',
            at=(name,),
        )
    return keys


def _policy(fields: Fields) -> Policy:
    only(fields, ["counting", "introduce_by_age", "show_difficulty", "short_landings_before_prompt"])
    return Policy(
        counting=one_of(fields, "counting", ["any", "first", "last"], Policy.counting),
        introduce_by_age=number(fields, "introduce_by_age", least=4, most=40, unit="years"),
        show_difficulty=flag(fields, "show_difficulty"),
        short_landings_before_prompt=whole(
            fields, "short_landings_before_prompt", most=20, default=Policy.short_landings_before_prompt
        ),
    )


def _check_headings(rungs: tuple[Rung, ...], fields: dict[str, Fields]) -> None:
    """No two rungs may be called the same: a column would then belong to both."""
    owners: dict[str, Rung] = {}
    for rung in rungs:
        named: list[tuple[Path, str]] = [
            (("key",), rung.key),
            (("name",), rung.name),
            (("short",), rung.short),
        ]
        named += [(("aliases", place), alias) for place, alias in enumerate(rung.aliases)]
        for at, name in named:
            plain = heading_key(name)
            owner = owners.setdefault(plain, rung)
            if plain and owner is rung:
                continue
            taken = f"a name of its own: {owner.key} (line {fields[owner.key].line()}) is called so too"
            raise fields[rung.key].mistake(
                f"{name!r} as a name of {rung.key}",
                taken if plain else "letters or digits",
                "change it, so that a column in a list belongs to one rung only",
                at=at,
            )


def _check_way_up(rungs: tuple[Rung, ...], fields: dict[str, Fields]) -> None:
    """Each prerequisite is a rung, and no rung leads to itself."""
    for rung in rungs:
        some_of(fields[rung.key], "prerequisites", fields)
    ring = ring_in({rung.key: rung.prerequisites for rung in rungs})
    if ring:
        start = fields[ring[0]]
        place = texts(start, "prerequisites").index(ring[1])
        raise start.mistake(
            f"a ring: {', which needs '.join(ring)}",
            "a way up that never comes back to the same rung",
            f"take {ring[1]} out of the prerequisites of {ring[0]}, or open the ring elsewhere",
            at=("prerequisites", place),
        )
