"""The whole detector on an acrobat whose joints are known, with a model that knows nobody upside down."""

import numpy as np
import pytest
from tests.film.acrobat import BEFORE, FLIGHT, DotModel, Somersault, acrobat_film

from loftbook.errors import ClipError, Stopped
from loftbook.film.decode import read_clip
from loftbook.film.detect import detect
from loftbook.film.following import angle_of, pair, trunk_of

FOLDED = Somersault(720, 120)


@pytest.fixture(scope="module")
def double(tmp_path_factory):
    """A double at 30 frames a second, and what the detector made of it."""
    path = tmp_path_factory.mktemp("film") / "double.mp4"
    times = acrobat_film(path, FOLDED, rate=30)
    done = []
    track = detect(path, read_clip(path), model=DotModel(), progress=done.append)
    return path, times, track, done


def off(track, what, times, joint):
    """How far a joint was found from where it was drawn, px."""
    truth = np.array([what.at(times[n])[joint] for n in track.frames])
    return np.linalg.norm(track.middle(joint) - truth, axis=1)


def flying(track, times):
    return (times[track.frames] > 0) & (times[track.frames] < FLIGHT)


@pytest.mark.parametrize("joint", ["shoulder", "hip", "knee", "ankle"])
def test_she_is_found_by_herself_and_followed_through_two_somersaults(double, joint):
    _, times, track, _ = double
    # where she was drawn; 2 px are a third of a disc
    assert np.nanmax(off(track, FOLDED, times, joint)[flying(track, times)]) < 2


def test_she_turns_as_far_as_she_was_drawn(double):
    _, times, track, _ = double
    turned = np.unwrap(angle_of(trunk_of(track.points)))
    at = [int(np.argmin(np.abs(times[track.frames] - t))) for t in (0.0, FLIGHT)]
    # drawn: 720° against the clock; a disc's middle is known to half a pixel, the trunk is 14 px long
    assert np.degrees(turned[at[1]] - turned[at[0]]) == pytest.approx(720, abs=4)


def test_the_silhouette_counts_the_same_turns_without_any_joint(double):
    _, times, track, _ = double
    axis = track.silhouette.axis
    at = [int(np.argmin(np.abs(times[track.frames] - t))) for t in (0.05, FLIGHT - 0.05)]
    # an axis has no top: half turns would show. Drawn arms and head shift it by some degrees.
    assert np.degrees(axis[at[1]] - axis[at[0]]) == pytest.approx(720, abs=45)


def test_passes_that_agree_say_so_and_left_and_right_are_kept(double):
    _, times, track, _ = double
    assert np.max(track.apart[flying(track, times)]) < 0.35
    assert not any("disagree" in note for note in track.notes)
    assert track.of("left_hip").shape == track.of("right_hip").shape == (len(track.frames), 2)


def test_progress_rises_to_the_end(double):
    done = double[3]
    assert all(np.diff(done) >= 0)
    assert done[-1] == 1.0
    assert len(done) > 30


def test_it_can_be_stopped(double):
    path = double[0]
    asked = []

    def enough():
        asked.append(1)
        return len(asked) > 40

    model = DotModel()
    with pytest.raises(Stopped, match="nothing was kept"):
        detect(path, read_clip(path), model=model, cancelled=enough)
    assert model.asked < 80


def test_a_click_outside_the_picture_gets_a_sentence(double):
    path = double[0]
    with pytest.raises(ClipError, match="click at 999"):
        detect(path, read_clip(path), (999.0, 10.0, 5), model=DotModel())


def test_a_click_on_her_finds_the_same_flight(double):
    path, times, track, _ = double
    n = int(np.argmin(np.abs(times - 0.3)))
    x, y = FOLDED.at(times[n])["hip"]
    clicked = detect(path, read_clip(path), (float(x), float(y), n), model=DotModel())
    assert np.array_equal(clicked.frames, track.frames)
    assert np.allclose(clicked.points, track.points, equal_nan=True)


def test_a_forward_somersault_turns_with_the_clock(tmp_path):
    what = Somersault(-360, 60)
    times = acrobat_film(tmp_path / "a.mp4", what, rate=30)
    track = detect(tmp_path / "a.mp4", read_clip(tmp_path / "a.mp4"), model=DotModel())
    turned = np.unwrap(angle_of(trunk_of(track.points)))
    at = [int(np.argmin(np.abs(times[track.frames] - t))) for t in (0.0, FLIGHT)]
    assert np.degrees(turned[at[1]] - turned[at[0]]) == pytest.approx(-360, abs=4)  # as drawn


def test_fast_film_is_followed_in_steps_and_read_whole_near_the_contacts(tmp_path):
    what = Somersault(720, 60)
    times = acrobat_film(tmp_path / "a.mp4", what, rate=150)
    model = DotModel()
    track = detect(tmp_path / "a.mp4", read_clip(tmp_path / "a.mp4"), model=model)
    at = times[track.frames]
    steps = np.diff(track.frames)
    middle = (at > 0.4) & (at < 1.0)
    assert set(np.diff(track.frames[middle])) == {2}  # 150 / 75
    for contact in (0.0, FLIGHT):
        assert np.all(steps[np.abs(at[:-1] - contact) < 0.04] == 1)
    assert np.nanmax(off(track, what, times, "ankle")[flying(track, times)]) < 2


def test_a_moving_camera_is_noticed_and_needs_a_click(tmp_path):
    times = acrobat_film(tmp_path / "a.mp4", Somersault(0, 0), rate=30, pan=40)
    clip = read_clip(tmp_path / "a.mp4")
    with pytest.raises(ClipError, match="camera moved"):
        detect(tmp_path / "a.mp4", clip, model=DotModel())
    n = int(np.argmin(np.abs(times + BEFORE / 2)))
    x, y = Somersault(0, 0).at(times[n])["hip"]
    track = detect(tmp_path / "a.mp4", clip, (float(x), float(y), n), model=DotModel())
    assert track.silhouette is None
    assert any("camera moved" in note for note in track.notes)
    assert np.nanmedian(np.linalg.norm(pair(track.points, "hip") - track.middle("hip"), axis=1)) == 0


def test_nobody_flying_gets_a_sentence(tmp_path):
    from tests.film.painted import film

    path = film(tmp_path / "a.mp4", np.arange(60) / 30)
    with pytest.raises(ClipError, match="no jump"):
        detect(path, read_clip(path), model=DotModel())


def test_two_who_fly_at_once_are_two_and_it_is_said():
    from loftbook.film.flying import flights
    from loftbook.film.silhouette import Patch

    times = np.arange(0, 2, 1 / 15)
    # two bodies 40 px long under the same gravity, 100 px apart, and a walker; law: y = y0 - v t + g t²/2
    fall = np.minimum(120.0, 120 - 210 * (times - 0.3) + 150 * (times - 0.3) ** 2)
    one = [Patch(60.0, y, 300, 0.1, 40, 12) for y in fall]
    other = [Patch(160.0, y, 300, 0.1, 40, 12) for y in fall]
    walker = [Patch(200 - 20 * t, 130.0, 300, 0.0, 40, 12) for t in times]
    (alone,) = flights(times, [[a, c] for a, c in zip(one, walker, strict=True)])
    assert not alone.company
    (together,) = flights(times, [[a, b, c] for a, b, c in zip(one, other, walker, strict=True)])
    assert together.company
    # half of the bend of the parabola they were given; a glance or two of the ground lie near enough to be taken along
    assert together.fall[2] == pytest.approx(150, rel=0.1)
    assert flights(times, [[c] for c in walker]) == []
