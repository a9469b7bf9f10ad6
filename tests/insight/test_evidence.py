"""The evidence is laid out whole, and says nothing of its own."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp, Height, Name, TwistNote
from loftbook.insight.change import changes
from loftbook.insight.evidence import evidence
from loftbook.insight.evidence_against import growing
from loftbook.insight.evidence_known import Known
from loftbook.insight.history import history_of
from loftbook.insight.measured import Measured
from loftbook.insight.standing import camp_standings
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, Shape, TakeOff, TwistSide
from loftbook.ladder.shipped import shipped_ladder

LADDER = shipped_ladder()
TODAY = date(2026, 4, 20)
AUTUMN = Camp(UUID(int=2), "Autumn camp", date(2025, 10, 18), date(2025, 10, 19), LADDER.edition)
SPRING = Camp(UUID(int=3), "Spring camp", date(2026, 4, 11), date(2026, 4, 12), LADDER.edition)
MIRA = Athlete(UUID(int=1), (Name("Mira", "Moss"),), invented=True)


def turn(camp, rung="double_tuck", n=0, **more):
    told = {
        "id": UUID(int=1000 + 100 * camp.id.int + n),
        "camp": camp.id,
        "athlete": MIRA.id,
        "rung": rung,
        "outcome": Outcome.DID_IT,
        "at": datetime(camp.starts.year, camp.starts.month, camp.starts.day, 9, n, tzinfo=UTC),
        "rater": "H. Alder",
        "edition": LADDER.edition,
        "help": Help.NOBODY_IN,
        "take_off": TakeOff.TRAMPOLINE,
        "landing": Landing.SOFT_FLAT_MAT,
        "rotation": Rotation.ON,
    }
    return Attempt(**(told | more))


def known(*turns, who=MIRA, **more):
    camps = (AUTUMN, SPRING)
    history = history_of(camps, camp_standings(turns, LADDER))
    latest = max((t.at for t in turns), default=datetime(2026, 4, 11, tzinfo=UTC)).date()
    camp = next(c for c in camps if c.contains(latest)) if turns else SPRING
    told = {
        "athlete": who,
        "ladder": LADDER,
        "camps": {c.id: c for c in camps},
        "turns": turns,
        "changes": changes(camp, LADDER, athletes=[who], history=history).since_previous,
        "films": (),
        "may_be_filmed": True,
        "decisions": (),
        "today": TODAY,
    }
    return Known(**(told | more))


def kinds(points):
    return [one.kind for one in points]


def test_turns_are_counted_by_rung_camp_help_and_surface_with_wilsons_interval():
    rows = [turn(SPRING, n=n) for n in range(3)]
    rows += [
        turn(SPRING, n=3, help=Help.BELT_LIGHT),
        turn(AUTUMN, outcome=Outcome.TRIED, rotation=Rotation.SHORT),
    ]
    seen = evidence(known(*rows), "double_pike").seen
    assert [(one.camp, one.help, one.done, one.turns, one.met, one.short) for one in seen] == [
        (SPRING.id, Help.NOBODY_IN, 3, 3, 3, 0),
        (SPRING.id, Help.BELT_LIGHT, 1, 1, 0, 0),
        (AUTUMN.id, Help.NOBODY_IN, 0, 1, 0, 1),
    ]
    # Wilson 1927, as tabled for 3 of 3 at 95 %: 44 to 100 %
    assert seen[0].share.words == "44 to 100 %"
    assert seen[0].raters == ("H. Alder",)


def test_every_turn_on_the_rung_and_below_is_told_once_and_none_from_elsewhere():
    """Conservation: what goes in comes out, once."""
    rows = [turn(SPRING, n=0), turn(SPRING, "double_pike", 1), turn(SPRING, "barani", 2), turn(AUTUMN, n=3)]
    seen = evidence(known(*rows), "double_pike").seen
    assert sum(one.turns for one in seen) == 3
    assert {one.rung for one in seen} == {"double_tuck", "double_pike"}


@pytest.mark.parametrize(
    "word", ["Pain in the ankle", "modified today: wrist", "was afraid at the top", "sore back"]
)
def test_a_note_on_pain_or_fear_is_quoted_as_it_stands(word):
    found = evidence(known(turn(SPRING, note=word)), "double_pike").against
    assert kinds(found) == ["note"]
    assert (found[0].values["note"], found[0].on) == (word, date(2026, 4, 11))


@pytest.mark.parametrize("word", ["Painted toes", "high and clean", "tell the reacher"])
def test_other_notes_are_not(word):
    assert evidence(known(turn(SPRING, note=word)), "double_pike").against == ()


@pytest.mark.parametrize("outcome", [Outcome.STOPPED, Outcome.DECLINED, Outcome.NOT_ALLOWED])
def test_stops_count_on_whatever_rung_they_were(outcome):
    rows = [turn(SPRING), turn(SPRING, "barani", 1, outcome=outcome, help=None, rotation=None)]
    found = evidence(known(*rows), "double_pike").against
    assert [one.values["what"] for one in found if one.kind == "stop"] == [outcome.words]


def test_a_lost_skill_two_ways_of_twisting_and_short_turns():
    two_ways = (TwistNote(TwistSide.LEFT, "barani"), TwistNote(TwistSide.RIGHT, "full_twist_jump"))
    rows = [turn(AUTUMN), turn(SPRING, outcome=Outcome.TRIED, rotation=Rotation.SHORT)]
    found = evidence(known(*rows, who=replace(MIRA, twists=two_ways)), "double_pike").against
    assert kinds(found) == ["lost", "two_way", "short"]
    assert (found[2].values["short"], found[2].values["turns"]) == ("1", "2")


@pytest.mark.parametrize(
    ("grew", "days", "kind"),
    [
        (0.020, 365, []),  # 2.0 cm a year, at most 4: far from the peak
        (0.055, 365, ["growth_maybe"]),  # 5.5 cm a year, 3.6 to 7.4
        (0.063, 365, ["growth"]),  # the published mean peak, 6.2 to 6.4 cm a year (cohort of 2005)
        (0.030, 60, []),  # too near together to tell
    ],
)
def test_growth_is_told_by_serial_stature_with_its_band(grew, days, kind):
    first = date(2025, 4, 12)
    heights = (Height(1.40, first), Height(1.40 + grew, first + timedelta(days=days)))
    assert kinds(growing(heights)) == kind


def test_the_band_of_growth_follows_from_two_heights():
    # law: the variance of a difference is the sum; two heights of 5 mm each over one year, 1.96 x 0.5 x sqrt 2 = 1.39
    heights = (Height(1.40, date(2025, 4, 12)), Height(1.47, date(2026, 4, 12)))
    (point,) = growing(heights)
    half = (float(point.values["most"]) - float(point.values["least"])) / 2
    assert half == pytest.approx(1.39, abs=0.06)  # tenths of a centimetre are printed


def test_what_is_missing_is_named():
    found = evidence(known(turn(SPRING, help=None), may_be_filmed=False), "full_out_belt")
    assert {"never_seen", "no_leave", "no_height", "no_twist_side"} <= set(kinds(found.missing))
    bare = evidence(known(), "double_pike")
    assert kinds(bare.missing)[:1] == ["never_seen"]
    assert bare.seen == ()


def test_what_is_there_is_not_missing():
    who = replace(
        MIRA,
        heights=(Height(1.40, date(2025, 10, 18)), Height(1.41, date(2026, 4, 11))),
        twists=(TwistNote(TwistSide.LEFT, "barani"), TwistNote(TwistSide.LEFT)),
    )
    films = (Measured(1.40, 0.01, 5.0, 0.4, Shape.TUCK, on=date(2026, 4, 11)),)
    below = ["double_tuck", "double_tuck_pit", "double_tuck_belt", "one_and_quarter_back", "back_straight"]
    rows = [turn(SPRING, key, n) for n, key in enumerate(below)]
    rows += [turn(AUTUMN, "back_straight", rater="P. Reed")]
    found = evidence(known(*rows, who=who, films=films), "double_tuck_belt")
    assert not {"no_film", "no_height", "old_height", "one_rater", "one_day"} & set(kinds(found.missing))
    assert kinds(found.measured) == ["flight_time", "momentum", "height"]
    assert found.checklist == LADDER.rung("double_tuck_belt").checklist
    assert found.edition == LADDER.edition
