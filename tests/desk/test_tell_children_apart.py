"""Two of one name, a new club, a new name, one who joins later: each keeps her own history."""

from datetime import date

import pytest
from tests.desk import cast
from tests.desk.cast import NOW, PIKE, TUCK, everything, named, roster_of

from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.exporting import one_list
from loftbook.desk.importing import read_camp_file, read_roster_file
from loftbook.desk.people import all_athletes, athlete, find_athlete, find_camp
from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.insight.change import ChangeKind
from loftbook.insight.standing import State

TWINS = ("Lumi Lindqvist;2013-09-30;Old Mill;left;145", "Lumi Lindqvist;2015-09-29;Saltmarsh;right;137")


def roster(desk, *rows, **options):
    return read_roster_file(desk, roster_of(*rows), "roster.csv", write=True, **options)


def marks(desk, *rows, **options):
    text = "Winter camp 10-11 Jan 2026\r\nGymnast;Club;Double tuck;Double pike\r\n" + "\r\n".join(rows)
    return read_camp_file(desk, text.encode(), "winter.csv", write=True, **options)


# ---- two of one name ----


def test_two_of_one_name_are_asked_about_and_then_are_two(desk):
    report = roster(desk, *TWINS)
    (question,) = report.questions
    assert "another birth date" in question.sentence
    roster(desk, *TWINS, answers={question.id: "new"})
    assert [one.born for one in all_athletes(desk)] == [date(2013, 9, 30), date(2015, 9, 29)]
    before = everything(desk)
    roster(desk, *TWINS)
    assert everything(desk) == before


@pytest.fixture
def two(desk):
    report = roster(desk, *TWINS)
    roster(desk, *TWINS, answers={report.questions[0].id: "new"})
    return desk


def test_neither_is_picked_silently(two):
    with pytest.raises(AmbiguousThing, match=r"Old Mill.*Saltmarsh|Saltmarsh.*Old Mill"):
        find_athlete(two, "Lumi Lindqvist")
    report = marks(two, "Lumi Lindqvist;;x;x")
    assert report.attempts == ()
    assert "Which of them?" in report.questions[0].sentence


def test_the_club_beside_the_name_tells_them_apart(two):
    report = marks(two, "Lumi Lindqvist;Saltmarsh;x;belt")
    who = athlete(two, report.attempts[0].athlete)
    assert (who.born, len(report.attempts)) == (date(2015, 9, 29), 2)


def test_an_id_names_one_of_them(two):
    for one in all_athletes(two):
        assert find_athlete(two, str(one.id)) == one


def test_their_marks_stay_apart(two):
    first, second = all_athletes(two)
    report = marks(two, "Lumi Lindqvist;Old Mill;x;no", "Lumi Lindqvist;Saltmarsh;belt;-")
    camp = camp_answer(two, report.camp)
    states = {(s.athlete, s.rung): s.state for s in camp.standings}
    assert states == {
        (first.id, TUCK): State.ALONE,
        (first.id, PIKE): State.TRIED,
        (second.id, TUCK): State.HELPED,
        (second.id, PIKE): State.NOT_TRIED,
    }


# ---- another club ----


def moved(desk, **options):
    roster(desk, "Ayla Aalto;2014-10-26;Northfield;left;140")
    return roster(desk, "Ayla Aalto;2014-10-26;Saltmarsh;left;", answers={"row 2 club": "moved"}, **options)


def test_a_child_who_changes_her_club_keeps_the_old_one_for_the_old_camps(desk):
    marks_before = cast.listed("Ayla Aalto;x;;", title="Spring camp 12-13 April 2025")
    roster(desk, "Ayla Aalto;2014-10-26;Northfield;left;140")
    spring = read_camp_file(desk, marks_before, "spring.csv", write=True).camp
    moved(desk)
    ayla = athlete(desk, named(desk, "Ayla Aalto"))
    assert [(stay.club, stay.since) for stay in ayla.clubs] == [
        ("Northfield", None),
        ("Saltmarsh", NOW.date()),
    ]
    assert ayla.club_on(date(2025, 4, 12)).club == "Northfield"
    table = one_list(desk, "inventory", spring)
    assert {row[table.columns.index("club")] for row in table.rows} == {"Northfield"}
    assert squad_answer(desk).athletes[0].club == "Saltmarsh"


def test_the_day_of_the_roster_is_the_day_of_the_move(desk):
    moved(desk, as_of=date(2025, 9, 1))
    assert athlete(desk, named(desk, "Ayla Aalto")).clubs[-1].since == date(2025, 9, 1)


def test_the_old_roster_read_again_does_not_move_her_back(desk):
    moved(desk)
    before = everything(desk)
    assert roster(desk, "Ayla Aalto;2014-10-26;Northfield;left;140").facts == ()
    after = everything(desk)
    assert after == before


# ---- another name ----


