"""The fields that describe a camp, as a form sends them: for a new one and for one that is put right."""

from __future__ import annotations

from uuid import UUID

from starlette.datastructures import FormData

from loftbook.book.people import Camp
from loftbook.ladder.scales import Landing, TakeOff
from loftbook.web.forms import day, text

_NEW = UUID(int=0)  # the desk gives it one of its own
SURFACES = {"take_offs": tuple(TakeOff), "landings": tuple(Landing)}


def camp_of(form: FormData, camp_id: UUID = _NEW) -> Camp:
    """The camp that the form describes; the desk judges it."""
    starts = day(form, "starts", "the first day")
    return Camp(
        id=camp_id,
        name=text(form, "name"),
        starts=starts,
        ends=day(form, "ends", "the last day") if text(form, "ends") else starts,
        edition="",
        place=text(form, "place"),
        bed=text(form, "bed"),
        take_off=text(form, "take_off"),
        landing=text(form, "landing"),
        raters=tuple(name.strip() for name in text(form, "raters").split(",") if name.strip()),
    )


def fields_of(camp: Camp) -> dict[str, str]:
    """A camp of the book as the form shows it.

    >>> from datetime import date
    >>> fields_of(Camp(UUID(int=1), "Spring", date(2026, 4, 11), date(2026, 4, 12), "1", raters=("A", "B")))["raters"]
    'A, B'
    """
    return {
        "name": camp.name,
        "starts": camp.starts.isoformat(),
        "ends": camp.ends.isoformat(),
        "place": camp.place,
        "bed": camp.bed,
        "take_off": camp.take_off,
        "landing": camp.landing,
        "raters": ", ".join(camp.raters),
    }
