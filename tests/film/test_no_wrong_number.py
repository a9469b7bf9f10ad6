"""Every reading of the three rendered clips, by the recorded tracks of the heavy model, against the truth of the clips.

No number may be wrong without a warning: where the verdict is good the error stays within the targets, and always
within two and a half standard deviations. The truth is worked out here from joints in metres, by itself. Rendered clips
are a best case.
"""

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.film.test_guided import clicks_on
from tests.film.test_measuring import CLIPS, NAMES, true_track
from tests.film.test_refused import replayed

from loftbook.errors import ClipError
from loftbook.film import FlightSeen, Measurement, measure
from loftbook.film.contacts import on_feet
from loftbook.film.guided import with_clicks
from loftbook.film.readings import all_readings, usual_limits
from loftbook.film.stretch import standing
from loftbook.film.track import JOINTS, Silhouette
from loftbook.film.track_file import track_from_bytes
from loftbook.mechanics import Trust

HERE = CLIPS.parents[2]
# the targets set for the tool: °, s, °
TARGETS = {
    "rotation": 6.0,
    "landing lean": 3.0,
    "hip flexion in the shape": 6.0,
    "knee flexion in the shape": 6.0,
}
AT_60_A_SECOND = {"time of flight": 0.008}


def middle(frames: list[dict], names: list[str], joint: str) -> np.ndarray:
    places = np.array([f["keypoints_m"] for f in frames])  # x along the flight, y away from the camera, z up
    return (places[:, names.index(f"left_{joint}")] + places[:, names.index(f"right_{joint}")]) / 2


