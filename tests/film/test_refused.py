"""Films that cannot carry numbers: panned cameras, animation, slow motion, lost tracks.

No wrong number without a word.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d
from tests.film.test_measuring import true_track, truth

from loftbook.film import Measurement, Track, measure
from loftbook.film.track import Silhouette
from loftbook.mechanics import Trust

NAMES = ("tuck", "straight")


def moved(track: Track, by: np.ndarray) -> Track:
    return replace(track, points=track.points + by[:, None])


def replayed(track: Track, places: np.ndarray) -> Track:
    """The same frames played at other places of the film, from 0 to its last frame."""
    n = np.arange(len(track.times))
    flat = track.points.reshape(len(n), -1)
    points = np.stack([np.interp(places, n, column) for column in flat.T], axis=1)
    return replace(track, points=points.reshape(track.points.shape))


def warned(found: Measurement) -> bool:
    return found.trust != Trust.GOOD and bool(found.reasons)


@pytest.mark.parametrize("name", NAMES)
def test_a_good_film_is_not_refused(name):
    # the clips' README: they fall as gravity makes it
    assert measure(*true_track(name, 1.5)).trust == Trust.GOOD


@pytest.mark.parametrize(("name", "share"), [("tuck", 0.5), ("straight", 0.9)])
def test_a_camera_that_follows_her_is_told(name, share):
    clip, track = true_track(name, 1.5)
    path = np.array([f["mass_centre_px"] for f in truth(name)["frames"]])
    follow = gaussian_filter1d(path, 6 * truth(name)["fps"] / 60, axis=0) * share
    # law: a picture that moves along takes its share of the fall away, so that she seems too tall for anybody
    assert warned(measure(clip, moved(track, -follow)))


@pytest.mark.parametrize("name", NAMES)
def test_a_camera_that_sweeps_is_refused(name):
    clip, track = true_track(name, 1.5)
    n = len(track.times)
    sweep = np.stack([150 * np.sin(np.linspace(0, 3, n)), np.zeros(n)], axis=1)
    # law: nothing in the air is pulled sideways
    assert measure(clip, moved(track, -sweep)).trust == Trust.NONE


@pytest.mark.parametrize("name", NAMES[:1])
def test_what_the_detector_says_about_the_camera_counts(name):
    clip, track = true_track(name, 1.5)
    found = measure(clip, replace(track, notes=("The camera moved: there is no silhouette.",)))
    assert found.trust == Trust.NONE
    assert all(r.value is None for r in found.readings if r.unit in ("s", "m", "px/m"))


@pytest.mark.parametrize("name", NAMES[:1])
def test_a_drawn_movement_that_eases_in_and_out_is_told(name):
    clip, track = true_track(name, 1.5)
    u = np.linspace(0, 1, len(track.times))
    # law: played slow, quick, slow, nothing falls at one acceleration
    assert warned(measure(clip, replayed(track, (3 * u**2 - 2 * u**3) * (len(u) - 1))))
    assert warned(measure(clip, replayed(track, (u + 0.1 * np.sin(2 * np.pi * u)) * (len(u) - 1))))


@pytest.mark.parametrize(("name", "factor"), [("tuck", 2), ("straight", 4), ("straight", 8)])
def test_slow_motion_is_said_and_nothing_is_applied(name, factor):
    clip, track = true_track(name, 1.5)
    slow = replace(clip, times=clip.times * factor), replace(track, times=track.times * factor)
    found = measure(*slow)
    # law: a fitted scale goes with the square of the frame rate, so she would stand factor² times as tall
    assert found.flights[0].judged.slowed == factor
    assert warned(found)
    assert found.flights[0].reading("time of flight").value is None
    assert found.flights[0].reading("height").value is None


def test_the_stature_makes_the_check_sharper():
    clip, track = true_track("tuck", 1.5)
    path = np.array([f["mass_centre_px"] for f in truth("tuck")["frames"]])
    follow = gaussian_filter1d(path, 6, axis=0) * 0.2
    # the clip's truth: 1.565 m; a camera that follows by a fifth makes her a fourth taller
    assert not warned(measure(clip, track, stature=1.565))
    assert warned(measure(clip, moved(track, -follow), stature=1.565))


def test_passes_that_disagree_take_the_shape_away_but_not_the_flight():
    clip, track = true_track("pike")
    apart = track.apart.copy()
    apart[35:95] = 0.6
    silhouette = true_silhouette(track)
    found = measure(clip, replace(track, apart=apart, silhouette=silhouette)).flights[0]
    # definition: above 0.35 the passes disagree; time and turning do not rest on the folded joints
    assert found.reading("shape").value is None
    assert "Click" in found.reading("shape").verdict.sentence
    assert found.reading("time of flight").value is not None
    # the clip's truth: some 700°
    assert found.reading("rotation").value == pytest.approx(703, abs=12)


def test_a_track_that_lost_a_turn_is_told_by_the_silhouette():
    clip, track = true_track("straight")
    middle = track.points[34:46].copy()
    upside = track.points.copy()
    # heads and feet swapped in some frames: what a pose model does when it loses an inverted body
    swapped = middle.mean(axis=1, keepdims=True) * 2 - middle
    upside[34:46] = swapped
    found = measure(clip, replace(track, points=upside, silhouette=true_silhouette(track)))
    plain = measure(clip, replace(track, silhouette=true_silhouette(track)))
    assert plain.trust == Trust.GOOD
    value = found.flights[0].reading("rotation").value if found.flights else None
    # either the number is right or there is a word with it
    assert warned(found) or value == pytest.approx(704, abs=12)


def true_silhouette(track: Track) -> Silhouette:
    trunk = track.middle("shoulder") - track.middle("hip")
    axis = np.unwrap(np.arctan2(-trunk[:, 0], -trunk[:, 1]))
    return Silhouette(axis, track.middle("hip"), np.full(len(axis), 5000.0))
