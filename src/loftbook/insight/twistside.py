"""Whether a child twists the same way in all her skills, and if not, which disagree.

Twisting one way here and the other way there is a hazard: in the air she may freeze,
or turn the way she did not mean to. It is looked at before any work in the belt. The
round-off is the usual exception: it goes the opposite way.
Source: an article of a provincial association and a national coach's own case; some
gymnasts of the first rank do well with mixed sides, so a qualified coach decides.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from loftbook.book.people import Athlete
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import TwistSide

OPPOSITE = frozenset({"round_off"})  # rungs expected to go the other way
_FIRST = date.min


@dataclass(frozen=True)
class SkillSide:
    """One skill and the side noted last for it; `name` is the rung's name."""

    rung: str
    name: str
    side: TwistSide


@dataclass(frozen=True)
class TwistSides:
    """One side or not. `one_side` is None where the notes are too few to say.

    `side` is her side where there is one: the general note, else the side of most
    skills. `disagree` are the skills that go against it; all of them where there is
    no side (as many left as right). `sentence` says it in words.
    """

    one_side: bool | None
    side: TwistSide | None
    disagree: tuple[SkillSide, ...]
    sentence: str


def twist_sides(athlete: Athlete, ladder: Ladder, *, opposite: frozenset[str] = OPPOSITE) -> TwistSides:
    """Whether she twists to one side across her skills, going by the last note of each.

    `opposite` are the keys of rungs that are meant to go the other way. At least two
    notes are needed to agree or disagree; a note without a rung is one in general.

    >>> from loftbook.ladder.rungs import Ladder
    >>> from loftbook.book.people import TwistNote
    >>> from uuid import UUID
    >>> notes = (TwistNote(TwistSide.LEFT, "barani"), TwistNote(TwistSide.RIGHT))
    >>> twist_sides(Athlete(UUID(int=1), (), twists=notes),
    ...             Ladder("", "", date(2025, 1, 1), (), (), ())).sentence
    'Not one side: right in general, but barani left. Two ways of twisting is a hazard: look at it with a
    qualified coach before any work in the belt.'
    """
    latest = _latest(athlete)
    general = latest.pop("", None)
    names = {rung.key: rung.name for rung in ladder.rungs}
    skills = [SkillSide(key, names.get(key, key), side) for key, side in latest.items()]
    side = general if general is not None else _most([_as_meant(one, opposite) for one in skills])
    disagree = tuple(one for one in skills if side is None or _as_meant(one, opposite) is not side)
    notes = len(skills) + (general is not None)
    if notes < 2:
        return TwistSides(None, side, (), _too_few(general, skills))
    if disagree:
        return TwistSides(
            one_side=False,
            side=side,
            disagree=disagree,
            sentence=_mixed(side, disagree, general=general is not None),
        )
    assert side is not None
    every = f"{side.value} in all that was noted ({', '.join(one.name for one in skills)})"
    return TwistSides(one_side=True, side=side, disagree=(), sentence=f"One side: {every}.")


def _latest(athlete: Athlete) -> dict[str, TwistSide]:
    """The last side noted for each rung; an undated note is older than any dated one."""
    dated = sorted(athlete.twists, key=lambda note: note.on or _FIRST)
    return {note.rung: note.side for note in dated}


def _as_meant(one: SkillSide, opposite: frozenset[str]) -> TwistSide:
    """The side that this skill speaks for: the other one for a round-off."""
    if one.rung not in opposite:
        return one.side
    return TwistSide.RIGHT if one.side is TwistSide.LEFT else TwistSide.LEFT


def _most(sides: list[TwistSide]) -> TwistSide | None:
    ranked = Counter(sides).most_common()
    if not ranked or (len(ranked) == 2 and ranked[0][1] == ranked[1][1]):
        return None
    return ranked[0][0]


def _too_few(general: TwistSide | None, skills: list[SkillSide]) -> str:
    if general is not None:
        return f"Noted as {general.value} in general; no single skill was noted."
    if skills:
        return f"Only one skill noted: {skills[0].name} {skills[0].side.value}."
    return "No twist side was noted."


def _mixed(side: TwistSide | None, disagree: tuple[SkillSide, ...], *, general: bool) -> str:
    skills = ", ".join(f"{one.name} {one.side.value}" for one in disagree)
    mostly = "" if side is None else f"{side.value} {'in general' if general else 'mostly'}, but "
    return (
        f"Not one side: {mostly}{skills}. Two ways of twisting is a hazard: look at it with a "
        "qualified coach before any work in the belt."
    )
