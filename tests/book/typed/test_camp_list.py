"""Camp lists: marks to attempts, people to marks, and what is asked instead of guessed."""

import csv
import io
import random
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from tests.book.typed.cast import (
    AUTUMN,
    LADDER,
    SPRING,
    SQUAD,
    TODAY,
    camp_list,
    child,
    decision,
    marks,
    roster,
    row,
    shipped_list,
    table,
    told,
    workbook,
    written,
)

from loftbook.book.people import ClubStay
from loftbook.book.typed import camp_from_titles
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff
from loftbook.ladder.shipped import shipped_ladder

DID, TRIED = Outcome.DID_IT, Outcome.TRIED
ALONE = (DID, Help.NOBODY_IN, None)
HEAD = "Name;Double tuck;Double pike;Open tuck double\n"


def squad():
    return told(roster(table(shipped_list("roster.csv"))))


def shipped(name, **options):
    camp = {"camp-spring.csv": SPRING, "camp-autumn.csv": AUTUMN}[name]
    return camp_list(table(shipped_list(name), name), squad(), camp=camp, **options)


def lines(*rows):
    return HEAD + "".join(f"{line}\n" for line in rows)


# ---- the shipped lists ----


@pytest.mark.parametrize("name", ["camp-spring.csv", "camp-autumn.csv"])
@pytest.mark.parametrize("ladder", [LADDER, shipped_ladder()], ids=["test ladder", "shipped ladder"])
def test_it_works(name, ladder):
    report = shipped(name, ladder=ladder)
    assert dict(report.counts) == {"ask": 0, "refuse": 0, "skip": 1, "take": 28, "same": 0}
    assert report.questions == ()
    assert row(report, 33 if "spring" in name else 32).sentence == "a row of totals, passed over."


@pytest.mark.parametrize("name", ["camp-spring.csv", "camp-autumn.csv"])
def test_every_filled_cell_became_one_attempt(name):
    """Counted by Python's csv module, each mark by hand: what is alone, helped, tried and blank."""
    text = shipped_list(name).decode("utf-8" if "spring" in name else "cp1252")
    typed = [
        c for r in csv.reader(io.StringIO(text), delimiter="," if "spring" in name else ";") for c in r[1:4]
    ]
    said = [c.strip().lower() for c in typed]
    report = shipped(name)
    helped = [a for a in report.attempts if a.outcome is DID and a.help is not Help.NOBODY_IN]
    assert sum(a.help is Help.NOBODY_IN for a in report.attempts) == sum(
        c in ("x", "yes", "✓", "1") for c in said
    )
    assert sum(a.help is Help.HAND for a in helped) == sum(c in ("s", "spot", "sp.", "hand") for c in said)
    assert sum(a.help is Help.BELT for a in helped) == said.count("belt")
    assert sum(a.outcome is TRIED for a in report.attempts) == sum(c in ("no", "0", "short") for c in said)
    assert sum(a.outcome is Outcome.NOT_TRIED for a in report.attempts) == said.count("-")
    assert sum(a.outcome is Outcome.ABSENT for a in report.attempts) == said.count("abs")
    assert sum(a.outcome is Outcome.NOT_ALLOWED for a in report.attempts) == said.count("inj")
    assert sum(a.outcome is Outcome.STOPPED for a in report.attempts) == said.count("stopped")


def test_some_rows_by_hand():
    spring, autumn = shipped("camp-spring.csv"), shipped("camp-autumn.csv")
    assert marks(spring, "Calla") == {
        "double_tuck": ALONE,
        "double_pike": ALONE,
        "double_open_tuck": (DID, Help.HAND, None),
    }
    assert marks(spring, "Vesna") == {
        "double_pike": (Outcome.NOT_TRIED, None, None),
        "double_open_tuck": (Outcome.NOT_TRIED, None, None),
    }
    assert marks(spring, "Dilara") == {"double_tuck": (Outcome.ABSENT, None, None)}
    assert marks(autumn, "Calla")["double_pike"] == (TRIED, None, Rotation.SHORT)
    assert marks(autumn, "Yara")["double_open_tuck"] == (TRIED, None, Rotation.SHORT)
    assert marks(autumn, "Anouk") == dict.fromkeys(("double_tuck", "double_pike", "double_open_tuck"), ALONE)


