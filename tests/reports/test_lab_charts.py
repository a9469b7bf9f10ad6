"""The lab's drawings: every band in words, no row without its name, strokes where the numbers are."""

import re

from loftbook.mechanics import Band
from loftbook.reports.charts.flight_strip import StripFigure, flight_strip, landing_fan
from loftbook.reports.charts.margins import MarginRow, group_bands, margin_bands

BAND = Band(-0.6, -0.3, 0.0)


def places(svg: str, colour: str = "--lb-finding") -> list[float]:
    """Left ends of the horizontal strokes in the second ink."""
    found = re.findall(
        r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)" stroke="var\(' + colour, svg
    )
    return [float(a) for a, b, c, d in found if b == d and a != c]


def test_every_row_is_told_in_words_and_order():
    rows = [MarginRow("Zofia", BAND, filmed=True), MarginRow("Ada", None), MarginRow("<b>", BAND)]
    alt = margin_bands("Next", rows).alt
    assert alt.index("Zofia: 110° short (220° short to just enough), measured on film.") < alt.index(
        "Ada: nothing says"
    )
    assert "<b>" not in margin_bands("Next", rows).svg


def test_a_band_stands_where_its_numbers_are():
    for width in (330.0, 680.0):
        left = places(margin_bands("Next", [MarginRow("a", BAND)], width=width).svg)
        # law: the scale runs from one turn short to half a turn over, with four pixels at each side
        assert left == [round(4 + (width - 8) * 0.4 / 1.5, 2)]


def test_a_group_names_the_rung_beside_the_child():
    assert "Mira, open tuck" in group_bands("Next", [("Mira", "Open tuck", BAND, False)]).alt


def test_nothing_to_show_is_said():
    assert margin_bands("Next", []).alt == "Next: nothing to show."
    assert flight_strip("A double", []).alt == "A double: nothing to show."
    assert landing_fan("Landings", []).alt == "Landings: nothing to show."


def test_a_strip_has_a_figure_for_each_instant():
    names = ("mid_hip", "waist", "chest", "neck", "crown")
    sides = ("hip", "knee", "ankle", "toes", "shoulder", "elbow", "wrist", "fingers")
    points = dict.fromkeys((*names, *(f"{s}_{j}" for s in ("left", "right") for j in sides)), (0.0, 1.0))
    drawn = flight_strip("A double", [StripFigure(0.1 * n, points) for n in range(4)])
    assert drawn.svg.count("<circle") == 4
    assert "4 figures" in drawn.alt


def test_every_landing_is_a_stroke_and_far_ones_stay_in_the_picture():
    drawn = landing_fan("Landings", [0.0, 2000.0, -30.0], width=400)
    strokes = re.findall(r'<line x1="([\d.]+)"[^>]*stroke-width="1.1"', drawn.svg)
    assert len(strokes) == 3
    assert all(0 <= float(x) <= 400 for x in strokes)
