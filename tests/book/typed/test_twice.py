"""A law of every list, with answers too: what was written once is not written again."""

import csv
import io

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.book.typed.cast import SQUAD, TODAY, camp_list, roster, table, told, written

from loftbook.book.people import Athlete

MANY = {"deadline": None, "max_examples": 120, "suppress_health_check": list(HealthCheck)}


def one_of(text):
    return st.sampled_from(text.split("|"))


def listed(heading, rows):
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows([heading.split(";"), *rows])
    return table(out.getvalue())


def answers(questions, keys):
    """Answers to questions of rows 2 to 8, most of which will not be asked."""
    rows = [f"row {n}{what}" for n in range(2, 9) for what in ("", *questions)]
    return st.dictionaries(st.sampled_from(rows), one_of(keys), max_size=14)


ROSTER = "First name;Surname;Date of birth;Club;Home coach e-mail;twists;Height cm;filming ok?"
CHILD = st.tuples(
    one_of("Ayla|Lumi|Anouk|Nova|Gwen|"),
    one_of("Aalto|Lindqvist|Nilsson|Grönholm|Gronholm|"),
    one_of("2014-10-26|2013-09-30|03/05/2013|31/05/2013||2030-01-01|2024-01-01"),
    one_of("Old Mill Club|Northfield GC|Saltmarsh Gym|"),
    one_of("|a@b.example|c@d.example|nope"),
    one_of("L|R||both"),
    one_of("140|1,45 m|1.70||14.5"),
    one_of("yes|no|"),
)
ROSTER_ANSWERS = answers(
    (" club", " born", " height", " filming", " twist side", " coach"), "moved|keep|other|new|skip|take|leave"
)


@given(st.lists(CHILD, max_size=7), ROSTER_ANSWERS, st.booleans())
@settings(**MANY)
def test_a_roster(rows, said, dated):
    read = listed(ROSTER, rows)
    options = {"as_of": TODAY} if dated else {}
    once = roster(read, SQUAD, said, **options)
    asked = {d.id for d in once.rows}
    said = {question: key for question, key in said.items() if question in asked}
    assert roster(read, told(once, SQUAD), said, **options).facts == ()


MARK = one_of("|x|✓|no|belt|s|-|short|x, belt|wow|abs|0|1")
MARKED = st.tuples(
    one_of("Ayla Aalto|AALTO Ayla|Gwen Gr?nholm|Lindqvist|Nova Nilsson|Pia Peters|Gwen Grönhelm|"),
    one_of("||Old Mill Club|North"),
    MARK,
    MARK,
    MARK,
)
CAMP_ANSWERS = answers(
    (" again", " double_tuck", " double_pike", " double_tuck differs", " double_pike differs"),
    "new|skip|turns|tried|over|nothing|keep|correct|add",
)
WHOLE = st.fixed_dictionaries(
    {},
    optional={
        "new people": one_of("ask|create"),
        "code x": one_of("tried|alone"),
        "ticks": one_of("did|alone"),
    },
)


@given(st.lists(MARKED, max_size=7), st.lists(MARKED, max_size=7), CAMP_ANSWERS, WHOLE)
@settings(**MANY)
def test_a_camp_list_after_another_of_the_same_camp(rows, before, said, whole):
    said = {**said, **whole}
    heading = "Name;Club;Double tuck;Double pike;Double tuck 2"
    people = {athlete.id: athlete for athlete in SQUAD}
    held = {}
    for part in (before, rows):
        report = camp_list(listed(heading, part), tuple(people.values()), said, existing=held)
        people |= {who: fact for who, fact in report.facts if isinstance(fact, Athlete)}
        held = written(report, held)
    ids = [attempt.id for attempts in held.values() for attempt in attempts]
    assert len(ids) == len(set(ids))
    assert camp_list(listed(heading, rows), tuple(people.values()), said, existing=held).facts == ()
