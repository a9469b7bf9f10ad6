"""Guided points: a few clicked frames with a finger's error, physics between them, held against the clips' truth."""

from dataclasses import replace

import numpy as np
import pytest
from tests.film.test_measuring import CLIPS, measured, true_track, truth

from loftbook.errors import RangeError
from loftbook.film import measure
from loftbook.film.guided import CLICKED, Click, proposed_frames, with_clicks
from loftbook.film.track import BY_HAND, BY_PHYSICS, COLUMN, MISSING, Track
from loftbook.film.track_file import track_from_bytes
from loftbook.units import centimetre, degree, millisecond

CLICK_NOISE = 2.5 * centimetre  # how well a finger or a mouse hits a joint; common practice, no source


def clicks_on(name: str, seed: int) -> list[Click]:
    """Clicks in the proposed frames, each off by a finger's error."""
    _, track = true_track(name)
    noise = CLICK_NOISE * truth(name)["pixels_per_metre_at_athlete"]
    chance = np.random.default_rng(seed)
    joints = {j: track.middle(j) + chance.normal(0, noise, (len(track.times), 2)) for j in CLICKED}
    frames = [p.frame for p in proposed_frames(measured(name).flights[0])]
    return [Click(f, *(tuple(joints[j][f]) for j in CLICKED)) for f in frames]


def nothing_tracked(track: Track) -> Track:
    return replace(
        track,
        points=np.full_like(track.points, np.nan),
        spread=np.full_like(track.spread, np.nan),
        origin=np.full_like(track.origin, MISSING),
        apart=np.full_like(track.apart, np.nan),
    )


def bends(track: Track) -> np.ndarray:
    """Hip and knee openings in degrees, (N, 2)."""
    at = {j: track.middle(j) for j in CLICKED}

    def opening(middle: str, one: str, other: str) -> np.ndarray:
        a, b = at[one] - at[middle], at[other] - at[middle]
        return np.abs(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], np.sum(a * b, axis=1))) / degree

    return np.stack([opening("hip", "shoulder", "knee"), opening("knee", "hip", "ankle")], axis=1)


@pytest.mark.parametrize("name", ["tuck", "straight", "pike"])
def test_eight_clicks_tell_hip_and_knee_through_the_whole_flight(name):
    _, track = true_track(name)
    errors = []
    for seed in range(4):
        clicks = clicks_on(name, seed)
        filled = with_clicks(nothing_tracked(track), clicks)
        inside = slice(clicks[0].frame, clicks[-1].frame + 1)
        errors.append(np.abs(bends(filled) - bends(track))[inside].mean(axis=0))
    # the clip's truth; 6° is the target, 2.5 cm of click error alone make about 5° in one pose
    assert (np.mean(errors, axis=0) < 7).all(), errors


@pytest.mark.parametrize("name", ["tuck", "pike"])
def test_the_turns_between_clicks_are_counted(name):
    _, track = true_track(name)
    for seed in range(4):
        clicks = clicks_on(name, seed)
        filled = with_clicks(nothing_tracked(track), clicks)
        trunk = (filled.middle("shoulder") - filled.middle("hip"))[clicks[0].frame : clicks[-1].frame + 1]
        turned = np.ptp(np.unwrap(np.arctan2(-trunk[:, 0], -trunk[:, 1]))) / degree
        # the clip's truth: some 700° from take-off to landing; a turn more or less would be 360° off
        assert turned == pytest.approx(700, abs=25)


def test_clicks_stand_and_what_lies_between_is_marked():
    _, track = true_track("pike")
    clicks = clicks_on("pike", 1)
    filled = with_clicks(nothing_tracked(track), clicks)
    hip = COLUMN["left_hip"]
    # definition: a clicked point is a fact
    assert tuple(filled.points[clicks[2].frame, hip]) == pytest.approx(clicks[2].hip)
    assert filled.origin[clicks[2].frame, hip] == BY_HAND
    assert filled.origin[clicks[2].frame + 1, hip] == BY_PHYSICS
    assert filled.origin[clicks[0].frame - 1, hip] == MISSING


def test_good_automatic_frames_stay():
    _, track = true_track("tuck")
    filled = with_clicks(track, clicks_on("tuck", 1))
    # the automatic track is the truth here, so most of it lies near to what physics says
    assert np.mean(filled.origin[:, COLUMN["left_hip"]] == BY_PHYSICS) < 0.6


def test_a_guided_pike_is_measured():
    clip, track = true_track("pike")
    bad = track.apart.copy()
    bad[30:98] = 0.8  # the fold, in which the passes disagree
    lost = replace(track, points=track.points + np.where(bad > 0.35, 25.0, 0.0)[:, None, None], apart=bad)
    flight = measure(clip, with_clicks(lost, clicks_on("pike", 2))).flights[0]
    # the clip's truth: a pike
    assert flight.reading("shape").value == "pike"


def test_clicks_in_the_detected_pike_meet_the_targets():
    clip, true = true_track("pike")
    detected = track_from_bytes((CLIPS.parent / "tracks" / "double-pike.npz").read_bytes())
    noise = CLICK_NOISE * truth("pike")["pixels_per_metre_at_athlete"]
    chance = np.random.default_rng(2)
    frames = [p.frame for p in proposed_frames(measure(clip, detected).flights[0])]
    joints = {j: true.middle(j) + chance.normal(0, noise, (len(true.times), 2)) for j in CLICKED}
    merged = with_clicks(detected, [Click(f, *(tuple(joints[j][f]) for j in CLICKED)) for f in frames])
    flight = measure(clip, merged).flights[0]
    air = flight.course.between(flight.leaves.time, flight.lands.time)
    # the truth's joints; the targets: 6° on average through the air, and in the readings 8 ms, 6°, 1.5 %, 3°
    assert (np.abs(bends(merged) - bends(true))[air].mean(axis=0) < 6).all()
    known = truth("pike")
    assert flight.duration == pytest.approx(known["flight_time_s"], abs=8 * millisecond)
    assert flight.reading("rotation").value == pytest.approx(705.9, abs=6)
    scale = known["pixels_per_metre_at_athlete"] * np.cos(11 * degree) ** 2
    assert flight.reading("scale").value == pytest.approx(scale, rel=0.015)
    assert flight.reading("landing lean").value == pytest.approx(-8.0, abs=3)
    assert flight.reading("shape").value == "pike"


def test_too_few_clicks_are_told():
    _, track = true_track("pike")
    with pytest.raises(RangeError, match="better 6 to 8"):
        with_clicks(track, clicks_on("pike", 1)[:3])
