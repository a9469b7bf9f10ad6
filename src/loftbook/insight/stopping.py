"""When to suggest that a gymnast stops for today: a reminder, never a barrier."""

from __future__ import annotations

from collections.abc import Iterable

from loftbook.book.attempts import Attempt
from loftbook.ladder.rungs import Policy
from loftbook.ladder.scales import Rotation


def short_in_a_row(turns: Iterable[Attempt]) -> int:
    """How many of her last turns in a row came in short, on whatever rung.

    `turns` are hers at one camp, in force, in any order. A blank in between ends the
    row, and so does a turn whose rotation was not short or not written.

    >>> short_in_a_row([])
    0
    """
    count = 0
    for turn in sorted(turns, key=lambda a: (a.at, a.id), reverse=True):
        if turn.outcome.is_blank or turn.rotation is not Rotation.SHORT:
            break
        count += 1
    return count


def stop_words(turns: Iterable[Attempt], policy: Policy) -> str:
    """What to say after short turns in a row, empty while there is nothing to say.

    The number is the programme's policy in the ladder file (common practice, no
    source). It suggests; the coach beside the bed decides.
    """
    short = short_in_a_row(turns)
    if policy.short_landings_before_prompt < 1 or short < policy.short_landings_before_prompt:
        return ""
    return (
        f"Short {short} times in a row. The usual rule is to stop for today, and to write it down as stopped: "
        "that is no failure. Ask her, and decide."
    )
