"""The trade's number notation: quarters of somersault, half twists in each, shape.

``8 – 2 o`` is eight quarters, no twist in the first somersault, two half twists in
the second, tucked. The notation does not say which way the somersault turns, so the
direction is always given beside it. It has three shapes only: an open tuck and a
puck are written ``o``, and come back as a tuck unless the label is given too.

Source: the notation of the trampoline rules, read second hand; which skills are
written how is checked in `loftbook.checks.ladder`.
"""

from __future__ import annotations

import unicodedata
from dataclasses import replace

from loftbook.errors import NotationError
from loftbook.ladder.rungs import Skill
from loftbook.ladder.scales import Direction, Shape

MOST_QUARTERS = 20  # five somersaults: more than anybody turns
MOST_HALF_TWISTS = 9  # in one somersault: one digit
LONGEST = 40  # letters in one skill

SYMBOLS = {
    Shape.TUCK: "o",
    Shape.OPEN_TUCK: "o",
    Shape.PUCK: "o",
    Shape.PIKE: "<",
    Shape.STRAIGHT: "/",
}
_DASHES = frozenset("-‐‑‒–—―−﹣－_")
_TYPED_SHAPES = {
    **dict.fromkeys("oOtT○◯", Shape.TUCK),
    **dict.fromkeys("<pP‹〈⟨", Shape.PIKE),
    **dict.fromkeys("/sS⁄∕", Shape.STRAIGHT),
}


def read_notation(text: str, direction: Direction, shape: Shape | None = None) -> Skill:
    """The skill that a coach wrote in numbers, such as ``8 – 2 o``.

    A dash of any kind or a 0 is a somersault without twist; spaces may be left out
    where nothing becomes doubtful (``8-2o``). Shapes may be typed as symbols
    (``o < /``) or letters (T, P, S). `shape` is the programme's own label where the
    notation has none (open tuck, puck), or the shape where the text gives none.

    Units
        quarters: 90° of somersault; twists: 180° each

    Raises
        NotationError when a number is missing, the twists do not fit the quarters,
        or the label contradicts the symbol

    >>> read_notation("8 – 2 o", Direction.BACKWARD).twists
    1.0
    >>> read_notation("8--/", Direction.FORWARD).shape.words
    'straight'
    """
    typed = unicodedata.normalize("NFKC", text).strip()
    body, written = _split_shape(typed, text)
    quarters, half_twists = _split_numbers(body, text)
    if shape is None:
        shape = written
    elif written is not None and SYMBOLS[shape] != SYMBOLS[written]:
        raise NotationError(
            f"the label {shape.words!r} beside {text!r}, which says {written.words}",
            f"the symbol {SYMBOLS[shape]}",
            "change the label or the symbol, so that both say the same",
        )
    if shape is None:
        raise NotationError(
            f"{text!r} without a shape",
            "o (tuck), < (pike) or / (straight) at its end",
            "add the shape",
        )
    return plain_skill(Skill(direction, quarters, half_twists, shape))


def write_notation(skill: Skill) -> str:
    """A skill in numbers, with en dashes for somersaults without twist.

    Open tuck and puck are written as tuck, because the notation has no sign for them.

    >>> write_notation(Skill(Direction.BACKWARD, 8, (2, 0), Shape.OPEN_TUCK))
    '8 2 – o'
    """
    skill = plain_skill(skill)
    twists = [str(half_twists) if half_twists else "–" for half_twists in skill.half_twists]
    return " ".join([str(skill.quarters), *twists, SYMBOLS[skill.shape]])


