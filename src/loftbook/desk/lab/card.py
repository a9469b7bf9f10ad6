"""A plan as a teaching card to print."""

from __future__ import annotations

from pathlib import Path

from loftbook.desk import Desk
from loftbook.desk.files import write_file
from loftbook.desk.lab.answers import chosen
from loftbook.desk.lab.fan import Fan, fan, fan_words, moved_words
from loftbook.desk.lab.fan_words import key_words
from loftbook.desk.lab.flying import CAUTION, Flown, flown, flown_json, leaning
from loftbook.desk.lab.link import plan_of_code
from loftbook.desk.lab.planned import LabPlan
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import SEGMENT_NAMES
from loftbook.reports.charts.flight_strip import StripFigure
from loftbook.reports.page import Page
from loftbook.reports.pdf import write_pdf
from loftbook.reports.sheets.teaching_card.compose import CardFacts, CardMovement, compose
from loftbook.units import degrees_from_radians

FIGURES = 9
LANDINGS = 150
_JOINTS = {
    "mid_hip": "pelvis", "waist": "mid_trunk", "chest": "upper_trunk", "neck": "head",
    "shoulder": "upper_arm", "elbow": "forearm", "wrist": "hand", "hip": "thigh", "knee": "shank", "ankle": "foot",
}  # fmt: skip
_TIPS = {"crown": "head", "fingers": "hand", "toes": "foot"}


def card_pdf(desk: Desk, code: str, *, paper: str = "a4") -> bytes:
    """The teaching card of the plan in a link, as PDF; raises PlanError for a torn link."""
    return write_pdf(card(desk, plan_of_code(code)), paper, made=desk.clock().replace(microsecond=0))


def write_card(desk: Desk, plan: str, to: Path, *, paper: str, body: tuple[float, str, float]) -> None:
    """Writes the card of a plan by its name, file or link."""
    page = card(desk, chosen(plan, body))
    write_file(to, write_pdf(page, paper, made=desk.clock().replace(microsecond=0)))


def card(desk: Desk, lab: LabPlan) -> Page:
    """The same as a page."""
    one, scatter = leaning(flown(lab, frames=FIGURES)), fan(lab)
    person = lab.person
    return compose(
        CardFacts(
            name=lab.name or "A planned flight",
            body=f"{100 * person.stature:.0f} cm, {person.table} table, {person.age:g} years; "
            f"{lab.duration:.2f} s in the air",
            result=flown_json(one)["result"]["sentence"],
            figures=figures_of(one),
            movements=_movements(lab, scatter),
            landings=tuple(degrees_from_radians(float(t)) for t in scatter.twist[:LANDINGS]),
            forgiving=fan_words(scatter, lab),
            model=CAUTION,
            cautions=desk.ladder.cautions,
            link="",
        )
    )


def figures_of(one: Flown) -> tuple[StripFigure, ...]:
    """The body at each instant of a flight, as a strip shows it."""
    return tuple(_figure(one, n) for n in range(len(one.times)))


def _movements(lab: LabPlan, scatter: Fan) -> tuple[CardMovement, ...]:
    rows = enumerate(zip(lab.plan.keys, scatter.early, scatter.late, strict=True))
    return tuple(
        CardMovement(
            key_words(lab, k).partition(" at ")[0], f"{key.time:.2f} s", moved_words(early), moved_words(late)
        )
        for k, (key, early, late) in rows
    )


def _figure(one: Flown, n: int) -> StripFigure:
    """The body at one frame, its way to the right: backward is seen from her left, forward from her right."""
    way = -1.0 if one.counted.somersaults < 0 else 1.0
    points: dict[str, tuple[float, float]] = {}
    for i, name in enumerate(SEGMENT_NAMES):
        side, _, part = name.partition("_") if name.startswith(("left_", "right_")) else ("", "", name)
        for joint, segment in _JOINTS.items():
            if segment == part:
                points[f"{side}_{joint}" if side else joint] = _seen(one.origins[n, i], way)
        for tip, segment in _TIPS.items():
            if segment == part:
                points[f"{side}_{tip}" if side else tip] = _seen(
                    one.origins[n, i] + one.rotations[n, i] @ one.bones[i], way
                )
    return StripFigure(float(one.times[n]), points)


def _seen(point: Array, way: float) -> tuple[float, float]:
    return -way * float(point[1]), float(point[2])
