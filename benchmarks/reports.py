"""How fast letters, lists and pictures are made."""

from __future__ import annotations

from random import Random
from uuid import UUID

from tests.desk import cast
from tests.reports.cast import camp_list_facts, invented_camps, letter_facts

from benchmarks.registry import Row, bench, median_of
from loftbook.desk import Desk
from loftbook.desk.batch import papers_of_camp
from loftbook.reports.charts.history import rung_history
from loftbook.reports.pdf import write_pdf, write_pdfs
from loftbook.reports.sheets.camp_lists.compose import compose as compose_lists
from loftbook.reports.sheets.letter.compose import compose as compose_letter


@bench("paper", "letters and camp lists of an invented camp of 24, as PDF")
def paper() -> list[Row]:
    """Composing and setting; the fonts are read once and stay in memory."""
    book = invented_camps()
    facts = [letter_facts(book, athlete) for athlete in book.athletes]
    lists = camp_list_facts(book)
    results = book.results(book.athletes[0])
    name = book.athletes[0].name.full
    return [
        Row("24 letters", median_of(lambda: write_pdfs([compose_letter(one) for one in facts])), "s", 3.0),
        Row("one letter", 1e3 * median_of(lambda: write_pdf(compose_letter(facts[0]))), "ms"),
        Row("camp lists", 1e3 * median_of(lambda: write_pdf(compose_lists(lists))), "ms"),
        Row("one history picture", 1e3 * median_of(lambda: rung_history(name, book.ladder, results)), "ms"),
    ]


@bench("papers", "every paper of an invented camp of 60, from the book to PDF")
def papers() -> list[Row]:
    """Letter, parent's copy and her own sheet for each, and the camp's own papers; the fonts are read once."""
    desk, camp = _camp_of(60)
    count = 0

    def all_of_them() -> None:
        nonlocal count
        count = sum(1 for _ in papers_of_camp(desk, camp))

    seconds = median_of(all_of_them, repeats=3)
    desk.store.close()
    return [Row("all papers", seconds, "s", 15.0), Row("how many", float(count), "papers")]


def _camp_of(children: int) -> tuple[Desk, UUID]:
    """A book in memory: three camps, three rungs with marks for each child."""
    desk, chance = cast.a_desk(), Random(7)
    who = cast.bring(desk, *(cast.child(f"Given{n}", f"Family{n}") for n in range(children)))
    keys = [one.key for one in desk.ladder.criteria]
    camp = None
    for day in (cast.SPRING_25, cast.AUTUMN_25, cast.SPRING_26):
        camp = cast.a_camp(desk, f"Camp {day}", day)
        cast.expect(desk, camp, who)
        turns = []
        for one in who:
            for rung in (cast.TUCK, cast.PIKE, cast.OPEN):
                helped = chance.choice(["nobody_in", "nobody_in", "hand_light", "belt_light"])
                marks = {key: chance.choice([1, 2, 3]) for key in keys}
                turns.append(cast.payload(camp, one, rung, help=helped, marks=marks))
        cast.write(desk, *turns)
    assert camp is not None
    return desk, camp.id
