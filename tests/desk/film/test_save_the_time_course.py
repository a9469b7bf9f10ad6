"""The numbers of a film as files. Reading them back by other programs is in the registry of checks."""

import csv
import io

import numpy as np
import pytest
from tests.desk.film import cast

from loftbook.checks import run_all
from loftbook.desk.film.saving import FORMS, course_file, course_of_clip
from loftbook.errors import Refused
from loftbook.film.exports.table import TimeCourse, even


def test_other_programs_read_what_was_saved():
    outcomes = run_all("of a film is read back")
    assert {outcome.check.name.split()[1] for outcome in outcomes} == {"C3D", "TRC", "Parquet"}
    assert [outcome for outcome in outcomes if not outcome.holds] == []


def test_the_time_course_of_a_kept_film(filmed):
    """Her true ankles are where the truth of the clip says, to the millimetres of the scale."""
    hall, clip = filmed
    course = course_of_clip(hall.desk, clip, engine=cast.ENGINE)
    rows = list(csv.DictReader(io.StringIO(course_file(course, "csv").decode())))
    assert len(rows) == len(course.times) > 90  # 1.55 s at 60 frames a second
    known = cast.truth()
    heel = known["keypoints"].index("left_heel")
    first, last = int(rows[0]["frame"]), int(rows[-1]["frame"])
    rise = [known["frames"][n]["keypoints_m"][heel][2] for n in (first, last)]
    found = [float(rows[n]["left_heel_y_m"]) for n in (0, -1)]
    # 3 % of the rise: scale from gravity is good to 1.5 %, and the camera looks up at her
    assert found[1] - found[0] == pytest.approx(rise[1] - rise[0], abs=0.03)


def test_a_form_that_is_not_written_is_refused(filmed):
    hall, clip = filmed
    with pytest.raises(Refused, match="csv, parquet, trc, c3d"):
        course_file(course_of_clip(hall.desk, clip, engine=cast.ENGINE), "xls")
    assert set(FORMS) == {"csv", "parquet", "trc", "c3d"}


def test_uneven_frames_are_drawn_even_where_a_file_knows_a_rate_only():
    """A point that moves evenly lies on its line at every even instant: law of straight lines."""
    times = np.array([0.0, 0.1, 0.3, 0.4, 0.5, 0.55, 0.7])
    markers = np.zeros((7, 2, 3))
    markers[:, 0, 0] = 2 * times
    markers[:, 1, 0] = np.where(times == 0.4, np.nan, times)
    found, drawn = even(TimeCourse(times, np.arange(7), {}, markers, ("a", "b"), 10.0))
    assert np.allclose(drawn[:, 0, 0], 2 * found)
    unknown = ~np.isfinite(drawn[:, 1, 0])
    assert np.allclose(found[unknown], [0.4]), "only the instant that nobody knows"
