"""The letter to the home coach: what was seen, what changed, what to work on, who decides.

It speaks of one child alone. Nothing in it compares or ranks, nothing says that she
is ready for anything, and a copy goes to her parent or guardian.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from loftbook.book.answering import HomeAnswer
from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp
from loftbook.insight.change import Change, ChangeKind
from loftbook.insight.inventory import helped_words
from loftbook.insight.next_step import NextStep
from loftbook.insight.priorities import Priorities, Priority
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Drill, Ladder
from loftbook.ladder.scales import Outcome
from loftbook.reports.charts.flight_strip import StripFigure, flight_strip
from loftbook.reports.charts.history import CampResults, rung_history
from loftbook.reports.dates import day, days
from loftbook.reports.page import (
    Block,
    Bullets,
    Figure,
    Heading,
    KeyValue,
    Note,
    Page,
    Paragraph,
    Span,
    Together,
    WriteIn,
)
from loftbook.reports.sheets.letter.next_step import next_step
from loftbook.reports.sheets.wording import edition_words, place_words, rung_name, sentence, surfaces
from loftbook.reports.table import Cell, Column, Table
from loftbook.reports.texts import Texts, texts

_ON_A_PHONE = 8  # so many camps have room in the narrow picture, the latest ones


@dataclass(frozen=True)
class NextCamp:
    """When the next camp is, if that is known, and anything else to say of it, as whole sentences."""

    starts: date | None = None
    ends: date | None = None
    words: str = ""


@dataclass(frozen=True)
class LetterStrip:
    """Figures of one flight in the order of time; `filmed` where they are hers, else the lab drew them."""

    figures: tuple[StripFigure, ...]
    filmed: bool
    rung: str


@dataclass(frozen=True)
class LetterFacts:
    """All that one letter tells.

    `results` are her camps, oldest first, the last one being this camp; `attempts`
    (in force) and `changes` are hers at this camp.
    """

    athlete: Athlete
    ladder: Ladder
    results: tuple[CampResults, ...]
    attempts: tuple[Attempt, ...]
    changes: tuple[Change, ...]
    priorities: Priorities
    written: date
    sender: str = ""
    next_camp: NextCamp | None = None
    trained: HomeAnswer | None = None  # what the home coach wrote to the letter of the camp before
    strip: LetterStrip | None = None
    steps: tuple[NextStep, ...] = ()  # what the next rungs would ask for; nothing where nothing is to be set
    before_it_goes: str = ""  # what has to be done before it goes out, such as asking for consent
    refused: bool = False  # somebody who may decide said that it is not to go

    @property
    def camp(self) -> Camp:
        """The camp that the letter is about."""
        return self.results[-1].camp

    @property
    def seen(self) -> tuple[Standing, ...]:
        """Her standings at this camp, in ladder order; nothing written is left out."""
        order = {rung.key: place for place, rung in enumerate(self.ladder.rungs)}
        written = [s for s in self.results[-1].standings if s.state is not State.NO_RECORD]
        return tuple(sorted(written, key=lambda s: (order.get(s.rung, len(order)), s.rung)))


def compose(facts: LetterFacts, say: Texts | None = None, *, numbers: bool = True) -> Page:
    """The whole letter as a page; `say` holds the texts of a language, English if None.

    Without `numbers` the next step that was worked out is told in words, as in the copy for parents.
    """
    say = say or texts()
    there = any(not one.state.is_away for one in facts.seen)
    blocks: list[Block] = [
        _addresses(facts, say),
        Paragraph(_opening(facts, say, there=there)),
    ]
    blocks += [*_seen(facts, say), *_changed(facts, say), *_trained(facts, say)] if there else []
    blocks += (
        [*next_step(facts.steps, _given(facts), say, numbers=numbers), *_work(facts, say)] if there else []
    )
    # The end never stands on a sheet of its own: it keeps what is before it.
    before = blocks.pop()
    blocks.append(Together((before, *_next_camp(facts, say), *_closing(facts, say, there=there))))
    return Page(
        title=facts.athlete.name.full,
        blocks=tuple(blocks),
        kicker=say("letter.kicker"),
        subtitle=say("letter.subtitle", camp=facts.camp.name, days=days(facts.camp.starts, facts.camp.ends)),
        footer=edition_words(facts.ladder),
        author=facts.sender,
        invented=facts.athlete.invented or facts.camp.invented,
        cover=_cover(facts, say),
    )


def _given(facts: LetterFacts) -> str:
    return facts.athlete.name.given or facts.athlete.name.full


def _addresses(facts: LetterFacts, say: Texts) -> KeyValue:
    club = facts.athlete.club
    to = ", ".join(part for part in (club.coach_name, club.club) if part) if club else ""
    pairs = [
        (say("letter.to"), to or say("letter.coach")),
        (say("letter.copy_to"), say("letter.guardian", name=_given(facts))),
    ]
    when = ", ".join(part for part in (facts.sender, day(facts.written)) if part)
    return KeyValue((*pairs, (say("letter.from" if facts.sender else "letter.written"), when)))


def _cover(facts: LetterFacts, say: Texts) -> tuple[Block, ...]:
    """What whoever sends it has to do first; it is no part of the letter."""
    if not facts.before_it_goes:
        return ()
    return (Note(facts.before_it_goes, title=say("letter.before", name=facts.athlete.name.full)),)


def _opening(facts: LetterFacts, say: Texts, *, there: bool) -> str:
    name, camp = _given(facts), facts.camp
    if not there:
        return say("letter.away", name=name, camp=camp.name)
    first = say("letter.was_there", name=name, camp=f"{camp.name}{place_words(camp)}")
    return f"{first} {say('letter.all' if facts.priorities.items else 'letter.no_work')}"


def _seen(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    columns = (
        Column(say("letter.seen.rung"), share=1.5),
        Column(say("letter.seen.what"), share=1.5),
        Column(say("letter.seen.place"), share=1.6),
        Column(say("letter.seen.often"), "number", share=0),
        Column(say("letter.seen.by"), share=1.0),
    )
    yield Heading(say("letter.seen.title"))
    rows = tuple(_seen_row(facts, one, say) for one in facts.seen)
    yield Table(columns, rows, " ".join(_legend(facts, say)))


def _legend(facts: LetterFacts, say: Texts) -> Iterator[str]:
    """What the words of the table mean, as far as it says them."""
    met = [one for one in facts.seen if one.state is State.ALONE]
    if any(one.words == State.ALONE.words for one in met):
        yield say("letter.seen.alone")
    if any(one.words != State.ALONE.words for one in met):
        yield say("letter.seen.as_asked")
    if any(_turns(facts, one)[1] == 1 for one in facts.seen if not one.state.is_blank):
        yield say("letter.seen.one")


def _seen_row(facts: LetterFacts, one: Standing, say: Texts) -> tuple[Cell, ...]:
    shown = not one.state.is_blank
    return (
        Cell(rung_name(facts.ladder, one.rung)),
        Cell(one.words, mark=one.state, under=_how(one)),
        Cell(surfaces(one) if shown else ""),
        Cell(_how_often(facts, one, say) if shown else ""),
        Cell(", ".join(one.raters)),
    )


def _how(one: Standing) -> str:
    return (
        helped_words(one)
        if one.state is State.HELPED
        else one.why_not_alone
        if not one.state.is_blank
        else ""
    )


def _how_often(facts: LetterFacts, one: Standing, say: Texts) -> str:
    done, turns = _turns(facts, one)
    return say("letter.seen.count", done=done, turns=turns)


def _turns(facts: LetterFacts, one: Standing) -> tuple[int, int]:
    """In how many turns she did it, and of how many."""
    turns = [a for a in facts.attempts if a.rung == one.rung and not a.outcome.is_blank]
    done = sum(a.outcome is Outcome.DID_IT for a in turns)
    return (done, len(turns)) if turns else (one.done, one.turns)


def _changed(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    told = [one for one in facts.changes if one.now.state is not State.NO_RECORD]
    if not told:
        return
    yield Heading(say("letter.changed.title"), aside=say("letter.changed.aside"))
    if all(one.kind is ChangeKind.FIRST_CAMP for one in told):
        yield Paragraph(say("letter.changed.first"))
    else:
        yield Bullets(tuple(_change(facts, one, say) for one in told))
    if len(facts.results) > 1:
        name = facts.athlete.name.full
        yield Figure(
            rung_history(name, facts.ladder, facts.results),
            narrow=rung_history(name, facts.ladder, facts.results[-_ON_A_PHONE:], width=330),
        )


def _trained(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    """What was trained since the camp before, without the words of the home coach: the letter is read by others too."""
    answer = facts.trained
    before = next((one.camp for one in facts.results if answer and one.camp.id == answer.camp), None)
    if answer is None or before is None:
        return
    said = [
        (item.title, ", ".join(part for part in (item.trained.words, item.how_often) if part))
        for item in answer.items
    ]
    lines = tuple(say("letter.trained.line", title=title, said=words) for title, words in said if words)
    aside = say("letter.trained.aside", camp=before.name, day=day(answer.written.date()))
    thanks = Paragraph(say("letter.trained.thanks", by=answer.by), quiet=True)
    yield Together(
        (Heading(say("letter.trained.title"), aside=aside), *([Bullets(lines)] if lines else []), thanks)
    )


def _change(facts: LetterFacts, one: Change, say: Texts) -> tuple[Span, ...]:
    beside = f" {say('letter.changed.mind', what='; '.join(one.caveats))}" if one.caveats else ""
    return (
        Span(f"{rung_name(facts.ladder, one.rung, short=True)}: ", strong=True),
        Span(one.kind.value, finding=True, strong=True),
        Span(f". {sentence(one.why)}.{beside}"),
    )


def _work(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    found = facts.priorities
    head: list[Block] = [Heading(say("letter.work.title")), Paragraph(found.basis, quiet=True)]
    if facts.ladder.cautions:
        head.append(Note("", title=say("sheet.cautions"), caution=True, points=facts.ladder.cautions))
    yield Together(tuple(head))
    yield from _strip(facts, say)
    for place, priority in enumerate(found.items, 1):
        yield from _priority(place, priority, say)
    if found.set_aside:
        yield Bullets(found.set_aside)


def _strip(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    """Her own turn as it was filmed, or what the lab draws, or a word that there is none."""
    strip = facts.strip
    if strip is None:
        if facts.priorities.items:
            yield Paragraph(say("letter.strip.none"), quiet=True)
        return
    rung = rung_name(facts.ladder, strip.rung)
    title = say("letter.strip.hers", name=_given(facts), rung=rung) if strip.filmed else rung
    caption = say(
        "letter.strip.filmed" if strip.filmed else "letter.strip.drawn", name=_given(facts), rung=rung
    )
    yield Figure(
        flight_strip(title, strip.figures, height=190),
        caption,
        narrow=flight_strip(title, strip.figures[::2], width=330, height=170),
    )


def _priority(place: int, priority: Priority, say: Texts) -> Iterator[Block]:
    none = "" if priority.drills else f" {say('letter.work.no_drill')}"
    head = (Heading(f"{place}. {priority.title}", level=3), Paragraph(priority.reason + none))
    first, *rest = priority.drills or (None,)
    yield Together((*head, *_drill(first, say))) if first else Together(head)
    for drill in rest:
        if drill:
            yield Together(tuple(_drill(drill, say)))


def _drill(drill: Drill, say: Texts) -> Iterator[Block]:
    yield Paragraph((Span(f"{drill.name}. ", strong=True), Span(drill.how)))
    told = (
        (say("letter.drill.on"), drill.surface),
        (say("letter.drill.help"), drill.help),
        (say("letter.drill.dose"), drill.dose),
        (say("letter.drill.stop"), drill.stop),
        (say("letter.drill.send"), drill.evidence),
    )
    yield KeyValue(tuple((key, sentence(words)) for key, words in told if words), small=True)


def _next_camp(facts: LetterFacts, say: Texts) -> Iterator[Block]:
    camp = facts.next_camp
    tests = ", ".join(rung.short for rung in facts.ladder.test_rungs)
    asked = say("letter.next.asked", rungs=tests) if tests else ""
    if camp is None or camp.starts is None:
        when = say("letter.next.open")
    else:
        when = f"{days(camp.starts, camp.ends or camp.starts)}."
    words = camp.words if camp else ""
    text = " ".join(part for part in (when, words, asked) if part)
    yield Together((Heading(say("letter.next.title")), Paragraph(text)))


def _closing(facts: LetterFacts, say: Texts, *, there: bool) -> Iterator[Block]:
    last = Paragraph(say("letter.copy", name=_given(facts)), quiet=True)
    asked = WriteIn(say("letter.decided"), say("letter.decided_hint"))
    yield Together((asked, last)) if there else last
