"""How fast letters, lists and pictures are made."""

from __future__ import annotations

from tests.reports.cast import camp_list_facts, invented_camps, letter_facts

from benchmarks.registry import Row, bench, median_of
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
