"""Our own network's place in the film: crop, decoding, following, and the two pairs of eyes as one track.

The network here is a small one that sees coloured discs; what it says is held against where the discs were drawn.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.film.acrobat import COLOURS, SCALE, DotModel, Somersault, acrobat_film
from tests.film.onnx_file import network_of

from loftbook.errors import ClipError
from loftbook.film.course import turned
from loftbook.film.decode import read_clip
from loftbook.film.detect import TwoEyes, detect
from loftbook.film.following import Hint
from loftbook.film.merging import Merged
from loftbook.film.own.both import both_eyes, gathered_own
from loftbook.film.own.card import BODY_JOINTS, card_of
from loftbook.film.own.looking import Look, is_stray
from loftbook.film.own.maps import Seen, expected, mass_near
from loftbook.film.own.network import Network
from loftbook.film.track import COLUMN, JOINTS, MIDDLES
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


def test_eyes_that_quarrel_through_the_whole_fold_lose_no_turn(pike):
    what, times, track = pike
    unsure = replace(track, second=replace(track.second, sure=np.abs(times[track.frames] - 0.7) > 0.45))
    assert 0.5 < np.mean(~unsure.quarrels) < 0.7
    trunk = (unsure.middle("shoulder") - unsure.middle("hip")) * [1, -1]
    angle = np.degrees(turned(trunk, unsure.uncounted))
    # what was drawn: two whole turns, upright at both ends
    assert angle[-1] - angle[0] == pytest.approx(what.total, abs=10)


def test_what_both_saw_comes_back_from_its_file(pike):
    track = pike[2]
    again = track_from_bytes(track_to_bytes(track))
    for name in ("middles", "spread", "confidence", "apart", "used", "sure"):
        assert np.array_equal(getattr(track.second, name), getattr(again.second, name), equal_nan=True)
    assert (again.second.name, again.second.used.dtype) == (track.second.name, np.bool_)
    assert track_to_bytes(again) == track_to_bytes(track)


def seen_at(middle, confidence=0.95, tall=200.0):
    """A body of the right size, its middle at a place."""
    body = np.array([[0.0, -0.25], [0, 0], [0, 0.25], [0, 0.5], [0.05, -0.1], [0.1, 0]]) * tall
    points = np.tile(body[:4], (5, 1))[: len(JOINTS)]
    shift = np.asarray(middle) - np.array([0.05, 0.125]) * tall
    return Seen(body + shift, np.ones(6), points + shift, confidence)


def test_a_lamp_on_the_wall_is_not_taken_for_her_however_sure_the_network_is():
    here, lamp = np.array([600.0, 300.0]), np.array([300.0, 100.0])
    hint = Hint(here, 0.0, opened=True, flying=True, folded=False, length=230.0)
    # law: with a still camera what does not move is background
    assert not is_stray(seen_at(here), hint, None, height=200.0)
    assert is_stray(seen_at(lamp), hint, None, height=200.0)
    # law: a fall of 8 m/s moves her 13 cm in a sixtieth of a second; 2.7 m she cannot
    assert not is_stray(seen_at(here + 20), None, here, height=200.0)
    assert is_stray(seen_at(lamp), None, here, height=200.0)


def test_where_the_eyes_disagree_nothing_is_sure_and_where_ours_doubts_the_stock_model_stands():
    n, tall = 9, 200.0
    own = [replace(look(seen_at([400.0, 300.0], 0.95 if k < 6 else 0.3)), time=k / 60) for k in range(n)]
    folded = seen_at([400.0, 300.0]).middles.copy()
    folded[2:4] = folded[1] + [[40.0, -30.0], [20.0, -60.0]]  # thighs against the trunk
    own = [replace(one, seen=replace(one.seen, middles=folded)) for one in own]
    points = np.zeros((n, len(JOINTS), 2))
    for k, name in enumerate(MIDDLES):
        points[:, [COLUMN[f"left_{name}"], COLUMN[f"right_{name}"]]] = folded[k]
    points[3:5, COLUMN["left_ankle"]] += 150.0  # the stock model sees her feet elsewhere in two frames
    stock = Merged(points, np.ones((n, 19)), np.ones((n, 19), dtype=np.int64), np.zeros(n))
    card = card_of({"threshold": "0.8"}, "0")
    found, second = both_eyes(stock, gathered_own(own), card, height=tall)
    assert second.sure.tolist() == [True] * 3 + [False] * 2 + [True] + [False] * 3
    assert second.used[:6].all()
    assert not second.used[8]
    # a joint that is disputed says so: its spread grows with the distance to what the other eyes saw
    assert second.spread[3, 3] > 3 * second.spread[0, 3]
    assert np.allclose(
        found.points[3, COLUMN["left_ankle"]] + found.points[3, COLUMN["right_ankle"]], 2 * folded[3]
    )


def test_a_shank_that_grows_in_the_fold_is_not_sure_though_both_pairs_of_eyes_say_so():
    n, tall = 16, 200.0
    straight = seen_at([400.0, 300.0]).middles
    middles = np.tile(straight, (n, 1, 1))
    middles[8:, 2:4] = straight[1] + [[45.0, -20.0], [90.0, -40.0]]  # folded, thigh and shank as long as ever
    middles[12:, 2] = straight[1] + [30.0, -13.0]  # the knee a third nearer to the hip: law, no limb grows
    own = [
        Look(k / 60, replace(seen_at([400.0, 300.0]), middles=middles[k]), 0.95, stray=False)
        for k in range(n)
    ]
    points = np.zeros((n, len(JOINTS), 2))
    for k, name in enumerate(MIDDLES):
        points[:, [COLUMN[f"left_{name}"], COLUMN[f"right_{name}"]]] = middles[:, None, k]
    stock = Merged(points, np.ones((n, 19)), np.ones((n, 19), dtype=np.int64), np.zeros(n))
    _, second = both_eyes(stock, gathered_own(own), card_of({}, "0"), height=tall)
    assert second.sure.tolist() == [True] * 12 + [False] * 4


def look(seen):
    return Look(0.0, seen, seen.confidence, stray=False)


@pytest.mark.parametrize(
    "content", [b"", b"no network", network_of([(0, 0, 0)] * 6, [(0, 0, 0)] * 23)[:-400]]
)
def test_a_file_that_is_no_network_gets_a_sentence(content):
    with pytest.raises(ClipError, match="install the package again"):
        Network(content)


def test_a_map_tells_its_place_its_width_and_how_much_lies_near():
    rows, columns = np.mgrid[0:48, 0:48] + 0.5
    spread = np.exp(-0.5 * (((columns - 20.3) / 2.0) ** 2 + ((rows - 30.7) / 1.0) ** 2))
    one = (spread / spread.sum())[None]
    place, moments = expected(one)
    # definition: the mean and the variances of the normal distribution that was put there, cut at three cells
    assert place[0] == pytest.approx([20.3, 30.7], abs=0.1)
    assert np.diag(moments[0]) == pytest.approx([4.0, 1.0], abs=0.1)
    # published: 1 - exp(-r²/2) of a round normal distribution lies within r deviations; two of 1.2 cells here
    round_one = np.exp(-0.5 * ((columns - 24) ** 2 + (rows - 24) ** 2) / 1.2**2)
    near = mass_near((round_one / round_one.sum())[None], np.array([[24.0, 24.0]]), 2.4)
    assert near[0] == pytest.approx(1 - np.exp(-2), abs=0.03)
