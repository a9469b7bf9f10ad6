"""What a mark in a camp list means: done or not, with which help, short, or one of the blanks.

The dictionary says how marks are read unless the coach says otherwise; each mark
that a list uses is stated in its report. Some signs mean different things to
different coaches: those are always asked (`ASKED_ALWAYS`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from loftbook.book.typed.words import fold, tidy
from loftbook.ladder.scales import Help, Outcome, Rotation


@dataclass(frozen=True)
class Meaning:
    """What one mark says of one turn; help and rotation None where it says nothing of them."""

    outcome: Outcome
    help: Help | None = None
    rotation: Rotation | None = None

    @property
    def key(self) -> str:
        """The same for the same meaning, for ids."""
        parts = (
            self.outcome.value,
            self.help.key if self.help else "",
            self.rotation.value if self.rotation else "",
        )
        return "/".join(parts)

    @property
    def words(self) -> str:
        """What a coach reads.

        >>> MEANINGS["hand"].words, MEANINGS["short"].words
        ('did it, by hand (how much was not written)', 'tried, not yet, short')
        """
        parts = [
            self.outcome.words,
            self.help.words if self.help else "",
            self.rotation.value if self.rotation else "",
        ]
        if self.outcome is Outcome.DID_IT and self.help is None:
            parts[1] = "help not written"
        return ", ".join(filter(None, parts))

    @property
    def brief(self) -> str:
        """The same in few words, for a row.

        >>> MEANINGS["alone"].brief, MEANINGS["hand"].brief, MEANINGS["short"].brief
        ('alone', 'by hand', 'tried, short')
        """
        help_ = self.help.words.partition(" (")[0] if self.help else ""
        help_ = f"in the {help_}" if help_.startswith("belt") else help_
        turned = f", {self.rotation.value}" if self.rotation else ""
        if self.outcome is Outcome.DID_IT:
            return ("alone" if self.help is Help.NOBODY_IN else help_ or "did it, help not written") + turned
        if self.outcome is Outcome.TRIED:
            return "tried" + turned + (f", {help_}" if help_ else "")
        return self.outcome.words


_DID, _TRIED = Outcome.DID_IT, Outcome.TRIED
# What can be answered for a mark.
MEANINGS: dict[str, Meaning] = {
    "alone": Meaning(_DID, Help.NOBODY_IN),
    "did": Meaning(_DID),
    **{step.key: Meaning(_DID, step) for step in Help if step is not Help.NOBODY_IN},
    "tried": Meaning(_TRIED),
    "short": Meaning(_TRIED, None, Rotation.SHORT),
    "over": Meaning(_TRIED, None, Rotation.OVER),
    "not_tried": Meaning(Outcome.NOT_TRIED),
    "stopped": Meaning(Outcome.STOPPED),
    "declined": Meaning(Outcome.DECLINED),
    "not_allowed": Meaning(Outcome.NOT_ALLOWED),
    "absent": Meaning(Outcome.ABSENT),
}
NOTHING = "nothing"  # the answer that leaves a mark out

# key -> the marks for it; ";" divides them. English, German, French, Spanish.
_MARKS = {
    "alone": "x;✓;✔;☑;√;✅;yes;y;j;ja;oui;si;1;ok;done;did it;true;+;alone;solo;self;unassisted;unaided;on her own;"
    "no help;nobody in;allein;alleine;seule;seul;sola",
    "belt": "belt;b;blt;in belt;rig;in rig;belt rig;lunge;longe;gurt;mit gurt;gurtel;ceinture;cinturon",
    "belt_full": "full belt;belt full;belt heavy",
    "belt_light": "light belt;belt light",
    "belt_slack": "slack belt;belt slack;loose belt;belt loose",
    "hand": "s;sp;spot;spotted;w spot;with spot;hand;hands;hand spot;by hand;h;hs;hilfe;mit hilfe;hilfestellung;hi;"
    "aide;avec aide;parade;ayuda;con ayuda;helped;with help;assist;assisted",
    "hand_full": "full spot;spot full;full hand;hand full;full hand spot;hand spot full;heavy spot",
    "hand_light": "light spot;spot light;light hand;hand light;light hand spot;hand spot light;lsp",
    "hands_following": "following;hands following;hand following;no touch;shadow spot",
    "standing_in": "standing in;stand in;coach in;coach standing in",
    "tried": "no;n;nein;non;0;✗;✘;☒;❌;fail;failed;fell;not yet;nearly;almost;attempted;tried;false;nicht",
    "short": "short;sh;zu kurz;kurz;court;corto;corta;under;under rotated;underrotated",
    "over": "over;over rotated;overrotated;uberdreht;long",
    "not_tried": "-;–;—;--;---;not tried;nt;dnt;did not try;not attempted;not done;nicht versucht;pas essaye",
    "stopped": "stopped;stop;stopped pain;abgebrochen;arrete;parada",
    "declined": "declined;dec;refused;scared;afraid;fear;did not want;didnt want;did not want to;"
    "angst;peur;miedo;refuse",
    "not_allowed": "inj;injured;injury;hurt;not allowed;modified;modified today;not allowed today;no doubles;"
    "verletzt;verl;blesse;blessee;lesion;lesionada",
    "absent": "abs;absent;away;not here;not there;missing;abwesend;fehlt;gefehlt;absente;ausente",
}
# Signs that coaches use for different things, with what they may stand for.
ASKED_ALWAYS = {
    "?": ("tried", "not_tried"),
    "a": ("absent", "alone", "hand"),
    "o": ("alone", "tried", "not_tried"),
    "○": ("alone", "tried", "not_tried"),
    "◯": ("alone", "tried", "not_tried"),
    "d": ("alone", "declined"),
    "r": ("declined", "tried"),
    "na": ("not_tried", "not_allowed", "absent"),
    "nd": ("not_tried", "tried"),
    "i": ("not_allowed", "tried"),
    "ill": ("absent", "not_allowed"),
    "sick": ("absent", "not_allowed"),
    "krank": ("absent", "not_allowed"),
    "malade": ("absent", "not_allowed"),
    "tbc": ("tried", "not_tried"),
    "f": ("tried", "hands_following", "declined"),
    "falta": ("absent", "tried"),
    "l": ("belt", "hand_light"),
    "w": ("alone", "hand"),
}
# All other signs stay in a mark, because they may change what it means: “(x)” and “x*” are not “x”.
_DROPPED = frozenset(" .!,;'’`´ʼ")
_THEN = re.compile(r"\s*(?:,|;|→|->|>|\bthen\b|\bdann\b|\bpuis\b)\s*", re.IGNORECASE)
_WHOLE = re.compile(r"([01])\.0+")  # what a spreadsheet may make of 1 and 0


def mark_code(text: str) -> str:
    """A mark in the form in which marks are compared: small, without points.

    >>> mark_code("Sp."), mark_code(" X "), mark_code("N/A"), mark_code("(x)")
    ('sp', 'x', 'na', '(x)')
    """
    text = tidy(text).replace("\ufe0f", "")
    if set(text) <= set("-–— "):
        return text.replace(" ", "")
    whole = _WHOLE.fullmatch(text)
    if whole:
        return whole[1]
    turns = [turn for turn in _THEN.split(text) if turn]
    if len(turns) > 1:  # “1,0” may be a number, and so stays as it is
        return text if re.fullmatch(r"\d+,\d+", text) else " → ".join(map(_folded, turns))
    if len(text) < 6:
        text = re.sub(r"(?<=[^\W\d_])[./](?=[^\W\d_]|$)", "", text)
    return _folded(text)


def _folded(text: str) -> str:
    return fold(text, keep="".join(sorted({c for c in text if not c.isalnum() and c not in _DROPPED})))


_CODES = {mark_code(mark): key for key, marks in _MARKS.items() for mark in marks.split(";")}
_TICKS_RUN = re.compile(r"[x✓✔✗✘]{2,9}")


def known_code(code: str) -> str:
    """The key of `MEANINGS` for a single mark of the dictionary, empty for any other."""
    return _CODES.get(code, "")


def read_mark(text: str) -> tuple[Meaning, ...]:
    """The turns that a mark tells of, first to last; empty where the dictionary does not know it.

    One mark may hold several turns (“✓✗✓”, “belt, x”) or a mark with its help
    (“x belt”, “✓ (spot)”).

    >>> [m.words for m in read_mark("belt, x")]
    ['did it, belt (how much was not written)', 'did it, nobody in']
    """
    code = mark_code(text)
    if code in _CODES:
        return (MEANINGS[_CODES[code]],)
    if code in ASKED_ALWAYS or re.fullmatch(r"\d+,\d+", code):
        return ()
    if _TICKS_RUN.fullmatch(code):
        return tuple(MEANINGS[_CODES[sign]] for sign in code)
    parts = [part for part in code.split(" → ") if part]
    if 1 < len(parts) < 10:
        turns = [read_mark(part) for part in parts]
        return tuple(turn for group in turns for turn in group) if all(turns) else ()
    return _with_its_help(code)


def _with_its_help(code: str) -> tuple[Meaning, ...]:
    """“x belt”, “short belt”, “belt light x”: one turn, its help in words beside it."""
    code = re.sub(r"^(\S+) ?\(([^()]+)\)$", r"\1 \2", code)
    words = code.split()
    for at in range(1, len(words)):
        halves = (known_code(" ".join(words[:at])), known_code(" ".join(words[at:])))
        if not all(halves):
            continue
        for one, other in (halves, halves[::-1]):
            mark, help_ = MEANINGS[one], MEANINGS[other].help
            if one in ("alone", "tried", "short", "over") and help_ and other != "alone":
                return (Meaning(mark.outcome, help_, mark.rotation),)
    return ()