def test_what_each_attempt_carries():
    attempt = next(a for a in shipped("camp-spring.csv").attempts if a.help is Help.NOBODY_IN)
    assert attempt.at == datetime(2025, 4, 12, 12, tzinfo=UTC)
    assert attempt.source == "list camp-spring.csv row 4"
    assert (attempt.take_off, attempt.landing) == (TakeOff.TRAMPOLINE, Landing.SOFT_FLAT_MAT)
    assert (attempt.camp, attempt.rater, attempt.edition) == (SPRING.id, "Head coach", "1")
    absent = next(a for a in shipped("camp-spring.csv").attempts if a.outcome is Outcome.ABSENT)
    assert (absent.take_off, absent.landing) == (None, None)


@pytest.mark.parametrize("name", ["camp-spring.csv", "camp-autumn.csv"])
def test_twice_changes_nothing(name):
    first = shipped(name)
    again = shipped(name, existing=written(first))
    assert again.facts == ()
    assert again.counts["same"] == 28
    assert [a.id for a in first.attempts] == [a.id for a in shipped(name).attempts]


def test_the_lost_letters_are_matched_and_said():
    report = shipped("camp-autumn.csv")
    for number, name in ((5, "Calla Čapek"), (21, "Senja Šimić"), (27, "Yara Yıldız")):
        assert row(report, number).sentence.startswith(name)
        assert row(report, number).confidence == 0.9
    assert "3 names carry a ?" in decision(report, "lost letters").sentence


def test_the_report_states_what_was_decided_for_the_whole_list():
    text = shipped("camp-autumn.csv").as_markdown()
    assert text.count("A tick was read as: did it, nobody in") == 1
    assert "`sp.` (5 cells): did it, by hand (how much was not written)" in text
    assert "`inj` (5 cells): not allowed today" in text
    assert "`0` (7 cells): tried, not yet. The list has no mark of its own for “not tried”" in text
    assert (
        "Row 20: Rasa Rossi: Double back, tuck: alone; Double back, pike: in the belt; Double back, open tuck: tried."
        in text
    )
    assert " ready" not in text
    assert "cleared" not in text


# ---- the camp in the titles ----


@pytest.mark.parametrize(
    ("title", "starts", "ends"),
    [
        ("12 & 13 April 2025, bed A to soft mat", (2025, 4, 12), (2025, 4, 13)),
        ("Autumn camp 18-19 Oct 2025", (2025, 10, 18), (2025, 10, 19)),
        ("Sat 12 to Sun 13 April 2025", (2025, 4, 12), (2025, 4, 13)),
        ("30 April - 2 May 2025", (2025, 4, 30), (2025, 5, 2)),
        ("30 Dec - 2 Jan 2026", (2025, 12, 30), (2026, 1, 2)),
        ("April 12-13, 2025", (2025, 4, 12), (2025, 4, 13)),
        ("Lehrgang 12./13. April 2025", (2025, 4, 12), (2025, 4, 13)),
        ("12.-13.04.2025", (2025, 4, 12), (2025, 4, 13)),
        ("2025-04-12 to 2025-04-13", (2025, 4, 12), (2025, 4, 13)),
        ("Stage du 12 au 13 avril 2025", (2025, 4, 12), (2025, 4, 13)),
        ("Concentración 12 y 13 de abril de 2025", (2025, 4, 12), (2025, 4, 13)),
        ("12, 13 and 14 April 2025", (2025, 4, 12), (2025, 4, 14)),
        ("Date: 12/04/2025 - 13/04/2025", (2025, 4, 12), (2025, 4, 13)),
        ("Camp 4/12-4/13/2025", (2025, 4, 12), (2025, 4, 13)),
        ("Camp 4/5 to 4/6/25", (2025, 4, 5), (2025, 4, 6)),
        ("Lehrgang 12.4.-13.4.2025", (2025, 4, 12), (2025, 4, 13)),
        ("12/4 – 13/4/2025", (2025, 4, 12), (2025, 4, 13)),
        ("30.12.-2.1.2026", (2025, 12, 30), (2026, 1, 2)),
    ],
)
def test_days_of_the_camp(title, starts, ends):
    camp, _ = camp_from_titles([title], today=TODAY, edition="1")
    assert (camp.starts, camp.ends) == (date(*starts), date(*ends))


