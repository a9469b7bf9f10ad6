"""Rosters: who is new, who is known, what is asked and what is refused."""

import random
from dataclasses import replace
from datetime import date

import pytest
from tests.book.typed.cast import (
    SQUAD,
    TODAY,
    child,
    decision,
    roster,
    row,
    shipped_list,
    table,
    told,
    workbook,
)

from loftbook.book.people import Athlete, ClubStay, FilmConsent, Height, Name, TwistNote
from loftbook.book.typed import BirthDate
from loftbook.ladder.scales import TwistSide

HEAD = "First name;Surname;Date of birth;Club;Home coach e-mail;twists;Height cm;filming ok?\n"
AYLA = "Ayla;Aalto;2014-10-26;Northfield GC;coach@northfield.example;left;1,40 m;\n"


def one(line, known=SQUAD, answers=None, **options):
    return roster(HEAD + line, known, answers, **options)


def facts(report):
    return [fact for _, fact in report.facts]


# ---- the shipped roster ----


def shipped(known=(), answers=None, **options):
    return roster(table(shipped_list("roster.csv"), "roster.csv"), known, answers, **options)


def test_it_works():
    report = shipped()
    assert dict(report.counts) == {"ask": 1, "refuse": 1, "skip": 0, "take": 28, "same": 0}
    ines = next(a for a in facts(report) if a.name.given == "Inés")
    assert ines.born == date(2013, 9, 11)
    assert ines.club == ClubStay("Northfield GC", "", "coach@northfield.example")
    assert ines.height.metres == 1.43
    assert ines.twists[0].side is TwistSide.RIGHT
    assert ines.may_be_filmed


def test_the_impossible_date_and_the_duplicate_are_named():
    report = shipped()
    impossible, duplicate = row(report, 30), row(report, 31)
    assert impossible.verdict == "refuse"
    assert "no month 31" in impossible.sentence
    assert "row 13" in impossible.sentence
    assert not impossible.facts
    assert duplicate.verdict == "ask"
    assert "stands in row 29 already" in duplicate.sentence
    assert "duplicate" in duplicate.sentence
    assert {c.key for c in duplicate.choices} == {"moved", "keep", "other"}


@pytest.mark.parametrize("answers", [{}, {"row 31 club": "moved"}, {"row 31 club": "keep"}])
@pytest.mark.parametrize("as_of", [None, TODAY])
def test_twice_changes_nothing(answers, as_of):
    first = shipped(answers=answers, as_of=as_of)
    again = shipped(told(first), answers=answers, as_of=as_of)
    assert again.facts == ()
    assert again.counts["same"] == 28


def test_answers_to_the_duplicate():
    moved = told(shipped(answers={"row 31 club": "moved"}))
    birgit = next(a for a in moved if a.name.given == "Birgit")
    assert [stay.club for stay in birgit.clubs] == ["Harbour Gymnastics", "Saltmarsh Gym"]
    other = told(shipped(answers={"row 31 club": "other"}))
    assert [a.club.club for a in other if a.name.given == "Birgit"] == ["Harbour Gymnastics", "Saltmarsh Gym"]
    assert len({a.id for a in other}) == 29
    keep = shipped(answers={"row 31 club": "keep"})
    assert len(told(keep)) == 28


def test_blank_consent_is_not_said():
    ayla = next(a for a in told(shipped()) if a.name.given == "Ayla")
    assert ayla.consents == ()
    assert not ayla.may_be_filmed


def test_the_report_is_one_a_coach_would_accept():
    text = shipped().as_markdown()
    order = [
        "# How `roster.csv`",
        "## What was understood",
        "## In numbers",
        "## Asked (1)",
        "## Refused (1)",
        "## Taken (28)",
    ]
    places = [text.index(part) for part in order]
    assert places == sorted(places)
    assert "Dates: day before month, as 10 of them can only be read that way." in text
    assert "Row 13: New: Lumi Lindqvist, born 30 September 2013, Old Mill Club, twists left, 1.45 m." in text
    for word in ("None", "UUID", "NaN", " ready", "weight"):
        assert word not in text


def test_the_report_as_a_dictionary_holds_everything():
    import json

    plain = json.loads(json.dumps(shipped().as_dict()))
    assert plain["counts"]["take"] == 28
    assert plain["rows"][0]["facts"][0]["kind"] == "Athlete"
    assert plain["rows"][0]["facts"][0]["heights"][0]["metres"] == 1.4
    assert plain["questions"] == ["row 31 club"]


# ---- one row against the book ----


def test_somebody_known_with_nothing_new():
    known = told(one(AYLA, known=()))
    assert row(one(AYLA, known), 2).verdict == "same"