def flexion(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> np.ndarray:
    one, other = a - b, c - b
    cosine = np.sum(one * other, axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(other, axis=1)
    return 180 - np.degrees(np.arccos(np.clip(cosine, -1, 1)))


@cache
def true_readings(name: str) -> dict[str, float]:
    """What the readings of a clip should say, from joints in three dimensions."""
    known = json.loads((CLIPS / f"double-{name}.truth.json").read_text(encoding="utf-8"))
    frames, names, lasts = known["frames"], known["keypoints"], known["flight_time_s"]
    t = np.array([f["time_s"] for f in frames])
    at = {j: middle(frames, names, j) for j in ("shoulder", "hip", "knee", "ankle")}
    hip = flexion(at["shoulder"], at["hip"], at["knee"])
    knee = flexion(at["hip"], at["knee"], at["ankle"])
    air = (t >= 0) & (t <= lasts)
    deep = np.percentile(hip[air & (t > 0.06 * lasts) & (t < 0.94 * lasts)], 80)
    held = air & (hip > 0.85 * deep) if deep > 55 else air & (t > 0.2 * lasts) & (t < 0.8 * lasts)

    def direction(line: np.ndarray) -> np.ndarray:
        return np.degrees(np.unwrap(np.arctan2(-line[:, 0], line[:, 2])))

    trunk, body = direction(at["shoulder"] - at["hip"]), direction(at["shoulder"] - at["ankle"])

    def turned(time: float) -> float:
        by_trunk = float(np.interp(time, t, trunk))
        return by_trunk + (float(np.interp(time, t, body)) - by_trunk + 180) % 360 - 180

    total, sense = turned(lasts) - turned(0.0), np.sign(turned(lasts) - turned(0.0))
    out = {
        "time of flight": lasts,
        "height": 9.81 * lasts**2 / 8,
        "travel": known["travel_m"],
        "rotation": abs(total),
        "mean spin": abs(total) / lasts,
        "hip flexion in the shape": float(np.median(hip[held])),
        "knee flexion in the shape": float(np.median(knee[held])),
        "landing lean": sense * (turned(lasts) - round(turned(lasts) / 360) * 360),
        "lean at take-off": sense * (turned(0.0) - round(turned(0.0) / 360) * 360),
        # the clips' README: pitched up about 11°; a plane seen so has f/D cos² of the pitch at the picture's middle
        "scale": known["pixels_per_metre_at_athlete"] * np.cos(np.radians(11)) ** 2,
        "stature by the film": known["stature_m"],
    }
    if deep > 55:
        inside = np.flatnonzero(air & (hip > 0.5 * deep))
        out["shape closes"], out["shape opens"] = float(t[inside[0]]), float(t[inside[-1]])
    return out


@cache
def detected(name: str) -> Measurement:
    track = track_from_bytes((CLIPS.parent / "tracks" / f"double-{name}.npz").read_bytes())
    return measure(true_track(name)[0], track)


def flight_of(name: str) -> FlightSeen:
    return detected(name).flights[0]


@pytest.mark.parametrize("name", NAMES)
def test_no_number_is_wrong_without_a_warning(name):
    targets = TARGETS | (AT_60_A_SECOND if name != "straight" else {})
    targets["scale"] = 0.015 * true_readings(name)["scale"]
    checked = 0
    for reading, true in true_readings(name).items():
        found = flight_of(name).reading(reading)
        if found.value is None:
            continue
        error = abs(found.value - true)
        # definition: two and a half standard deviations hold 99 % of a normal error, warned or not
        assert error < 2.5 * found.uncertainty, (reading, found.value, true)
        if found.verdict.trust == Trust.GOOD and reading in targets:
            assert error < targets[reading], (reading, found.value, true)
        checked += 1
    assert checked >= 10


def test_in_a_pike_the_bends_are_doubtful_until_somebody_clicks():
    flight = flight_of("pike")
    for reading in ("hip flexion in the shape", "knee flexion in the shape", "shape", "hold moment"):
        found = flight.reading(reading)
        assert found.verdict.trust == Trust.DOUBTFUL, reading
        assert "Click 6 to 8 frames" in found.verdict.sentence
    assert detected("pike").trust == Trust.DOUBTFUL
    clip, _ = true_track("pike")
    track = track_from_bytes((CLIPS.parent / "tracks" / "double-pike.npz").read_bytes())
    guided = measure(clip, with_clicks(track, clicks_on("pike", 2))).flights[0]
    true = true_readings("pike")
    for reading in ("hip flexion in the shape", "knee flexion in the shape"):
        found = guided.reading(reading)
        assert found.verdict.trust == Trust.GOOD
        # the target of 6° on the shape, and what a finger's 2.5 cm add to it
        assert found.value == pytest.approx(true[reading], abs=2 * found.uncertainty)


@pytest.mark.parametrize("name", ["tuck", "straight"])
def test_outside_a_pike_nobody_is_bothered(name):
    # the clips' truth: no pike in them
    assert not flight_of(name).judged.guessed_pike
    assert detected(name).trust == Trust.GOOD
    assert flight_of(name).reading("shape").value == name


def test_in_a_pike_the_stated_spread_of_knees_and_feet_covers():
    track, true = (
        track_from_bytes((CLIPS.parent / "tracks" / "double-pike.npz").read_bytes()),
        true_track("pike")[1],
    )
    flight = flight_of("pike")
    start, end = (flight.leaves.time + t for t in flight.phases.held)
    held = (track.times >= start) & (track.times <= end)
    share = []
    for joint in ("knee", "ankle", "heel", "toe"):
        off = np.abs(track.middle(joint) - true.middle(joint))[held]
        column = [n for n, name in enumerate(JOINTS) if name.endswith(joint)]
        share.append(np.mean(off < track.spread[held][:, column].mean(axis=1)[:, None]))
    # law: 68 % of a normal error lies within one standard deviation; a lasting one fills it less evenly
    assert np.mean(share) > 0.6


def test_a_flight_that_would_begin_upside_down_has_no_take_off():
    flight = measure(*true_track("pike")).flights[0]
    # the clip's truth: at 0.3 s she folds with her feet up, at 0 s and 1.5 s on her feet
    assert on_feet(flight.leaves, flight.course, landing=False) == flight.leaves
    assert on_feet(flight.lands, flight.course, landing=True) == flight.lands
    wrong = replace(flight.leaves, time=flight.leaves.time + 0.3)
    cut = replace(flight, leaves=on_feet(wrong, flight.course, landing=False))
    told = {r.name: r for r in all_readings(cut, usual_limits())}
    for reading in ("time of flight", "height", "rotation", "travel", "lean at take-off", "shape closes"):
        assert told[reading].value is None
        assert "The take-off was not found" in told[reading].verdict.sentence


def sound_numbers(found: Measurement) -> list[str]:
    flight = found.flights[found.main]
    return [r.name for r in flight.readings if isinstance(r.value, float) and r.verdict.trust == Trust.GOOD]


@pytest.mark.parametrize("name", ["tuck", "straight"])
def test_where_two_fly_at_once_no_number_is_sound(name):
    clip, track = true_track(name, 1.5)
    assert sound_numbers(measure(clip, track))
    said = "Somebody else flies at the same time: click on the one that is meant."
    assert said in (HERE / "src/loftbook/film/detect.py").read_text(encoding="utf-8")
    # definition: two bodies in the air may be taken for each other
    assert not sound_numbers(measure(clip, replace(track, notes=(said,))))


@pytest.mark.parametrize("name", ["tuck", "straight"])
def test_where_the_fall_is_doubtful_no_number_is_sound(name):
    clip, track = true_track(name, 1.5)
    u = np.linspace(0, 1, len(track.times))
    eased = replayed(track, (u + 0.06 * np.sin(2 * np.pi * u)) * (len(u) - 1))
    found = measure(clip, eased)
    # law: played slow, quick, slow, nothing falls at one acceleration; scale, momentum and times are all wrong then
    assert found.trust != Trust.GOOD
    assert not sound_numbers(found)


def test_who_stood_still_before_she_flew_is_seen_where_she_begins_to_move():
    n = 40
    axis, place = np.full(n, 0.1), np.stack([np.arange(n), np.full(n, 300.0)], axis=1).astype(float)
    axis[:9] = np.nan  # long enough in one place to have become background
    seen = standing(Silhouette(axis, place, np.ones(n)), slice(0, 6))
    # definition: the middle of the first three frames in which she is seen
    assert tuple(seen.hips) == (10.0, 300.0)
    axis[:20] = np.nan
    with pytest.raises(ClipError, match="film wider"):
        standing(Silhouette(axis, place, np.ones(n)), slice(0, 6))


def test_the_quick_model_promises_no_times_and_no_leans():
    """Its ankles are off by 2.5 % of stature on these clips, the heavy model's by 0.9 % (own measurement)."""
    clip, track = true_track("tuck")
    sure = measure(clip, replace(track, detector="BlazePose heavy 0")).readings
    quick = measure(clip, replace(track, detector="BlazePose lite 0")).readings
    assert [one.value for one in quick] == [one.value for one in sure]
    changed = {one.name for one, other in zip(quick, sure, strict=True) if one != other}
    assert {"time of flight", "rotation", "landing lean", "height"} <= changed
    assert all(one.verdict.trust != Trust.GOOD for one in quick if one.name in changed)
    assert all(
        one.uncertainty > 2 * other.uncertainty
        for one, other in zip(quick, sure, strict=True)
        if one.name in changed
    )
