"""A plan as a teaching card to print."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from loftbook.desk import Desk
from loftbook.desk.files import write_file
from loftbook.desk.lab.answers import chosen
from loftbook.desk.lab.fan import fan, fan_words, key_words
from loftbook.desk.lab.flying import CAUTION, Flown, flown, flown_json
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
    one, scatter = flown(lab, frames=FIGURES), fan(lab)
    off = (np.degrees(scatter.early[:, 0]), np.degrees(scatter.late[:, 0]))
    person = lab.person
    return compose(
        CardFacts(
            name=lab.name or "A planned flight",
            body=f"{100 * person.stature:.0f} cm, {person.table} table, {person.age:g} years; "
            f"{lab.duration:.2f} s in the air",
            result=flown_json(one)["result"]["sentence"],
            figures=tuple(_figure(one, n) for n in range(FIGURES)),
            movements=tuple(
                CardMovement(
                    key_words(lab, k), f"{key.time:.2f} s", f"{off[0][k]:+.0f}°", f"{off[1][k]:+.0f}°"
                )
                for k, key in enumerate(lab.plan.keys)
            ),
            landings=tuple(degrees_from_radians(float(t)) for t in scatter.twist[:LANDINGS]),
            forgiving=fan_words(scatter, lab),
            model=CAUTION,
            cautions=desk.ladder.cautions,
            link="",
        )
    )


def _figure(one: Flown, n: int) -> StripFigure:
    """The body at one frame as seen from her left: forward is to the left, as on film."""
    points: dict[str, tuple[float, float]] = {}
    for i, name in enumerate(SEGMENT_NAMES):
        side, _, part = name.partition("_") if name.startswith(("left_", "right_")) else ("", "", name)
        for joint, segment in _JOINTS.items():
            if segment == part:
                points[f"{side}_{joint}" if side else joint] = _seen(one.origins[n, i])
        for tip, segment in _TIPS.items():
            if segment == part:
                points[f"{side}_{tip}" if side else tip] = _seen(
                    one.origins[n, i] + one.rotations[n, i] @ one.bones[i]
                )
    return StripFigure(float(one.times[n]), points)


def _seen(point: Array) -> tuple[float, float]:
    return -float(point[1]), float(point[2])
