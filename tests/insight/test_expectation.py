"""How many were to be expected: the counts of pairs, the predictive distribution, the verdict."""

from fractions import Fraction
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from tests.insight.cast import LADDER, PIKE, TUCK, camp, girl, past, stood

from loftbook.errors import RangeError, UnknownThing
from loftbook.insight.expectation import Verdict, central_interval, expected, predictive
from loftbook.insight.pairing import Before, PairCounts, Today, pair_counts, today_counts
from loftbook.insight.standing import State

A, H, T, N = State.ALONE, State.HELPED, State.TRIED, State.NOT_TRIED
RUNG = LADDER.rung(TUCK)


@st.composite
def groups(draw):
    earlier = draw(st.integers(0, 60))
    return draw(st.integers(0, 20)), draw(st.integers(0, earlier)), earlier


# ---- the distribution ----


@given(groups())
def test_one_group_as_another_program_has_it(group):
    """Second engine: scipy's beta-binomial."""
    today, alone, earlier = group
    other = stats.betabinom(today, alone + 0.5, earlier - alone + 0.5).pmf(np.arange(today + 1))
    assert predictive([group]) == pytest.approx(other, abs=1e-10)


@given(st.lists(groups(), max_size=5))
def test_a_sum_of_groups_keeps_the_laws(several):
    """Law: it adds to one, and means and variances of independent parts add."""
    got = predictive(several)
    k = np.arange(len(got))
    parts = [stats.betabinom(n, a + 0.5, m - a + 0.5) for n, a, m in several if n]
    assert len(got) == 1 + sum(n for n, _, _ in several)
    assert got.sum() == pytest.approx(1, abs=1e-9)
    mean = got @ k
    assert mean == pytest.approx(sum(part.mean() for part in parts), abs=1e-7)
    assert got @ (k - mean) ** 2 == pytest.approx(sum(part.var() for part in parts), abs=1e-6)


@given(st.integers(0, 40))
def test_nothing_known_is_the_arc_sine_law(people):
    """Law: W. Feller, Introduction to Probability I, ch. III (from memory): C(2k,k) C(2n-2k,n-k) / 4^n."""
    law = [
        float(Fraction(comb(2 * k, k) * comb(2 * (people - k), people - k), 4**people))
        for k in range(people + 1)
    ]
    assert predictive([(people, 0, 0)]) == pytest.approx(law, rel=1e-10)


@given(groups())
def test_the_next_one_alone(group):
    """R. E. Krichevsky and V. K. Trofimov (1981), IEEE Trans. Inf. Theory 27 (from memory): (a + 1/2) / (n + 1)."""
    _, alone, earlier = group
    assert predictive([(1, alone, earlier)])[1] == pytest.approx((alone + 0.5) / (earlier + 1), rel=1e-12)


def test_the_order_of_the_groups_does_not_matter():
    several = [(5, 3, 9), (4, 0, 0), (7, 1, 12)]
    assert predictive(several) == pytest.approx(predictive(several[::-1]), rel=1e-12)


def test_five_thousand_in_a_group_still_add_to_one():
    assert predictive([(5000, 70_000, 100_000)]).sum() == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize("group", [(-1, 0, 0), (1, 3, 2), (1, -1, 2)])
def test_counts_that_cannot_be(group):
    with pytest.raises(RangeError):
        predictive([group])


# ---- the interval ----


@given(st.lists(groups(), min_size=1, max_size=4))
def test_the_interval_cuts_at_most_a_fortieth_on_either_side_and_is_the_shortest_that_does(several):
    chances = predictive(several)
    low, high = central_interval(chances)
    tail = 0.025 + 1e-9
    assert chances[:low].sum() <= tail
    assert chances[high + 1 :].sum() <= tail
    assert chances[: low + 1].sum() > 0.025 - 1e-9
    assert chances[high:].sum() > 0.025 - 1e-9


@given(groups())
def test_one_group_has_the_quantiles_of_another_program(group):
    """Second engine: scipy's quantiles of the beta-binomial, away from the jumps of its cumulative."""
    today, alone, earlier = group
    other = stats.betabinom(today, alone + 0.5, earlier - alone + 0.5)
    cumulative = other.cdf(np.arange(today + 1))
    if today == 0 or np.abs(cumulative - 0.025).min() < 1e-9 or np.abs(cumulative - 0.975).min() < 1e-9:
        return
    assert central_interval(predictive([group])) == (other.ppf(0.025), other.ppf(0.975))


