"""A coach copies the ladder and edits it; each mistake names its line and what to write."""

import tomllib
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.errors import LadderError
from loftbook.ladder.reading import MOST_LETTERS, MOST_RUNGS, read_ladder
from loftbook.ladder.scales import Direction, Help, Landing, Outcome, Shape, TakeOff
from loftbook.ladder.shipped import shipped_ladder, shipped_text

SMALL = """\
name = "Small"
edition = "small-1"
dated = 2026-11-25
cautions = ["A qualified coach is present."]

[policy]
counting = "last"

[[group]]
key = "all"
name = "All of it"

[[criterion]]
key = "lift"
name = "Lift"
levels = ["low", "middle", "high"]

[standard.camp]
help = "nobody_in"
take_off = ["trampoline"]
landing = ["soft_flat_mat", "bed"]
did_it = "Feet first."

[[rung]]
key = "back"
name = "Back tuck"
group = "all"
standard = "camp"
skill = "4 – o"
direction = "backward"

[[rung]]
key = "double"
name = "Double back"
short = "Double"
group = "all"
standard = "camp"
landing = ["pit_with_mat"]
skill = "8 – – o"
direction = "backward"
shape = "open_tuck"
family = "backward_double"
prerequisites = [
  "back",
]
aliases = ["DBL", "two backs"]
tested = true

[[drill]]
key = "jumps"
name = "Jumps"
how = "Jump."
rungs = ["back", "double"]
criteria = ["lift"]
surface = "bed"
help = "none"
dose = "3 × 10"
stop = "tired"
evidence = "a clip"
"""


def test_it_works():
    ladder = read_ladder(SMALL)
    assert (ladder.name, ladder.edition, ladder.dated) == ("Small", "small-1", date(2026, 11, 25))
    assert ladder.policy.counting == "last"
    assert ladder.policy.introduce_by_age is None
    assert ladder.groups == (("all", "All of it"),)
    assert ladder.criteria[0].levels == ("low", "middle", "high")
    assert ladder.drills[0].rungs == ("back", "double")
    back, double = ladder.rungs
    assert back.short == "Back tuck"
    assert back.standard.landings == (Landing.SOFT_FLAT_MAT, Landing.BED)
    assert (double.short, double.tested, double.aliases) == ("Double", True, ("DBL", "two backs"))
    assert double.standard.landings == (Landing.PIT_WITH_MAT,)
    assert double.standard.take_offs == (TakeOff.TRAMPOLINE,)
    assert double.standard.help is Help.NOBODY_IN
    assert double.standard.outcomes == (Outcome.DID_IT,)
    assert double.skill is not None
    assert (double.skill.shape, double.skill.direction) == (Shape.OPEN_TUCK, Direction.BACKWARD)
    assert double.families == ("backward_double",)