def test_new_facts_of_somebody_known():
    report = one("Ayla;Aalto;2014-10-26;Northfield GC;c@n.example;left;1,46 m;yes\n", as_of=date(2025, 10, 1))
    assert facts(report) == [
        ClubStay("Northfield GC", "", "c@n.example", date(2025, 10, 1)),
        TwistNote(TwistSide.LEFT, on=date(2025, 10, 1)),
        Height(1.46, date(2025, 10, 1)),
        FilmConsent(True, date(2025, 10, 1), "list list.csv row 2"),
    ]


def test_a_birth_date_for_somebody_who_came_with_a_camp_list():
    known = (replace(SQUAD[0], born=None, clubs=()),)
    report = one(AYLA, known)
    assert BirthDate(date(2014, 10, 26)) in facts(report)
    assert facts(one(AYLA, told(report, known))) == []


def test_another_club_is_asked_and_nothing_taken_meanwhile():
    line = "Ayla;Aalto;2014-10-26;Harbour Gymnastics;c@h.example;left;1,46 m;yes\n"
    report = one(line)
    assert row(report, 2).verdict == "ask"
    assert report.facts == ()
    moved = one(line, answers={"row 2 club": "moved"}, as_of=TODAY)
    assert facts(moved)[0] == ClubStay("Harbour Gymnastics", "", "c@h.example", TODAY)
    keep = one(line, answers={"row 2 club": "keep"})
    assert not [f for f in facts(keep) if isinstance(f, ClubStay)]
    assert [f for f in facts(keep) if isinstance(f, Height)]


def test_one_name_two_birth_dates_is_asked():
    line = "Ayla;Aalto;2012-01-05;;;;;\n"
    report = one(line)
    asked = row(report, 2)
    assert asked.verdict == "ask"
    assert "another birth date" in asked.sentence
    person = SQUAD[0].id.hex[-8:]
    assert [c.key for c in asked.choices] == [f"is {person}", f"born {person}", "new", "skip"]
    assert facts(one(line, answers={"row 2": f"born {person}"})) == [BirthDate(date(2012, 1, 5))]
    assert facts(one(line, answers={"row 2": f"is {person}"})) == []
    new = facts(one(line, answers={"row 2": "new"}))
    assert isinstance(new[0], Athlete)
    assert new[0].id != SQUAD[0].id
    assert row(one(line, answers={"row 2": "skip"}), 2).verdict == "skip"


def test_one_name_two_birth_dates_inside_one_list():
    report = roster(HEAD + AYLA + "Ayla;Aalto;2012-01-05;;;;;\n")
    assert [r.verdict for r in report.rows] == ["take", "ask"]
    assert "row 2 of this list" in row(report, 3).sentence


@pytest.mark.parametrize("name", ["Gwen;Gronholm", "gwen;GRÖNHOLM", "Gwen;Groenholm", "Grönholm;Gwen"])
def test_other_spellings_of_one_child(name):
    report = one(f"{name};2014-05-08;Saltmarsh Gym;;;;\n")
    assert row(report, 2).athlete == SQUAD[2].id
    assert row(report, 2).confidence > 0.9
    assert report.facts == ()


def test_nearly_the_same_name_on_the_same_day_is_asked():
    report = one("Gwen;Grönhelm;2014-05-08;;;;;\n")
    assert "nearly the name" in row(report, 2).sentence
    person = SQUAD[2].id.hex[-8:]
    renamed = one("Gwen;Grönhelm;2014-05-08;;;;;\n", answers={"row 2": f"renamed {person}"}, as_of=TODAY)
    assert facts(renamed) == [Name("Gwen", "Grönhelm", TODAY)]


def test_a_new_family_name_is_asked_and_a_twin_is_not():
    assert "first name and the birth date" in row(one("Calla;Newname;2017-08-09;;;;;\n"), 2).sentence
    assert row(one("Tessa;Čapek;2017-08-09;;;;;\n"), 2).verdict == "take"


def test_nearly_the_same_name_on_another_day_is_another_child():
    assert row(one("Anna;Lindqvist;2016-02-03;;;;;\n"), 2).verdict == "take"


def test_two_of_one_name_in_the_book_without_a_birth_date_in_the_row():
    twice = (*SQUAD, child(99, "Ayla", "Aalto", date(2012, 1, 5)))
    asked = row(one("Ayla;Aalto;;;;;;\n", twice), 2)
    assert asked.verdict == "ask"
    assert len([c for c in asked.choices if c.key.startswith("is ")]) == 2


# ---- cells ----


@pytest.mark.parametrize(
    ("born", "part"),
    [
        ("2031-01-01", "in the future"),
        ("2025-12-01", "after the camp began"),
        ("31/31/2014", "no month"),
        ("2014", "whole date"),
    ],
)
def test_birth_dates_that_are_refused(born, part):
    report = roster(HEAD + f"Nova;Nilsson;{born};;;;;\n" + AYLA, camp_day=date(2025, 10, 18))
    assert row(report, 2).verdict == "refuse"
    assert part in row(report, 2).sentence
    assert row(report, 3).verdict == "take"


