"""Our own network's place in the film: crop, decoding, following, and the two pairs of eyes as one track.

The network here is a small one that sees coloured discs; what it says is held against where the discs were drawn.
"""

import numpy as np
import pytest
from tests.film.acrobat import COLOURS, SCALE, DotModel, Somersault, acrobat_film
from tests.film.onnx_file import network_of

from loftbook.film.decode import read_clip
from loftbook.film.detect import TwoEyes, detect
from loftbook.film.own.card import BODY_JOINTS
from loftbook.film.own.network import Network
from loftbook.film.track import MIDDLES
from loftbook.film.track_file import track_from_bytes, track_to_bytes


def discs(**told) -> Network:
    near = dict(COLOURS, elbow=COLOURS["shoulder"], wrist=COLOURS["hip"])
    plain = dict(near, big_toe=COLOURS["ankle"], small_toe=COLOURS["ankle"], heel=COLOURS["ankle"])
    joints = [plain.get(name.partition("_")[2], COLOURS["shoulder"]) for name in BODY_JOINTS]
    return Network(network_of([near[name] for name in MIDDLES], joints, version="discs", **told))


@pytest.fixture(scope="module")
def pike(tmp_path_factory):
    """A double folded by 130°, seen by a stock model that knows her only upright and by a network that knows discs."""
    path = tmp_path_factory.mktemp("own") / "double.mkv"
    what = Somersault(fold=130.0)
    times = acrobat_film(path, what, rate=50)
    track = detect(path, read_clip(path), model=TwoEyes(DotModel(), discs(threshold="0.6")))
    return what, times, track


def test_both_pairs_of_eyes_follow_her_through_the_fold(pike):
    what, times, track = pike
    true = np.array([[what.at(times[n])[name] for name in MIDDLES[:4]] for n in track.frames])
    off = np.linalg.norm(np.stack([track.middle(name) for name in MIDDLES[:4]], axis=1) - true, axis=2)
    # where the discs were drawn; a cell of the map is 1.4 px, and 0.35 of the trunk is 5 px
    assert np.median(off) < 1.0
    assert np.mean(off.max(axis=1) < 0.35 * 0.46 * SCALE) > 0.95
    folded = (times[track.frames] > 0.5) & (times[track.frames] < 0.9)
    assert track.second.used[folded].mean() > 0.9
    assert not track.second.used[(times[track.frames] < 0.1)].any()
    assert "coloured discs + own discs" in track.detector


def test_what_both_saw_comes_back_from_its_file(pike):
    track = pike[2]
    again = track_from_bytes(track_to_bytes(track))
    for name in ("middles", "spread", "confidence", "apart", "used", "sure"):
        assert np.array_equal(getattr(track.second, name), getattr(again.second, name), equal_nan=True)
    assert (again.second.name, again.second.used.dtype) == (track.second.name, np.bool_)
    assert track_to_bytes(again) == track_to_bytes(track)