# what was there, what the coach typed instead, on which typed line the mistake stands, what the sentence says
MISTAKES = {
    "a misspelt key of the ladder": ("dated =", "datd =", "datd =", "write dated"),
    "a misspelt key of a rung": ("tested = true", "testd = true", "testd", "write tested"),
    "a misspelt key of a standard": ("did_it =", "didit =", "didit", "write did_it"),
    "a misspelt key of the policy": ("counting =", "count =", "count =", "write counting"),
    "a misspelt key of a drill": ("surface =", "surfaces =", "surfaces", "write surface"),
    "a misspelt key of a criterion": ("levels =", "level =", "level =", "write levels"),
    "a key of nobody": ('name = "All of it"', 'name = "A"\nweight = 36', "weight", "take the line out"),
    "a table of nobody": ("[[drill]]", "[[excercise]]", "[[excercise]]", "the key 'excercise'"),
    "no name": ('name = "Small"\n', "", "edition =", "without 'name'"),
    "no date": ("dated = 2026-11-25\n", "", 'name = "Small"', "year-month-day"),
    "a date in quotes": ("2026-11-25", '"25 November"', "dated", "a date without quotes"),
    "a date with a time": ("2026-11-25", "2026-11-25T10:00:00", "dated", "a date without quotes"),
    "a day that is none": ("2026-11-25", "2026-02-30", "dated", "not TOML"),
    "no cautions": ('["A qualified coach is present."]', "[]", "cautions", "copy the cautions"),
    "an empty caution": ('["A qualified coach is present."]', '[" "]', "cautions", "an empty cautions"),
    "a text without quotes": ('name = "Lift"', "name = Lift", "name = Lift", "not TOML"),
    "a quote that is not closed": ('name = "Lift"', 'name = "Lift', 'name = "Lift', "not TOML"),
    "a key twice": ('edition = "small-1"', 'edition = "a"\nedition = "b"', 'edition = "b"', "key written twice"),
    "a number for a text": ('name = "Lift"', "name = 3", "name = 3", "a text in quotes"),
    "a text for a list": ('["DBL", "two backs"]', '"DBL"', "aliases", "write it with brackets"),
    "a number in a list": ('"DBL", "two backs"', '"DBL",\n  2', "  2]", "put each entry in quotes"),
    "yes for true": ("tested = true", 'tested = "yes"', "tested", "true or false, without quotes"),
    "a table for a list of tables": ("[[group]]", "[group]", "[group]", "double brackets"),
    "a list of tables for a table": ("[policy]", "[[policy]]", "[[policy]]", "single brackets"),
    "a key that is no key": ('key = "double"', 'key = "Double tuck"', "Double tuck", "small letters"),
    "a rung's key twice": ('key = "double"', 'key = "back" # two', "# two", "first on line 25"),
    "no key": ('key = "jumps"\n', "", "[[drill]]", "without 'key'"),
    "an unknown group": ('short = "Double"\ngroup = "all"', 'group = "al"', '"al"', "write all"),
    "an unknown standard": ('standard = "camp"\nlanding', 'standard = "champ"\nlanding', '"champ"', "write camp"),
    "an unknown help": ('help = "nobody_in"', 'help = "nobody in"', "nobody in", "write nobody_in"),
    "an unknown take-off": ('["trampoline"]', '["trampolin"]', "trampolin", "write trampoline"),
    "an unknown landing": ('["pit_with_mat"]', '["pit"]', '"pit"', "one of loose_pit"),
    "no landing": ('["pit_with_mat"]', "[]", "landing = []", "at least one of"),
    "a landing twice": ('["pit_with_mat"]', '["bed", "bed"]', '"bed", "bed"', "twice"),
    "a blank that counts": ('["pit_with_mat"]', '["bed"]\noutcome = ["absent"]', "absent", "one of did_it, tried"),
    "a standard without help": ('help = "nobody_in"\n', "", "[standard.camp]", "without 'help'"),
    "a rung without a standard": ('standard = "camp"\nskill', "skill", "[[rung]]", "without 'help'"),
    "a skill that does not fit": ('"8 – – o"', '"8 – o"', "8 – o", "2 twist numbers for 8 quarters"),
    "a skill without direction": (
        'direction = "backward"\nshape', "shape", '[[rung]]\nkey = "double"', "without 'direction'"
    ),
    "a direction without skill": (
        'skill = "8 – – o"\n', "", 'direction = "backward"\nshape', "direction without a skill"
    ),
    "an unknown direction": ('"backward"\nshape', '"back"\nshape', '"back"\nshape', "write backward"),
    "a label against the sign": ('"8 – – o"', '"8 – – <"', "8 – – <", "the symbol o"),
    "an unknown shape": ('"open_tuck"', '"open tuck"', "open tuck", "write open_tuck"),
    "an unknown family": ('"backward_double"', '"doubles"', '"doubles"', "one of backward_double"),
    "another family": ('"backward_double"', '"forward_twist"', "forward_twist", "which is what its skill is"),
    "a prerequisite that is not there": ('  "back",', '  "bakc",', "bakc", "write back"),
    "a prerequisite twice": ('  "back",', '  "back",\n  "back",#', "#", "twice"),
    "a rung that needs itself": ('  "back",', '  "double",', '  "double",', "a ring: double, which needs double"),
    "a ring": (
        'skill = "4 – o"', 'skill = "4 – o"\nprerequisites = ["double"]', '["double"]', "needs double, which needs back"
    ),
    "an alias of another rung": ('"two backs"', '\n  "back-TUCK"', "back-TUCK", "back (line 24) is called so too"),
    "an alias of signs": ('"two backs"', '"✓"', "✓", "letters or digits"),
    "a name of another rung": ('name = "Double back"', 'name = "back tuck"', '"back tuck"', "is called so too"),
    "two levels": ('["low", "middle", "high"]', '["low", "high"]', "levels", "3 levels"),
    "a drill for an unknown rung": ('["back", "double"]', '["back", "tripel"]', "tripel", "one of back, double"),
    "a drill for an unknown criterion": ('["lift"]', '["lft"]', "lft", "write lift"),
    "a drill for nothing": ('["lift"]', "[]", "criteria", "never sent home"),
    "a drill without a stop rule": ('stop = "tired"\n', "", "[[drill]]", "without 'stop'"),
    "a drill with an empty stop rule": ('"tired"', '""', "stop", "an empty stop"),
    "a policy that is none": ('"last"', '"best"', '"best"', "one of any, first, last"),
    "an age of nobody": ('counting = "last"', "introduce_by_age = 2", "introduce_by_age", "4 to 40"),
    "half a landing": ('counting = "last"', "short_landings_before_prompt = 1.5", "short_", "a whole number"),
    "nobody is tested": ("tested = true", "tested = false", "[[rung]]", "tested = true"),
    "a text as long as a book": ('"Feet first."', f'"{"Feet first. " * 200}"', "did_it", "shorten it"),
}  # fmt: skip