@pytest.mark.parametrize(
    ("title", "part"),
    [
        ("12 & 13 April", "no year"),
        ("04/05/2025", "two ways"),
        ("31 Feb 2025", "does not exist"),
        ("13-12 April 2025", "backwards"),
        ("1 April - 30 June 2025", "longer than any camp"),
        ("Spring", "does not tell"),
        ("4/5-4/5/2025", "two ways"),
        ("13/13-13/14/2025", "does not exist"),
        ("3/4-5/6/2025", "longer than any camp"),
    ],
)
def test_days_that_are_asked(title, part):
    camp, (question,) = camp_from_titles([title], today=TODAY, edition="1")
    assert camp is None
    assert question.verdict == "ask"
    assert part in question.sentence


def test_place_bed_and_surfaces_of_the_titles():
    titles = ["Spring camp, Saltmarsh hall", "12 & 13 April 2025, bed A to soft mat"]
    camp, notes = camp_from_titles(titles, today=TODAY, edition="1")
    assert (camp.name, camp.place, camp.bed) == ("Spring camp", "Saltmarsh hall", "bed A")
    assert camp.id == camp_from_titles(titles, today=TODAY, edition="1")[0].id
    assert "as the list says" in notes[1].sentence
    pit, notes = camp_from_titles(["5 March 2025 tumble track into pit"], today=TODAY, edition="1")
    assert (pit.take_off, pit.landing) == ("tumble_track", "loose_pit")
    _, notes = camp_from_titles(["5 March 2025"], today=TODAY, edition="1")
    assert "does not say" in notes[1].sentence


def test_a_list_of_another_camp_is_asked_and_gives_nothing():
    text = "Autumn camp 18-19 Oct 2025\n" + lines("Ayla Aalto;x;x;x")
    report = camp_list(text, camp=SPRING)
    assert decision(report, "camp days").verdict == "ask"
    assert report.facts == ()
    assert len(camp_list(text, camp=SPRING, answers={"camp days": "camp"}).attempts) == 3


def test_other_surfaces_than_the_camps_are_asked():
    text = "12 April 2025 into loose pit\n" + lines("Ayla Aalto;x;;")
    report = camp_list(text)
    assert report.facts == ()
    assert camp_list(text, answers={"camp surfaces": "list"}).attempts[0].landing is Landing.LOOSE_PIT
    assert camp_list(text, answers={"camp surfaces": "camp"}).attempts[0].landing is Landing.SOFT_FLAT_MAT
    assert camp_list(text, answers={"camp surfaces": "unknown"}).attempts[0].landing is None


# ---- people ----


@pytest.mark.parametrize(
    ("typed", "confidence"),
    [
        ("Gwen Grönholm", 1.0), ("GRÖNHOLM Gwen", 1.0), ("Grönholm, Gwen", 1.0), ("gwen grönholm", 1.0),
        ("Gwen Gronholm", 0.97), ("Gwen Groenholm", 0.95), ("Grönholm Gwen", 0.94), ("Gw?n Gr?nholm", 0.9),
        ("Gwen Gr\ufffdnholm", 0.9), ("🤸 Gwen Grönholm", 1.0), ("3. Gwen Grönholm (bib 12)", 1.0),
    ],
)  # fmt: skip
def test_a_name_in_many_forms(typed, confidence):
    report = camp_list(
        lines(f"{typed};x;;", "Ayla Aalto;x;;") if "," not in typed else lines(f'"{typed}";x;;')
    )
    assert row(report, 2).athlete == SQUAD[2].id
    assert row(report, 2).confidence == confidence


def test_nearly_a_name_is_asked_with_the_nearest():
    text = lines("Gwen Grönhelm;x;;")
    asked = row(camp_list(text), 2)
    assert asked.verdict == "ask"
    assert asked.choices[0].key == f"is {SQUAD[2].id.hex[-8:]}"
    assert "born 8 May 2014" in asked.choices[0].label
    assert [c.key for c in asked.choices[-2:]] == ["new", "skip"]
    assert camp_list(text).facts == ()
    taken = camp_list(text, answers={"row 2": asked.choices[0].key})
    assert taken.attempts[0].athlete == SQUAD[2].id
    assert row(camp_list(text, accept=0.8), 2).verdict == "take"


