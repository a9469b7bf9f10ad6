"""A camp's page: every child in exactly one place, what changed, and what was to be expected."""

import random
from datetime import date, timedelta

import pytest
from scipy.stats import betabinom
from starlette.testclient import TestClient
from tests.desk import cast
from tests.desk.cast import OPEN, PIKE, TUCK, a_camp, blank, bring, child, payload, write
from tests.reports.reading import words

from loftbook.cli.words import camp_lines
from loftbook.desk.answers import camp_answer
from loftbook.desk.people import find_camp
from loftbook.desk.printing import camp_lists_pdf
from loftbook.insight.change import ChangeKind
from loftbook.insight.change_told import told
from loftbook.insight.expectation import MINIMUM_PAIRS, Verdict
from loftbook.insight.history import history_of
from loftbook.insight.pairing import pair_counts
from loftbook.insight.standing import State
from loftbook.store import camps, pairs, standings
from loftbook.web import create_app


def places(rung):
    """Everybody on one rung of an inventory, each as often as she stands there."""
    helped = [who for one in rung.helped for who in one.athletes]
    tried = [who for one in rung.tried for who in one.athletes]
    blanks = [who for group in rung.blanks.values() for who in group]
    return [*rung.alone, *helped, *tried, *blanks]


def kinds(answer, rung=TUCK):
    return {change.athlete: change.kind for change in answer.changes if change.rung == rung}


def test_it_works(made):
    write(
        made.desk,
        payload(made.autumn, made.mira),
        payload(made.today, made.mira),
        payload(made.today, made.noa, help="belt_light"),
        payload(made.today, made.otylia, outcome="tried", rotation="short"),
        blank(made.today, made.petra, outcome="declined"),
    )
    answer = camp_answer(made.desk, made.today.id)
    tuck = answer.inventory.rung(TUCK)
    assert tuck.alone == (made.mira,)
    assert [(one.help.key, one.athletes) for one in tuck.helped] == [("belt_light", (made.noa,))]
    assert [(one.how, one.athletes) for one in tuck.tried] == [("short", (made.otylia,))]
    assert tuck.blanks[State.DECLINED] == (made.petra,)
    assert tuck.blanks[State.NO_RECORD] == (made.rika,)
    assert (answer.previous, answer.turns, answer.invented) == (made.autumn, 3, True)
    assert kinds(answer)[made.mira] is ChangeKind.HELD
    assert list(answer.athletes) == list(made.everyone)


@pytest.mark.parametrize("name", ["2025-04-12", "2025-10-18"])
def test_every_child_of_the_lists_is_in_exactly_one_place_on_each_rung(desk, name):
    cast.imported(desk)
    answer = camp_answer(desk, find_camp(desk, name).id)
    assert len(answer.athletes) == 28
    for rung in answer.inventory.rungs:
        assert sorted(places(rung)) == sorted(answer.athletes), rung.rung
    shown = [who for pattern in answer.inventory.patterns for who in pattern.athletes]
    assert sorted(shown) == sorted(answer.athletes)
    for rung in answer.rungs:
        assert sorted(kinds(answer, rung.key)) == sorted(answer.athletes)


def test_counted_by_hand_from_the_spring_list(desk):
    """The column of double tucks in camp-spring.csv: ticks, help, no, stopped, absent, empty."""
    cast.imported(desk)
    tuck = camp_answer(desk, find_camp(desk, "2025-04-12").id).inventory.rung(TUCK)
    cells = [
        line.replace('", ', "").rsplit(",", 3)[1]
        for line in cast.shipped("camp-spring.csv").decode().splitlines()[3:-2]
    ]
    ticks = sum(cell in ("yes", "✓", "X", "x") for cell in cells)
    assert len(tuck.alone) == ticks == 18
    assert (
        sum(len(one.athletes) for one in tuck.helped) == sum(c in ("S", "spot", "belt") for c in cells) == 4
    )
    assert sum(len(one.athletes) for one in tuck.tried) == cells.count("no") == 2
    assert {state: len(who) for state, who in tuck.blanks.items() if who} == {
        State.STOPPED: cells.count("stopped"),
        State.ABSENT: cells.count("abs"),
        State.NO_RECORD: cells.count(""),
    }