@pytest.mark.parametrize("born", ["2024-05-05", "1985-01-01"])
def test_ages_that_are_asked(born):
    line = f"Nova;Nilsson;{born};Club;;;;\n"
    assert row(one(line), 2).id == "row 2 born"
    assert row(one(line), 2).verdict == "ask"
    assert one(line).facts == ()
    assert facts(one(line, answers={"row 2 born": "take"}))[0].born == date.fromisoformat(born)
    assert facts(one(line, answers={"row 2 born": "leave"}))[0].born is None


def test_the_order_of_dates_is_asked_where_nothing_decides():
    text = "Name;Born\nNova Nilsson;03/05/2013\nPia Peters;04/06/2014\nQuy Quan;05/05/2015\n"
    report = roster(text)
    assert decision(report, "date order").verdict == "ask"
    assert [r.verdict for r in report.rows] == ["ask", "ask", "take"]
    assert "3 May 2013 or 5 March 2013" in row(report, 2).sentence
    told_day = roster(text, answers={"date order": "day"})
    assert [a.born for a in facts(told_day)] == [date(2013, 5, 3), date(2014, 6, 4), date(2015, 5, 5)]
    told_one = roster(text, answers={"row 3 born": "2014-04-06"})
    assert [a.born for a in facts(told_one)] == [date(2014, 4, 6), date(2015, 5, 5)]


def test_dates_month_first():
    report = roster("Name,DOB\nNova Nilsson,05/26/2013\nPia Peters,04/06/2014\n")
    assert [a.born for a in facts(report)] == [date(2013, 5, 26), date(2014, 4, 6)]


def test_a_height_of_nobody_loses_no_row():
    report = one("Nova;Nilsson;2014-05-05;Club;;;14.5 m;yes\n")
    assert [r.verdict for r in report.rows] == ["take", "refuse"]
    assert facts(report)[0].heights == ()
    assert "14.5 m is not that of a gymnast" in report.rows[1].sentence


@pytest.mark.parametrize(
    ("cells", "key", "part"),
    [
        (";;;1.30;", "row 2 height", "shrank"),
        (";;;1.70;", "row 2 height", "grew"),
        (";;right;;", "row 2 twist side", "hazard"),
        (";;;;yes", "row 2 filming", "the book has no"),
    ],
)
def test_what_is_asked_of_somebody_known(cells, key, part):
    known = (
        replace(
            SQUAD[0],
            heights=(Height(1.45),),
            twists=(TwistNote(TwistSide.LEFT),),
            consents=(FilmConsent(False),),
        ),
    )
    line = f"Ayla;Aalto;2014-10-26;{cells}\n"
    asked = decision(one(line, known), key)
    assert asked.verdict == "ask"
    assert part in asked.sentence
    assert one(line, known).facts == ()
    assert len(facts(one(line, known, {key: "take"}))) == 1
    assert one(line, known, {key: "leave"}).facts == ()


def test_filming_withdrawn_is_taken_at_once():
    known = (replace(SQUAD[0], consents=(FilmConsent(True),)),)
    assert facts(one("Ayla;Aalto;2014-10-26;;;;;no\n", known))[0].allowed is False


@pytest.mark.parametrize("typed", ["perhaps", "x", "?", "", "-"])
def test_filming_is_never_guessed(typed):
    assert facts(one(f"Nova;Nilsson;2014-05-05;Club;;;;{typed}\n"))[0].consents == ()


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("Nova;Nilsson;2014-05-05;Club;not an address;;;\n", "row 2 e-mail"),
        ("Nova;Nilsson;2014-05-05;Club;;both;;\n", "row 2 twist side"),
        ("Nova;Nilsson;2014-05-05;=cmd();;;;\n", "row 2 club"),
        ("Nova;Nilsson;2014-05-05;Club;;;;perhaps\n", "row 2 filming"),
    ],
)
def test_cells_that_cannot_be_read_are_named(line, key):
    report = one(line)
    assert row(report, 2).verdict == "take"
    assert decision(report, key).verdict == "refuse"


# ---- headings and form ----


@pytest.mark.parametrize(
    "heading",
    [
        "Vorname;Nachname;Geburtsdatum;Verein;E-Mail Trainer;Drehrichtung;Größe (cm);Filmen ok?",
        "Prénom;Nom;Date de naissance;Club;Courriel entraîneur;Vrille;Taille cm;Filmer ok",
        "Nombre;Apellidos;Fecha de nacimiento;Club;Correo entrenador;Giro;Altura (cm);Vídeo ok",
        "Vorname;Name;geb.;Verein;Trainer e-mail;Schraube;Körpergröße;Video?",
    ],
)
def test_headings_of_other_languages(heading):
    report = roster(f"{heading}\nInés;Ibsen;11.09.2013;Northfield GC;c@n.example;links;143;ja\n")
    (ines,) = facts(report)
    assert (ines.name.given, ines.name.family, ines.born) == ("Inés", "Ibsen", date(2013, 9, 11))
    assert (ines.club.coach_email, ines.height.metres) == ("c@n.example", 1.43)
    assert (ines.twists[0].side, ines.may_be_filmed) == (TwistSide.LEFT, True)


