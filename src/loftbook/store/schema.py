"""What a book holds, table by table.

Facts (people, camps, attempts, withdrawals, what was imported, which ladder was in
use) are only ever added to. Findings (`standing`, `visit`, `camp_pair`, `camp_last`) can be
dropped and made again from the facts; `behind` says which of them are to be. `seq` is
the order of writing, given by the database.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, MetaData, Table, text

from loftbook.book.access import Role
from loftbook.insight.pairing import Before
from loftbook.insight.standing import State
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff, TwistSide
from loftbook.store.types import Blob, Day, Doc, Flag, Int, Key, Names, Real, Seq, Uid, Utc, Words

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _table(name: str, *items: Column[object] | Index | CheckConstraint, rowid: bool = True) -> Table:
    return Table(name, metadata, *items, sqlite_strict=True, sqlite_with_rowid=rowid)


def _seq() -> Column[object]:
    return Column("seq", Seq, primary_key=True)


def _of(name: str, target: str, *, key: bool = False, null: bool = False) -> Column[object]:
    return Column(name, Uid, ForeignKey(f"{target}.id"), primary_key=key, nullable=null)


def _words(name: str, *, null: bool = False) -> Column[object]:
    return Column(name, Words, nullable=null)


# The book itself -----------------------------------------------------------------

book = _table(
    "book",
    Column("number", Int, primary_key=True, autoincrement=False),  # always 1: there is one row
    Column("id", Uid, nullable=False),
    Column("revision", Int, nullable=False),  # one more with each write transaction
    CheckConstraint("number = 1", name="one_row"),
)

setting = _table(
    "setting",  # the programme's own choices, such as its name on a letter
    Column("key", Words, primary_key=True),
    Column("value", Doc, nullable=False),
)

ladder_text = _table(
    "ladder_text",  # each ladder as it was taken into use; the last row is in use
    _seq(),
    _words("edition"),
    Column("dated", Day, nullable=False),
    _words("text"),  # the whole TOML file
    Column("since", Utc, nullable=False),
)

# People --------------------------------------------------------------------------

athlete = _table(
    "athlete",
    Column("id", Uid, primary_key=True),
    Column("invented", Flag, nullable=False),  # not a real child: demonstration data
)

# What was said about her. A null day means from the start, or not written down.
birth = _table(
    "birth", _seq(), _of("athlete", "athlete"), Column("born", Day, nullable=False), Index(None, "athlete")
)
athlete_name = _table(
    "athlete_name",
    _seq(),
    _of("athlete", "athlete"),
    _words("given"),
    _words("family"),
    Column("since", Day),
    Index(None, "athlete"),
)
club_stay = _table(
    "club_stay",
    _seq(),
    _of("athlete", "athlete"),
    _words("club"),
    _words("coach_name"),
    _words("coach_email"),
    Column("since", Day),
    Index(None, "athlete"),
)
height = _table(
    "height",
    _seq(),
    _of("athlete", "athlete"),
    Column("metres", Real, nullable=False),  # standing height; the only body measure there is
    Column("on", Day),
    CheckConstraint("metres > 0.4 AND metres < 2.6", name="a_persons"),
    Index(None, "athlete"),
)
twist_note = _table(
    "twist_note",
    _seq(),
    _of("athlete", "athlete"),
    Column("side", Key(TwistSide), nullable=False),
    _words("rung"),  # empty: in general
    Column("on", Day),
    Index(None, "athlete"),
)
film_consent = _table(
    "film_consent",
    _seq(),
    _of("athlete", "athlete"),
    Column("allowed", Flag, nullable=False),
    Column("on", Day),
    _words("said_by"),
    Index(None, "athlete"),
)
person = _table(
    "person",  # coaches: who marks, who decides
    Column("id", Uid, primary_key=True),
    _words("name"),
    _words("role"),
)

# Camps ---------------------------------------------------------------------------

camp = _table(
    "camp",
    Column("id", Uid, primary_key=True),
    _words("name"),
    Column("starts", Day, nullable=False),
    Column("ends", Day, nullable=False),
    _words("edition"),  # of the ladder that the camp was judged by
    _words("place"),
    _words("bed"),
    _words("take_off"),
    _words("landing"),
    Column("raters", Names, nullable=False),  # names, in order
    Column("invented", Flag, nullable=False),
    Column("recorded", Utc),  # when it was put into the book
    Column("surfaces_assumed", Flag),  # nobody said them, they are the usual ones; null: before it was asked
    CheckConstraint("starts <= ends", name="starts_first"),
    Index(None, "starts"),
)
camp_before = _table(
    "camp_before",  # how a camp was described before it was put right, the oldest first
    _seq(),
    _of("camp", "camp"),
    Column("was", Doc, nullable=False),
    Column("until", Utc, nullable=False),  # when it was put right
    _words("by"),
    Index(None, "camp"),
)
camp_athlete = _table(
    "camp_athlete",  # who was expected there, and with which number on her back
    _of("camp", "camp", key=True),
    _of("athlete", "athlete", key=True),
    _words("bib"),  # empty: none was given
    Index(None, "athlete"),
    rowid=False,
)

# What was seen -------------------------------------------------------------------

attempt = _table(
    "attempt",
    _seq(),
    Column("id", Uid, nullable=False, unique=True),  # made by the device that wrote it down
    _of("camp", "camp"),
    _of("athlete", "athlete"),
    _words("rung"),
    Column("outcome", Key(Outcome), nullable=False),
    Column("at", Utc, nullable=False),
    _words("rater"),
    _words("edition"),
    Column("help", Key(Help)),  # null here and below: not written down
    Column("take_off", Key(TakeOff)),
    Column("landing", Key(Landing)),
    Column("rotation", Key(Rotation)),
    Column("marks", Doc, nullable=False),  # criterion -> 1, 2, 3
    _words("note"),
    _words("device"),
    _words("source"),
    Column("replaces", Uid, ForeignKey("attempt.id", deferrable=True, initially="DEFERRED")),
    _words("digest"),  # of all that it says: the same id with another content is a conflict
    Column("turn", Int),  # her how-manieth on this rung at this camp; null: not counted
    Column("second", Flag),  # marked beside another rater; null: written before there was one
    Index(None, "camp", "athlete", "rung"),
    Index(None, "athlete"),
    Index(None, "replaces"),
    Index(
        "ix_attempt_marked_again",  # the few with a second mark
        *("camp", "athlete", "rung", "turn"),
        sqlite_where=text("second = 1"),
        postgresql_where=text("second"),
    ),
)
withdrawal = _table(
    "withdrawal",
    _seq(),
    Column("id", Uid, nullable=False, unique=True),
    _of("attempt", "attempt"),
    _words("by"),
    Column("at", Utc, nullable=False),
    _words("reason"),
    _words("digest"),
    Index(None, "attempt"),
)

# Devices, and what they sent -------------------------------------------------------

device = _table(
    "device",  # a tablet or phone that was let in
    Column("id", Uid, primary_key=True),
    _words("name"),
    Column("role", Key(Role), nullable=False),
    Column("made", Utc, nullable=False),
    Column("until", Utc, nullable=False),
    _words("rater"),
    Column("second", Flag, nullable=False),
    Column("camp", Uid, ForeignKey("camp.id")),  # null: the latest camp
    Column("guest", Flag, nullable=False),
    Column("revoked", Utc),
    Column("last_seen", Utc),
    Column("token", Words, nullable=False, unique=True),  # SHA-256 of the device's secret
)
pairing = _table(
    "pairing",  # a code that lets one device in, for a few minutes
    Column("secret", Words, primary_key=True),  # SHA-256 of what the picture holds
    Column("code", Words, nullable=False, unique=True),  # SHA-256 of what is typed
    Column("role", Key(Role), nullable=False),
    _words("name"),
    _words("rater"),
    Column("second", Flag, nullable=False),
    Column("camp", Uid, ForeignKey("camp.id")),
    Column("until", Utc, nullable=False),
)
received = _table(
    "received",  # a record that came from a device and became a fact
    _seq(),
    Column("id", Uid, nullable=False, unique=True),  # of the attempt or withdrawal
    _words("kind"),  # "attempt" or "withdrawal"
    _words("digest"),  # of the record as it was sent
    Column("device", Uid, ForeignKey("device.id")),  # null: a file, or the laptop
    Column("said_at", Utc, nullable=False),  # by the device's own clock
    Column("at", Utc, nullable=False),  # when it came in
    _words("clock"),  # what was done to the device's time; empty: nothing
    _words("way"),  # "network", or the name of the file
    Index(None, "device"),
)
set_aside = _table(
    "set_aside",  # a record that could not become a fact, kept for the head coach
    _seq(),
    _words("digest"),
    Column("id", Uid),  # null: it had none that could be read
    Column("athlete", Uid),  # as it says, whether or not she is in the book
    Column("camp", Uid),
    _words("verdict"),  # "conflict" or "refused"
    _words("why"),
    Column("record", Doc, nullable=False),  # as it was sent
    Column("device", Uid, ForeignKey("device.id")),
    Column("at", Utc, nullable=False),
    _words("way"),
    Column("settled", Utc),  # when the head coach has dealt with it
    _words("settled_by"),
    _words("settled_how"),
    Index(None, "digest"),
    Index(None, "athlete"),
)
camp_plan = _table(
    "camp_plan",  # stations, groups, order, times; the last one stands
    _of("camp", "camp", key=True),
    Column("plan", Doc, nullable=False),
    Column("at", Utc, nullable=False),
)

# Lists that were read --------------------------------------------------------------

import_file = _table(
    "import_file",
    Column("digest", Words, primary_key=True),  # SHA-256 of the file's bytes
    _words("name"),
    _words("kind"),  # "roster" or "camp list"
    Column("at", Utc, nullable=False),
    Column("report", Doc, nullable=False),  # every decision, row by row
)
pending_import = _table(
    "pending_import",  # a file that waits for answers
    Column("digest", Words, primary_key=True),
    _words("name"),
    _words("kind"),
    Column("at", Utc, nullable=False),
    Column("data", Blob, nullable=False),
    Column("options", Doc, nullable=False),
    Column("answers", Doc, nullable=False),
)

# Findings: may be dropped and made again --------------------------------------------

standing = _table(
    "standing",
    _of("athlete", "athlete", key=True),  # first: a gymnast's history lies together in the file
    _of("camp", "camp", key=True),
    Column("rung", Words, primary_key=True),
    Column("state", Key(State), nullable=False),
    Column("turns", Int, nullable=False),
    Column("done", Int, nullable=False),
    Column("help", Key(Help)),
    Column("take_off", Key(TakeOff)),
    Column("landing", Key(Landing)),
    Column("raters", Names, nullable=False),
    _words("edition"),
    Column("first_at", Utc),
    _words("why_not_alone"),
    Index(None, "camp"),
    rowid=False,
)
visit = _table(
    "visit",  # who was at which camp: something other than "absent" was written of her
    _of("athlete", "athlete", key=True),
    _of("camp", "camp", key=True),
    Index(None, "camp"),
    rowid=False,
)
camp_pair = _table(
    "camp_pair",  # of those who showed a rung at this camp, by where they stood at their camp before
    _of("camp", "camp", key=True),
    Column("rung", Words, primary_key=True),
    Column("before", Key(Before), primary_key=True),
    Column("alone", Int, nullable=False),  # how many of them were alone
    Column("shown", Int, nullable=False),  # how many they are
    rowid=False,
)
camp_last = _table(
    "camp_last",  # of those who attended no later camp: how many stand how
    _of("camp", "camp", key=True),
    Column("rung", Words, primary_key=True),
    Column("state", Key(State), primary_key=True),
    Column("gymnasts", Int, nullable=False),
    rowid=False,
)
behind = _table(
    "behind",  # whose standings at which camp are older than what is written of her there
    _of("athlete", "athlete", key=True),
    _of("camp", "camp", key=True),
    rowid=False,
)
