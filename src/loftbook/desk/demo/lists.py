"""The invented squad as coaches would type it: a roster and the lists of the first camps."""

from __future__ import annotations

from collections.abc import Callable

from loftbook.desk.demo.scenario import CLUBS, RUNGS, Child, Turn, squad, turns
from loftbook.ladder.scales import Help, Outcome, Rotation

_BIRTH = (lambda d: d.isoformat(), lambda d: f"{d:%d/%m/%Y}", lambda d: f"{d:%d.%m.%y}")
_HEIGHT: tuple[Callable[[int], str], ...] = (str, lambda h: f"{h // 100},{h % 100:02d} m")
_HEADINGS = {
    0: ("Name", "DBL tuck", "dbl pike", "Open DBL tuck"),
    1: ("Gymnast", "Double tuck", "Double pike", "Open tuck double"),
}
_TITLES = {
    0: '"Spring camp, Heronsgate hall",,,\r\n"12 & 13 April 2025, bed A to soft flat mat",,,\r\n',
    1: "Autumn camp 18-19 Oct 2025, bed B to soft flat mat\r\n",
}
_BLANKS = {
    Outcome.ABSENT: "abs",
    Outcome.NOT_TRIED: "-",
    Outcome.STOPPED: "stopped",
    Outcome.DECLINED: "declined",
    Outcome.NOT_ALLOWED: "inj",
}


def roster() -> bytes:
    """The roster, with semicolons, three ways to write a date and two to write a height."""
    lines = ["First name;Surname;Date of birth;Club;Home coach;Coach e-mail;Twists;Height cm;Filming ok?"]
    for i, child in enumerate(squad()):
        club, coach, mail = CLUBS[child.club]
        born = _BIRTH[i % 3](child.born)
        height = _HEIGHT[i % 2](child.height_cm) if child.height_cm else ""
        lines.append(
            ";".join((child.given, child.family, born, club, coach, mail, child.twist, height, child.filming))
        )
    return ("\ufeff" + "\r\n".join(lines) + "\r\n").encode()


def camp_list(camp: int) -> bytes:
    """The typed list of one of the first two camps: titles above the header, mixed ticks."""
    separator = "," if camp == 0 else ";"
    lines = [separator.join(_HEADINGS[camp])]
    by_child: dict[int, dict[str, Turn]] = {}
    for turn in turns(camp):
        by_child.setdefault(turn.child, {})[turn.rung] = turn
    for i, child in enumerate(squad()):
        if i in by_child:
            cells = [_cell(by_child[i].get(rung), i) for rung in RUNGS]
            lines.append(separator.join((_name(child, i, separator), *cells)))
    text = _TITLES[camp] + "\r\n".join(lines) + "\r\n" + separator.join(("", "", "", "")) + "\r\n"
    return text.encode("utf-8")


def _name(child: Child, i: int, separator: str) -> str:
    if i % 3 == 0:
        return f"{child.given} {child.family}"
    if i % 3 == 1:
        return f"{child.family.upper()} {child.given}"
    turned = f"{child.family}, {child.given}"
    return f'"{turned}"' if separator == "," else turned


def _cell(turn: Turn | None, i: int) -> str:
    if turn is None:
        return ""
    if turn.outcome in _BLANKS:
        return _BLANKS[turn.outcome]
    if turn.outcome is Outcome.TRIED:
        return "short" if turn.rotation is Rotation.SHORT else "no"
    if turn.help is Help.NOBODY_IN:
        return ("x", "yes", "✓")[i % 3]
    return "belt" if turn.help is not None and turn.help < Help.HAND else "spot"
