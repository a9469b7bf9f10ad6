"""The interval of a share, against print, laws and other programs (more in loftbook check)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from loftbook.errors import RangeError
from loftbook.insight.wilson import Interval, wilson

CONFIDENCES = st.floats(0.5, 0.999)


@st.composite
def counts(draw):
    trials = draw(st.integers(1, 3000))
    return draw(st.integers(0, trials)), trials


# R. G. Newcombe (1998), Statistics in Medicine 17, 857-872, table I, method 3: values from memory.
@pytest.mark.parametrize(
    ("successes", "trials", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_as_printed(successes, trials, low, high):
    got = wilson(successes, trials)
    assert (got.low, got.high) == pytest.approx((low, high), abs=0.00005)  # four figures are printed


@given(counts(), CONFIDENCES)
def test_as_another_program_has_it(count, confidence):
    """Second engine: statsmodels."""
    got = wilson(*count, confidence=confidence)
    other = proportion_confint(*count, alpha=1 - confidence, method="wilson")
    assert (got.low, got.high) == pytest.approx(other, abs=1e-12)


@given(counts())
def test_both_ends_solve_the_equation_that_defines_them(count):
    """Law: at an end p, |share - p| is z standard errors of p. 1.959964: the normal quantile, any table."""
    successes, trials = count
    got, share = wilson(successes, trials), successes / trials
    for end in (got.low, got.high):
        assert (share - end) ** 2 == pytest.approx(1.959963985**2 * end * (1 - end) / trials, abs=1e-9)


@given(counts())
def test_it_holds_the_share_and_mirrors(count):
    successes, trials = count
    got, mirrored = wilson(successes, trials), wilson(trials - successes, trials)
    assert 0 <= got.low < got.high <= 1
    assert successes / trials in got
    assert (got.low, got.high) == pytest.approx((1 - mirrored.high, 1 - mirrored.low), abs=1e-12)


@given(counts(), CONFIDENCES)
def test_more_of_the_same_narrows_and_more_confidence_widens(count, confidence):
    successes, trials = count
    one, ten = (
        wilson(*count, confidence=confidence),
        wilson(10 * successes, 10 * trials, confidence=confidence),
    )
    assert ten.high - ten.low < one.high - one.low
    sure = wilson(*count, confidence=confidence + (1 - confidence) / 2)
    assert sure.low <= one.low
    assert one.high <= sure.high


def test_the_ends_are_exact():
    assert wilson(0, 7).low == 0.0
    assert wilson(7, 7).high == 1.0
    assert wilson(0, 0) == Interval(0.0, 1.0)


@pytest.mark.parametrize(("successes", "trials"), [(-1, 3), (4, 3), (0, -1)])
def test_counts_that_cannot_be(successes, trials):
    with pytest.raises(RangeError, match=f"{successes} of {trials}"):
        wilson(successes, trials)


@pytest.mark.parametrize("confidence", [0.0, 1.0, 95, float("nan")])
def test_a_confidence_that_cannot_be(confidence):
    with pytest.raises(RangeError, match="confidence"):
        wilson(1, 2, confidence=confidence)