def test_the_interval_keeps_its_promise():
    """Monte Carlo, seed 20: rates drawn from the prior, an earlier and a present camp drawn from each rate.

    At least 95 of 100 present camps must lie within; three standard errors of 20,000 draws are 0.5 %.
    """
    chance = np.random.default_rng(20)
    earlier, today, draws = 14, 9, 20_000
    bounds = [central_interval(predictive([(today, alone, earlier)])) for alone in range(earlier + 1)]
    rates = chance.beta(0.5, 0.5, draws)
    lows, highs = np.array(bounds)[chance.binomial(earlier, rates)].T
    now = chance.binomial(today, rates)
    assert np.mean((lows <= now) & (now <= highs)) >= 0.95 - 0.005


# ---- the counts ----


def test_pairs_are_counted_by_where_she_stood_at_the_camp_before():
    """Girl 1: first camp tried, then helped, alone, absent, alone. Girl 2: first camp alone, blank, tried."""
    rows = [stood(1, n, TUCK, state) for n, state in enumerate([T, H, A, State.ABSENT, A], start=1)]
    rows += [stood(2, n, TUCK, state) for n, state in enumerate([A, N, T], start=1)]
    found = pair_counts(past(*rows), before=camp(6).id)[TUCK]
    assert found.counts == {
        Before.FIRST_CAMP: (1, 2),  # girl 1 not, girl 2 alone
        Before.TRIED: (0, 1),
        Before.HELPED: (1, 1),
        Before.ALONE: (1, 1),  # over the camp she missed
        Before.NOT_SHOWN: (0, 1),  # girl 2 at camp 3
    }
    assert found.camps == 4


def test_today_and_later_are_not_among_the_earlier_pairs():
    rows = [stood(1, n, TUCK, A) for n in range(1, 6)]
    assert pair_counts(past(*rows), before=camp(3).id)[TUCK].counts == {
        Before.FIRST_CAMP: (1, 1),
        Before.ALONE: (1, 1),
    }
    assert pair_counts(past(*rows), before=camp(1).id) == {}
    with pytest.raises(UnknownThing):
        pair_counts(past(*rows), before=camp(9).id)


def test_a_rung_she_did_not_show_at_the_camp_before_counts_as_not_shown():
    rows = [stood(1, 1, TUCK, A), stood(1, 2, PIKE, A)]
    assert pair_counts(past(*rows), before=camp(3).id)[PIKE].counts == {Before.NOT_SHOWN: (1, 1)}


def test_today_leaves_out_whoever_shows_a_blank():
    states = [A, T, N, State.STOPPED, A]
    rows = [stood(n, 1, TUCK, A) for n in range(1, 5)]
    rows += [stood(n, 2, TUCK, state) for n, state in enumerate(states, start=1)]
    girls = [girl(n) for n in range(1, 8)]
    found = today_counts(camp(2), athletes=girls, history=past(*rows))
    assert found == {TUCK: Today(TUCK, {Before.ALONE: 2, Before.FIRST_CAMP: 1}, alone=2)}


@given(st.lists(st.lists(st.none() | st.sampled_from(list(State)), min_size=5, max_size=5), max_size=6))
def test_each_camp_s_today_joins_the_next_camp_s_past(lives):
    """Law: counts are conserved. What today has is what the past gains once today is past."""
    rows = [
        stood(who, at, TUCK, state)
        for who, states in enumerate(lives, start=1)
        for at, state in enumerate(states, start=1)
        if state is not None
    ]
    story, girls = past(*rows), [girl(n) for n in range(1, len(lives) + 1)]
    nothing = PairCounts(TUCK, {})
    for at in range(1, 6):
        before = pair_counts(story, before=camp(at).id).get(TUCK, nothing).counts
        after = pair_counts(story, before=camp(at + 1).id).get(TUCK, nothing).counts
        today = today_counts(camp(at), athletes=girls, history=story).get(TUCK, Today(TUCK, {}, 0))
        for group in Before:
            assert after.get(group, (0, 0))[1] - before.get(group, (0, 0))[1] == today.groups.get(group, 0)
        gained = sum(a for a, _ in after.values()) - sum(a for a, _ in before.values())
        assert gained == today.alone


# ---- the verdict ----


def say(groups_today, alone, counts, **facts):
    return expected(RUNG, Today(TUCK, groups_today, alone), pairs=PairCounts(TUCK, counts, 3), **facts)


MOSTLY = {Before.ALONE: (38, 40), Before.TRIED: (4, 40)}


