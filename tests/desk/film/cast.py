"""A book in a file with one filmed gymnast, and an engine whose tracking is the rendered clip's own truth.

Tracking takes minutes and is tested elsewhere. Everything after it is the real thing, on
a track that carries the truth's joints.
"""

import json
import time
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
from tests.desk import cast

from loftbook.book.people import FilmConsent
from loftbook.desk import Desk
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.port import Engine
from loftbook.film.track import BY_MODEL, JOINTS, Track

CLIPS = Path(__file__).resolve().parents[2] / "film" / "clips"
TUCK = CLIPS / "double-tuck.mp4"
BED = (0.0, 665.0, 1280.0, 667.0)  # where the truth’s feet are at the height of its bed
NAMES = {"left_toe": "left_big_toe", "right_toe": "right_big_toe"}


@cache
def truth(name: str = "double-tuck") -> dict:
    return json.loads((CLIPS / f"{name}.truth.json").read_text(encoding="utf-8"))


def true_track(clip, name: str = "double-tuck") -> Track:
    """The truth's joints as a track."""
    known = truth(name)
    seen = np.array([frame["keypoints_px"] for frame in known["frames"]])[: clip.frames]
    order = [known["keypoints"].index(NAMES.get(joint, joint)) for joint in JOINTS]
    n = len(seen)
    return Track(
        times=clip.times[:n],
        frames=np.arange(n),
        points=seen[:, order],
        spread=np.full((n, len(JOINTS)), 1.0),
        origin=np.full((n, len(JOINTS)), BY_MODEL),
        apart=np.zeros(n),
        width=clip.width,
        height=clip.height,
        detector="the clip’s own truth",
    )


def _track(path, clip, at, model, progress, cancelled):
    for share in (0.25, 0.5, 0.75):
        progress(share)
    return true_track(clip)


def _track_for_ever(path, clip, at, model, progress, cancelled):
    """Never comes to an end, and says that it goes on: what a worker does while it is killed."""
    while True:
        time.sleep(0.1)
        progress(0.5)


def _proxy(path, clip, out, progress):
    out.write_bytes(Path(path).read_bytes())
    progress(1.0)


#: Everything real but the following of the athlete and the copy for the browser.
ENGINE = Engine(read=REAL.read, track=_track, measure=REAL.measure, proxy=_proxy)

FOR_EVER = replace(ENGINE, track=_track_for_ever)


def filmed_book(folder: Path, **athlete) -> tuple[Desk, object]:
    """A book in a file: Mira may be filmed and has one turn, Noa has one and nobody said anything."""
    desk = cast.a_desk(folder / "camp.book")
    told = {"consents": (FilmConsent(allowed=True, on=cast.SPRING_25, said_by="a parent"),)} | athlete
    mira, noa = cast.bring(desk, cast.child("Mira", "Moss", **told), cast.child("Noa", "O’Nettle"))
    camp = cast.a_camp(desk, "Spring camp", cast.SPRING_26)
    cast.expect(desk, camp, (mira, noa))
    entries = [cast.payload(camp, mira), cast.payload(camp, noa)]
    cast.write(desk, *entries)
    return desk, entries
