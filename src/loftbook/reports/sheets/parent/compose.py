"""The parent's copy: how to read it, what it does not say, what stays in the gym; then the letter itself, whole."""

from __future__ import annotations

from collections.abc import Iterator

from loftbook.reports.dates import days
from loftbook.reports.page import Block, Bullets, Heading, Page, Paragraph, Together
from loftbook.reports.sheets.letter.compose import LetterFacts
from loftbook.reports.sheets.letter.compose import compose as compose_letter
from loftbook.reports.sheets.wording import edition_words
from loftbook.reports.texts import Texts, texts

_PARTS = ("read", "not", "home", "ask")


def compose(facts: LetterFacts, say: Texts | None = None) -> Page:
    """The copy; `say` holds the texts of a language, English if None."""
    say = say or texts()
    name = facts.athlete.name.given or facts.athlete.name.full
    there = any(not one.state.is_away for one in facts.seen)
    opening = say("parent.opening" if there else "parent.opening_away", name=name, camp=facts.camp.name)
    blocks: list[Block] = [Paragraph(opening)]
    blocks += [*_how_to_read(facts, say), *_letter(facts, say)] if there else []
    return Page(
        title=facts.athlete.name.full,
        blocks=tuple(blocks),
        kicker=say("parent.kicker"),
        subtitle=say("parent.subtitle", camp=facts.camp.name, days=days(facts.camp.starts, facts.camp.ends)),
        footer=edition_words(facts.ladder),
        author=facts.sender,
        invented=facts.athlete.invented or facts.camp.invented,
    )


def _how_to_read(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    for part in _PARTS:
        yield Together((Heading(say(f"parent.{part}.title")), Bullets(say.all(f"parent.{part}"))))
    contact = say("parent.contact", sender=facts.sender) if facts.sender else ""
    text = " ".join(part for part in (say("parent.film.text"), contact) if part)
    yield Together((Heading(say("parent.film.title")), Paragraph(text)))


def _letter(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    first, *rest = compose_letter(facts, say, numbers=False).blocks
    yield Together((Heading(say("parent.letter.title")), first, rest[0]))
    yield from rest[1:]
