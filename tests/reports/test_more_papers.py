"""The child's sheet, the parent's copy, the belt list and the programme summary, read back by another program."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from html import unescape
from uuid import UUID

import pytest
from tests.reports.cast import CAMPS, TESTS, camp_list_facts, invented_camps, letter_facts
from tests.reports.reading import roles, words
from tests.reports.test_texts import invented_language

from loftbook.book.answering import Asked, HomeForm
from loftbook.book.deciding import Decided, Decision
from loftbook.insight.evidence import seen_of
from loftbook.insight.standing import State
from loftbook.insight.twistside import twist_sides
from loftbook.insight.wilson import wilson
from loftbook.ladder.scales import Help
from loftbook.reports.page import Bullets, Heading, Note, Paragraph, Span, Together, WriteIn
from loftbook.reports.pdf import write_pdf, write_pdfs
from loftbook.reports.sheets.belt.compose import BeltFacts
from loftbook.reports.sheets.belt.compose import compose as compose_belt
from loftbook.reports.sheets.hers.compose import compose as compose_hers
from loftbook.reports.sheets.home_form.compose import compose as compose_form
from loftbook.reports.sheets.letter.compose import compose as compose_letter
from loftbook.reports.sheets.parent.compose import compose as compose_parent
from loftbook.reports.sheets.programme.compose import CampCounts, Coverage, ProgrammeFacts
from loftbook.reports.sheets.programme.compose import compose as compose_programme

BOOK = invented_camps()
FACTS = [letter_facts(BOOK, one) for one in BOOK.athletes]
THERE = [one for one in FACTS if any(not s.state.is_away for s in one.seen)]
AWAY = [one for one in FACTS if one not in THERE]
BELT = Decision(
    id=UUID(int=5),
    athlete=BOOK.athletes[8].id,
    rung="full_out_belt",
    decided=Decided.LOOK_AGAIN,
    on=date(2025, 9, 1),
    review=date(2025, 10, 1),
    by="H. Alder",
    qualified="invented",
    reason="First the barani.",
    edition="loftbook-1",
    at=datetime(2025, 9, 1, tzinfo=UTC),
)
_WEIGHING = re.compile(r"\b(ready|cleared|best|worst|rank\w*|better than|weigh\w*)\b", re.IGNORECASE)


def belt_facts(**more):
    last = CAMPS[-1]
    turns = {one.id: BOOK.of(one) for one in BOOK.athletes}
    belt = {
        who: seen_of([t for t in rows if t.help is not None and t.help <= Help.BELT_SLACK], BOOK.ladder)
        for who, rows in turns.items()
    }
    told = {
        "camp": last,
        "ladder": BOOK.ladder,
        "athletes": BOOK.athletes,
        "bibs": {},
        "twist": {one.id: twist_sides(one, BOOK.ladder) for one in BOOK.athletes},
        "belt": belt,
        "decisions": {BELT.athlete: (BELT,)},
        "printed": date(2025, 10, 13),
    }
    return BeltFacts(**(told | more))


def programme_facts():
    counts = []
    for camp in CAMPS:
        here = [s for s in BOOK.standings if s.camp == camp.id]
        came = {s.athlete for s in here if not s.state.is_away}
        rungs = {}
        for key in TESTS:
            shown = [s for s in here if s.rung == key and not s.state.is_blank]
            rungs[key] = (sum(s.state is State.ALONE for s in shown), len(shown))
        everybody = {s.athlete for s in here}
        counts.append(CampCounts(camp, len(everybody), len(came), len(everybody - came), rungs))
    lists = camp_list_facts(BOOK)
    cover = Coverage(turns=60, marked=50, rotation=40, surface=60, height=20, twist=3, film=0)
    return ProgrammeFacts(BOOK.ladder, tuple(counts), lists.expected, cover, 0, {}, "", date(2025, 10, 13))


@pytest.mark.parametrize("facts", THERE, ids=lambda one: str(one.athlete.id.int))
def test_hers_is_one_thing_right_and_one_next_without_a_count(facts):
    told = flat(compose_hers(facts))
    assert told.count("One thing that went right") == told.count("One thing next") == 1
    body = [text for text in told if text not in (compose_hers(facts).subtitle,)]
    # No numbers that compare: no "2 of 3", no per cent, no mark.
    assert not [text for text in body if re.search(r"\d+ (of|/) \d+|%|level \d", text)]
    others = {one.name.given for one in BOOK.athletes} - {facts.athlete.name.given}
    assert not [text for text in body for name in others if name in text.split()]


def test_what_she_showed_for_the_first_time_comes_before_all_else():
    new = [
        one for one in THERE if any(c.kind.value == "new" and c.now.state is State.ALONE for c in one.changes)
    ]
    assert new
    for facts in new:
        assert any("had not shown us that before" in text for text in flat(compose_hers(facts)))


def test_whoever_only_declined_or_stopped_reads_that_it_was_right():
    one = THERE[0]
    last = one.results[-1]
    for state, said in ((State.DECLINED, "You said no"), (State.STOPPED, "stopping was right")):
        blank = tuple(replace(s, state=state, turns=0, done=0) for s in last.standings)
        facts = replace(
            one, results=(*one.results[:-1], replace(last, standings=blank)), attempts=(), changes=()
        )
        assert any(said in text for text in flat(compose_hers(facts)))


@pytest.mark.skipif(not AWAY, reason="everybody was there")
def test_whoever_was_away_reads_nothing_about_herself():
    told = flat(compose_hers(AWAY[0]))
    assert "One thing next" not in told
    assert any("We missed you" in text for text in told)


def test_the_parents_copy_holds_the_whole_letter():
    facts = next(one for one in THERE if one.athlete.name.given == "Mira")
    told = " ".join(words(write_pdf(compose_parent(facts))).split())
    for text in flat(compose_letter(facts)):
        assert " ".join(text.split())[:40] in told
    for part in ("How to read it", "What it does not say", "At home", "What you may ask her coach"):
        assert part in told


def test_the_belt_list_tells_side_turns_and_who_decided():
    told = words(write_pdf(compose_belt(belt_facts())))
    assert "Before anybody goes into the belt" in told
    assert "look again before anything is begun" in told
    assert "was to be looked at again by 1 October 2025" in told
    none = words(write_pdf(compose_belt(belt_facts(belt={}, decisions={}))))
    assert "Nobody at this camp has a turn in the belt" in none


def test_the_summary_counts_with_wilsons_interval_and_names_nobody():
    facts = programme_facts()
    told = words(write_pdf(compose_programme(facts)))
    met, shown = facts.last.rungs[TESTS[0]]
    assert f"{met} of {shown}" in told
    assert wilson(met, shown).words in told
    for one in BOOK.athletes:
        assert one.name.family not in told
    # Conservation: who came, was absent or left no word are all of the list.
    for camp in facts.camps:
        assert camp.came + camp.absent <= camp.listed
    assert {"Bed A", "Bed B", "bed A", "bed B"} & set(re.findall(r"[Bb]ed [AB]", told))


PAGES = {
    "letter": lambda say=None: compose_letter(THERE[0], say),
    "hers": lambda say=None: compose_hers(THERE[0], say),
    "parent": lambda say=None: compose_parent(THERE[0], say),
    "belt": lambda say=None: compose_belt(belt_facts(), say),
    "programme": lambda say=None: compose_programme(programme_facts(), say),
}


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PAGES)
def test_each_is_tagged_for_readers_of_the_page(name, paper):
    # PDF/UA-1 (ISO 14289-1), 7.4: a title and headings that are told as such
    told = roles(write_pdf(PAGES[name](), paper))
    assert {"H1", "H2", "P"} <= set(told)
    assert ("Table" in told) == (name != "hers")


@pytest.mark.parametrize("name", PAGES)
def test_no_word_that_weighs_or_ranks_a_child(name):
    """The rules of the house; "no ranking" and "the list is no ranking" say that there is none."""
    told = " ".join(flat(PAGES[name]())).replace("no ranking", "").replace("is no ranking", "")
    assert not _WEIGHING.search(told.replace("already", ""))


@pytest.mark.parametrize("name", PAGES)
def test_in_another_language_no_heading_is_left_in_english(name):
    """Each heading and label of the sheet's own comes out of the file of texts."""
    own = list(heads(PAGES[name](invented_language()).blocks))
    # A priority and a drill are named by the ladder, in its own language.
    ladders = {f"{n}. {one.title}" for n, one in enumerate(THERE[0].priorities.items, 1)}
    assert own
    assert [text for text in own if not text.startswith("⟦") and text not in ladders] == []