def typed_line(text, mark):
    """The line where a mark begins, counted from 1."""
    return text[: text.index(mark)].count("\n") + 1


@pytest.mark.parametrize("case", MISTAKES, ids=list(MISTAKES))
def test_a_mistake_names_its_line_and_the_next_step(case):
    old, new, mark, words = MISTAKES[case]
    assert SMALL.count(old) >= 1, "the case no longer changes anything"
    typed = SMALL.replace(old, new, 1)
    with pytest.raises(LadderError) as caught:
        read_ladder(typed)
    assert caught.value.line == typed_line(typed, mark), str(caught.value)
    assert words in str(caught.value)
    assert caught.value.todo
    assert str(caught.value).startswith(f"Line {caught.value.line}: ")


def test_each_needed_table_is_asked_for():
    for table in ("[[group]]", "[[criterion]]", "[[rung]]"):
        cut = SMALL.split(table, maxsplit=1)[0]
        with pytest.raises(LadderError, match="a ladder without a"):
            read_ladder(cut)
    with pytest.raises(LadderError):
        read_ladder("")


def test_a_file_that_is_no_ladder_is_refused_in_words():
    with pytest.raises(LadderError, match="letters"):
        read_ladder("#" * (MOST_LETTERS + 1))
    with pytest.raises(LadderError):
        read_ladder("a = " + "[" * 100_000)
    with pytest.raises(LadderError):
        read_ladder("a = " + "9" * 10_000)
    many = SMALL + "".join(
        f'[[rung]]\nkey = "r{n}"\nname = "R{n}"\ngroup = "all"\nstandard = "camp"\n'
        for n in range(MOST_RUNGS)
    )
    with pytest.raises(LadderError, match="at most 300"):
        read_ladder(many)


def test_a_long_chain_is_read():
    chain = "".join(
        f'[[rung]]\nkey = "r{n}"\nname = "R{n}"\ngroup = "all"\nstandard = "camp"\n'
        f'prerequisites = ["r{n + 1}"]\n'
        for n in range(MOST_RUNGS - 3)
    )
    last = f'[[rung]]\nkey = "r{MOST_RUNGS - 3}"\nname = "last"\ngroup = "all"\nstandard = "camp"\n'
    assert len(read_ladder(SMALL + chain + last).rungs) == MOST_RUNGS


