"""What a book holds of film, table by table: facts about clips, findings from them, and the work in hand.

`film_measured` and `reading` are findings: they can be dropped and made again from the
facts and the tracks. `job` is neither: it is the work that waits or runs.
"""

from __future__ import annotations

from enum import Enum

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Table

from loftbook.book.consent import Purpose
from loftbook.store.schema import metadata
from loftbook.store.types import Day, Doc, Flag, Int, Key, Names, Real, Seq, Uid, Utc, Words


class JobState(Enum):
    """How far a piece of work is."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"

    @property
    def is_over(self) -> bool:
        """True when nobody will work on it any more."""
        return self not in (JobState.WAITING, JobState.RUNNING)


def _table(name: str, *items: Column[object] | Index | CheckConstraint) -> Table:
    return Table(name, metadata, *items, sqlite_strict=True, sqlite_with_rowid=True)


def _seq() -> Column[object]:
    return Column("seq", Seq, primary_key=True)


def _id() -> Column[object]:
    return Column("id", Uid, nullable=False, unique=True)


def _of(name: str, target: str, *, null: bool = False) -> Column[object]:
    return Column(name, Uid, ForeignKey(f"{target}.id"), nullable=null)


def _need(name: str, kind: object) -> Column[object]:
    return Column(name, kind, nullable=False)  # type: ignore[arg-type,call-overload,no-any-return,unused-ignore]


def _words(name: str) -> Column[object]:
    return Column(name, Words, nullable=False)


# Facts -----------------------------------------------------------------------------

consent = _table(
    "consent",
    _seq(),
    _id(),
    _of("athlete", "athlete"),
    Column("purpose", Key(Purpose), nullable=False),
    _need("allowed", Flag),
    _need("on", Day),
    Column("until", Day),  # the last day of a yes; null: until it is taken back
    _words("said_by"),
    _words("recorded_by"),
    _need("at", Utc),
    Index(None, "athlete"),
)
clip = _table(
    "clip",  # a film that was put with an attempt; the file lies beside the book
    _seq(),
    _id(),
    _of("attempt", "attempt"),
    _words("digest"),
    _words("name"),
    _need("size", Int),
    _need("attached", Utc),
    _words("by"),
    _words("station"),
    Column("consent", Uid, ForeignKey("consent.id")),  # null: the roster's word
    _words("consent_words"),
    _need("keep_until", Day),
    Column("made", Utc),
    _need("invented", Flag),
    Index(None, "attempt"),
    Index(None, "digest"),
)
clip_gone = _table(
    "clip_gone",  # a film that was deleted with all its files; nothing else of it is kept
    _seq(),
    _need("clip", Uid),
    _of("attempt", "attempt"),
    _need("at", Utc),
    _words("by"),
    _words("why"),
    Index(None, "attempt"),
)
track = _table(
    "track",  # where the joints were, in a file beside the clip
    _seq(),
    _id(),
    _of("clip", "clip"),
    _need("by_hand", Flag),
    _words("detector"),
    _words("file"),
    _words("digest"),
    _need("settings", Doc),
    _need("at", Utc),
    _words("by"),
    Index(None, "clip"),
)
clip_point = _table(
    "clip_point",  # a joint put right by hand; without x and y: that was taken back
    _seq(),
    _id(),
    _of("clip", "clip"),
    _need("frame", Int),
    _words("joint"),
    Column("x", Real),
    Column("y", Real),
    _words("by"),
    _need("at", Utc),
    Index(None, "clip"),
)
bed_line = _table(
    "bed_line",  # the bed's surface in the picture of one camera place at one camp
    _seq(),
    _id(),
    _of("camp", "camp"),
    _words("station"),
    _of("clip", "clip", null=True),
    _need("x1", Real),
    _need("y1", Real),
    _need("x2", Real),
    _need("y2", Real),
    _need("width", Int),
    _need("height", Int),
    _words("by"),
    _need("at", Utc),
    Index(None, "camp"),
    Index(None, "clip"),
)
clip_said = _table(
    "clip_said",  # its true speed, a click on the athlete, which jump is meant: the last of each stands
    _seq(),
    _of("clip", "clip"),
    _words("what"),
    _need("value", Doc),
    _words("by"),
    _need("at", Utc),
    Index(None, "clip"),
)

# Findings ----------------------------------------------------------------------------

film_measured = _table(
    "film_measured",  # what was made of a clip as a whole: its verdict, and from which track
    _seq(),
    Column("clip", Uid, ForeignKey("clip.id"), nullable=False, unique=True),
    Column("track", Uid, ForeignKey("track.id")),
    _words("trust"),
    _words("sentence"),
    Column("reasons", Names, nullable=False),
    _words("recipe"),
    _need("told", Doc),  # phases, flights and what else the pages show
)
reading = _table(
    "reading",  # one number from one clip, with its verdict; a word or nothing where there is no number
    _seq(),
    _of("clip", "clip"),
    _need("number", Int),  # its place in the clip's list
    _words("name"),
    Column("value", Real),
    Column("word", Words),
    _words("unit"),
    Column("uncertainty", Real),
    _words("trust"),
    _words("sentence"),
    _words("basis"),
    _words("recipe"),
    Index(None, "clip"),
)

# Work in hand ------------------------------------------------------------------------

job = _table(
    "job",
    _seq(),
    _id(),
    _words("kind"),
    _of("clip", "clip", null=True),
    _need("args", Doc),
    Column("state", Key(JobState), nullable=False),
    _need("tries", Int),  # how often somebody began it: a result of an earlier try is refused
    Column("lease", Utc),  # until when whoever works on it must have been heard of
    _words("worker"),
    _need("share", Real),  # 0 to 1
    _words("says"),
    _need("cancel", Flag),  # somebody asked to stop it
    _need("put", Utc),
    _words("by"),
    Column("ended", Utc),
    _words("error"),
    Index(None, "state"),
    Index(None, "clip"),
)
