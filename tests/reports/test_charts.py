"""Drawings: well formed, told in words, inside their frame, and readable without colour."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID
from xml.etree.ElementTree import Element, fromstring

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.reports.cast import CAMPS, invented_camps

from loftbook.book.people import Height
from loftbook.insight.inventory import inventory
from loftbook.insight.standing import Standing, State
from loftbook.reports.charts.bars import IntervalRow, interval_bars, share_bars
from loftbook.reports.charts.drawing import FINDING, INK, PAPER, QUIET, for_print, shortened, text_width
from loftbook.reports.charts.heights import height_history
from loftbook.reports.charts.history import CampResults, rung_history
from loftbook.reports.charts.marks import MARK_ORDER, state_mark

BOOK = invented_camps()
LADDER = BOOK.ladder
SVG = "{http://www.w3.org/2000/svg}"
TEXTS = st.text(max_size=40)
PEOPLE = st.floats(0, 500)


def read(drawing) -> Element:
    """The drawing as a reader of XML sees it, checked for what every drawing must have."""
    root = fromstring(drawing.svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root.get("aria-label") == drawing.alt
    assert [float(n) for n in root.get("viewBox").split()] == pytest.approx(
        [0, 0, drawing.width, drawing.height], abs=0.01
    )
    assert not [node for node in root.iter() if node.get("style") or node.tag == f"{SVG}style"]
    stay_inside(root, drawing)
    return root


def stay_inside(root: Element, drawing) -> None:
    """Every coordinate lies in the view box."""
    slack = 0.5  # half a pixel: numbers are rounded to hundredths, strokes are a pixel wide
    for node in root.iter():
        for names, end in (
            (("x", "x1", "x2", "cx"), drawing.width),
            (("y", "y1", "y2", "cy"), drawing.height),
        ):
            for name in names:
                if (told := node.get(name)) is not None:
                    assert -slack <= float(told) <= end + slack, (node.tag, name, told)
        if node.tag == f"{SVG}rect":
            assert float(node.get("x")) + float(node.get("width")) <= drawing.width + slack


def spoken(root: Element) -> list[str]:
    return [node.text or "" for node in root.iter(f"{SVG}text")]


def of_one(states, *, camps=CAMPS, rung="double_tuck"):
    """One gymnast's results on one rung, a state for each camp."""
    who = UUID(int=1)
    return [
        CampResults(camp, (Standing(who, camp.id, rung, state),))
        for camp, state in zip(camps, states, strict=True)
    ]


def test_a_history_says_each_state_in_a_word_and_in_its_description():
    states = (State.TRIED, State.HELPED, State.DECLINED, State.ALONE)
    drawn = rung_history("Mira Nettle", LADDER, of_one(states))
    told = spoken(read(drawn))
    assert "tried, not yet" in told
    assert "declined" in told
    assert "alone" in told
    assert drawn.alt.startswith("Rungs of Mira Nettle over 4 camps, oldest first.")
    for state in states:
        assert state.words in drawn.alt
    for camp in CAMPS:
        assert camp.name in drawn.alt


def test_a_narrow_history_moves_the_words_into_a_legend():
    drawn = rung_history("Mira", LADDER, of_one((State.ALONE,) * 3 + (State.STOPPED,)), width=320)
    told = spoken(read(drawn))
    assert told.count("alone") == 1
    assert told.count("stopped") == 1


def test_twenty_camps_fit():
    camps = [
        replace(CAMPS[0], id=UUID(int=n), starts=CAMPS[0].starts + timedelta(days=183 * n)) for n in range(20)
    ]
    read(rung_history("Mira", LADDER, of_one([State.ALONE] * 20, camps=camps)))


def test_a_history_without_camps_says_so():
    assert rung_history("Mira", LADDER, []).alt == "Rungs of Mira: nothing written yet."


def test_nothing_written_is_no_mark():
    drawn = rung_history("Mira", LADDER, of_one((State.NO_RECORD,) * 4), rungs=["double_tuck"])
    assert "Double tuck: nothing written." in drawn.alt
    assert not list(read(drawn).iter(f"{SVG}path"))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(list(State)), min_size=1, max_size=24), st.integers(300, 900), TEXTS)
