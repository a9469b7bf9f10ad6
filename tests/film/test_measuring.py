"""Flights and readings from joints in the picture, held against the truth of three rendered clips.

The truth's own joints are the track here, so this tests everything after detection; no picture is looked at. Rendered
motion is a best case, and its angular momentum is not conserved.
"""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from loftbook.film import Clip, Measurement, Track, as_json, measure
from loftbook.film.track import BY_MODEL, JOINTS
from loftbook.units import degree, millisecond

CLIPS = Path(__file__).parent / "clips"
NAMES = ("tuck", "straight", "pike")


@cache
def truth(name: str) -> dict:
    return json.loads((CLIPS / f"double-{name}.truth.json").read_text(encoding="utf-8"))


def true_track(name: str, noise: float = 0.0, seed: int = 1) -> tuple[Clip, Track]:
    """The truth's joints in pixels as a track, with independent noise in px."""
    known = truth(name)
    columns = [known["keypoints"].index(joint.replace("_toe", "_big_toe")) for joint in JOINTS]
    points = np.array([frame["keypoints_px"] for frame in known["frames"]])[:, columns]
    points = points + np.random.default_rng(seed).normal(0, noise, points.shape) if noise else points
    n = len(points)
    times = np.arange(n) / known["fps"]
    track = Track(
        times, np.arange(n), points, np.full((n, 19), max(noise, 0.5)), np.full((n, 19), BY_MODEL),
        np.zeros(n), known["width"], known["height"], "the truth",
    )  # fmt: skip
    return Clip(times, known["width"], known["height"], "h264", "0" * 64), track


@cache
def measured(name: str, noise: float = 0.0) -> Measurement:
    return measure(*true_track(name, noise))


def value(name: str, reading: str, noise: float = 0.0) -> float:
    return measured(name, noise).flights[0].reading(reading).value


@pytest.mark.parametrize("noise", [0.0, 2.0])
@pytest.mark.parametrize("name", NAMES)
def test_time_of_flight_without_any_line(name, noise):
    # the clip's truth: the lowest point of the body crosses the level of the bed
    assert value(name, "time of flight", noise) == pytest.approx(
        truth(name)["flight_time_s"], abs=15 * millisecond
    )


@pytest.mark.parametrize("noise", [0.0, 2.0])
@pytest.mark.parametrize("name", NAMES)
def test_scale_is_the_local_vertical_one(name, noise):
    # the clips' README: pitched up about 11°; a plane seen so has f/D cos² of the pitch at the picture's middle
    expected = truth(name)["pixels_per_metre_at_athlete"] * np.cos(11 * degree) ** 2
    assert value(name, "scale", noise) == pytest.approx(expected, rel=0.015)


@pytest.mark.parametrize("name", NAMES)
def test_turning(name):
    # the clip's truth, somersault angle between take-off and landing; target of 6°
    known = truth(name)
    t = np.array([f["time_s"] for f in known["frames"]])
    angle = np.array([f["somersault_deg"] for f in known["frames"]])
    expected = np.interp(known["flight_time_s"], t, angle) - np.interp(0, t, angle)
    assert value(name, "rotation") == pytest.approx(expected, abs=6)


@pytest.mark.parametrize("name", NAMES)
def test_shape(name):
    # the clip's truth names it
    assert value(name, "shape") == truth(name)["shape"]


def test_the_same_facts_give_the_same_readings_bit_for_bit():
    # law: a function of its arguments
    first, second = (as_json(measure(*true_track("tuck", 2.0))) for _ in range(2))
    assert json.dumps(first) == json.dumps(second)