def test_somebody_unknown_is_asked_and_can_be_new():
    text = lines("Nova Nilsson;x;belt;")
    assert "Nobody in the book is called Nova Nilsson" in row(camp_list(text), 2).sentence
    new = camp_list(text, answers={"row 2": "new"})
    people = told(new, SQUAD) if not new.attempts else None
    assert people is None
    athlete = new.facts[0][1]
    assert athlete.name.full == "Nova Nilsson"
    assert {a.athlete for a in new.attempts} == {athlete.id}
    again = camp_list(text, (*SQUAD, athlete), existing=written(new))
    assert again.facts == ()
    assert row(camp_list(text, answers={"row 2": "skip"}), 2).verdict == "skip"


def test_all_unknown_at_once():
    text = lines("Nova Nilsson;x;;", "Pia Peters;;x;", "Grönhelm Gwen;x;;")
    assert decision(camp_list(text), "new people").verdict == "ask"
    created = camp_list(text, answers={"new people": "create"})
    assert len(created.attempts) == 2
    assert row(created, 4).verdict == "ask"  # resembles somebody
    assert not [d for d in created.decisions if d.id == "answers"]


def test_one_name_alone_is_asked():
    asked = row(camp_list(lines("Lindqvist;x;;")), 2)
    assert asked.verdict == "ask"
    assert len([c for c in asked.choices if c.key.startswith("is ")]) == 2
    assert row(camp_list(lines("Ayla;x;;")), 2).verdict == "ask"


def test_two_of_one_name_are_asked_unless_birth_date_or_club_tells():
    twins = (*SQUAD, child(99, "Ayla", "Aalto", date(2012, 1, 5), "Old Mill Club"))
    assert row(camp_list(lines("Ayla Aalto;x;;"), twins), 2).verdict == "ask"
    by_club = camp_list("Name;Club;Double tuck\nAyla Aalto;old mill club;x\n", twins)
    assert row(by_club, 2).athlete == twins[-1].id
    by_birth = camp_list("Name;Born;Double tuck\nAyla Aalto;26.10.2014;x\n", twins)
    assert row(by_birth, 2).athlete == SQUAD[0].id
    other = camp_list("Name;Born;Double tuck\nAyla Aalto;26.10.2011;x\n")
    assert "another birth date" in row(other, 2).sentence


def test_a_former_name_is_known():
    former = replace(SQUAD[0], names=(*SQUAD[0].names, replace(SQUAD[0].name, family="Newname")))
    assert row(camp_list(lines("Ayla Aalto;x;;"), (former,)), 2).athlete == SQUAD[0].id


def test_somebody_born_after_the_camp_is_refused():
    baby = (child(7, "Bea", "Baby", date(2025, 6, 1)),)
    assert row(camp_list(lines("Bea Baby;x;;"), baby), 2).verdict == "refuse"


def test_a_child_who_stands_twice():
    text = lines("Ayla Aalto;belt;;", "Aalto, Ayla;x;;", "AALTO Ayla;belt;;")
    report = camp_list(text)
    assert [r.verdict for r in report.rows] == ["ask", "ask", "skip"]
    assert report.facts == ()
    turns = camp_list(text, answers={"row 3 again": "turns"})
    assert [a.help for a in turns.attempts] == [Help.BELT, Help.NOBODY_IN]
    assert camp_list(text, answers={"row 3 again": "turns"}, existing=written(turns)).facts == ()


def test_a_second_row_of_one_name_may_be_another_child():
    text = lines("Ayla Aalto;belt;;", "Aalto, Ayla;x;;", "Gwen Grönholm;x;;")
    held = camp_list(text)
    assert [(r.id, r.verdict) for r in held.rows] == [
        ("row 2", "ask"),
        ("row 3 again", "ask"),
        ("row 4", "take"),
    ]
    assert {a.athlete for a in held.attempts} == {SQUAD[2].id}
    assert "Row 3 has this name too" in row(held, 2).sentence
    assert [c.key for c in decision(held, "row 3 again").choices] == ["turns", "new", "skip"]
    second = camp_list(text, answers={"row 3 again": "new"})
    hers = {a.athlete: a.help for a in second.attempts}
    (new,) = {a.athlete for a in second.attempts} - {a.id for a in SQUAD}
    assert (hers[SQUAD[0].id], hers[new], second.questions) == (Help.BELT, Help.NOBODY_IN, ())
    # The other way round: the first row is the new child, and then the second is asked, since there are two.
    first = camp_list(text, answers={"row 2": "new", "row 3": f"is {SQUAD[0].id.hex[-8:]}"})
    hers = {a.athlete: a.help for a in first.attempts}
    assert (hers[SQUAD[0].id], first.questions) == (Help.NOBODY_IN, ())


