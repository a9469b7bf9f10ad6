"""Detectors on trial: the table against truth moved by a known angle, folders that are none, clicked frames."""

import json
import shutil
from dataclasses import replace

import numpy as np
import pytest
from tests.desk.cast import COACH
from tests.desk.film import cast

from loftbook.desk.film.asking import spoken
from loftbook.desk.film.attaching import delete_film
from loftbook.desk.film.consenting import record_consent
from loftbook.desk.film.correcting import Put, put_points
from loftbook.desk.film.eyes import chosen_model, eyes_told
from loftbook.desk.film.judging import judge_corrected, judge_folder, one_of
from loftbook.errors import ClipError, LoftbookError
from loftbook.film.own.card import card_of
from loftbook.film.trial import Said, pooled, score_of, truth_of
from loftbook.units import degree


@pytest.fixture(scope="module")
def truth():
    return truth_of(cast.truth(), "double-tuck.mp4")


def bent(truth, angle):
    """The truth with every shank turned about its knee."""
    middles = truth.middles.copy()
    c, s = np.cos(angle), np.sin(angle)
    shank = middles[:, 3] - middles[:, 2]
    middles[:, 3] = middles[:, 2] + shank @ np.array([[c, -s], [s, c]])
    return middles


def test_errors_are_those_that_were_made(truth):
    n = len(truth.frames)
    sure = np.arange(n) % 2 == 0
    middles = bent(truth, 10 * degree)
    middles[:10] += 500.0  # ten frames stand somewhere else as a whole: all angles right, no frame usable
    score = score_of(Said("made", middles, sure, np.arange(n) + 0.0), truth)
    # law: the shank alone was turned, by 10°; straight knees bend by it either way
    assert score.knee == pytest.approx(10, abs=1.0)
    assert (score.hip, score.trunk) == pytest.approx((0, 0), abs=1e-6)
    assert score.usable == pytest.approx(1 - 10 / n)
    assert score.kept == pytest.approx(np.mean(sure))
    assert score.wrong == pytest.approx(5 / sure.sum())
    # the ten are the least trusted, so the surest 80 % hold none of them
    assert (score.risk[0], score.risk[3]) == (pytest.approx(10 / n), 0.0)
    assert score.turned[1] == pytest.approx(706, abs=6)  # the clip’s truth
    both = pooled([score, replace(score, usable=1.0)], "all")
    assert (both.frames, both.usable) == (2 * n, pytest.approx(1 - 5 / n))


def test_a_folder_of_films_with_truth(tmp_path):
    for end in (".mp4", ".truth.json"):
        shutil.copy(cast.TUCK.with_name(f"double-tuck{end}"), tmp_path / f"double-tuck{end}")
    found = judge_folder(tmp_path, "heavy", engine=cast.ENGINE)  # an engine that hands out the truth
    (score,) = found.scores
    assert (score.usable, score.wrong, found.reached) == (1.0, 0.0, None)
    assert score.hip == pytest.approx(0, abs=1e-9)
    # the clip's truth; 8 ms and 6° are the targets of the tool
    assert score.flight_time[0] == pytest.approx(score.flight_time[1], abs=0.008)
    assert score.turned[0] == pytest.approx(score.turned[1], abs=6)
    json.dumps(found.told, allow_nan=False)


@pytest.mark.parametrize(
    ("truth", "words"),
    [
        (None, "no truth beside any of them"),
        ("[1]", "holds a list"),
        ("{", "is no JSON"),
        ('{"clicked": []}', "no clicked frame"),
        ('{"clicked": [{"frame": 1, "hip": [0, 0]}]}', "shoulder"),
        (
            '{"clicked": [{"frame": 1, "shoulder": [0, NaN], "hip": [0, 0], "knee": [0, 0], "ankle": [0, 0]}]}',
            "pair",
        ),
        ("{}", "cannot be read"),
    ],
)
def test_a_folder_that_is_none_gets_a_sentence(tmp_path, truth, words):
    (tmp_path / "one.mp4").write_bytes(b"")
    if truth is not None:
        (tmp_path / "one.clicks.json").write_text(truth, encoding="utf-8")
    with pytest.raises(ClipError, match=words):
        judge_folder(tmp_path, engine=cast.ENGINE)
    with pytest.raises(ClipError, match="no folder that can be read"):
        judge_folder(tmp_path / "nowhere", engine=cast.ENGINE)


def test_words_that_are_none_are_refused(tmp_path):
    for wrong in (
        lambda: one_of(None, corrected=False),
        lambda: one_of(tmp_path, corrected=True),
        lambda: chosen_model("heavy", "three"),
        lambda: chosen_model("enormous", "stock"),
    ):
        with pytest.raises(LoftbookError, match="What to do"):
            wrong()


def test_frames_that_were_clicked_are_a_set_as_long_as_the_film_may_be_used(filmed):
    hall, clip = filmed
    with pytest.raises(ClipError, match="in which somebody clicked"):
        judge_corrected(hall.desk, "heavy", engine=cast.ENGINE)
    known = truth_of(cast.truth(), "x")
    n = 40
    names = ("shoulder", "hip", "knee", "ankle")
    clicks = [
        Put(int(known.frames[n]), name, *(float(v) + 3.0 * (name == "knee") for v in known.middles[n, k]))
        for k, name in enumerate(names)
    ]
    put_points(hall.desk, clip, clicks, by=COACH, engine=cast.ENGINE)
    (score,) = judge_corrected(hall.desk, "heavy", engine=cast.ENGINE).scores
    assert (score.frames, score.clip, score.usable) == (1, "IMG 0001.mp4", 1.0)
    assert 0 < score.knee < 20  # held against the click, not against the truth that the engine hands out
    record_consent(hall.desk, hall.mira, spoken("filming", "no", "a parent", COACH, None))
    with pytest.raises(ClipError, match="whose consent holds"):
        judge_corrected(hall.desk, "heavy", engine=cast.ENGINE)
    delete_film(hall.desk, clip, by=COACH, why="asked for")
    with pytest.raises(ClipError, match="in which somebody clicked"):
        judge_corrected(hall.desk, "heavy", engine=cast.ENGINE)


@pytest.mark.parametrize(
    ("told", "both"), [({}, False), ({"targets_reached": "no"}, False), ({"targets_reached": "yes"}, True)]
)
def test_both_look_by_themselves_only_where_the_networks_own_file_says_that_it_reached_its_targets(
    monkeypatch, told, both
):
    monkeypatch.setattr("loftbook.desk.film.eyes.own_card", lambda: card_of(told, "0123"))
    assert chosen_model("full") == ("full+own" if both else "full")
    assert (chosen_model("heavy", "both"), chosen_model("heavy", "stock")) == ("heavy+own", "heavy")
    if not both:
        assert "switched off" in eyes_told("BlazePose heavy 1")
    monkeypatch.setattr("loftbook.desk.film.eyes.own_card", lambda: None)
    assert chosen_model("heavy") == "heavy"
    with pytest.raises(ClipError, match="no network of our own"):
        chosen_model("heavy", "both")
    assert "not beside the program" in eyes_told("BlazePose heavy 1")