def test_any_history_stays_in_its_frame(states, width, name):
    camps = [
        replace(CAMPS[0], id=UUID(int=n), name=name, starts=CAMPS[0].starts + timedelta(days=90 * n))
        for n in range(len(states))
    ]
    read(rung_history(name, LADDER, of_one(states, camps=camps), width=width))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(TEXTS, PEOPLE, PEOPLE, PEOPLE, st.none() | PEOPLE), max_size=8),
    PEOPLE,
    st.integers(240, 900),
)
def test_any_bars_stay_in_their_frame(rows, total, width):
    made = [IntervalRow(label, seen, low, high, middle) for label, seen, low, high, middle in rows]
    read(interval_bars("Any", made, total=total, width=width))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.5, 2.4), st.none() | st.dates(date(2000, 1, 1), date(2060, 1, 1))), max_size=12
    )
)
def test_any_heights_stay_in_their_frame(pairs):
    read(height_history("Mira", [Height(metres, on) for metres, on in pairs]))


def test_bars_tell_count_and_interval():
    found = inventory(CAMPS[-1], LADDER, athletes=BOOK.athletes, standings=BOOK.standings)
    drawn = share_bars(found, LADDER)
    told = spoken(read(drawn))
    for one in found.rungs:
        assert f"{len(one.alone)} of {one.shown}" in told
        assert one.share.words in told
        assert f"{len(one.alone)} of {one.shown} ({one.share.words})" in drawn.alt
    assert "95 % interval" in drawn.alt


def test_a_whisker_of_the_second_ink_spans_the_interval():
    drawn = interval_bars("Any", [IntervalRow("One", 5, 2, 8)], total=10)
    lines = [n for n in read(drawn).iter(f"{SVG}line") if n.get("stroke") == FINDING]
    flat = next(n for n in lines if n.get("y1") == n.get("y2"))
    bar = max((n for n in read(drawn).iter(f"{SVG}rect")), key=lambda n: float(n.get("width")))
    start, wide = float(bar.get("x")), float(bar.get("width"))  # the bar of five people
    assert float(flat.get("x1")) == pytest.approx(start + wide * 2 / 5, abs=0.1)
    assert float(flat.get("x2")) == pytest.approx(start + wide * 8 / 5, abs=0.1)


def test_each_state_has_a_form_of_its_own_and_colour_says_nothing():
    forms = {}
    for state in MARK_ORDER:
        drawn = state_mark(state)
        root = read(drawn)
        assert drawn.alt == state.words
        colours = {node.get(name) for node in root.iter() for name in ("fill", "stroke")} - {None}
        assert colours <= {INK, PAPER}
        forms[drawn.svg.partition("aria-label")[2].partition(">")[2]] = state
    assert len(forms) == len(State)


def luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("ink", [INK, FINDING, QUIET])
def test_inks_can_be_read_on_paper(ink):
    # WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1.
    paper, print_safe = (
        luminance(for_print(f'"{PAPER}"').strip('"')),
        luminance(for_print(f'"{ink}"').strip('"')),
    )
    assert (paper + 0.05) / (print_safe + 0.05) >= 4.5


def test_words_are_text_and_literal():
    camps = [replace(CAMPS[0], name='<b>&"x"</b>', id=UUID(int=n)) for n in range(4)]
    drawn = rung_history('<script>"&', LADDER, of_one((State.ALONE,) * 4, camps=camps))
    root = read(drawn)
    assert '<script>"&' in root.get("aria-label")
    assert '<b>&"x"</b>' in spoken(root)
    assert not list(root.iter(f"{SVG}script"))


def test_for_print_leaves_no_variable():
    drawn = rung_history("Mira", LADDER, of_one((State.ALONE,) * 4))
    assert "var(" in drawn.svg
    assert "var(" not in for_print(drawn.svg)


@given(TEXTS, st.floats(10, 400))
def test_a_shortened_text_fits(text, room):
    fit = shortened(text, 12, room)
    assert fit in (text, "…") or text_width(fit, 12) <= room


def test_heights_without_a_day_are_counted_in_words():
    told = height_history("Mira", [Height(1.4), Height(1.42, date(2025, 4, 12))]).alt
    assert told.endswith("142.0 cm on 12 April 2025. 1 more without a day.")