HANA = child(77, "Hana", "Horvat", club="Harbour Gymnastics")
CLUBS = "Name;Club;Double tuck\n"


def test_a_club_that_contradicts_the_only_child_of_the_name_is_asked():
    text = CLUBS + "Hana Horvat;North;x\nHana Horvat;Harbour;belt\n"
    report = camp_list(text, (HANA,))
    asked = row(report, 2)
    assert (asked.verdict, [c.key for c in asked.choices]) == ("ask", ["is 0000004d", "new", "skip"])
    assert "this row says North; Hana Horvat is at Harbour Gymnastics" in asked.sentence
    # “Harbour” says who the other row is, so that it need not wait.
    assert [(a.athlete, a.help) for a in report.attempts] == [(HANA.id, Help.BELT)]
    answered = camp_list(text, (HANA,), {"row 2": "new"})
    people = told(answered, (HANA,))
    assert [p.club.club for p in people] == ["Harbour Gymnastics", "North"]
    assert {a.athlete: a.help for a in answered.attempts} == {
        people[0].id: Help.BELT,
        people[1].id: Help.NOBODY_IN,
    }
    assert camp_list(text, people, existing=written(answered)).facts == ()  # now the clubs tell
    same = camp_list(text, (HANA,), {"row 2": "is 0000004d"})
    assert (same.attempts, decision(same, "row 3 again").verdict) == ((), "ask")
    turns = camp_list(text, (HANA,), {"row 2": "is 0000004d", "row 3 again": "turns"})
    assert [a.help for a in turns.attempts] == [Help.NOBODY_IN, Help.BELT]


@pytest.mark.parametrize(
    "rows",
    [
        "Hana Horvat;North;x\nHana Horvat;;belt\n",  # whose is the second row while the first is open?
        "Hana Horvat;;belt\nHorvat, Hana;North;x\n",
    ],
)
def test_a_row_that_does_not_tell_waits_for_the_one_that_is_asked(rows):
    report = camp_list(CLUBS + rows, (HANA,))
    assert (report.facts, [r.verdict for r in report.rows]) == ((), ["ask", "ask"])


@pytest.mark.parametrize("marks", ["xx", "x-"])
def test_two_clubs_in_a_list_are_asked_where_the_book_knows_none(marks):
    text = CLUBS + f"Hana Horvat;North;{marks[0]}\nHana Horvat;Harbour;{marks[1]}\n"
    for known, said in (((replace(HANA, clubs=()),), {}), ((), {"new people": "create"})):
        report = camp_list(text, known, said)
        asked = [d for d in report.rows if d.verdict == "ask"]
        assert [d.row for d in asked] == ([2, 3] if known else [3])
        assert {a.athlete for a in report.attempts} == (set() if known else {told(report)[0].id})
        assert "new" in [c.key for c in asked[-1].choices]


def test_a_birth_date_that_agrees_outweighs_another_club():
    born = replace(HANA, born=date(2014, 3, 2))
    text = "Name;Born;Club;Double tuck\nHana Horvat;2014-03-02;North;x\n"
    assert row(camp_list(text, (born,)), 2).verdict == "take"
    twice = text + "Hana Horvat;2013-03-02;North;x\n"
    assert [d.verdict for d in camp_list(twice, (born,)).rows] == ["take", "ask"]


def test_a_former_club_is_no_contradiction():
    moved = replace(HANA, clubs=(*HANA.clubs, ClubStay("North", since=date(2025, 9, 1))))
    assert row(camp_list(CLUBS + "Hana Horvat;Harbour;x\n", (moved,)), 2).verdict == "take"


def test_marks_without_a_name_are_refused():
    report = camp_list(lines(";x;;", "Ayla Aalto;x;;"))
    assert row(report, 2).verdict == "refuse"
    assert row(report, 3).verdict == "take"


# ---- marks ----


def test_an_empty_cell_is_no_fact():
    assert marks(camp_list(lines("Ayla Aalto;x;;-")), "Ayla").keys() == {"double_tuck", "double_open_tuck"}
    assert row(camp_list(lines("Ayla Aalto;;;")), 2).verdict == "skip"


