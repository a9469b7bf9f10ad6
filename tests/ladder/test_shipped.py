"""The ladder that comes with Loftbook: what it holds, and what a coach types for it."""

import csv
import hashlib
import re
import tomllib
from pathlib import Path

import pytest
from tests.conftest import ROOT, step_aside

from loftbook.errors import LadderError
from loftbook.ladder.headings import heading_key
from loftbook.ladder.notation import write_notation
from loftbook.ladder.reading import read_ladder
from loftbook.ladder.scales import Direction, Help, Landing, Shape, TakeOff
from loftbook.ladder.shipped import shipped_ladder, shipped_text, was_shipped

LADDER = shipped_ladder()


def test_it_works():
    assert [rung.key for rung in LADDER.test_rungs] == ["double_tuck", "double_pike", "double_open_tuck"]


def test_a_later_loftbook_will_know_this_text_as_a_shipped_one():
    """A book that keeps a copy of it then follows the program, where a coach's own ladder stays."""
    # FIPS 180-4: SHA-256, worked out here by Python's hashlib over the file itself
    here = hashlib.sha256(shipped_text().encode()).hexdigest()
    known = tomllib.loads((ROOT / "src/loftbook/ladder/data/shipped.toml").read_text(encoding="utf-8"))
    assert known["texts"][-1] == here, "doubles.toml has changed: add this sum to the end of shipped.toml"
    assert was_shipped(shipped_text())
    assert not was_shipped(shipped_text().replace("Doubles", "Ours", 1))


@pytest.mark.parametrize("rung", LADDER.test_rungs, ids=lambda rung: rung.key)
def test_the_camp_test_is_from_bed_to_soft_flat_mat_with_nobody_in(rung):
    # the programme's test as the trade facts describe it: trampoline to a soft flat surface, nobody in
    assert rung.standard.take_offs == (TakeOff.TRAMPOLINE,)
    assert rung.standard.landings == (Landing.SOFT_FLAT_MAT,)
    assert rung.standard.help is Help.NOBODY_IN
    assert "feet first" in rung.standard.did_it
    assert rung.standard.shape_words


def test_the_open_tuck_is_defined_with_its_edition():
    words = LADDER.rung("double_open_tuck").standard.shape_words
    assert LADDER.edition in words
    assert "90–135°" in words
    assert LADDER.rung("double_open_tuck").skill.shape is Shape.OPEN_TUCK


@pytest.mark.parametrize(
    ("key", "notation", "direction"),
    # trade facts (trampoline rules, read second hand): how these are written, and from which take-off they are
    [
        ("back_tuck", "4 – o", Direction.BACKWARD),
        ("barani", "4 1 <", Direction.FORWARD),
        ("back_full", "4 2 /", Direction.BACKWARD),
        ("rudi", "4 3 /", Direction.FORWARD),
        ("one_and_three_quarter_front", "7 – o", Direction.FORWARD),
        ("double_tuck", "8 – – o", Direction.BACKWARD),
        ("double_pike", "8 – – <", Direction.BACKWARD),
        ("double_straight", "8 – – /", Direction.BACKWARD),
        ("double_front_tuck", "8 – – o", Direction.FORWARD),
        ("half_out_tuck", "8 – 1 o", Direction.FORWARD),
        ("rudi_out_tuck", "8 – 3 o", Direction.FORWARD),
        ("half_in_half_out", "8 1 1 o", Direction.BACKWARD),
        ("full_in", "8 2 – o", Direction.BACKWARD),
        ("full_out", "8 – 2 o", Direction.BACKWARD),
    ],
)
def test_skills_are_what_the_trade_writes(key, notation, direction):
    skill = LADDER.rung(key).skill
    assert skill is not None
    assert (write_notation(skill), skill.direction) == (notation, direction)


@pytest.mark.parametrize(
    ("key", "start", "quarters_to_feet"),
    # geometry: feet to feet is a whole number of turns. A back drop is one quarter backward; a ¾ back lands on the
    # front, three quarters backward; a ¾ front lands on the back, three quarters forward.
    [("back_pullover", 1, 4), ("cody", 3, 8), ("ball_out", 3, 8), ("barani_ball_out", 3, 8)],
)
def test_body_landings_add_up_to_whole_somersaults(key, start, quarters_to_feet):
    assert start + LADDER.rung(key).skill.quarters == quarters_to_feet


def test_belt_rungs_are_belt_rungs():
    belted = [rung for rung in LADDER.rungs if rung.belt]
    assert {rung.key for rung in belted} == {
        "back_full_belt",
        "full_out_belt",
        "full_in_belt",
        "half_in_half_out_belt",
    }
    for rung in belted:
        assert rung.standard.help is Help.BELT_SLACK
        alone = LADDER.rung(rung.key.removesuffix("_belt"))
        assert alone.skill == rung.skill
        assert alone.standard.help is Help.NOBODY_IN
        assert rung.key in alone.prerequisites
        assert any("decided" in line for line in rung.checklist)


def test_each_family_is_introduced():
    shown = {family for rung in LADDER.rungs for family in rung.families}
    assert shown == {"backward_double", "forward_double", "backward_twist", "forward_twist"}


