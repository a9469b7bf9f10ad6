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


def further_news(
    athlete: Athlete, said: RosterRow, as_of: date | None, *, blank: RowDecision, answers: Answers
) -> News:
    """What a row adds to what is known of a child; the club itself is settled before."""
    parts = [
        _coach(athlete, said, as_of),
        _side(athlete, said, as_of, blank=blank, answers=answers),
        _height(athlete, said, as_of, blank=blank, answers=answers),
        _filming(athlete, said, as_of, blank=blank, answers=answers),
    ]
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


def _coach(athlete: Athlete, said: RosterRow, as_of: date | None) -> News:
    """Another home coach or address at the same club, or a first club."""
    stay = athlete.club
    if stay is None or not stay.club:
        if not (said.club or said.coach_name or said.coach_email):
            return News()
        if stay and (said.club, said.coach_name or stay.coach_name, said.coach_email or stay.coach_email) == (
            stay.club,
            stay.coach_name,
            stay.coach_email,
        ):
            return News()
        return News(
            (ClubStay(said.club, said.coach_name, said.coach_email, as_of),), (said.club or "a home coach",)
        )
    if said.club and fold(said.club) != fold(stay.club):
        return News()  # the address of a club where she was before
    name, email = said.coach_name or stay.coach_name, said.coach_email or stay.coach_email
    if fold(name) == fold(stay.coach_name) and email.casefold() == stay.coach_email.casefold():
        return News()
    what = f"home coach {name or 'not named'}, {email or 'no e-mail'}"
    return News((ClubStay(stay.club, name, email, as_of),), (what,))


def _side(
    athlete: Athlete, said: RosterRow, as_of: date | None, *, blank: RowDecision, answers: Answers
) -> News:
    general = [note for note in athlete.twists if not note.rung]
    if said.side is None or (general and general[-1].side is said.side):
        return News()
    news = News((TwistNote(said.side, on=as_of),), (f"twists {said.side.value}",))
    if not general:
        return news
    sentence = (
        f"{said.name.full} twists {said.side.value} in this list and {general[-1].side.value} in the book. "
        "Which is right? Twisting both ways is a hazard, so ask her coach."
    )
    return _asked(news, sentence, replace(blank, id=f"{blank.id} twist side"), answers)


def _height(
    athlete: Athlete, said: RosterRow, as_of: date | None, *, blank: RowDecision, answers: Answers
) -> News:
    metres, latest = said.height.metres, athlete.height
    if metres is None or any(
        abs(h.metres - metres) < 0.0005 and h.on in (as_of, None) for h in athlete.heights
    ):
        return News()
    if latest and abs(latest.metres - metres) < 0.0005 and as_of is None:
        return News()
    before = f" ({latest.metres:.2f} m in the book)" if latest else ""
    news = News((Height(metres, as_of),), (f"{metres:.2f} m{before}",))
    earlier = [h for h in athlete.heights if not (as_of and h.on and h.on > as_of)]
    if not earlier or -SHRUNK <= metres - earlier[-1].metres <= GREW:
        return news
    change = "shrank" if metres < earlier[-1].metres else "grew"
    sentence = (
        f"{said.name.full} {change} from {earlier[-1].metres:.2f} m to {metres:.2f} m. "
        "Is the new height right, or a slip, or another child's?"
    )
    return _asked(news, sentence, replace(blank, id=f"{blank.id} height"), answers)


def _filming(
    athlete: Athlete, said: RosterRow, as_of: date | None, *, blank: RowDecision, answers: Answers
) -> News:
    last = athlete.consents[-1] if athlete.consents else None
    if said.filming is None or (last and last.allowed is said.filming):
        return News()
    words = f"filming {'allowed' if said.filming else 'not allowed any more' if last else 'not allowed'}"
    news = News((FilmConsent(said.filming, as_of, said.source),), (words,))
    if last is None or not said.filming:
        return news
    sentence = (
        f"{said.name.full}: the list allows filming, the book's last word is no. Has the family agreed?"
    )
    return _asked(news, sentence, replace(blank, id=f"{blank.id} filming"), answers)


def _asked(news: News, sentence: str, question: RowDecision, answers: Answers) -> News:
    key = answer_to(answers, question.id, _TAKE_OR_LEAVE)
    verdict: Verdict = "ask" if not key else "take" if key == "take" else "skip"
    said = replace(question, verdict=verdict, sentence=sentence, choices=_TAKE_OR_LEAVE, chosen=key)
    if key == "take":
        return replace(news, asides=(replace(said, sentence=f"{sentence} Answered: as typed."),))
    answered = f"{sentence} Answered: the book keeps what it has." if key else sentence
    return News(asides=(replace(said, sentence=answered),))