def test_the_words_of_every_change(made):
    """New, held, back again, not now, still learning, cannot tell, first camp: one child each way."""
    write(
        made.desk,
        payload(made.spring, made.mira, help="hand_light"),
        payload(made.today, made.mira),
        payload(made.spring, made.noa),
        payload(made.today, made.noa),
        payload(made.spring, made.otylia),
        payload(made.autumn, made.otylia, help="hand_light"),
        payload(made.today, made.otylia),
        payload(made.spring, made.petra),
        payload(made.today, made.petra, help="hand_light"),
        payload(made.spring, made.rika, outcome="tried"),
        payload(made.today, made.rika, help="belt_light"),
    )
    found = kinds(camp_answer(made.desk, made.today.id))
    assert found == {
        made.mira: ChangeKind.NEW,
        made.noa: ChangeKind.HELD,
        made.otylia: ChangeKind.BACK_AGAIN,
        made.petra: ChangeKind.NOT_NOW,
        made.rika: ChangeKind.STILL_LEARNING,
    }
    pike = camp_answer(made.desk, made.today.id).changes
    assert {c.kind for c in pike if c.rung == PIKE} == {ChangeKind.CANNOT_TELL}


def test_another_bed_is_why_nobody_can_tell(made):
    """Spring was on bed A, autumn on bed B: what was had in spring and not in autumn may be the bed's doing."""
    write(made.desk, payload(made.spring, made.mira), payload(made.autumn, made.mira, help="belt_light"))
    change = next(c for c in camp_answer(made.desk, made.autumn.id).changes if c.rung == TUCK)
    assert (change.kind, "another bed" in change.why) == (ChangeKind.CANNOT_TELL, True)


def test_a_reversal_is_listed_and_not_corrected(made):
    write(
        made.desk, payload(made.today, made.mira, PIKE), payload(made.today, made.mira, TUCK, outcome="tried")
    )
    answer = camp_answer(made.desk, made.today.id)
    (reversal,) = answer.inventory.reversals
    assert (reversal.athlete, reversal.later, reversal.earlier) == (made.mira, PIKE, TUCK)
    assert made.mira in answer.inventory.rung(PIKE).alone


# ---- expected or not ----


def with_many(desk, *, seed=4, children=14, visits=4):
    """Children over several camps, so that there are pairs; all of them try every test rung."""
    chance = random.Random(seed)
    who = bring(desk, *(child(f"Child{n}", f"Family{n:02}") for n in range(children)))
    held = [a_camp(desk, "Camp", date(2024, 4, 6) + timedelta(days=182 * n)) for n in range(visits)]
    for place, camp in enumerate(held):
        turns = []
        for one in who:
            for rung, hard in ((TUCK, 0.1), (PIKE, 0.3), (OPEN, 0.5)):
                alone = chance.random() < 0.4 + 0.2 * place - hard
                turns.append(payload(camp, one, rung, help="nobody_in" if alone else "hand_light"))
        write(desk, *turns)
    return held


def test_with_too_few_pairs_it_says_so(made):
    write(made.desk, payload(made.autumn, made.mira), payload(made.today, made.mira))
    (expected,) = camp_answer(made.desk, made.today.id).expected
    assert expected.verdict is Verdict.CANNOT_SAY
    assert expected.pairs < MINIMUM_PAIRS


def test_expectations_appear_once_there_are_enough_pairs(desk):
    held = with_many(desk)
    verdicts = [[e.verdict for e in camp_answer(desk, camp.id).expected] for camp in held]
    assert set(verdicts[0]) == {Verdict.CANNOT_SAY}
    assert all(verdict is not Verdict.CANNOT_SAY for verdict in verdicts[-1])
    for one in camp_answer(desk, held[-1].id).expected:
        assert 0 <= one.low <= one.mean <= one.high <= one.people == 14
        assert one.camps == 3


def test_the_database_counts_the_same_pairs_as_the_history(desk):
    """Two ways to the same counts: SQL over visits, and a walk through everybody's history."""
    held = with_many(desk)
    cast.write(desk, blank(held[2], cast.named(desk, "Child0 Family00"), outcome="declined", rung=TUCK))
    for camp in held:
        with desk.store.read() as connection:
            every = camps.camps(connection)
            rows = [s for one in every for s in standings.standings_of_camp(connection, one.id)]
            counted = pairs.pair_counts(connection, before=camp)
        walked = pair_counts(history_of(every, rows), before=camp.id)
        assert {k: (dict(v.counts), v.camps) for k, v in counted.items()} == {
            k: (dict(v.counts), v.camps) for k, v in walked.items()
        }