def test_a_file_from_another_editor_reads_the_same():
    assert read_ladder("\ufeff" + SMALL.replace("\n", "\r\n")) == read_ladder(SMALL)


# ---- the shipped ladder, copied and edited ----


def test_a_copied_ladder_is_the_shipped_one():
    assert read_ladder(shipped_text()) == shipped_ladder()


def test_a_copied_ladder_can_be_edited():
    mine = shipped_text().replace('edition = "loftbook-1"', 'edition = "ours-2"', 1)
    mine = mine.replace("show_difficulty = false", "show_difficulty = true", 1)
    mine = mine.replace("# introduce_by_age = 12.0", "introduce_by_age = 12.5", 1)
    mine = mine.replace('name = "Double back, pike"', 'name = "Piked double"', 1)
    mine = mine.replace('"DBL pike", "dbl back pike"', '"Doppelsalto gebückt", "dbl back pike"', 1)
    mine += '\n[[rung]]\nkey = "half_out_straight"\nname = "Half-out, straight"\ngroup = "forward"\n'
    mine += 'standard = "camp"\nskill = "8-1/"\ndirection = "forward"\nprerequisites = ["half_out_pike"]\n'
    ladder = read_ladder(mine)
    assert ladder.edition == "ours-2"
    assert ladder.policy.show_difficulty
    assert ladder.policy.introduce_by_age == 12.5
    assert ladder.rung("double_pike").name == "Piked double"
    assert "Doppelsalto gebückt" in ladder.rung("double_pike").aliases
    assert ladder.rungs[-1].families == ("forward_double", "forward_twist")
    assert len(ladder.rungs) == len(shipped_ladder().rungs) + 1


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('prerequisites = ["double_pike"]', 'prerequisites = ["double_pik"]  # here'),
        ('prerequisites = ["straight_jumps"]', 'prerequisites = ["double_straight"]  # here'),
        ('skill = "8 – – <"', 'skill = "8 – – – <"  # here'),
        ('group = "forward"', 'group = "forwards"  # here'),
    ],
)
def test_a_mistake_in_the_copy_names_its_line(old, new):
    mine = shipped_text().replace(old, new, 1)
    with pytest.raises(LadderError) as caught:
        read_ladder(mine)
    lines = mine.splitlines()
    named = lines[(caught.value.line or 0) - 1]
    if "a ring" in str(caught.value):  # any step of the ring may be named
        assert named.startswith("prerequisites")
    else:
        assert "# here" in named


def refusal(typed):
    """The error that a text ends in, if it does."""
    try:
        read_ladder(typed)
    except LadderError as error:
        return error
    return None


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_file_that_lost_a_piece_never_ends_in_a_traceback(data):
    """Cut anything out, or write anything in: a ladder or a sentence with a line that exists."""
    start = data.draw(st.integers(0, len(SMALL)))
    end = data.draw(st.integers(start, min(len(SMALL), start + 60)))
    typed = SMALL[:start] + data.draw(st.text(max_size=8)) + SMALL[end:]
    error = refusal(typed)
    if error is not None:
        assert error.line is None or 1 <= error.line <= typed.count("\n") + 1
        assert error.todo


def test_every_table_of_the_shipped_ladder_is_used():
    """Nothing in the file is read past: the counts of the text are the counts of the ladder."""
    raw, ladder = tomllib.loads(shipped_text()), shipped_ladder()
    assert len(raw["rung"]) == len(ladder.rungs)
    assert len(raw["drill"]) == len(ladder.drills)
    assert [one["key"] for one in raw["criterion"]] == [one.key for one in ladder.criteria]
    assert {one["standard"] for one in raw["rung"]} == set(raw["standard"])
    assert {one["group"] for one in raw["rung"]} == {one["key"] for one in raw["group"]}
