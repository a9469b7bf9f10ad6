"""The cast of the report tests: two dozen invented girls, four invented camps, the shipped ladder.

Everything is made up by a seeded draw; nobody is real. The names are hard ones on
purpose: long, right to left, with an emoji, with what looks like markup.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from random import Random
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp, ClubStay, Height, Name, in_running_order
from loftbook.insight.change import Changes, changes
from loftbook.insight.change_kind import camp_words
from loftbook.insight.expectation import expected
from loftbook.insight.history import History, history_of
from loftbook.insight.inventory import inventory
from loftbook.insight.pairing import pair_counts, today_counts
from loftbook.insight.priorities import priorities
from loftbook.insight.standing import Standing, State, standing_of
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff
from loftbook.ladder.shipped import shipped_ladder
from loftbook.reports.charts.history import CampResults
from loftbook.reports.sheets.camp_lists.compose import CampListFacts
from loftbook.reports.sheets.letter.compose import LetterFacts, NextCamp

HARD_NAMES = (
    Name("Ægir", "Þórðardóttir 🤸"),
    Name("أمل", "محمد علي"),
    Name("נועה", "בן דוד"),
    Name('#read("x")', "*bold* _it_ @ref <label>"),
    Name(
        "Maximiliana-Alexandrina Wilhelmina", "Featherstonehaugh-Wolfeschlegelsteinhausen von Ober-Unterwald"
    ),
    Name("मीरा", "शर्मा"),
    Name("Łucja", "Żółć-Źdźbło"),
    Name('O\'Neill "Nell"', "& Sons; DROP TABLE"),
)
_PLAIN = (
    *(
        "Ada Brook",
        "Bea Calder",
        "Cleo Dune",
        "Dot Ember",
        "Effie Fern",
        "Greta Hale",
        "Ivy Jarrow",
        "Juno Kite",
    ),
    *(
        "Kira Larch",
        "Lotte Moor",
        "Mira Nettle",
        "Nora Oake",
        "Oona Pell",
        "Petra Quill",
        "Runa Sedge",
        "Tess Vale",
    ),
)
CAMPS = tuple(
    Camp(
        UUID(int=1000 + n),
        f"{season} camp",
        date(year, month, 12),
        date(year, month, 13),
        "loftbook-1",
        place="Saltmarsh hall",
        bed="bed A" if n < 3 else "bed B",
        raters=("R. Marker",),
        invented=True,
    )
    for n, (season, year, month) in enumerate(
        (("Spring", 2024, 4), ("Autumn", 2024, 10), ("Spring", 2025, 4), ("Autumn", 2025, 10))
    )
)
TESTS = ("double_tuck", "double_pike", "double_open_tuck")
NEXT = NextCamp(date(2026, 4, 11), date(2026, 4, 12), "Saltmarsh hall again, from nine in the morning.")


@dataclass(frozen=True)
class Camps:
    """A whole invented book."""

    ladder: Ladder
    athletes: tuple[Athlete, ...]
    attempts: tuple[Attempt, ...]
    standings: tuple[Standing, ...]
    history: History
    changes: Changes

    def of(self, athlete: Athlete, camp: Camp = CAMPS[-1]) -> tuple[Attempt, ...]:
        return tuple(a for a in self.attempts if a.athlete == athlete.id and a.camp == camp.id)

    def results(self, athlete: Athlete) -> tuple[CampResults, ...]:
        rows = [
            CampResults(c, tuple(s for s in self.standings if s.athlete == athlete.id and s.camp == c.id))
            for c in CAMPS
        ]
        return tuple(row for row in rows if row.standings)


@cache
def invented_camps(seed: int = 7) -> Camps:
    """Four camps of 24 girls, each rung a little likelier from camp to camp."""
    chance, ladder = Random(seed), shipped_ladder()
    names = [
        *HARD_NAMES,
        *(Name(given, family) for given, _, family in (name.partition(" ") for name in _PLAIN)),
    ]
    athletes = tuple(_athlete(n, name) for n, name in enumerate(names))
    attempts = tuple(a for n, camp in enumerate(CAMPS) for who in athletes for a in _at(chance, camp, n, who))
    groups: dict[tuple[UUID, UUID, str], list[Attempt]] = {}
    for one in attempts:
        groups.setdefault((one.athlete, one.camp, one.rung), []).append(one)
    standings = tuple(standing_of(rows, ladder.rung(key[2])) for key, rows in groups.items())
    history = history_of(CAMPS, standings)
    found = changes(CAMPS[-1], ladder, athletes=athletes, history=history)
    return Camps(ladder, athletes, attempts, standings, history, found)


def letter_facts(book: Camps, athlete: Athlete) -> LetterFacts:
    """Everything of one girl's letter."""
    results = book.results(athlete)
    had = {s.rung: camp_words(r.camp) for r in results[:-1] for s in r.standings if s.state is State.ALONE}
    attempts = book.of(athlete)
    return LetterFacts(
        athlete=athlete,
        ladder=book.ladder,
        results=results,
        attempts=attempts,
        changes=tuple(c for c in book.changes.since_previous if c.athlete == athlete.id),
        priorities=priorities(book.ladder, results[-1].standings, attempts, had=had),
        written=date(2025, 10, 20),
        sender="P. Coach, Saltmarsh programme",
        next_camp=NEXT,
    )