@pytest.mark.parametrize(
    ("key", "families"),
    [
        ("straight_jumps", ()),
        ("back_straight", ()),
        ("one_and_three_quarter_front", ()),
        ("back_full", ("backward_twist",)),
        ("half_out_tuck", ("forward_double", "forward_twist")),
        ("full_in", ("backward_twist", "backward_double")),
        ("double_tuck_floor", ("backward_double",)),
    ],
)
def test_what_a_rung_introduces(key, families):
    # words of the trade: a double has two somersaults, a twisting skill half a twist or more
    assert LADDER.rung(key).families == families


def test_criteria_are_the_seven_of_the_sheet():
    # DESIGN §1: lift, hands, form, rotation, landing, where she is in the air, how far she travels
    keys = [criterion.key for criterion in LADDER.criteria]
    assert keys == ["lift", "hands", "form", "rotation", "landing", "air_awareness", "travel"]


TYPED = [
    ("DBL tuck", "double_tuck"),
    ("dbl pike", "double_pike"),
    ("Open DBL tuck", "double_open_tuck"),
    ("Double tuck", "double_tuck"),
    ("Double pike", "double_pike"),
    ("Open tuck double", "double_open_tuck"),
    ("open tuck  DOUBLE ", "double_open_tuck"),
    ("DT", "double_tuck"),
    ("Double-back tuck", "double_tuck"),
    ("double back (pike)", "double_pike"),
    ("half in / half out", "half_in_half_out"),
    ("full-in", "full_in"),
    ("Full out belt", "full_out_belt"),
    ("1 3/4 front", "one_and_three_quarter_front"),
]


def names_of(rung):
    return (rung.name, rung.short, rung.key, *rung.aliases)


def called(heading):
    """The rung that the ladder itself calls so; what a list means by less is read elsewhere."""
    wanted = heading_key(heading)
    return next((r for r in LADDER.rungs if wanted and wanted in map(heading_key, names_of(r))), None)


@pytest.mark.parametrize(("heading", "key"), TYPED)
def test_headings_as_coaches_type_them(heading, key):
    found = called(heading)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("heading", ["", "  ", "Gymnast", "double", "double back", "half-in full-out", "✓"])
def test_what_could_be_two_things_is_nothing(heading):
    assert called(heading) is None


def test_the_headings_of_the_example_lists_are_known():
    folder = ROOT.parent / "shared" / "data" / "camps"
    if not folder.is_dir():
        step_aside("The example camp lists are not beside this checkout.")
    for name, title in (("camp-spring.csv", "Name"), ("camp-autumn.csv", "Gymnast")):
        text = Path(folder / name).read_bytes().decode("latin-1")
        header = next(line for line in text.splitlines() if line.startswith(title))
        cells = next(csv.reader([header], delimiter=";" if ";" in header else ","))
        found = [called(cell) for cell in cells[1:]]
        assert found == list(LADDER.test_rungs), name


def test_every_name_belongs_to_one_rung():
    owners = {}
    for rung in LADDER.rungs:
        for name in names_of(rung):
            assert owners.setdefault(heading_key(name), rung.key) == rung.key, name


def test_the_text_promises_nothing_and_asks_for_no_weight():
    """The tool records and reminds; a qualified person decides."""
    words = [
        one for line in shipped_text().splitlines() if not line.startswith("#") for one in [line.casefold()]
    ]
    for forbidden in ("is ready", "cleared", "body weight ", "kilogram", "weigh "):
        assert not [line for line in words if forbidden in line and "times body weight" not in line], (
            forbidden
        )
    cautions = " ".join(LADDER.cautions).casefold()
    for needed in ("qualified", "mats", "federation", "pain", "fear", "say no"):
        assert needed in cautions


def test_every_drill_can_be_followed():
    for drill in LADDER.drills:
        assert re.search(r"\d", drill.dose), drill.key
        assert re.search(r"stop|end", drill.stop), drill.key
        assert drill.surface, drill.key
        assert drill.help, drill.key
        assert drill.evidence, drill.key


@pytest.mark.parametrize("rung", LADDER.rungs, ids=lambda rung: rung.key)
def test_every_rung_has_a_checklist_that_names_a_person_and_gives_no_leave(rung):
    """The rules of the house: a list reminds; a qualified person decides; her no counts."""
    told = " ".join(rung.checklist)
    assert "qualified" in told
    assert "no is always taken" in told
    assert not re.search(r"\b(ready|cleared|may now|weight)\b", told)
    assert len(set(rung.checklist)) == len(rung.checklist)


def test_lists_have_an_edition_of_their_own_and_a_ladder_without_them_is_still_read():
    """So that a change of policy breaks no comparison: what counts on a rung keeps the ladder's edition."""
    assert (LADDER.edition, LADDER.lists_edition) == ("loftbook-1", "loftbook-lists-1")
    text = shipped_text()
    older = text[: text.index("\n[checklists]")] + text[text.index("# ---- groups: the headings") :]
    before = read_ladder(older)
    assert before.lists_edition == before.edition
    assert [one.standard for one in before.rungs] == [one.standard for one in LADDER.rungs]
    mine = text.replace('edition = "loftbook-lists-1"', 'edition = "ours"', 1).replace(
        "double_back = [", "doubles = [", 1
    )
    with pytest.raises(LadderError, match="doubles"):
        read_ladder(mine)