def test_in_another_language_no_word_of_the_form_for_home_is_left_in_english():
    """Its text, without what the letter set and the ladder's cautions, comes out of the file of texts."""
    form = HomeForm(
        "0", UUID(int=1), UUID(int=2), "Mira", "Camp", date(2026, 5, 1), (Asked("r", "Landing: pike"),)
    )
    page = compose_form(form, invented_language(), invented=True)
    body = re.sub(r"<(script|style)\b.*?</\1>", "", page[page.index("<body>") :], flags=re.DOTALL)
    told = [text for text in (unescape(part).strip() for part in re.split(r"<[^>]*>", body)) if text]
    left = [text for text in told if not re.fullmatch(r"⟦[^⟦]*⟧", text)]
    assert left == ["1. Landing: pike", "(0–14)", "(0–60)"]
    assert len(told) > 20


def test_all_at_once_are_set_without_a_fault():
    assert all(pdf.startswith(b"%PDF-") for pdf in write_pdfs([compose_hers(one) for one in FACTS]))


def flat(page):
    return list(_texts(page.blocks))


def _texts(blocks):
    for block in blocks:
        if isinstance(block, Together):
            yield from _texts(block.blocks)
        elif isinstance(block, Heading):
            yield block.text
        elif isinstance(block, Paragraph):
            yield said(block.text)
        elif isinstance(block, Bullets):
            yield from (said(item) for item in block.items)
        elif isinstance(block, WriteIn):
            yield block.label
        elif isinstance(block, Note):
            yield said(block.text)
            yield from (said(point) for point in block.points)


def heads(blocks):
    for block in blocks:
        if isinstance(block, Together):
            yield from heads(block.blocks)
        elif isinstance(block, Heading | WriteIn):
            yield block.text if isinstance(block, Heading) else block.label


def said(text):
    return text if isinstance(text, str) else "".join(one.text for one in text if isinstance(one, Span))