def plain_skill(skill: Skill) -> Skill:
    """The same skill with as many twist numbers as it has somersaults, checked.

    A whole somersault has its number, and so has a begun one in which she twists
    (``7 –`` is 1¾ without twist, ``7 – 1`` has half a twist in the last ¾). A skill
    of less than one somersault has one number.

    Raises
        NotationError when the numbers do not fit each other or nobody could do them

    >>> plain_skill(Skill(Direction.FORWARD, 7, (0, 0), Shape.TUCK)).half_twists
    (0,)
    """
    if not 1 <= skill.quarters <= MOST_QUARTERS:
        raise NotationError(
            f"{skill.quarters} quarters of somersault",
            f"1 to {MOST_QUARTERS}",
            "write quarters, not somersaults: a double is 8",
        )
    if not all(0 <= half_twists <= MOST_HALF_TWISTS for half_twists in skill.half_twists):
        raise NotationError(
            f"half twists {skill.half_twists} in a skill of {_counted(skill.quarters, 'quarter')}",
            f"0 to {MOST_HALF_TWISTS} in each somersault",
            "write half twists: a full twist is 2",
        )
    fewest, most = _numbers_wanted(skill.quarters)
    if not fewest <= len(skill.half_twists) <= most:
        raise NotationError(
            f"{_counted(skill.quarters, 'quarter')} with {_counted(len(skill.half_twists), 'twist number')}",
            _wanted_words(skill.quarters),
            "give one number, or a dash, for each somersault",
        )
    begun_idle = len(skill.half_twists) > fewest and skill.half_twists[-1] == 0
    return replace(skill, half_twists=skill.half_twists[:-1]) if begun_idle else skill


def _numbers_wanted(quarters: int) -> tuple[int, int]:
    """The fewest and the most twist numbers: whole somersaults, and the begun one."""
    return max(1, quarters // 4), max(1, -(-quarters // 4))


def _wanted_words(quarters: int) -> str:
    fewest, most = _numbers_wanted(quarters)
    count = _counted(most, "twist number")
    return f"{count if fewest == most else f'{fewest} or {count}'} for {_counted(quarters, 'quarter')}"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _split_shape(typed: str, text: str) -> tuple[str, Shape | None]:
    """What stands before the shape, and the shape, if one is written."""
    if not typed or len(typed) > LONGEST:
        raise NotationError(
            f"{text[:LONGEST]!r}", "a skill such as 8 – – o", "write quarters, twists and shape"
        )
    written = _TYPED_SHAPES.get(typed[-1])
    body = typed[:-1].rstrip() if written else typed
    for letter in body:
        if not (_is_digit(letter) or letter in _DASHES or letter.isspace()):
            raise NotationError(
                f"{letter!r} in {text!r}",
                "digits, dashes and one shape (o, < or /) at the end",
                "write it like 8 – 2 o",
            )
    return body, written


def _is_digit(letter: str) -> bool:
    return letter in "0123456789"


def _split_numbers(body: str, text: str) -> tuple[int, tuple[int, ...]]:
    """Quarters and twist numbers; written without spaces, only the one reading that fits."""
    first, _, rest = body.partition(" ") if " " in body else ("", "", "")
    if first.isdigit() and rest.strip():
        readings = [(int(first[:3]), _twist_numbers(rest))]
    else:
        packed = "".join(body.split())
        heads = [packed[:size] for size in (1, 2) if packed[:size].isdigit() and len(packed) >= size]
        readings = [(int(head), _twist_numbers(packed[len(head) :])) for head in dict.fromkeys(heads)]
    fitting = [r for r in readings if _numbers_wanted(r[0])[0] <= len(r[1]) <= _numbers_wanted(r[0])[1]]
    if len(fitting) == 1:
        return fitting[0]
    if not readings:
        raise NotationError(f"{text!r}", "quarters of somersault first", "write it like 8 – 2 o")
    quarters, numbers = readings[0]
    todo = "give one number, or a dash, for each somersault, as in 8 – 2 o"
    if body.endswith("0"):
        todo += "; the sign for tuck is the letter o, not the digit 0"
    raise NotationError(
        f"{text!r}: {_counted(quarters, 'quarter')} with {_counted(len(numbers), 'twist number')}",
        _wanted_words(quarters),
        todo,
    )


def _twist_numbers(text: str) -> tuple[int, ...]:
    return tuple(int(letter) if _is_digit(letter) else 0 for letter in text if not letter.isspace())