def test_a_misspelt_heading_is_taken_with_less_confidence_or_asked():
    report = roster("First nmae;Surname;Date of brith;Higt\nNova;Nilsson;2014-05-05;140\n")
    assert decision(report, "column 3").verdict == "take"
    assert decision(report, "column 3").confidence < 0.95
    assert decision(report, "column 4").verdict == "ask"
    assert decision(report, "column 4").choices[0].key == "height"
    answered = roster("First name;Surname;Higt\nNova;Nilsson;140\n", answers={"column 3": "height"})
    assert facts(answered)[0].height.metres == 1.40


def test_an_address_without_its_owner_is_asked_a_parents_is_not_read():
    report = roster("Name;E-mail;Parent e-mail\nNova Nilsson;a@b.example;p@q.example\n")
    assert decision(report, "column 2").verdict == "ask"
    assert "example" not in str(facts(report))


def test_a_roster_of_another_country():
    rows = (
        "Regional squad roster,,,,,",
        '"as of Jan 5, 2026",,,,,',
        'Athlete,DOB,Gym,"Ht (in)",Twist dir.,Video OK',
        '"Abbot, Nell",5/26/13,Blue Hall,57",L,Y',
        '"Burr, Ida",4/6/2014,Blue Hall,"4\' 8""",R,N',
        '"Crane, Mia","Mar 3, 2015",Blue Hall,55.5,left,',
        "Total,3,,,,",
    )
    report = roster("\n".join(rows))
    assert [a.born for a in facts(report)] == [date(2013, 5, 26), date(2014, 4, 6), date(2015, 3, 3)]
    # one inch is 25.4 mm exactly (international yard and pound agreement, 1959): 57, 56 and 55.5 in
    assert [a.height.metres for a in facts(report)] == pytest.approx([1.4478, 1.4224, 1.4097], abs=0.0005)
    assert report.counts["ask"] == report.counts["refuse"] == 0


def test_weights_are_never_read():
    report = roster("Name;Weight\nNova Nilsson;31,5\n")
    assert "never read" in decision(report, "column 2").sentence
    assert "31" not in str(facts(report))


def test_the_order_of_names_without_comma_or_capitals_can_be_answered():
    text = "Name\nNilsson Nova\n"
    assert facts(roster(text))[0].name == Name("Nilsson", "Nova")
    assert facts(roster(text, answers={"name order": "family"}))[0].name == Name("Nova", "Nilsson")


def test_a_lost_letter_in_a_new_name_is_asked():
    report = one("Ren?e;Nilsson;2014-05-05;;;;;\n")
    assert row(report, 2).verdict == "ask"
    assert "lost" in row(report, 2).sentence


def test_a_lost_letter_in_a_known_name():
    assert row(one("Yara;Y?ld?z;2015-11-15;Saltmarsh Gym;;;;\n"), 2).athlete == SQUAD[5].id


def test_formulas_of_a_spreadsheet_are_asked_about():
    def formula(book, sheet):
        sheet["A2"] = '="Nova"'

    data = workbook([["First name", "Surname"], [None, "Nilsson"]], change=formula)
    report = roster(table(data, "r.xlsx"))
    assert decision(report, "formulas").verdict == "ask"
    assert row(report, 2).verdict == "refuse"


def test_answers_that_fit_nothing_are_said():
    report = one(AYLA, answers={"row 77": "new", "name order": "sideways"})
    assert "row 77" in decision(report, "answers").sentence


def test_five_hundred_rows_are_all_taken():
    draw = random.Random(7)
    names = ["".join(draw.choices("abdefgiklmnoprstuvz", k=7)).title() for _ in range(1000)]
    lines = "".join(
        f"{names[n]};{names[-n - 1]};{n % 27 + 1:02d}/0{n % 9 + 1}/201{n % 7};Club {n % 9};;L;1,4{n % 10};\n"
        for n in range(500)
    )
    data = (HEAD + lines).encode()
    known = tuple(child(1000 + n, f"Kid{n}", f"Name{n}", date(2014, 1, 1)) for n in range(60))
    report = roster(table(data), known)
    assert report.counts["take"] == 500


def test_a_legend_is_no_child():
    report = roster("Name;Born;Filming ok\nAyla Aalto;2014-10-26;yes\nx = not allowed;;\n")
    assert [d.verdict for d in report.rows] == ["take", "skip"]
