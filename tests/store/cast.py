"""Invented people, camps and turns for the tests of the book file."""

from datetime import UTC, date, datetime, timedelta
from random import Random
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp, ClubStay, FilmConsent, Height, Name, TwistNote
from loftbook.insight.standing import Standing, State
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff, TwistSide

RUNGS = ("double_tuck", "double_pike", "double_open_tuck")


def new_id(chance: Random) -> UUID:
    return UUID(int=chance.getrandbits(128), version=4)


def athlete(number: int, **facts) -> Athlete:
    return Athlete(UUID(int=0xA000 + number), (Name(f"Given{number}", f"Family{number}"),), **facts)


def full_athlete() -> Athlete:
    """One with several facts of each kind, oldest first."""
    return athlete(
        1,
        born=date(2013, 2, 28),
        clubs=(ClubStay("Haven"), ClubStay("Ridge", "Ö. Coach", "o@example.org", date(2025, 9, 1))),
        heights=(Height(1.385, date(2025, 4, 5)), Height(1.43, date(2025, 10, 4))),
        twists=(TwistNote(TwistSide.LEFT), TwistNote(TwistSide.RIGHT, "rudi_out", date(2025, 10, 4))),
        consents=(FilmConsent(True, date(2025, 4, 5), "parent"), FilmConsent(False, date(2025, 10, 4))),
        invented=True,
    )


def camp(number: int, **more) -> Camp:
    starts = date(2024, 1, 1) + timedelta(days=180 * number)
    return Camp(
        UUID(int=0xC000 + number), f"Camp {number}", starts, starts + timedelta(days=1), "one", **more
    )


def attempt(number: int, **more) -> Attempt:
    told = {
        "id": UUID(int=0xF000 + number),
        "camp": camp(1).id,
        "athlete": athlete(1).id,
        "rung": RUNGS[0],
        "outcome": Outcome.DID_IT,
        "at": datetime(2025, 4, 5, 9, 30, 15, 123456, tzinfo=UTC) + timedelta(minutes=number),
        "rater": "Coach Q",
        "edition": "one",
    }
    return Attempt(**(told | more))


def full_attempt(number: int, **more) -> Attempt:
    told = {
        "help": Help.HANDS_FOLLOWING,
        "take_off": TakeOff.TRAMPOLINE,
        "landing": Landing.SOFT_FLAT_MAT,
        "rotation": Rotation.SHORT,
        "marks": {"lift": 2, "hands": 3},
        "note": "hänger; '=cmd()' \N{PERSON DOING CARTWHEEL} \u05e9\u05dc\u05d5\u05dd",
        "device": "tablet 2",
        "source": "entry",
    }
    return attempt(number, **(told | more))


def standing(camp_number: int, athlete_number: int, rung: str, state: State) -> Standing:
    return Standing(athlete(athlete_number).id, camp(camp_number).id, rung, state)


def last_word(attempts) -> tuple[Standing, ...]:
    """A simple judge for these tests: her last turn on each rung stands."""
    last = {(a.camp, a.athlete, a.rung): a for a in attempts}
    words = {Outcome.DID_IT: State.ALONE, Outcome.TRIED: State.TRIED}
    return tuple(
        Standing(a.athlete, a.camp, a.rung, words.get(a.outcome) or State(a.outcome.value), turns=1)
        for a in last.values()
    )