def camp_list_facts(book: Camps, camp: Camp = CAMPS[-1]) -> CampListFacts:
    """Everything of one camp's lists."""
    who = in_running_order(book.athletes)
    pairs = pair_counts(book.history, before=camp.id)
    today = today_counts(camp, athletes=who, history=book.history)
    return CampListFacts(
        camp=camp,
        ladder=book.ladder,
        athletes=who,
        inventory=inventory(camp, book.ladder, athletes=who, standings=book.standings),
        changes=changes(camp, book.ladder, athletes=who, history=book.history).since_previous,
        expected=tuple(
            expected(book.ladder.rung(k), today[k], pairs=pairs.get(k)) for k in TESTS if k in today
        ),
        printed=date(2025, 10, 13),
    )


def _athlete(number: int, name: Name) -> Athlete:
    heights = tuple(Height(1.31 + 0.012 * number + 0.027 * n, c.starts) for n, c in enumerate(CAMPS))
    club = ClubStay(("Northfield GC", "Harbour Gymnastics")[number % 2], "H. Homecoach")
    return Athlete(UUID(int=1 + number), (name,), clubs=(club,), heights=heights, invented=True)


def _at(chance: Random, camp: Camp, number: int, who: Athlete) -> list[Attempt]:
    if chance.random() < 0.08:
        return [_turn(chance, camp, who, key, Outcome.ABSENT, n) for n, key in enumerate(TESTS)]
    rows: list[Attempt] = []
    for place, key in enumerate(TESTS):
        skill = 0.62 + 0.13 * number - 0.24 * place + 0.2 * chance.random() - 0.1
        if place and chance.random() < 0.12:
            blank = chance.choice((Outcome.DECLINED, Outcome.STOPPED, Outcome.NOT_ALLOWED, Outcome.NOT_TRIED))
            rows.append(_turn(chance, camp, who, key, blank, len(rows)))
            continue
        for _ in range(chance.randint(1, 3)):
            outcome = Outcome.DID_IT if chance.random() < skill else Outcome.TRIED
            rows.append(_turn(chance, camp, who, key, outcome, len(rows)))
    return rows


def _turn(chance: Random, camp: Camp, who: Athlete, key: str, outcome: Outcome, n: int) -> Attempt:
    taken = not outcome.is_blank
    helped = chance.choice((Help.BELT_LIGHT, Help.HAND_LIGHT, Help.NOBODY_IN, Help.NOBODY_IN, Help.NOBODY_IN))
    rotation = Rotation.ON if outcome is Outcome.DID_IT else chance.choice((Rotation.SHORT, Rotation.OVER))
    keys = ("lift", "form", "rotation", "landing", "air_awareness")
    marks = {k: chance.choice((1, 2, 2, 3, 3)) for k in keys} if taken and who.id.int % 3 else {}
    return Attempt(
        id=UUID(int=chance.getrandbits(128)),
        camp=camp.id,
        athlete=who.id,
        rung=key,
        outcome=outcome,
        at=datetime.combine(camp.starts, datetime.min.time(), UTC)
        + timedelta(hours=9, minutes=who.id.int * 4 + n),
        rater="R. Marker",
        edition=camp.edition,
        help=helped if taken else None,
        take_off=TakeOff.TRAMPOLINE if taken else None,
        landing=Landing.SOFT_FLAT_MAT if taken else None,
        rotation=rotation if taken else None,
        marks=marks,
    )