def test_ticks_and_crosses_without_a_no_are_asked():
    text = lines("Ayla Aalto;✓;x;✓", "Gwen Grönholm;x;✓;belt")
    report = camp_list(text)
    assert decision(report, "code x").verdict == "ask"
    assert len(report.attempts) == 4
    assert {a.help for a in report.attempts} == {Help.NOBODY_IN, Help.BELT}
    crossed = camp_list(text, answers={"code x": "tried"})
    assert sum(a.outcome is TRIED for a in crossed.attempts) == 2
    with_no = camp_list(text + "Calla Čapek;no;;\n")
    assert decision(with_no, "code x").verdict == "take"


LEGENDS = {
    "one line above": ("x = not done, ✓ = done\n", ""),
    "without a comma": ("Legend: x = not done ✓ = done\n", ""),
    "cells": ("Key;x = not done;✓ = done\n", ""),
    "cells apart": ("x;= not done;✓;= done\n", ""),
    "colons": ('"Marks: x: not done; ✓: done"\n', ""),
    "the other way round": ("not done = x, done = ✓\n", ""),
    "two marks": ("x or n = not done\n", ""),
    "rows below": ("", "x = not done;;;\n✓ = done;;;\n"),
    "rows of two cells": ("", "x;not done;;\n✓;done;;\n"),
}


@pytest.mark.parametrize("where", LEGENDS)
def test_what_a_list_says_of_its_own_marks_is_not_read_otherwise(where):
    above, below = LEGENDS[where]
    text = above + lines("Ayla Aalto;x;✓;no", "Gwen Grönholm;x;x;✓") + below
    report = camp_list(text)
    question = decision(report, "code x")
    assert question.verdict == "ask"
    assert "the list itself says of it “not done”" in question.sentence
    assert [c.key for c in question.choices[:3]] == ["not_tried", "tried", "alone"]
    assert marks(report, "Ayla") == {"double_pike": ALONE, "double_open_tuck": (TRIED, None, None)}
    told_so = camp_list(text, answers={"code x": "not_tried"})
    assert marks(told_so, "Gwen")["double_tuck"] == (Outcome.NOT_TRIED, None, None)
    assert {d.athlete for d in told_so.rows} <= {SQUAD[0].id, SQUAD[2].id, None}
    assert told_so.questions == ()  # a legend is no child


def test_a_legend_that_agrees_or_explains_is_used_and_said():
    text = "o = not tried, x = done, s = with spot, t = tired\n"
    report = camp_list(text + lines("Ayla Aalto;o;x;s", "Gwen Grönholm;o;✗;t"))
    assert marks(report, "Ayla") == {
        "double_tuck": (Outcome.NOT_TRIED, None, None),
        "double_pike": ALONE,  # without the legend it would be asked, because of the ✗
        "double_open_tuck": (DID, Help.HAND, None),
    }
    assert "as the list’s own legend says" in decision(report, "code o").sentence
    assert "says of it “tired”" in decision(report, "code t").sentence


def test_days_and_beds_above_a_list_are_no_legend():
    report = camp_list("Squad: B, bed: 1 - 12 & 13 April 2025\n" + lines("Ayla Aalto;b;1;ok"))
    assert report.questions == ()
    assert len(report.attempts) == 3


def test_a_lone_zero_is_asked():
    assert decision(camp_list(lines("Ayla Aalto;x;0;")), "code 0").verdict == "ask"
    assert decision(camp_list(lines("Ayla Aalto;1;0;")), "code 0").verdict == "take"


def test_an_unknown_mark_is_asked_once_for_the_list_or_beside_its_row():
    text = lines("Ayla Aalto;wow;hm;", "Gwen Grönholm;wow;x;")
    report = camp_list(text)
    assert decision(report, "code wow").verdict == "ask"
    assert decision(report, "row 2 double_pike").verdict == "ask"
    assert len(report.attempts) == 1
    answered = camp_list(text, answers={"code wow": "hand_light", "row 2 double_pike": "nothing"})
    assert [a.help for a in answered.attempts] == [Help.HAND_LIGHT, Help.HAND_LIGHT, Help.NOBODY_IN]
    assert not [d for d in answered.decisions if d.id == "answers"]