def test_a_child_who_changes_her_name_is_the_same_child_with_one_more_fact(desk):
    roster(desk, "Gwen Grönholm;2014-05-08;Harbour;right;")
    gwen = find_athlete(desk, "Gwen Grönholm")
    marks(desk, "Gwen Grönholm;;x;")
    report = roster(desk, "Gwen Ashdown;2014-05-08;Harbour;right;")
    (question,) = report.questions
    renamed = next(choice.key for choice in question.choices if choice.key.startswith("renamed"))
    roster(desk, "Gwen Ashdown;2014-05-08;Harbour;right;", answers={question.id: renamed})
    (only,) = all_athletes(desk)
    assert only.id == gwen.id
    assert [(name.full, name.since) for name in only.names] == [
        ("Gwen Grönholm", None),
        ("Gwen Ashdown", NOW.date()),
    ]
    # Both names find her; her results are one history.
    assert find_athlete(desk, "gronholm gwen") == find_athlete(desk, "Gwen Ashdown") == only
    assert len(athlete_answer(desk, only.id).columns) == 1
    before = everything(desk)
    roster(desk, "Gwen Ashdown;2014-05-08;Harbour;right;")
    marks(desk, "Gwen Ashdown;;x;")
    assert {k: v for k, v in everything(desk).items() if k != "import_file"} == {
        k: v for k, v in before.items() if k != "import_file"
    }


# ---- one who joins at the third camp ----


def test_one_who_joins_at_the_third_camp_has_her_first_camp_there(made):
    cast.write(
        made.desk,
        *(cast.payload(camp, made.mira) for camp in (made.spring, made.autumn, made.today)),
    )
    (late,) = cast.bring(made.desk, cast.child("Wrenna", "Joins"))
    cast.write(made.desk, cast.payload(made.today, late))
    kinds = {c.athlete: c.kind for c in camp_answer(made.desk, made.today.id).changes if c.rung == TUCK}
    assert (kinds[made.mira], kinds[late]) == (ChangeKind.HELD, ChangeKind.FIRST_CAMP)
    assert [column.camp.id for column in athlete_answer(made.desk, late).columns] == [made.today.id]
    assert late not in camp_answer(made.desk, made.autumn.id).athletes


# ---- finding by what a coach types ----


@pytest.mark.parametrize("typed", ["Mira Moss", "moss mira", "MIRA", "mira  moss ", "Moss"])
def test_one_child_is_found_by_any_way_to_write_her(made, typed):
    assert find_athlete(made.desk, typed).id == made.mira


@pytest.mark.parametrize("typed", ["O'Nettle", "O’Nettle Noa", "o nettle"])
def test_quotes_of_any_kind(made, typed):
    assert find_athlete(made.desk, typed).id == made.noa


@pytest.mark.parametrize(
    ("given", "family", "typed"),
    [("Mirela", "Møller", "mirela moller"), ("Yara", "Yıldız", "Yara Yildiz"), ("Lech", "Łoś", "Los Lech")],
)
def test_letters_that_a_keyboard_does_not_have_are_no_hindrance(desk, given, family, typed):
    (who,) = cast.bring(desk, cast.child(given, family))
    assert find_athlete(desk, typed).id == who


def test_a_name_that_is_nearly_hers_is_offered_not_taken(made):
    with pytest.raises(UnknownThing, match="did you mean Mira Moss"):
        find_athlete(made.desk, "Mira Mosss")


@pytest.mark.parametrize(
    "typed", ["", " ", "🎉", "?", "%", "'; DROP TABLE athlete; --", "x" * 5000, "\udcff"]
)
def test_what_is_no_name_finds_nobody(made, typed):
    """Also where a name without a single letter is in the book."""
    cast.bring(made.desk, cast.child("🤸", ""))
    with pytest.raises(UnknownThing, match="nobody called"):
        find_athlete(made.desk, typed)
    assert find_athlete(made.desk, "🤸").name.given == "🤸"


def test_an_empty_book_says_to_bring_in_a_roster(desk):
    with pytest.raises(UnknownThing, match="import a roster first"):
        find_athlete(desk, "Mira")


# ---- finding camps ----


@pytest.mark.parametrize(
    "typed", ["autumn", "Autumn camp", "2025-10-18", "2025-10-19", "AUTUMN CAMP 2025-10-18"]
)
def test_a_camp_is_found_by_its_name_or_a_day(made, typed):
    assert find_camp(made.desk, typed) == made.autumn


def test_without_a_name_it_is_the_latest(made):
    assert find_camp(made.desk) == made.today


def test_two_camps_of_one_name_are_not_guessed(made):
    with pytest.raises(AmbiguousThing, match="give its first day"):
        find_camp(made.desk, "Spring camp")


@pytest.mark.parametrize("typed", ["winter", "2024-01-01", "", "🎉"])
def test_an_unknown_camp_is_told_with_those_that_are_known(made, typed):
    with pytest.raises((UnknownThing, AmbiguousThing), match="Autumn camp 2025-10-18"):
        find_camp(made.desk, typed)


@pytest.mark.parametrize("typed", ["", "🎉", "!!"])
def test_what_is_no_name_does_not_mean_the_only_camp(desk, typed):
    only = cast.a_camp(desk, "Spring camp", cast.SPRING_25)
    assert find_camp(desk, "spring") == only
    with pytest.raises(UnknownThing, match="no camp"):
        find_camp(desk, typed)
