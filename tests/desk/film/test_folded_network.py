"""The file of our own network that the wheel carries: what it says of itself, that it runs, that it stays off."""

import json
import re
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import numpy as np
import onnxruntime
import pytest
from hatchling.builders.wheel import WheelBuilder
from tests.desk.cast import COACH
from tests.desk.film import cast

import loftbook
from loftbook.desk.film.attaching import measure_clip_again
from loftbook.desk.film.eyes import chosen_model, eyes_told, own_card
from loftbook.desk.film.working import work_all
from loftbook.film.crops import Square
from loftbook.film.own.maps import seen_in
from loftbook.film.own.network import FILE, network

ROOT = Path(loftbook.__file__).parents[2]


@pytest.fixture(scope="module")
def told():
    opened = onnxruntime.InferenceSession(FILE.read_bytes(), providers=["CPUExecutionProvider"])
    return opened.get_modelmeta().custom_metadata_map


def test_its_own_file_says_where_it_comes_from(told):
    # asked for: one file of at most 8 MB; licence, data, generator settings, seed and steps in its own metadata
    assert FILE.stat().st_size <= 8_000_000
    assert told["licence"] == "MIT OR Apache-2.0"
    assert "CC0" in told["bodies"]
    assert "no photographs, no teacher" in told["bodies"]
    assert (int(told["seed"]), int(told["steps"]), int(told["pictures"])) == (8, 12500, 12500 * 1024)
    kinds = json.loads(told["generator"])["kinds of shape: share, hip, knee, trunk in degrees"]
    assert sum(share for share, *_ in kinds.values()) == pytest.approx(1.0)  # law: shares of one whole
    assert {"training_commit", "made", "data_digest", "limits", "generator_changed"} <= set(told)
    # what its threshold rests on adds up: drawn scenes in tenths of the confidence, and few wrong above it
    rests = json.loads(told["calibration"])
    tenths = rests["tenths: count, mean confidence, usable"]
    assert sum(count for count, _, _ in tenths) == rests["scenes"]
    assert rests["wrong"] / rests["kept"] < 0.01
    # calibrated: a confidence promises no more than it holds, within three standard errors of a share
    for count, confidence, usable in tenths:
        assert confidence - usable < 3 * np.sqrt(max(confidence * (1 - confidence), 0.01) / count)


def test_the_card_in_the_guide_is_this_files():
    card = (ROOT / "docs" / "guide" / "folded-model.md").read_text(encoding="utf-8")
    digest = sha256(FILE.read_bytes()).hexdigest()
    assert re.findall(r"\b[0-9a-f]{64}\b", card)[0] == digest
    assert f"threshold {own_card().threshold}" in card
    assert own_card().name == f"own 3 {digest[:12]}"


def test_it_runs_and_doubts_a_picture_without_a_body():
    eyes = network()
    grey = np.full((1, 192, 192, 3), 0.5, np.float32)
    # law: where nobody is, no frame is to be trusted
    seen = seen_in(eyes.read(grey), 0, Square(96.0, 96.0, 192.0, 0.0), eyes.card, height=150.0)
    assert seen.confidence < eyes.card.threshold


def test_the_wheel_carries_it():
    # what hatchling would pack, asked of hatchling without packing
    packed = {one.distribution_path for one in WheelBuilder(str(ROOT)).recurse_included_files()}
    assert "loftbook/film/own/folded.onnx" in packed
    assert not any(name.startswith("training") for name in packed)  # asked for: never in the wheel


def test_it_is_off_everywhere_unless_somebody_asks_for_it(hall):
    # asked for: what misses its targets ships switched off. The real file, by each way in which a film is measured.
    assert not own_card().reached
    assert (chosen_model("heavy"), chosen_model("heavy", "both")) == ("heavy", "heavy+own")
    assert "switched off" in eyes_told("BlazePose heavy 0123")
    asked = []

    def track(path, film, at, model, *more):
        asked.append(model)
        return cast.ENGINE.track(path, film, at, model, *more)

    kept = hall.send()
    hall.send(
        data=cast.TUCK.read_bytes() + b"\x00\x00\x00\x08free", eyes="both"
    )  # ISO 14496-12: an empty box
    work_all(hall.desk, engine=replace(cast.ENGINE, track=track))  # the worker
    assert asked == ["heavy", "heavy+own"]
    # measured again from the pages
    assert measure_clip_again(hall.desk, kept.clip.id, by=COACH).args["model"] == "heavy"
