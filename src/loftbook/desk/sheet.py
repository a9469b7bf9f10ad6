"""What an entry device gets: today's first names, numbers and rungs, and nothing that is not needed there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.devices import Device
from loftbook.book.people import Camp
from loftbook.book.plan import shown_names
from loftbook.desk import Desk
from loftbook.desk.entry import EarlierMarks, earlier_marks_of
from loftbook.desk.people import find_camp
from loftbook.desk.plain import as_plain
from loftbook.desk.plan import CampPlan, camp_plan
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff
from loftbook.store import attempts, meta, received

SHEET_VERSION = 1
#: Short notes to touch instead of typing. Common practice, no source.
PHRASES = (
    "late set",
    "hips passive",
    "opened early",
    "opened late",
    "knees apart",
    "head back",
    "travelled",
    "landed low",
    "stepped out",
    "lost her place",
)
STOP_WORDS = (
    "Short twice in a row. Suggestion: done for today on this rung. Also stop when she asks to, and on pain or fear. "
    "The coach at the bed decides."
)


@dataclass(frozen=True)
class Who:
    """For whom the sheet is: a device, or the head coach at the laptop."""

    device: Device | None = None
    name: str = "this laptop"
    role: str = "head_coach"


def day_sheet(desk: Desk, who: Who, camp_id: UUID | None = None) -> dict[str, Any]:
    """The day's sheet as plain values; never earlier marks, family names, birth dates, or other people's marks."""
    camp = _camp_for(desk, who, camp_id)
    planned = camp_plan(desk, camp.id)
    device = who.device
    second = device.second if device else False
    with desk.store.read() as connection:
        revision = meta.revision(connection)
        here = attempts.attempts_of_camp(connection, camp.id)
        mine = received.facts_of_device(connection, device.id, camp.id) if device else ()
    return {
        "version": SHEET_VERSION,
        "revision": revision,
        "made_at": as_plain(desk.clock()),
        "camp": {key: as_plain(getattr(camp, key)) for key in _CAMP},
        "device": {
            "id": str(device.id) if device else None,
            "name": device.name if device else who.name,
            "role": device.role.value if device else who.role,
            "rater": device.rater if device else "",
            "second": second,
        },
        "athletes": _athletes(planned),
        **_ladder(desk),
        **SCALES,
        "phrases": list(PHRASES),
        "stop": {"short_in_a_row": desk.ladder.policy.short_landings_before_prompt, "words": STOP_WORDS},
        "plan": _plan(planned),
        "turns": _turns(here, second=second),
        "mine": [record_of(attempt) for attempt in mine],
    }


def earlier_for(desk: Desk, who: Who, *, camp: UUID, athlete: UUID, rung: str, private: bool) -> EarlierMarks:
    """The marks of the camp before, for a device only once a mark made on it is in the book."""
    if not private:
        return EarlierMarks(shown=False, why="Not shown over a line that others in the hall can read.")
    device = who.device
    if device is not None:
        with desk.store.read() as connection:
            mine = received.marked_by(connection, device.id, camp=camp, athlete=athlete, rung=rung)
        if not mine:
            return EarlierMarks(shown=False, why="Hidden until this device’s mark is in.")
    found = earlier_marks_of(desk, camp, athlete, [rung])[rung]
    return replace(found, attempts=tuple(replace(a, device="", source="") for a in found.attempts))


def record_of(attempt: Attempt) -> dict[str, Any]:
    """An attempt as the record that a device sends of it."""
    plain = as_plain(attempt)
    assert isinstance(plain, dict)
    keep = {key: value for key, value in plain.items() if key not in ("edition", "device", "source")}
    return {
        "kind": "attempt",
        **{key: "" if value is None and key in _TEXTS else value for key, value in keep.items()},
    }


_TEXTS = ("help", "take_off", "landing", "rotation")
_CAMP = ("id", "name", "starts", "ends", "place", "bed", "take_off", "landing", "edition", "invented")
_HELPS = sorted(Help, key=lambda step: (step in (Help.BELT, Help.HAND), -step))
SCALES: Mapping[str, list[dict[str, Any]]] = {
    "outcomes": [{"key": o.value, "words": o.words, "blank": o.is_blank} for o in Outcome],
    "helps": [{"key": h.key, "words": h.words, "order": int(h)} for h in _HELPS],
    "rotations": [{"key": r.value, "words": r.value} for r in Rotation],
    "take_offs": [{"key": t.value, "words": t.words} for t in TakeOff],
    "landings": [{"key": m.value, "words": m.words} for m in Landing],
}


def _camp_for(desk: Desk, who: Who, camp_id: UUID | None) -> Camp:
    if who.device is not None:
        camp_id = who.device.camp
    return find_camp(desk, str(camp_id) if camp_id else None)


def _athletes(planned: CampPlan) -> list[dict[str, str]]:
    names = shown_names([(a.id, a.name.given or a.name.family, a.name.family) for a in planned.athletes])
    return [
        {"id": str(a.id), "name": names[a.id], "bib": planned.bibs.get(a.id, "")} for a in planned.athletes
    ]


def _ladder(desk: Desk) -> dict[str, Any]:
    rungs = desk.ladder.test_rungs + tuple(rung for rung in desk.ladder.rungs if not rung.tested)
    return {
        "rungs": [
            {"key": r.key, "name": r.name, "short": r.short, "tested": r.tested, "group": r.group}
            for r in rungs
        ],
        "groups": [{"key": key, "name": name} for key, name in desk.ladder.groups],
        "criteria": [
            {"key": c.key, "name": c.name, "watch": c.watch, "levels": list(c.levels)}
            for c in desk.ladder.criteria
        ],
    }


def _plan(planned: CampPlan) -> dict[str, Any]:
    plan, took = planned.plan, planned.lasting
    here = {a.id for a in planned.athletes}
    return {
        "made": planned.made,
        "groups": [
            {"name": g.name, "athletes": [str(who) for who in g.athletes if who in here]} for g in plan.groups
        ],
        "stations": [{"name": s.name, "what": s.what, "who": s.who} for s in plan.stations],
        "turns": plan.turns,
        "seconds_per_turn": plan.seconds_a_turn,
        "seconds_between": plan.seconds_between,
        "starts": plan.starts.isoformat(timespec="minutes") if plan.starts else "",
        "ends": plan.ends.isoformat(timespec="minutes") if plan.ends else "",
        "minutes_needed": took.minutes,
        "arithmetic": took.arithmetic,
        "warning": took.warning,
    }


def _turns(here: tuple[Attempt, ...], *, second: bool) -> dict[str, dict[str, int]]:
    """The highest number of a turn for each child and rung, for the seat of this rater."""
    found: dict[str, dict[str, int]] = {}
    counted: dict[tuple[UUID, str], int] = {}
    for attempt in here:
        if attempt.second is not second:
            continue
        key = (attempt.athlete, attempt.rung)
        counted[key] = counted.get(key, 0) + (attempt.turn is None)
        mine = found.setdefault(str(attempt.athlete), {})
        mine[attempt.rung] = max(mine.get(attempt.rung, 0), attempt.turn or counted[key])
    return found