@pytest.mark.parametrize(
    ("alone", "verdict"), [(3, Verdict.FEWER), (10, Verdict.AS_EXPECTED), (19, Verdict.MORE)]
)
def test_more_fewer_or_as_expected(alone, verdict):
    found = say({Before.ALONE: 10, Before.TRIED: 10}, alone, MOSTLY)
    assert found.verdict is verdict
    assert found.low <= found.mean <= found.high
    assert f"{alone} of the 20 who showed it did it alone" in found.sentence
    assert f"{found.low} to {found.high} in 95 of 100" in found.sentence
    assert verdict.value in found.sentence


def test_both_ends_of_the_range_are_as_expected():
    today = {Before.ALONE: 10, Before.TRIED: 10}
    band = say(today, 10, MOSTLY)
    verdicts = [say(today, n, MOSTLY).verdict for n in (band.low - 1, band.low, band.high, band.high + 1)]
    assert verdicts == [Verdict.FEWER, Verdict.AS_EXPECTED, Verdict.AS_EXPECTED, Verdict.MORE]


def test_the_mean_is_that_of_the_groups():
    """By hand: 10 x 38.5/41 + 10 x 4.5/41 = 10.49 (mean of a beta-binomial: n a / (a + b))."""
    assert say({Before.ALONE: 10, Before.TRIED: 10}, 10, MOSTLY).mean == pytest.approx(430 / 41)


@pytest.mark.parametrize(("earlier", "can"), [(7, False), (8, True)])
def test_too_few_pairs_and_it_says_so(earlier, can):
    found = say({Before.ALONE: 5}, 0, {Before.ALONE: (earlier, earlier)})
    assert (found.verdict is not Verdict.CANNOT_SAY) == can
    assert ("8 are needed" in found.sentence) == (not can)
    assert f"{earlier} earlier showings" in found.sentence


def test_pairs_of_groups_that_nobody_is_in_today_do_not_count():
    found = say({Before.TRIED: 5}, 0, {Before.ALONE: (40, 40), Before.TRIED: (1, 3)})
    assert (found.pairs, found.verdict) == (3, Verdict.CANNOT_SAY)


def test_another_minimum():
    assert say({Before.ALONE: 5}, 5, {Before.ALONE: (3, 3)}, minimum=3).verdict is Verdict.AS_EXPECTED


def test_an_empty_book():
    found = expected(RUNG, Today(TUCK, {Before.FIRST_CAMP: 4}, 2), pairs=None)
    assert (found.verdict, found.pairs, found.low, found.high) == (Verdict.CANNOT_SAY, 0, 0, 4)
    assert "no earlier showings" in found.sentence


def test_nobody_showed_it():
    found = say({}, 0, MOSTLY)
    assert (found.verdict, found.people, found.low, found.high) == (Verdict.CANNOT_SAY, 0, 0, 0)
    assert found.sentence == "Double tuck: nobody showed it, so there is nothing to compare."


def test_a_group_nobody_has_data_for_widens_and_is_named():
    narrow = say({Before.ALONE: 10}, 9, MOSTLY)
    wide = say({Before.ALONE: 10, Before.FIRST_CAMP: 5}, 9, MOSTLY)
    assert wide.high - wide.low >= narrow.high - narrow.low + 4
    assert wide.unheard == (Before.FIRST_CAMP,)
    assert "For the 5 at their first camp the book holds no earlier showing" in wide.sentence
    assert narrow.unheard == ()


def test_a_rung_in_the_belt_is_not_called_alone():
    today = Today("full_in_belt", {Before.ALONE: 5}, 5)
    said = expected(LADDER.rung("full_in_belt"), today, pairs=None).sentence
    assert "5 of the 5 who showed it did it as it asks (belt, slack, or less help)" in said


def test_an_impossible_today_is_told():
    with pytest.raises(RangeError, match="7 alone of 5"):
        say({Before.ALONE: 5}, 7, MOSTLY)


def test_nothing_is_expected_of_children_unlike_those_before():
    """Twenty-four first camps say nothing of sixteen who come back: common sense, no source."""
    today = Today("r", {Before.ALONE: 16, Before.FIRST_CAMP: 2}, alone=9)
    found = expected(RUNG, today, pairs=PairCounts("r", {Before.FIRST_CAMP: (12, 24)}, 1))
    assert found.verdict is Verdict.CANNOT_SAY
    assert "at least half are needed" in found.sentence
