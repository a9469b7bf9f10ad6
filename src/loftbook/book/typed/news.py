"""What a roster row tells of a child that the book does not know yet, as facts.

What differs from the book is taken where the newer word is plainly newer (a height
that grew, filming withdrawn) and asked where it may be a slip or a hazard (another
twist side, filming allowed after a no, a height that shrank, another club).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from loftbook.book.people import Athlete, ClubStay, FilmConsent, Height, Name, TwistNote
from loftbook.book.typed.decisions import Answers, BirthDate, Choice, Fact, RowDecision, Verdict, answer_to
from loftbook.book.typed.roster_rows import RosterRow
from loftbook.book.typed.words import day_in_words, fold

SHRUNK, GREW = 0.02, 0.15  # metres between two lists that ask for a second look (common practice, no source)
_TAKE_OR_LEAVE = (Choice("take", "take it as typed"), Choice("leave", "keep what the book has"))


@dataclass(frozen=True)
class News:
    """Facts that are new, in words too, and decisions about single cells beside them."""

    facts: tuple[Fact, ...] = ()
    words: tuple[str, ...] = ()
    asides: tuple[RowDecision, ...] = ()


def first_news(said: RosterRow, as_of: date | None, *, born: date | None) -> News:
    """Everything that a row tells of a child who is new in the book."""
    facts: list[Fact] = []
    words = [f"born {day_in_words(born)}" if born else "birth date not written"]
    if said.club or said.coach_name or said.coach_email:
        facts.append(ClubStay(said.club, said.coach_name, said.coach_email))
        words.append(said.club or "club not written")
    if said.side:
        facts.append(TwistNote(said.side, on=as_of))
        words.append(f"twists {said.side.value}")
    if said.height.metres:
        facts.append(Height(said.height.metres, as_of))
        words.append(f"{said.height.metres:.2f} m")
    if said.filming is not None:
        facts.append(FilmConsent(said.filming, as_of, said.source))
        words.append(f"filming {'allowed' if said.filming else 'not allowed'}")
    return News(tuple(facts), tuple(words))


@dataclass(frozen=True)
class Telling:
    """A row that tells of somebody known: when it was true, and whether an earlier row of the list told of her."""

    said: RosterRow
    as_of: date | None
    blank: RowDecision
    answers: Answers
    row_before: int | None = None


def further_news(athlete: Athlete, row: Telling) -> News:
    """What a row adds to what is known of a child; the club itself is settled before.

    Two rows of one list that contradict each other are asked about, and so is a value
    that the book held before and replaced.
    """
    parts = [_coach(athlete, row), _side(athlete, row), _height(athlete, row), _filming(athlete, row)]
    return News(
        *(tuple(x for part in parts for x in getattr(part, name)) for name in ("facts", "words", "asides"))
    )


def unread_cells(said: RosterRow, blank: RowDecision) -> Iterator[RowDecision]:
    """A refusal for each cell that cannot be read; the rest of the row stands."""
    for what, problem in said.problems:
        sentence = (
            f"{said.name.full}: {problem}. Nothing was written of this cell; the rest of the row stands."
        )
        yield replace(
            blank, id=f"{blank.id} {what}", verdict="refuse", sentence=sentence, choices=(), chosen=""
        )


def with_facts(athlete: Athlete, facts: tuple[Fact, ...]) -> Athlete:
    """The child as she would be with these facts.

    >>> from uuid import UUID
    >>> with_facts(Athlete(UUID(int=1), (Name("Ayla", "Aalto"),)), (Height(1.40),)).height.metres
    1.4
    """
    places = {
        Name: "names",
        ClubStay: "clubs",
        Height: "heights",
        TwistNote: "twists",
        FilmConsent: "consents",
    }
    for fact in facts:
        place = places.get(type(fact))
        if isinstance(fact, BirthDate):
            athlete = replace(athlete, born=fact.born)
        elif place:
            athlete = replace(athlete, **{place: (*getattr(athlete, place), fact)})  # type: ignore[arg-type]
    return athlete


def _coach(athlete: Athlete, row: Telling) -> News:
    """Another home coach or address at the same club, or a first club."""
    said, stay = row.said, athlete.club or ClubStay("")
    if stay.club and said.club and fold(said.club) != fold(stay.club):
        return News()  # a club where she was before
    told = ClubStay(
        stay.club or said.club,
        said.coach_name or stay.coach_name,
        said.coach_email or stay.coach_email,
        row.as_of or stay.since,  # an undated word on her club does not move it before her earlier ones
    )
    if _same_stay(told, stay):
        return News()
    words = (
        told.club
        if not stay.club
        else f"home coach {told.coach_name or 'not named'}, {told.coach_email or 'no e-mail'}"
    )
    news = News((told,), (words or "a home coach",))
    changed = _differs(said.coach_email, stay.coach_email) or _differs(said.coach_name, stay.coach_name)
    held_before = any(_same_stay(told, old) for old in athlete.clubs)
    if held_before and not (row.as_of and stay.since and row.as_of > stay.since):
        return News()  # the list is not newer than what replaced it
    if not (held_before or (changed and row.row_before)):
        return news
    held = stay.coach_email or stay.coach_name
    sentence = f"{said.name.full}: this row says {words}; {_other(row)} {held}. Which is right?"
    return _asked(news, sentence, "coach", row)


def _same_stay(a: ClubStay, b: ClubStay) -> bool:
    return (fold(a.club), fold(a.coach_name), a.coach_email.casefold()) == (
        fold(b.club),
        fold(b.coach_name),
        b.coach_email.casefold(),
    )


def _differs(said: str, held: str) -> bool:
    return bool(said and held and said.casefold() != held.casefold())


def _other(row: Telling) -> str:
    return f"row {row.row_before} says" if row.row_before else "the book has"


def _side(athlete: Athlete, row: Telling) -> News:
    said, general = row.said, [note for note in athlete.twists if not note.rung]
    if said.side is None or (general and general[-1].side is said.side):
        return News()
    news = News((TwistNote(said.side, on=row.as_of),), (f"twists {said.side.value}",))
    if not general:
        return news
    sentence = (
        f"{said.name.full} twists {said.side.value} in this row; {_other(row)} {general[-1].side.value}. "
        "Which is right? Twisting both ways is a hazard, so ask her coach."
    )
    return _asked(news, sentence, "twist side", row)


def _height(athlete: Athlete, row: Telling) -> News:
    """A height that is not the latest known, nor one that the same or an undated list told."""
    metres, latest = row.said.height.metres, athlete.height
    if metres is None or (latest and _same_height(latest.metres, metres)):
        return News()
    told_before = [h for h in athlete.heights if _same_height(h.metres, metres)]
    if any(h.on in (row.as_of, None) for h in told_before) or (told_before and row.as_of is None):
        return News()
    before = f" ({latest.metres:.2f} m before)" if latest else ""
    news = News((Height(metres, row.as_of),), (f"{metres:.2f} m{before}",))
    earlier = [h for h in athlete.heights if not (row.as_of and h.on and h.on > row.as_of)]
    if not earlier:
        return news
    was, name = earlier[-1].metres, row.said.name.full
    if row.row_before or told_before:
        sentence = f"{name}: this row says {metres:.2f} m; {_other(row)} {was:.2f} m. Which is right?"
    elif -SHRUNK <= metres - was <= GREW:
        return news
    else:
        change = "shrank" if metres < was else "grew"
        sentence = (
            f"{name} {change} from {was:.2f} m to {metres:.2f} m. Is it right, or a slip, or another child's?"
        )
    return _asked(news, sentence, "height", row)


def _same_height(a: float, b: float) -> bool:
    return abs(a - b) < 0.0005


def _filming(athlete: Athlete, row: Telling) -> News:
    """What the family said of filming: a first word and a no are taken, a yes after a no is asked."""
    said, last = row.said, athlete.consents[-1] if athlete.consents else None
    if said.filming is None or (last and last.allowed is said.filming):
        return News()
    words = f"filming {'allowed' if said.filming else 'not allowed any more' if last else 'not allowed'}"
    news = News((FilmConsent(said.filming, row.as_of, said.source),), (words,))
    told_before = any(c.said_by == said.source and c.allowed is said.filming for c in athlete.consents)
    if last is None or not (said.filming or row.row_before or told_before):
        return news
    mine, other = ("yes", "no") if said.filming else ("no", "yes")
    sentence = (
        f"{said.name.full}: this row says {mine} to filming; {_other(row)} {other}. What has the family said?"
    )
    return _asked(news, sentence, "filming", row)


def _asked(news: News, sentence: str, what: str, row: Telling) -> News:
    """The news as a question of its own; nothing is written of it until it is answered."""
    question = replace(row.blank, id=f"{row.blank.id} {what}", confidence=None)
    key = answer_to(row.answers, question.id, _TAKE_OR_LEAVE)
    answered = {"take": " Answered: as in this row.", "leave": " Answered: the book keeps what it has."}.get(
        key, ""
    )
    verdict: Verdict = "ask" if not key else "take" if key == "take" else "skip"
    said = replace(
        question, verdict=verdict, sentence=sentence + answered, choices=_TAKE_OR_LEAVE, chosen=key
    )
    return replace(news, asides=(said,)) if key == "take" else News(asides=(said,))
