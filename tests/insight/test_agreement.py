"""How alike two people mark: laws that hold for any marks, small numbers that stay small, and the error of a mark."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import numpy as np
import pytest

from loftbook.book.attempts import Attempt
from loftbook.book.identity import same_fact
from loftbook.book.turns import marked_together, markings, remarkings
from loftbook.errors import RangeError
from loftbook.insight.agreement.coefficients import (
    alike,
    alpha,
    gwet,
    identity_weights,
    kappa,
    linear_weights,
    quadratic_weights,
)
from loftbook.insight.agreement.criteria import (
    CAME_ROUND,
    OUTCOME,
    agreement_of,
    least_alike,
    more_turns,
)
from loftbook.insight.agreement.drift import remarked
from loftbook.insight.agreement.error import mark_error
from loftbook.insight.agreement.intervals import estimate
from loftbook.insight.agreement.tally import tally
from loftbook.insight.wilson import wilson
from loftbook.ladder.scales import Outcome, Rotation
from loftbook.ladder.shipped import shipped_ladder

LADDER = shipped_ladder()
DAY = datetime(2026, 4, 11, 9, tzinfo=UTC)


def mark(number, rater="Q", second=False, after=timedelta(0), **more):
    """One mark of turn `number`, of child `number // 2`."""
    told = {"outcome": Outcome.DID_IT, "marks": {}, "turn": 1 + number % 2, "edition": "1"} | more
    key = same_fact(str(number), rater, str(second), str(after))
    who = UUID(int=1 + number // 2)
    return Attempt(
        id=key,
        camp=UUID(int=7),
        athlete=who,
        rung="double_tuck",
        at=DAY + timedelta(minutes=number) + after,
        rater=rater,
        second=second,
        **told,
    )


def both(number, first, second, key="form"):
    return (mark(number, marks={key: first}), mark(number, "R", second=True, marks={key: second}))


def form(pairs):
    return agreement_of([both(n, a, b) for n, (a, b) in enumerate(pairs)], LADDER)["form"]


class TestCoefficients:
    def test_who_sits_where_changes_nothing_but_the_columns(self):
        turns = [(0, 1), (1, 1), (2, 1), (2, 2), (0, 0), (1, 2), (1, 1)]
        turned = [(b, a) for a, b in turns]
        for one in (alike, kappa, gwet):
            for weights in (identity_weights(3), linear_weights(3), quadratic_weights(3)):
                there, back = (one(tally(t, categories=3).summed(), weights).value for t in (turns, turned))
                # law: the definitions are symmetric in the two raters
                assert there == pytest.approx(back, abs=1e-12)

    def test_marks_all_alike_are_one(self):
        counts = tally([(0, 0), (1, 1), (2, 2)], categories=3).summed()
        values = [one(counts, identity_weights(3)).value for one in (alike, kappa, gwet)]
        # law: nothing differs, so the disagreement is none of what chance would make
        assert np.allclose([*values, alpha(counts, "ordinal").value], 1.0, atol=1e-12)

    def test_one_and_the_same_mark_throughout_leaves_kappa_without_an_answer(self):
        counts = tally([(2, 2)] * 8, categories=3)
        # law: with one mark only chance is certain to agree, and nothing can be divided by nothing
        assert estimate(counts, lambda c: kappa(c, identity_weights(3))).value is None
        assert estimate(counts, lambda c: alpha(c, "nominal")).words == "cannot be worked out"
        assert float(gwet(counts.summed(), identity_weights(3)).value) == 1.0

    def test_a_turn_with_one_mark_says_nothing_of_alike(self):
        turns = [(0, 1), (1, 1), (2, 2)]
        more = [*turns, (2, None), (None, 0)]
        metric = alpha(tally(turns, categories=3).summed(), "ordinal").value
        # law: Krippendorff's alpha takes pairable marks only
        assert alpha(tally(more, categories=3).summed(), "ordinal").value == metric

    def test_a_mark_off_the_scale_is_told(self):
        with pytest.raises(RangeError, match="places from 0 to 2"):
            tally([(0, 3)], categories=3)


class TestIntervals:
    def test_twelve_alike_are_not_certainty(self):
        found = estimate(tally([(0, 0), (1, 1)] * 6, categories=2), lambda c: alike(c, identity_weights(2)))
        # Wilson: 12 of 12 is 75.7 % to 100 %; n / (n + z squared)
        assert found.low == pytest.approx(12 / (12 + 1.959963984540054**2), abs=1e-9)
        assert found.high == 1.0

    def test_the_same_book_says_the_same_twice(self):
        counts = tally([(0, 1), (1, 1), (0, 0)] * 5, categories=2, children=range(15))
        one, two = (estimate(counts, lambda c: gwet(c, identity_weights(2))) for _ in range(2))
        assert one == two

    def test_turns_of_one_child_count_for_less_than_turns_of_many(self):
        turns = ([(0, 0), (1, 1), (2, 2)] * 2 + [(0, 2)] * 2) * 4
        apart = tally(turns, categories=3)
        together = tally(
            turns, categories=3, children=[int(a != b) * 4 + n % 4 for n, (a, b) in enumerate(turns)]
        )
        wide = [
            (e := estimate(counts, lambda c: gwet(c, linear_weights(3)))).high - e.low
            for counts in (apart, together)
        ]
        # law of cluster sampling: where disagreement sits in few children, the interval is wider
        assert wide[1] > wide[0]


class TestCriteria:
    def test_few_turns_get_counts_and_how_many_more(self):
        found = form([(2, 2)] * 7 + [(2, 3)] * 2)
        assert (found.turns, found.equal, found.children) == (9, 7, 5)
        assert not found.told
        assert found.kappa is None
        assert found.more == more_turns(7, 9) > 50

    def test_ten_turns_get_coefficients(self):
        found = form([(1, 1), (2, 2), (3, 3), (2, 3), (1, 2)] * 2)
        assert found.told
        assert found.kappa_linear is not None
        assert found.ac.low < found.ac.value < found.ac.high

    @pytest.mark.parametrize(("equal", "turns"), [(0, 0), (3, 3), (7, 9), (27, 30), (20, 40)])
    def test_so_many_more_are_enough_and_one_fewer_is_not(self, equal, turns):
        now = wilson(equal, turns)
        share = min(max(0.5, now.low), now.high)
        needed = turns + more_turns(equal, turns)
        found, fewer = (wilson(share * n, n) for n in (needed, needed - 1))
        # the stated rule: a 95 % interval of 20 points, from 30 turns on
        assert found.high - found.low <= 0.2
        assert needed == 30 or fewer.high - fewer.low > 0.2

    def test_a_blank_of_one_is_no_pair_of_outcomes(self):
        seen = [(mark(n), mark(n, "R", second=True, outcome=Outcome.STOPPED)) for n in range(4)]
        assert agreement_of(seen, LADDER)[OUTCOME].turns == 0

    def test_how_it_came_round_has_an_order(self):
        seen = [
            (mark(n, rotation=a), mark(n, "R", second=True, rotation=b))
            for n, (a, b) in enumerate([(Rotation.SHORT, Rotation.ON), (Rotation.ON, Rotation.ON)] * 10)
        ]
        found = agreement_of(seen, LADDER)[CAME_ROUND]
        assert (found.turns, found.equal) == (20, 10)
        assert found.error.apart == (0.5, 0.0)

    def test_the_least_alike_comes_with_those_that_cannot_be_told_from_it(self):
        good, bad = [(1, 1), (2, 2), (3, 3)] * 14, [(1, 1), (3, 1), (1, 3)] * 14
        turns = []
        for n, (a, b) in enumerate(zip(good, bad, strict=True)):
            marks = ({"form": a[0], "lift": b[0], "hands": b[0]}, {"form": a[1], "lift": b[1], "hands": b[1]})
            turns.append((mark(n, marks=marks[0]), mark(n, "R", second=True, marks=marks[1])))
        assert {one.scale.key for one in least_alike(agreement_of(turns, LADDER).values())} == {
            "lift",
            "hands",
        }


class TestError:
    def test_marks_that_repeat_tell_one_level(self):
        assert mark_error(tally([(1, 1), (2, 2), (0, 0)] * 20, categories=3)).told_from == 1

    def test_a_quarter_one_level_apart_tells_two_levels_only(self):
        """The smallest change alone would be 0.98 of a level, and call one level in four a change of nothing."""
        found = mark_error(tally([(1, 1), (2, 2), (0, 0), (1, 2)] * 30, categories=3))
        # law: the root of 2 cancels, so 1.95996 times the root of one quarter is left
        assert found.smallest.value == pytest.approx(0.97998, abs=1e-5)
        assert found.told_from == 2

    def test_under_thirty_turns_tell_nothing(self):
        assert mark_error(tally([(1, 1)] * 29, categories=3)).told_from is None

    def test_a_rater_who_always_marks_lower_is_error_too(self):
        found = mark_error(tally([(1, 0), (2, 1)] * 20, categories=3))
        # law: mean square of the differences 1, half of it the error squared
        assert found.error.value == pytest.approx(np.sqrt(0.5))
        assert found.told_from is None


class TestDrift:
    LATER = timedelta(days=180)

    def pairs(self, moves):
        rows = []
        for n, (then, now) in enumerate(moves):
            rows += [
                mark(n, marks={"form": then}),
                mark(n, second=True, after=self.LATER, marks={"form": now}),
            ]
        return remarkings(rows)

    def one(self, moves):
        (found,) = remarked(self.pairs(moves), LADDER)
        return next(drift for drift in found.drifts if drift.scale.key == "form")

    def test_lower_later_is_told(self):
        found = self.one([(3, 2), (2, 2), (2, 1), (3, 3)] * 5)
        assert found.moved.value == -0.5
        assert found.words == "later marks are lower"

    def test_alike_is_no_proof_of_no_drift(self):
        found = self.one([(2, 2), (3, 3)] * 6)
        # Wilson: none of 12 may still be 24 %, each by a level
        assert (found.moved.low, found.moved.high) == pytest.approx((-0.2425, 0.2425), abs=1e-4)
        assert found.words == "no drift that can be told"

    def test_few_are_too_few(self):
        assert self.one([(3, 2)] * 9).words == "too few turns to say"


class TestWhichMarksBelongTogether:
    def test_a_mark_from_a_clip_is_a_remark_and_no_second_rater(self):
        rows = [mark(1), mark(1, second=True, after=timedelta(days=8))]
        assert marked_together(rows) == ()
        assert len(remarkings(rows)) == 1

    def test_one_person_on_two_devices_is_neither(self):
        rows = [mark(1), mark(1, second=True, after=timedelta(seconds=2))]
        assert (markings(rows), remarkings(rows)) == ((), ())

    def test_a_remark_leaves_the_pair_of_the_day(self):
        rows = [mark(1), mark(1, "R", second=True), mark(1, second=True, after=timedelta(days=200))]
        (pair,) = markings(rows)
        assert (pair.first.rater, pair.second.rater) == ("Q", "R")
        assert [p.earlier.rater for p in remarkings(rows)] == ["Q"]

    def test_three_people_are_one_turn_with_three_marks(self):
        rows = [mark(1, "S", second=True), mark(1, "R", second=True), mark(1)]
        assert [[a.rater for a in marks] for marks in marked_together(rows)] == [["Q", "R", "S"]]
