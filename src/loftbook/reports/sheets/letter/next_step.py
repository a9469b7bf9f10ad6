"""The next step that was worked out: with its numbers for the home coach, in words for a parent.

A parent who reads "150° short" reads a mark on her child. The fact is kept and the number stays
with the coach, who can judge what it rests on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loftbook.insight.next_step import NextStep
from loftbook.insight.next_step_told import DECIDES
from loftbook.reports.charts.margins import step_bands
from loftbook.reports.page import Block, Bullets, Figure, Heading, Paragraph, Span, Together
from loftbook.reports.texts import Texts


def next_step(steps: Sequence[NextStep], name: str, say: Texts, *, numbers: bool) -> Iterator[Block]:
    """What was worked out of her next rungs; nothing where none was."""
    if steps:
        yield from _in_numbers(steps, name, say) if numbers else _in_words(steps, name, say)


def _in_numbers(steps: Sequence[NextStep], name: str, say: Texts) -> Iterator[Block]:
    """The sentence about the first of the next rungs, a picture of all, and what it rests on."""
    first = steps[0]
    yield Together(
        (
            Heading(say("letter.step.title"), aside=say("letter.step.aside")),
            Paragraph((Span(first.sentence, finding=True), Span(f" {DECIDES}"))),
            Figure(step_bands(name, steps), narrow=step_bands(name, steps, width=330)),
        )
    )
    yield Paragraph(say("letter.step.rests", what="; ".join(first.rests_on)), quiet=True)
    if first.missing:
        yield Bullets(first.missing)


def _in_words(steps: Sequence[NextStep], name: str, say: Texts) -> Iterator[Block]:
    """A line for each of the next rungs, and where the numbers are."""
    told = tuple((Span(say(f"letter.step.{_how_far(one)}", rung=one.name), finding=True),) for one in steps)
    yield Together(
        (
            Heading(say("letter.step.title"), aside=say("letter.step.words_aside")),
            Bullets(told),
            Paragraph(f"{say('letter.step.words', name=name)} {DECIDES}"),
        )
    )


def _how_far(step: NextStep) -> str:
    """Short, unsure or enough by the whole band, not by its middle; nothing where nobody knows her spin."""
    if step.margin is None:
        return "nothing"
    over = step.margin.over
    return "short" if over.most < 0 else "unsure" if over.least < 0 else "enough"