def test_a_mark_can_be_answered_otherwise_for_one_cell():
    text = lines("Ayla Aalto;wow;;", "Gwen Grönholm;wow;x;")
    report = camp_list(text, answers={"row 2 double_tuck": "over", "code wow": "tried"})
    assert decision(report, "code wow").chosen == "tried"
    one = camp_list(text, answers={"row 2 double_tuck": "over"})
    assert marks(one, "Ayla") == {"double_tuck": (TRIED, None, Rotation.OVER)}


def test_ticks_that_say_nothing_of_help():
    text = lines("Ayla Aalto;x;alone;belt")
    report = camp_list(text, answers={"ticks": "did"})
    assert [a.help for a in report.attempts] == [None, Help.NOBODY_IN, Help.BELT]


def test_any_mark_can_be_overruled_and_what_is_made_of_it_is_asked():
    text = lines("Ayla Aalto;s;x s;")
    report = camp_list(text, answers={"code s": "short"})
    assert marks(report, "Ayla") == {"double_tuck": (TRIED, None, Rotation.SHORT)}
    assert decision(report, "row 2 double_pike").verdict == "ask"


def test_several_turns_keep_their_order():
    report = camp_list(lines("Ayla Aalto;✗✗✓;belt, x;"))
    tuck = [a for a in report.attempts if a.rung == "double_tuck"]
    assert [a.outcome for a in sorted(tuck, key=lambda a: a.at)] == [TRIED, TRIED, DID]
    assert len({a.id for a in report.attempts}) == 5


def test_columns_of_turns():
    report = camp_list("Name;Double tuck 1;Double tuck 2\nAyla Aalto;belt;x\n")
    assert [a.help for a in report.attempts] == [Help.BELT, Help.NOBODY_IN]
    asked = camp_list("Name;Double tuck;Double back tuck\nAyla Aalto;belt;x\n")
    assert decision(asked, "column 3").verdict == "ask"
    assert (
        len(
            camp_list(
                "Name;Double tuck;Double back tuck\nAyla Aalto;belt;x\n",
                answers={"column 3": "rung double_tuck"},
            ).attempts
        )
        == 2
    )


# ---- columns ----


@pytest.mark.parametrize(
    "heading",
    ["Double tuck", "DBL tuck", "tuck double", "Double back tucked", "double_tuck", "Doppelsalto gehockt",
     "Double salto arrière groupé", "doble agrupado", "Duoble tuck"],
)  # fmt: skip
def test_headings_of_a_rung(heading):
    report = camp_list(f"Name;{heading};Double pike\nAyla Aalto;x;\n")
    assert [a.rung for a in report.attempts] == ["double_tuck"]


@pytest.mark.parametrize("heading", ["Tuck", "Skill 1", "Full-in", "Double puck"])
def test_an_unknown_rung_is_asked(heading):
    text = f"Name;{heading};Double pike\nAyla Aalto;x;x\n"
    report = camp_list(text)
    assert decision(report, "column 2").verdict == "ask"
    assert [a.rung for a in report.attempts] == ["double_pike"]
    answered = camp_list(text, answers={"column 2": "rung double_tuck"})
    assert [a.rung for a in answered.attempts] == ["double_tuck", "double_pike"]


def test_headings_in_two_rows():
    report = camp_list("Spring camp\n;Double;;\nName;tuck;pike;open tuck\nAyla Aalto;x;belt;no\n")
    assert [a.rung for a in report.attempts] == ["double_tuck", "double_pike", "double_open_tuck"]
    assert "with “Double” above it" in decision(report, "column 2").sentence


def test_a_front_is_not_a_back():
    report = camp_list("Name;Double front tuck\nAyla Aalto;x\n")
    assert report.attempts[0].rung == "double_front_tuck"


def test_other_columns_are_not_read_and_said():
    report = camp_list("No.;Name;Club;Age;Double tuck;Remarks\n1;Ayla Aalto;Northfield;11;x;great\n")
    assert len(report.attempts) == 1
    assert "not read" in decision(report, "column 6").sentence


def test_a_first_column_without_heading():
    report = camp_list(";Double tuck;Double pike\nAyla Aalto;x;\nGwen Grönholm;belt;x\n")
    assert len(report.attempts) == 3
    assert decision(report, "column 1").confidence == 0.8


def test_headings_and_totals_in_the_middle_are_passed_over():
    report = camp_list(
        lines(
            "Ayla Aalto;x;;",
            "Name;Double tuck;Double pike;Open tuck double",
            "Gwen Grönholm;x;;",
            "Total:;2;;",
        )
    )
    assert [r.verdict for r in report.rows] == ["take", "skip", "take", "skip"]


