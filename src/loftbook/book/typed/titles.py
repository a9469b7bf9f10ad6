"""What the lines above the headings say of the camp: days, place, bed and mat."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from loftbook.book.identity import same_fact
from loftbook.book.people import Camp
from loftbook.book.typed.dates import date_order, read_date
from loftbook.book.typed.decisions import FileDecision
from loftbook.book.typed.words import MONTHS, day_in_words, fold, shortened
from loftbook.ladder.scales import Landing, TakeOff

LONGEST_CAMP = 14  # days
_MONTH = "|".join(sorted(MONTHS, key=len, reverse=True))
_D, _Y = r"(\d{1,2})(?:st|nd|rd|th)?", r"((?:19|20)\d{2})"
_TO = r"(?: to | and | bis | und | au | et | y | al | a | )"
# On folded text, in which "12 & 13 April 2025" reads "12 13 april 2025".
_RANGES = (
    # 30 april 2 may 2025; 31 december 2025 2 january 2026
    (
        re.compile(
            rf"\b{_D} (?:de )?({_MONTH})(?: (?:de )?{_Y})?{_TO}{_D} (?:de )?({_MONTH}) (?:de )?{_Y}\b"
        ),
        "dmydmy",
    ),
    # 12 13 april 2025; 12 13 14 april 2025
    (re.compile(rf"\b{_D}{_TO}(?:\d{{1,2}}{_TO})?{_D} (?:de )?({_MONTH}) (?:de )?{_Y}\b"), "ddmy"),
    # april 12 13 2025
    (re.compile(rf"\b({_MONTH}) {_D}{_TO}(?:\d{{1,2}}{_TO})?{_D} {_Y}\b"), "mddy"),
    (re.compile(rf"\b{_D} (?:of |de )?({_MONTH}) (?:de )?{_Y}\b"), "dmy"),
    (re.compile(rf"\b({_MONTH}) {_D} {_Y}\b"), "mdy"),
)
_NUMBERS = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./]\d{1,2}[./](?:20)?\d{2}")
_SHORT_START = re.compile(
    r"\b(\d{1,2})\.?\s*(?:[-–/&+]|bis|und|to|and)\s*(\d{1,2})([./])(\d{1,2})\3((?:20)?\d{2})\b"
)
# 4/12-4/13/2025; 12.4.-13.4.2025: day and month of both ends, the year once
_SHORT_ENDS = re.compile(
    r"(?<![\d./])(\d{1,2})([./])(\d{1,2})\2?\s*(?:[-–—/&+]|bis|und|to|and)\s*"
    r"(\d{1,2})\2(\d{1,2})\2((?:20)?\d{2})(?!\d)",
    re.IGNORECASE,
)
_JOINED_DAYS = re.compile(r"(?:[-–—/&+,;]|to|and|bis|und|au|et|y|al|a|\s)*", re.IGNORECASE)
_WITHOUT_YEAR = re.compile(rf"\b{_D} (?:de )?({_MONTH})\b|\b({_MONTH}) {_D}\b")
_WEEKDAYS = re.compile(
    r"\b(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\b|"
    r"\b(?:montag|dienstag|mittwoch|donnerstag|freitag|samstag|sonntag|lundi|mardi|mercredi|jeudi|vendredi|"
    r"samedi|dimanche|lunes|martes|miercoles|jueves|viernes|sabado|domingo)\b"
)
_LANDINGS = (
    (Landing.PIT_WITH_MAT, "pit with|mat in pit|mat on pit|resi in pit"),
    (Landing.LOOSE_PIT, "pit|loose pit|foam pit|schnitzelgrube|grube|fosse|foso"),
    (Landing.BED_WITH_PUSH_IN_MAT, "push in|pushin|throw in|thrown in"),
    (Landing.SOFT_BLOCK, "soft block|block"),
    (Landing.MAT_20_PLUS_10, "20 10 cm|20 cm 10 cm"),
    (Landing.MAT_20, "20 cm"),
    (
        Landing.SOFT_FLAT_MAT,
        "soft mat|soft flat mat|soft flat|crash mat|flat mat|weichboden|weichbodenmatte|tapis mou|"
        "tapis de reception|colchoneta|colchoneta blanda|quitamiedos|soft landing",
    ),
    (Landing.FLOOR, "to floor|onto floor|on the floor"),
)
_TAKE_OFFS = (
    (TakeOff.DOUBLE_MINI, "double mini|dmt"),
    (TakeOff.MINI_TRAMPOLINE, "mini trampoline|mini tramp|minitramp|trampette"),
    (TakeOff.TUMBLE_TRACK, "tumble track|tumbletrack|air track|airtrack"),
    (TakeOff.ROD_FLOOR, "rod floor"),
    (TakeOff.TRAMPOLINE, "trampoline|tramp|bed|tuch|trampolin|toile|lona"),
)
_PLACE = re.compile(
    r"hall|gym|halle|center|centre|arena|salle|gymnase|pabellon|palestra|sporthalle|leisure|academy|club",
    re.IGNORECASE,
)
_BED = re.compile(r"\b(?:bed|trampoline|tramp|tuch)\s+(?:no\.?\s*)?([A-Z]|\d{1,2})\b", re.IGNORECASE)


@dataclass(frozen=True)
class CampTitle:
    """What the titles say; empty or None where they are silent. `problem` is why dates could not be read."""

    name: str = ""
    starts: date | None = None
    ends: date | None = None
    place: str = ""
    bed: str = ""
    take_off: TakeOff | None = None
    landing: Landing | None = None
    problem: str = ""


def read_titles(titles: Sequence[str], *, today: date) -> CampTitle:
    """The camp as the lines above the headings tell it.

    >>> t = read_titles(["Autumn camp 18-19 Oct 2025"], today=date(2026, 1, 1))
    >>> t.name, t.starts.isoformat(), t.ends.isoformat()
    ('Autumn camp', '2025-10-18', '2025-10-19')
    """
    text = ", ".join(titles)
    starts, ends, problem = _days(text, today)
    plain = f" {fold(text)} "
    bed = _BED.search(text)
    place = next((p.strip() for p in re.split(r"[,;|]| at | in ", text) if _PLACE.search(p)), "")
    return CampTitle(
        name=_name(titles),
        starts=starts,
        ends=ends,
        place=shortened(place, 80),
        bed=f"bed {bed[1].upper()}" if bed else "",
        take_off=next((t for t, words in _TAKE_OFFS if _says(plain, words)), None),
        landing=next((m for m, words in _LANDINGS if _says(plain, words)), None),
        problem=problem,
    )


def camp_from_titles(
    titles: Sequence[str], *, today: date, edition: str, name: str = ""
) -> tuple[Camp | None, tuple[FileDecision, ...]]:
    """A camp made from the titles, None where they do not tell its days; and what was decided.

    Its id comes from its name and first day, so that reading the titles twice gives the
    same camp. What the titles leave open is assumed to be the usual, from the bed onto the
    soft flat mat, and the camp carries that it was assumed.

    >>> camp, _ = camp_from_titles(["12 & 13 April 2025, bed A to soft mat"], today=date(2026, 1, 1), edition="1")
    >>> camp.name, camp.bed, camp.landing
    ('Camp', 'bed A', 'soft_flat_mat')
    """
    said = read_titles(titles, today=today)
    if said.starts is None or said.ends is None:
        sentence = f"The camp's days: {said.problem or 'the list does not tell them'}. Say when the camp was."
        return None, (FileDecision("camp days", "ask", sentence),)
    name = name or said.name or "Camp"
    camp = Camp(
        id=same_fact("camp", fold(name), said.starts.isoformat()),
        name=name,
        starts=said.starts,
        ends=said.ends,
        edition=edition,
        place=said.place,
        bed=said.bed,
        take_off=(said.take_off or TakeOff.TRAMPOLINE).value,
        landing=(said.landing or Landing.SOFT_FLAT_MAT).value,
        surfaces_assumed=said.take_off is None or said.landing is None,
    )
    sentence = (
        f"Camp: “{camp.name}”, {span_in_words(camp.starts, camp.ends)}{', ' + camp.place if camp.place else ''}"
        f"{', ' + camp.bed if camp.bed else ''}."
    )
    return camp, (FileDecision("camp", "take", sentence, 0.95), _surface_note(said, camp))


def span_in_words(starts: date, ends: date) -> str:
    """The days of a camp as a coach reads them.

    >>> span_in_words(date(2025, 4, 12), date(2025, 4, 13))
    '12 April 2025 to 13 April 2025'
    """
    return day_in_words(starts) if starts == ends else f"{day_in_words(starts)} to {day_in_words(ends)}"


def _surface_note(said: CampTitle, camp: Camp) -> FileDecision:
    words = f"from the {TakeOff(camp.take_off).words} onto the {Landing(camp.landing).words}"
    if said.take_off and said.landing:
        return FileDecision("camp surfaces", "take", f"Surfaces: {words}, as the list says.", 0.95)
    sentence = f"Surfaces: the list does not say all of them; assumed to be the usual, {words}."
    return FileDecision("camp surfaces", "take", sentence, 0.7)


def _says(plain: str, words: str) -> bool:
    return any(f" {word} " in plain for word in words.split("|"))


def _days(text: str, today: date) -> tuple[date | None, date | None, str]:
    """First and last day that a text names, and what is wrong where it names none."""
    plain = " ".join(_WEEKDAYS.sub(" ", fold(text)).split())
    for form, places in _RANGES:
        found = [_ends_of(one.groups(), places) for one in form.finditer(plain)]
        if len(set(found)) > 1 and "d" in places and places.count("d") == 1:
            return None, None, "the list names several days, and not which of them are the camp's"
        if found:
            return _span(*found[0])
    ends = _SHORT_ENDS.search(text)
    if ends:
        return _either_order(ends, today)
    short = _SHORT_START.search(text)
    if short:
        day = f"{short[3]}{short[4]}{short[3]}{short[5]}"
        return _span(*(read_date(f"{d}{day}", today=today, order="day").day for d in (short[1], short[2])))
    typed = _NUMBERS.findall(text)
    order = date_order(typed).order
    read = [read_date(t, today=today, order=order) for t in typed]
    days = [r.day for r in read if r.day]
    if days and len(days) == len(read):
        if len(set(days)) > 1 and not _JOINED_DAYS.fullmatch(_between(text, typed)):
            return None, None, "the list names several days, and not which of them are the camp's"
        return _span(days[0], days[-1])
    if read:
        return None, None, f"“{typed[0]}” can be read in two ways"
    if _WITHOUT_YEAR.search(plain):
        return None, None, "the list tells a day and a month, but no year"
    return None, None, ""


def _either_order(ends: re.Match[str], today: date) -> tuple[date | None, date | None, str]:
    """The span of two ends typed as numbers: in the order in which it is a camp, asked where both are."""
    a, sign, b, c, d, year = ends.groups()
    spans: list[tuple[date | None, date | None, str]] = []
    for day, month, last_day, last_month in ((a, b, c, d), (b, a, d, c)):
        last = read_date(f"{last_day}{sign}{last_month}{sign}{year}", today=today, order="day").day
        first = last and _date(last.year, int(month), int(day))
        if first and last and first > last:
            first = _date(last.year - 1, int(month), int(day))
        spans.append(_span(first, last))
    read = {span for span in spans if span[0]}
    if len(read) > 1:
        return None, None, f"“{ends[0].strip()}” can be read in two ways"
    return next(iter(read), next((span for span in spans if "exist" not in span[2]), spans[0]))


def _between(text: str, typed: list[str]) -> str:
    """What stands between the first and the last of some dates, without weekdays and the dates between."""
    inside = text[text.index(typed[0]) + len(typed[0]) : text.rindex(typed[-1])]
    for day in typed:
        inside = inside.replace(day, " ")
    return _WEEKDAYS.sub(" ", inside.casefold()).replace(".", " ")


def _ends_of(groups: tuple[str | None, ...], places: str) -> tuple[date | None, date | None]:
    got: dict[str, list[str | None]] = {"d": [], "m": [], "y": []}
    for place, value in zip(places, groups, strict=True):
        got[place].append(value)
    days, months = got["d"], [MONTHS[m] for m in got["m"] if m]
    years = [int(y or got["y"][-1] or 0) for y in got["y"]]
    first, last = (
        _date(years[0], months[0], int(days[0] or 0)),
        _date(years[-1], months[-1], int(days[-1] or 0)),
    )
    if first and last and first > last and got["y"][0] is None:
        first = _date(years[-1] - 1, months[0], int(days[0] or 0))
    return first, last


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _span(first: date | None, last: date | None) -> tuple[date | None, date | None, str]:
    if first is None or last is None:
        return None, None, "the list names a day that does not exist"
    if last < first:
        return (
            None,
            None,
            f"the list's days run backwards, from {day_in_words(first)} to {day_in_words(last)}",
        )
    if last - first >= timedelta(days=LONGEST_CAMP):
        return None, None, f"the list's days, {span_in_words(first, last)}, are longer than any camp"
    return first, last, ""


def _name(titles: Sequence[str]) -> str:
    """The part of the titles that names the camp: the first with the word, without its days."""
    parts = [part.strip() for title in titles for part in re.split(r"[,;|]", title)]
    named = [
        p
        for p in parts
        if re.search(r"camp|lehrgang|stage|lager|squad|concentraci|training", p, re.IGNORECASE)
    ]
    first = (named or [""])[0]
    cut = re.split(
        r"\s+(?=\d)|\s+(?:mon|tue|wed|thu|fri|sat|sun)\w*\s+\d|:\s", first, maxsplit=1, flags=re.IGNORECASE
    )[0]
    cut = re.sub(r"\s+(?:du|de|del|vom|from|on|le|am|of|the)$", "", cut.strip(" -–:"), flags=re.IGNORECASE)
    return shortened(cut, 80)
