"""What a home coach answers to a letter: what was trained, how often, which problems, which clip. A dated fact.

The form that goes with a letter names the child by her first name and by numbers of the
book, and is sealed; the answer comes back as a file or a piece of text. One child and camp
have one answer: a later one puts the earlier right, and both stay in the book.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from enum import Enum
from hashlib import sha256
from typing import Any
from uuid import UUID
from zlib import crc32

from loftbook.errors import Refused

KIND = "loftbook-home-answer"
LONGEST_TEXT, LONGEST_NAME = 2000, 120  # letters
MOST_A_WEEK, MOST_WEEKS = 14, 60  # sessions a week, weeks between two camps; more is a slip of the finger


class Trained(Enum):
    """How regularly something was trained, as the home coach says."""

    NOT = "not"
    SOMETIMES = "sometimes"
    REGULARLY = "regularly"
    UNSAID = ""

    @property
    def words(self) -> str:
        """What a coach reads; empty where nothing was said."""
        return _TRAINED[self]


_TRAINED = {
    Trained.NOT: "not trained",
    Trained.SOMETIMES: "trained now and then",
    Trained.REGULARLY: "trained regularly",
    Trained.UNSAID: "",
}


@dataclass(frozen=True)
class Asked:
    """One thing that a letter set: its title as it stands there, and for which rung."""

    rung: str
    title: str


@dataclass(frozen=True)
class HomeForm:
    """What the form of one letter carries: no surname, no date of birth, no result.

    `book` is the mark of the book that made it, `seal` what shows that nobody changed it on the way.
    """

    book: str
    athlete: UUID
    camp: UUID
    given: str
    camp_name: str
    made: date
    asked: tuple[Asked, ...]
    seal: str = ""


@dataclass(frozen=True)
class TrainedItem:
    """What the home coach says of one thing that the letter set; None: she gave no number."""

    rung: str
    title: str
    trained: Trained = Trained.UNSAID
    weekly: int | None = None
    weeks: int | None = None
    what: str = ""
    problems: str = ""
    clip: str = ""

    @property
    def how_often(self) -> str:
        """How often and for how long, as far as it was said.

        >>> TrainedItem("", "", weekly=2, weeks=1).how_often
        '2 times a week, for 1 week'
        """
        times = {None: "", 1: "once a week"}.get(self.weekly, f"{self.weekly} times a week")
        weeks = "" if self.weeks is None else f"for {self.weeks} week{'' if self.weeks == 1 else 's'}"
        return ", ".join(part for part in (times, weeks) if part)

    @property
    def is_empty(self) -> bool:
        """True where nothing was said of it."""
        said = (self.what, self.problems, self.clip)
        return self.trained is Trained.UNSAID and self.weekly is self.weeks is None and not any(said)


@dataclass(frozen=True)
class HomeAnswer:
    """A fact: what one home coach wrote about one child after one camp, and when.

    `written` is the moment by her own clock, never later than `at`, when it came in;
    `way` is the name of the file, or "typed". `digest` is of all that it says.
    """

    id: UUID
    athlete: UUID
    camp: UUID
    written: datetime
    by: str
    items: tuple[TrainedItem, ...]
    more: str
    at: datetime
    way: str
    digest: str


@dataclass(frozen=True)
class Sent:
    """An answer as it lies in a file, understood but not yet believed."""

    form: HomeForm
    written: datetime
    by: str
    items: tuple[TrainedItem, ...]
    more: str


def sealed(form: HomeForm, key: str) -> str:
    """The seal of a form: HMAC-SHA-256 over all that it carries, with a key that never leaves the book."""
    told = asdict(form) | {"seal": ""}
    text = json.dumps(told, default=str, sort_keys=True, ensure_ascii=True)
    return hmac.new(key.encode(), text.encode(), sha256).hexdigest()[:32]


def is_sealed(form: HomeForm, key: str) -> bool:
    """Whether nothing of the form was changed since the book made it."""
    return hmac.compare_digest(form.seal.encode(), sealed(form, key).encode())


def sum_of(by: str, written: str, items: Sequence[Mapping[str, Any]], more: str) -> str:
    """CRC-32 of what was answered, in the order of the form, eight letters; the form reckons the same.

    It finds a file that was cut off or mangled, and is no protection against a liar.
    """
    parts = [by, written]
    for item in items:
        parts += [str(item.get(name, "")) for name in _ITEM]
    return f"{crc32(chr(31).join([*parts, more]).encode()):08x}"


_ITEM = ("trained", "weekly", "weeks", "what", "problems", "clip")


def digest_of(form: tuple[UUID, UUID], said: tuple[str, str, Iterable[TrainedItem], str]) -> str:
    """SHA-256 of all that an answer says: the same file, or the same words typed again, give the same."""
    by, written, items, more = said
    told = [
        *map(str, form),
        by,
        written,
        [asdict(one) | {"trained": one.trained.value} for one in items],
        more,
    ]
    return sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def standing_answers(answers: Iterable[HomeAnswer]) -> tuple[HomeAnswer, ...]:
    """The answers that stand, the newest first: of each child and camp the one that was written last.

    >>> standing_answers([])
    ()
    """
    last: dict[tuple[UUID, UUID], HomeAnswer] = {}
    for one in sorted(answers, key=lambda one: (one.written, one.at)):
        last[one.athlete, one.camp] = one
    return tuple(sorted(last.values(), key=lambda one: one.written, reverse=True))


def checked(answer: HomeAnswer) -> HomeAnswer:
    """The answer, if it says who wrote it and says something; raises Refused where not."""
    if not answer.by.strip():
        raise Refused("an answer without a name", "who wrote it", "write your name at the end")
    if all(one.is_empty for one in answer.items) and not answer.more.strip():
        raise Refused("an answer that says nothing", "something about what was trained", "fill something in")
    texts = [(answer.by, LONGEST_NAME), (answer.more, LONGEST_TEXT)]
    for one in answer.items:
        texts += [(text, LONGEST_TEXT) for text in (one.what, one.problems, one.clip)]
        _in_range(one.weekly, MOST_A_WEEK, "times a week")
        _in_range(one.weeks, MOST_WEEKS, "weeks")
    for text, most in texts:
        if len(text) > most:
            raise Refused(f"{len(text)} letters in one field", f"at most {most}", "say it shorter")
    return answer


def _in_range(number: int | None, most: int, what: str) -> None:
    if number is not None and not 0 <= number <= most:
        raise Refused(f"{number} {what}", f"0 to {most}", "correct the number, or leave it out")


def by_the_clock(written: datetime, now: datetime) -> datetime:
    """When it was written, by a clock that may be wrong: never after it came in, never more than two years before."""
    return min(max(written, now - timedelta(days=730)), now)