# ---- against the book ----


def test_what_the_book_says_otherwise_is_asked():
    before = written(camp_list(lines("Ayla Aalto;belt;;")))
    text = lines("Ayla Aalto;x;;")
    report = camp_list(text, existing=before)
    asked = decision(report, "row 2 double_tuck differs")
    assert asked.verdict == "ask"
    assert "the list says alone; the book says in the belt" in asked.sentence
    assert report.facts == ()
    assert camp_list(text, existing=before, answers={asked.id: "keep"}).facts == ()
    corrected = camp_list(text, existing=before, answers={asked.id: "correct"})
    assert corrected.attempts[0].replaces == before[SQUAD[0].id, "double_tuck"][0].id
    added = camp_list(text, existing=before, answers={asked.id: "add"})
    assert added.attempts[0].replaces is None
    for report in (corrected, added):
        assert camp_list(text, existing=written(report, before)).facts == ()


def test_a_correction_made_in_the_book_is_not_undone_by_the_old_list():
    first = camp_list(lines("Ayla Aalto;x;;"))
    (attempt,) = first.attempts
    corrected = replace(attempt, id=SPRING.id, outcome=TRIED, help=None, replaces=attempt.id, source="entry")
    again = camp_list(lines("Ayla Aalto;x;;"), existing={(attempt.athlete, attempt.rung): [corrected]})
    assert again.facts == ()
    assert again.counts["same"] == 1


def test_a_withdrawn_attempt_is_not_written_again():
    first = camp_list(lines("Ayla Aalto;x;;"))
    assert camp_list(lines("Ayla Aalto;x;;"), ever=frozenset(a.id for a in first.attempts)).facts == ()


def test_what_was_entered_in_more_detail_is_the_same():
    (attempt,) = camp_list(lines("Ayla Aalto;light spot;;")).attempts
    entered = replace(attempt, id=SPRING.id, source="entry", rotation=Rotation.ON)
    report = camp_list(lines("Ayla Aalto;s;;"), existing={(attempt.athlete, attempt.rung): [entered]})
    assert report.facts == ()
    assert report.counts["same"] == 1


# ---- other files ----


def test_lists_in_other_clothes():
    """The same list in six forms gives the same attempts."""
    rows = [
        ["Name", "Double tuck", "Double pike"],
        ["GRÖNHOLM Gwen", "x", "no"],
        ["Ayla Aalto", "belt", "short"],
    ]
    text = "Spring camp 12-13 April 2025\n" + "\n".join(";".join(r) for r in rows)
    forms = [
        text.encode(),
        text.encode("mac_roman"),
        text.encode("cp1252"),
        text.replace(";", "\t").encode("utf-16"),
        text.replace(";", "|").replace("\n", "\r").encode("utf-8-sig"),
        workbook([["Spring camp 12-13 April 2025"], [], *rows]),
    ]
    found = [{(a.athlete, a.rung, a.outcome, a.help) for a in camp_list(table(f)).attempts} for f in forms]
    assert len(found[0]) == 4
    assert all(f == found[0] for f in found)


def test_formulas_in_marks_are_asked_and_totals_are_not():
    def formulas(book, sheet):
        sheet["B2"] = '=IF(1>0,"x","")'
        sheet["B3"] = '=COUNTIF(B2:B2,"x")'

    data = workbook([["Name", "Double tuck"], ["Ayla Aalto", None], ["Total", None]], change=formulas)
    report = camp_list(table(data, "l.xlsx"))
    assert decision(report, "formulas").verdict == "ask"
    assert "1 cells" in decision(report, "formulas").sentence
    assert report.facts == ()
    assert decision(report, "row 2 double_tuck").verdict == "ask"


def test_five_hundred_rows_are_each_the_child_they_name():
    draw = random.Random(7)
    words = ["".join(draw.choices("abdefgiklmnoprstuvz", k=7)).title() for _ in range(1000)]
    known = tuple(child(1000 + n, words[n], words[-n - 1], date(2014, 1, 1)) for n in range(500))
    text = lines(*(f"{words[-n - 1].upper()} {words[n]};x;belt;short" for n in range(500)))
    report = camp_list(table(text), known)
    assert len(report.attempts) == 1500
    assert {a.athlete for a in report.attempts} == {who.id for who in known}
