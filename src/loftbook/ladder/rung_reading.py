"""One ``[[rung]]`` of a ladder file with its standard and its skill."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum
from typing import TypeVar

from loftbook.errors import NotationError
from loftbook.ladder.contents import flag, one_of, some_of, text, texts
from loftbook.ladder.fields import Fields, only, table
from loftbook.ladder.notation import read_notation
from loftbook.ladder.rungs import Rung, Skill, Standard
from loftbook.ladder.scales import Direction, Help, Landing, Outcome, Shape, TakeOff

FAMILIES = ["backward_double", "forward_double", "backward_twist", "forward_twist"]

_STANDARD = ["help", "take_off", "landing", "outcome", "did_it", "shape_words"]
_SKILL = ["skill", "direction", "shape"]
_REST = ["prerequisites", "aliases", "family", "tested", "belt", "checklist", "note"]


def read_standards(fields: Fields) -> dict[str, Standard]:
    """The standards that the file defines once and rungs name."""
    found = {name: table(fields, name) for name in fields.values}
    for one in found.values():
        only(one, _STANDARD)
    return {name: _standard(one, None) for name, one in found.items()}


def _standard(fields: Fields, base: Standard | None) -> Standard:
    """What counts on a rung; what a rung does not say itself comes from the standard it names."""
    said = fields.values
    return Standard(
        help=base.help
        if base and "help" not in said
        else Help.from_key(one_of(fields, "help", [one.key for one in Help])),
        take_offs=_from_list(
            fields,
            "take_off",
            words=_values(TakeOff),
            inherited=base.take_offs if base else None,
            scale=TakeOff,
        ),
        landings=_from_list(
            fields,
            "landing",
            words=_values(Landing),
            inherited=base.landings if base else None,
            scale=Landing,
        ),
        outcomes=_from_list(
            fields,
            "outcome",
            words=[Outcome.DID_IT.value, Outcome.TRIED.value],  # a blank can meet no standard
            inherited=base.outcomes if base else (Outcome.DID_IT,),
            scale=Outcome,
        ),
        did_it=base.did_it if base and "did_it" not in said else text(fields, "did_it"),
        shape_words=text(fields, "shape_words", base.shape_words if base else ""),
    )


def read_rung(fields: Fields, *, groups: list[str], standards: Mapping[str, Standard]) -> Rung:
    """One rung; whether its prerequisites exist is seen when all rungs are read.

    Raises
        LadderError with the line of the first mistake
    """
    only(fields, ["key", "name", "short", "group", "standard", *_STANDARD, *_SKILL, *_REST])
    named = one_of(fields, "standard", standards) if "standard" in fields.values else None
    name = text(fields, "name")
    rung = Rung(
        key=text(fields, "key"),
        name=name,
        short=text(fields, "short", name),
        group=one_of(fields, "group", groups),
        standard=_standard(fields, standards[named] if named else None),
        skill=_skill(fields),
        prerequisites=texts(fields, "prerequisites"),
        aliases=texts(fields, "aliases"),
        family=one_of(fields, "family", FAMILIES, ""),
        tested=flag(fields, "tested"),
        belt=flag(fields, "belt"),
        checklist=texts(fields, "checklist"),
        note=text(fields, "note", ""),
    )
    _check_family(fields, rung)
    return rung


def _skill(fields: Fields) -> Skill | None:
    """The skill in numbers with its direction, or nothing for a jump or a drop."""
    if "skill" not in fields.values:
        for key in ("direction", "shape"):
            if key in fields.values:
                raise fields.mistake(
                    f"{key} without a skill in {fields.what}",
                    'a skill in numbers, such as skill = "8 – – o"',
                    f"add the skill, or take {key} out",
                    at=(key,),
                )
        return None
    direction = Direction(one_of(fields, "direction", _values(Direction)))
    label = one_of(fields, "shape", _values(Shape), "")
    try:
        return read_notation(text(fields, "skill"), direction, Shape(label) if label else None)
    except NotationError as error:
        raise fields.mistake(error.found, error.expected, error.todo, at=("skill",)) from error


def _check_family(fields: Fields, rung: Rung) -> None:
    """A rung with a skill cannot be called by a family that its skill is not."""
    if not rung.family or rung.skill is None:
        return
    if rung.family not in rung.skill.families:
        raise fields.mistake(
            f"family = {rung.family!r} in {fields.what}",
            f"{' or '.join(rung.skill.families) or 'no family'}, which is what its skill is",
            "correct the family, the skill or the direction",
            at=("family",),
        )


def _values(scale: type[Direction | Landing | Shape | TakeOff]) -> list[str]:
    return [one.value for one in scale]


E = TypeVar("E", bound=Enum)


def _from_list(
    fields: Fields, key: str, *, words: Iterable[str], inherited: tuple[E, ...] | None, scale: type[E]
) -> tuple[E, ...]:
    """The members of a scale that a list names; at least one."""
    if key not in fields.values and inherited is not None:
        return inherited
    found = tuple(scale(word) for word in some_of(fields, key, words))
    if not found:
        raise fields.mistake(
            f"{fields.what} without {key!r}",
            f"at least one of {', '.join(words)}",
            f'add the line {key} = ["…"], or name a standard that says it',
            at=(key,),
        )
    return found
