"""A recorded flight from its table: what is no recording is told, and a body that is known comes back."""

import csv
import shutil

import numpy as np
import pytest

from loftbook.desk.lab.recording import SEGMENTS, read_recording
from loftbook.desk.lab.replay import replay_file, replay_named
from loftbook.errors import LoftbookError


@pytest.mark.parametrize(
    ("flight", "segments"),
    [
        (None, None),
        ("", ""),
        ("time_s\n0\n", "segment\npelvis\n"),
        ("time_s\nx\n", None),
        ("\xff\x00", "segment,parent\n"),
    ],
)
def test_what_is_no_recording_is_a_sentence(tmp_path, flight, segments):
    for name, text in (("flight.csv", flight), (SEGMENTS, segments)):
        if text is not None:
            (tmp_path / name).write_text(text, encoding="latin-1")
    with pytest.raises(LoftbookError, match="What to do"):
        replay_named(str(tmp_path / "flight.csv"))


def test_a_recording_cut_short_is_a_sentence(tmp_path, real_flights):
    with (real_flights / "flight-single.csv").open(encoding="utf-8") as lines:
        rows = list(csv.reader(lines))[:20]
    (tmp_path / SEGMENTS).write_bytes((real_flights / SEGMENTS).read_bytes())
    with (tmp_path / "short.csv").open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)
    with pytest.raises(LoftbookError, match="too short"):
        replay_named(str(tmp_path / "short.csv"))


def test_a_replay_of_a_recording_says_what_it_rests_on(real_flights):
    told = replay_named(str(real_flights / "flight-double.csv"))
    # open data: README beside the tables says about 1.6 m, and two somersaults with a full twist in each
    assert told["body"]["stature_m"] == pytest.approx(1.6, abs=0.05)
    assert told["result"]["direction"] == "backward"
    assert told["verdict"]["trust"] == "good"
    bones = np.array([one["bone_m"] for one in told["body"]["segments"]])
    assert np.all(np.linalg.norm(bones, axis=1) > 0.03)
    assert read_recording(real_flights / "flight-double.csv").motion.times[0] == 0


@pytest.mark.parametrize("cell", ["1e300", "nan", "-inf", "1,2"])
def test_a_recording_with_a_cell_that_is_no_measurement_is_a_sentence(real_flights, tmp_path, cell):
    """In a recorded flight that is sound otherwise; 1,2 is a row with a value too many."""
    lines = (real_flights / "flight-double.csv").read_text(encoding="utf-8").splitlines()
    time, _, rest = lines[60].partition(",")
    _, _, rest = rest.partition(",")
    lines[60] = f"{time},{cell},{rest}"
    (tmp_path / "flight.csv").write_text("\n".join(lines), encoding="utf-8")
    shutil.copy(real_flights / SEGMENTS, tmp_path)
    with pytest.raises(LoftbookError, match="What to do"):
        replay_file(tmp_path / "flight.csv")