def test_first_camps_are_heard_when_first_camps_are_expected(desk):
    """At the second camp all who come for the first time are held against the first comers of the first."""
    first = a_camp(desk, "Camp", date(2024, 4, 6))
    second = a_camp(desk, "Camp", date(2024, 10, 5))
    old = bring(desk, *(child(f"Old{n}", "Hand") for n in range(10)))
    new = bring(desk, *(child(f"New{n}", "Hand") for n in range(4)))
    write(
        desk, *(payload(first, who, help="nobody_in" if n < 7 else "hand_light") for n, who in enumerate(old))
    )
    write(desk, *(payload(second, who) for who in new))
    (found,) = camp_answer(desk, second.id).expected
    # scipy's own beta-binomial with Jeffreys' prior: 4 new ones, after 7 of 10 at a first camp.
    law = betabinom(4, 7 + 0.5, 3 + 0.5)
    assert (found.pairs, found.camps, found.people, found.seen) == (10, 1, 4, 4)
    assert found.mean == pytest.approx(law.mean())
    assert (found.low, found.high) == (law.ppf(0.025), law.ppf(0.975))


def test_a_camp_with_nothing_written_is_a_camp(made):
    answer = camp_answer(made.desk, made.today.id)
    assert (answer.turns, answer.expected, len(answer.athletes)) == (0, (), 5)
    assert all(len(places(rung)) == 5 for rung in answer.inventory.rungs)


def test_an_earlier_camp_is_told_as_it_was_then(made):
    """What came later does not leak into it."""
    write(made.desk, payload(made.spring, made.mira, help="hand_light"))
    before = camp_answer(made.desk, made.spring.id)
    write(made.desk, payload(made.today, made.mira))
    after = camp_answer(made.desk, made.spring.id)
    assert (after.changes, after.expected, after.inventory) == (
        before.changes,
        before.expected,
        before.inventory,
    )


def test_a_rung_that_this_ladder_does_not_know_loses_nobody(made, tmp_path):
    """A coach shortens her ladder; what was written on the old rung is still in the lists."""
    from dataclasses import replace

    from loftbook.desk.exporting import all_lists
    from loftbook.desk.standing import remake_all

    write(made.desk, payload(made.today, made.mira, OPEN), payload(made.today, made.noa, TUCK))
    ladder = made.desk.ladder
    shorter = replace(
        made.desk,
        ladder=replace(ladder, rungs=tuple(r for r in ladder.rungs if r.key != OPEN)),
        ladder_text="",
    )
    for remade in (False, True):
        if remade:
            remake_all(shorter)
        answer = camp_answer(shorter, made.today.id)
        assert made.mira in answer.athletes
        lists = all_lists(shorter, made.today.id)
        assert ["Mira Moss", OPEN] in [[row[0], row[2]] for row in lists["attempts"].rows]


def test_page_paper_and_terminal_count_the_changes_alike(made):
    """Whatever is blank now is folded into a line for each blank, on all three."""
    write(
        made.desk,
        *(payload(made.autumn, who) for who in made.everyone),
        payload(made.today, made.mira),
        payload(made.today, made.noa, help="belt_light"),
        blank(made.today, made.noa, PIKE, outcome="declined"),
        blank(made.today, made.petra, outcome="declined"),
        blank(made.today, made.rika, outcome="absent"),
    )
    answer = camp_answer(made.desk, made.today.id)
    found = told(answer.changes)
    assert {kind: len(ones) for kind, ones in found.kinds.items() if ones} == {
        ChangeKind.HELD: 1,
        ChangeKind.CANNOT_TELL: 1,  # Noa: another bed
    }
    assert {one.words for one in found.blanks} == {
        "declined today, 2 gymnasts",
        "absent, 1 gymnast",
        "nothing written, 4 gymnasts",
    }
    with TestClient(create_app(made.desk), base_url="http://localhost") as client:
        page = client.get(f"/camps/{made.today.id}").text.partition("<h3>What changed</h3>")[2]
    paper = words(camp_lists_pdf(made.desk, made.today.id)).partition("What changed since")[2]
    terminal = "\n".join(camp_lines(answer)).partition("Since the last camp")[2]
    for medium in (page, paper, terminal):
        for one in found.blanks:
            assert one.words in medium.lower(), medium
    short = made.desk.ladder.rung(PIKE).short
    assert f"Noa O’Nettle ({short})" in paper
    assert f"Noa O’Nettle ({short})" in terminal
