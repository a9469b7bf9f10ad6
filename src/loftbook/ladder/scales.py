"""The scales a result is written on: help, surfaces, outcome, rotation, shape.

A result is skill x shape x help x take-off x landing x outcome. Each scale is an
enumeration whose value is what the book stores; `.words` is what a coach reads.
Source of the help and surface orders: common practice, no source.
"""

from __future__ import annotations

from enum import Enum, IntEnum


class Help(IntEnum):
    """How much help the gymnast had, from a full belt to nobody in.

    Higher is less help. The tens are the kind of help; 10 and 20 are "belt" and
    "by hand" where the degree was not written down, and count as the most help of
    their kind.

    >>> Help.HAND_LIGHT > Help.BELT_SLACK
    True
    >>> Help.NOBODY_IN.words
    'nobody in'
    """

    BELT = 10
    BELT_FULL = 11
    BELT_LIGHT = 12
    BELT_SLACK = 13
    HAND = 20
    HAND_FULL = 21
    HAND_LIGHT = 22
    HANDS_FOLLOWING = 23
    STANDING_IN = 30
    NOBODY_IN = 40

    @property
    def key(self) -> str:
        """The word the files use, such as ``belt_light``."""
        return self.name.lower()

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _HELP_WORDS[self]

    @property
    def brief(self) -> str:
        """The same where there is little room, as in a picture.

        >>> Help.BELT.brief, Help.HANDS_FOLLOWING.brief
        ('belt', 'hands near')
        """
        return _HELP_BRIEF[self]

    @classmethod
    def from_key(cls, key: str) -> Help:
        """The help of that key; raises KeyError for an unknown one."""
        return cls[key.upper()]


_HELP_WORDS = {
    Help.BELT: "belt (how much was not written)",
    Help.BELT_FULL: "belt, full",
    Help.BELT_LIGHT: "belt, light",
    Help.BELT_SLACK: "belt, slack",
    Help.HAND: "by hand (how much was not written)",
    Help.HAND_FULL: "by hand, full",
    Help.HAND_LIGHT: "by hand, light",
    Help.HANDS_FOLLOWING: "hands following, no touch",
    Help.STANDING_IN: "coach standing in",
    Help.NOBODY_IN: "nobody in",
}
_HELP_BRIEF = {
    Help.BELT: "belt",
    Help.BELT_FULL: "belt, full",
    Help.BELT_LIGHT: "belt, light",
    Help.BELT_SLACK: "belt, slack",
    Help.HAND: "hand",
    Help.HAND_FULL: "hand, full",
    Help.HAND_LIGHT: "hand, light",
    Help.HANDS_FOLLOWING: "hands near",
    Help.STANDING_IN: "standing in",
    Help.NOBODY_IN: "nobody in",
}


class Outcome(Enum):
    """What became of a turn: done, tried, or one of five different blanks.

    None of the blanks is a failure, and none stands for another.

    >>> Outcome.DECLINED.is_blank, Outcome.TRIED.is_blank
    (True, False)
    """

    DID_IT = "did_it"  # met the ladder's own definition of "did it"
    TRIED = "tried"  # took off for it, did not meet the definition
    NOT_TRIED = "not_tried"
    STOPPED = "stopped"  # stopped, not failed: pain, short twice, asked to stop
    DECLINED = "declined"  # she chose not to, today
    NOT_ALLOWED = "not_allowed"  # not allowed today: "modified today"
    ABSENT = "absent"

    @property
    def is_blank(self) -> bool:
        """True for the five blanks."""
        return self not in (Outcome.DID_IT, Outcome.TRIED)

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _OUTCOME_WORDS[self]


_OUTCOME_WORDS = {
    Outcome.DID_IT: "did it",
    Outcome.TRIED: "tried, not yet",
    Outcome.NOT_TRIED: "not tried",
    Outcome.STOPPED: "stopped",
    Outcome.DECLINED: "declined today",
    Outcome.NOT_ALLOWED: "not allowed today",
    Outcome.ABSENT: "absent",
}


class Rotation(Enum):
    """Whether the somersaults came round: short, on, or over."""

    SHORT = "short"
    ON = "on"
    OVER = "over"


class TakeOff(Enum):
    """What she took off from."""

    TRAMPOLINE = "trampoline"
    MINI_TRAMPOLINE = "mini_trampoline"
    DOUBLE_MINI = "double_mini"
    TUMBLE_TRACK = "tumble_track"
    ROD_FLOOR = "rod_floor"
    FLOOR = "floor"
    BEAM = "beam"
    BARS = "bars"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return self.value.replace("_", " ")


class Landing(Enum):
    """What she landed on, softest first."""

    LOOSE_PIT = "loose_pit"
    PIT_WITH_MAT = "pit_with_mat"
    SOFT_BLOCK = "soft_block"
    BED_WITH_PUSH_IN_MAT = "bed_with_push_in_mat"
    SOFT_FLAT_MAT = "soft_flat_mat"
    BED = "bed"
    MAT_20_PLUS_10 = "mat_20_plus_10"
    MAT_20 = "mat_20"
    FLOOR = "floor"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _LANDING_WORDS[self]


_LANDING_WORDS = {
    Landing.LOOSE_PIT: "loose pit",
    Landing.PIT_WITH_MAT: "pit with a mat on top",
    Landing.SOFT_BLOCK: "soft block",
    Landing.BED_WITH_PUSH_IN_MAT: "bed with push-in mat",
    Landing.SOFT_FLAT_MAT: "soft flat mat",
    Landing.BED: "trampoline bed",
    Landing.MAT_20_PLUS_10: "20 + 10 cm mats",
    Landing.MAT_20: "20 cm mat",
    Landing.FLOOR: "floor",
}


class Direction(Enum):
    """Which way the somersault turns; the number notation does not carry it."""

    BACKWARD = "backward"
    FORWARD = "forward"


class Shape(Enum):
    """Body shape in the somersault. Open tuck and puck are the programme's labels."""

    TUCK = "tuck"
    OPEN_TUCK = "open_tuck"
    PUCK = "puck"
    PIKE = "pike"
    STRAIGHT = "straight"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return self.value.replace("_", " ")


class TwistSide(Enum):
    """Which way she twists, seen from above her own head."""

    LEFT = "left"
    RIGHT = "right"
