"""The child's own sheet: one thing that went right, one thing next, and room for what she wants to say.

Nothing on it compares or counts. What went right is chosen in this order: what she showed with
nobody in for the first time or again, a mark at the highest level, what she did alone, what she
did with help, what she tried; and where nothing was shown, that she was there.
"""

from __future__ import annotations

from collections.abc import Iterator

from loftbook.insight.change import ChangeKind
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Criterion
from loftbook.ladder.scales import Help
from loftbook.reports.dates import days
from loftbook.reports.page import Block, Bullets, Heading, Page, Paragraph, Together, WriteIn
from loftbook.reports.sheets.letter.compose import LetterFacts
from loftbook.reports.sheets.wording import rung_name
from loftbook.reports.texts import Texts, texts

_BLANKS = (State.STOPPED, State.DECLINED, State.NOT_ALLOWED)
_HIGHEST = 3


def compose(facts: LetterFacts, say: Texts | None = None) -> Page:
    """The sheet; `say` holds the texts of a language, English if None."""
    say = say or texts()
    name = facts.athlete.name.given or facts.athlete.name.full
    there = any(not one.state.is_away for one in facts.seen)
    return Page(
        title=name,
        blocks=tuple(_there(facts, name, say) if there else _away(facts, say)),
        kicker=say("hers.kicker", name=name),
        subtitle=say("hers.subtitle", camp=facts.camp.name, days=days(facts.camp.starts, facts.camp.ends)),
        footer=say("hers.footer"),
        author=facts.sender,
        invented=facts.athlete.invented or facts.camp.invented,
    )


def _away(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    yield Paragraph(say("hers.away", camp=facts.camp.name))


def _there(facts: LetterFacts, name: str, say: Texts) -> Iterator[Block]:
    yield Paragraph(say("hers.hello", name=name))
    yield Together((Heading(say("hers.right.title")), Paragraph(right(facts, say))))
    yield Together((Heading(say("hers.next.title")), Paragraph(coming(facts, say))))
    yield Together((Heading(say("hers.always.title")), Bullets(say.all("hers.always"))))
    lines = tuple(WriteIn(say(f"hers.write.{one}")) for one in ("good", "want", "ask"))
    yield Together((Heading(say("hers.write.title")), *lines))


def right(facts: LetterFacts, say: Texts) -> str:
    """The one thing that went right, in a sentence."""
    return next(_went_right(facts, say))


def _went_right(facts: LetterFacts, say: Texts) -> Iterator[str]:
    seen = tuple(reversed(facts.seen))  # the furthest on the ladder first
    told = {one.rung: one.kind for one in facts.changes}
    for kind, key in ((ChangeKind.NEW, "new"), (ChangeKind.BACK_AGAIN, "back")):
        yield from (
            say(f"hers.right.{key}", rung=_rung(facts, one))
            for one in seen
            if told.get(one.rung) is kind and one.state is State.ALONE and _nobody_in(one)
        )
    yield from _marks(facts, say)
    for one in seen:
        if one.state is State.ALONE:
            yield _alone(facts, one, say)
    yield from (_helped(facts, one, say) for one in seen if one.state is State.HELPED)
    yield from (say("hers.right.tried", rung=_rung(facts, one)) for one in seen if one.state is State.TRIED)
    yield from (say(f"hers.right.{one.state.value}") for one in seen if one.state in _BLANKS)
    yield say("hers.right.there")


def _alone(facts: LetterFacts, one: Standing, say: Texts) -> str:
    if _nobody_in(one):
        return say("hers.right.alone", rung=_rung(facts, one))
    return say("hers.right.as_asked", rung=_rung(facts, one), help=one.help.words if one.help else "")


def _helped(facts: LetterFacts, one: Standing, say: Texts) -> str:
    return say("hers.right.helped", rung=_rung(facts, one), help=one.why_not_alone)


def _marks(facts: LetterFacts, say: Texts) -> Iterator[str]:
    """A criterion at its highest level, in the ladder's words; the furthest rung first."""
    order = {rung.key: place for place, rung in enumerate(facts.ladder.rungs)}
    turns = sorted(facts.attempts, key=lambda one: -order.get(one.rung, -1))
    for turn in turns:
        for criterion in facts.ladder.criteria:
            if turn.marks.get(criterion.key) == _HIGHEST and not turn.outcome.is_blank:
                rung = _in_a_sentence(rung_name(facts.ladder, turn.rung, short=True))
                level = criterion.levels[_HIGHEST - 1]
                yield say("hers.right.mark", rung=rung, criterion=criterion.name, level=level)


def coming(facts: LetterFacts, say: Texts) -> str:
    """The one thing next, in a sentence: the first drill of the first priority."""
    if any(one.state is State.NOT_ALLOWED for one in facts.seen):
        return say("hers.next.not_allowed")
    if not facts.priorities.items:
        return say("hers.next.none")
    first = facts.priorities.items[0]
    aim = next((one for one in facts.ladder.criteria if one.key == first.criterion), None)
    said = _aim(facts, first.rung, aim, say) if aim else f"{first.title}."
    if not first.drills:
        return f"{said} {say('hers.next.no_drill')}"
    drill = first.drills[0].name
    return f"{said} {say('hers.next.drill', drill=_in_a_sentence(drill))}"


def _aim(facts: LetterFacts, rung: str, aim: Criterion, say: Texts) -> str:
    name = _in_a_sentence(rung_name(facts.ladder, rung, short=True))
    return say("hers.next.aim", criterion=aim.name, rung=name, level=aim.levels[_HIGHEST - 1])


def _nobody_in(one: Standing) -> bool:
    return one.help in (None, Help.NOBODY_IN)


def _rung(facts: LetterFacts, one: Standing) -> str:
    return _in_a_sentence(rung_name(facts.ladder, one.rung, short=True))


def _in_a_sentence(words: str) -> str:
    """A name of the ladder as it stands inside a sentence.

    >>> _in_a_sentence("Double pike")
    'double pike'
    """
    return words[:1].lower() + words[1:]
