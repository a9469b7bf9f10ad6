"""The server's side of tests/contracts/lab.json: what the lab's page sends and what it is answered."""

import json
from pathlib import Path

import numpy as np
import pytest

from loftbook.desk.lab.fan import fan_of
from loftbook.desk.lab.flying import fly_plan
from loftbook.desk.lab.link import code_of, plan_of_code
from loftbook.desk.lab.planned import plan_as_json, plan_of_json
from loftbook.errors import LoftbookError

CONTRACT = json.loads(
    (Path(__file__).resolve().parent.parent / "contracts" / "lab.json").read_text(encoding="utf-8")
)
PLAN = CONTRACT["plan"]


def shape_of(value):
    """Names and kinds of a JSON value; of a list its first item."""
    if isinstance(value, dict):
        return {key: shape_of(item) for key, item in value.items()}
    if isinstance(value, list):
        return [shape_of(value[0])] if value else []
    return (
        "number" if isinstance(value, int | float) and not isinstance(value, bool) else type(value).__name__
    )


def test_a_plan_comes_back_as_it_went():
    assert plan_as_json(plan_of_json(PLAN)) == PLAN


def test_a_link_holds_the_same_plan():
    assert plan_as_json(plan_of_code(CONTRACT["code"])) == PLAN
    assert plan_of_code(code_of(plan_of_json(PLAN))).duration == PLAN["duration_s"]


@pytest.mark.parametrize("code", ["", "p1.", "p1.!!!", "p2.abc", "p1." + "A" * 9000, CONTRACT["code"][:-20]])
def test_a_torn_link_is_told(code):
    with pytest.raises(LoftbookError, match="copy the whole link again"):
        plan_of_code(code)


def test_flights_are_answered_as_promised():
    asked = CONTRACT["fly"]
    answer = json.loads(json.dumps(fly_plan(plan_of_json(PLAN), frames=asked["frames"])))
    promised = asked["answer"]
    assert shape_of(answer) == shape_of(promised)
    # law: the same plan flies the same; the last digit may round otherwise on another machine
    for name, unsure in (("origins_m", 2e-4), ("turns", 2e-4), ("angles_deg", 0.011)):
        assert np.allclose(answer["frames"][name], promised["frames"][name], atol=unsure), name
    assert answer["result"]["notation"] == promised["result"]["notation"] == "8 – 2 o"


def test_fans_are_answered_as_promised():
    asked = CONTRACT["fan"]
    answer = json.loads(
        json.dumps(fan_of(plan_of_json(PLAN), {"count": asked["count"], "seed": asked["seed"]}))
    )
    assert shape_of(answer) == shape_of(asked["answer"])


@pytest.mark.parametrize("case", CONTRACT["refused"], ids=lambda case: case["what"])
def test_what_is_no_plan_is_told(case):
    with pytest.raises(LoftbookError) as told:
        plan_of_json({**PLAN, **case["change"]})
    assert case["why"] in str(told.value)
    assert "invalid" not in str(told.value).lower()


def test_the_figure_is_the_plan():
    """Joint by joint down the tree: what the scene is drawn from is the plan's angles and nothing else."""
    answer = CONTRACT["fly"]["answer"]
    names, segments = answer["body"]["angle_names"], answer["body"]["segments"]
    for frame, row in enumerate(answer["frames"]["angles_deg"]):
        angles = dict(zip(names, np.radians(row), strict=True))
        turned = [matrix_of(q) for q in answer["frames"]["turns"][frame]]
        for i, segment in enumerate(segments):
            if segment["parent"] < 0:
                continue
            up = segment["parent"]
            expected = turned[up]
            for turn in segment["turns"]:
                expected = expected @ about(turn["axis"], turn["share"] * angles[turn["angle"]])
            # law: a segment is its parent turned by its own joint angles; quaternions carry five digits
            assert np.allclose(turned[i], expected, atol=3e-4), segment["name"]
            place = np.array(answer["frames"]["origins_m"][frame])
            assert np.allclose(place[up] + turned[up] @ segment["joint_m"], place[i], atol=3e-4)


def matrix_of(q):
    w, x, y, z = q
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def about(axis, angle):
    c, s = np.cos(angle), np.sin(angle)
    return {
        "x": np.array([[1, 0, 0], [0, c, -s], [0, s, c]]),
        "y": np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]),
        "z": np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]),
    }[axis]
