"""From a film to a track: milliseconds a frame by stage, and the whole of a double of two seconds.

The film is the rendered tuck of the tests: 125 frames of 1280 × 720 at 60 a second. A target is the most that was asked
of two quiet cores; seconds of the processor tell more than the clock where others work on the machine.
LOFTBOOK_BENCH_POSE names the models that follow the whole film; the default is `lite`, and `lite,full,heavy` takes
minutes on a busy machine. `heavy+own` is the heavy model with our own network beside it.
"""

from __future__ import annotations

import os
from pathlib import Path
from time import perf_counter, process_time
from typing import get_args

from benchmarks.registry import Row, bench, median_of, ratio_of, seconds
from loftbook.desk.film.eyes import stock_of
from loftbook.film.blazepose import BlazePose, Kind
from loftbook.film.crops import Square, cut
from loftbook.film.decode import frames, frames_backward, glances, read_clip
from loftbook.film.detect import TwoEyes, detect
from loftbook.film.measuring import measure
from loftbook.film.own.network import network
from loftbook.film.silhouette import background_of, mask_of, patches_of
from loftbook.film.track_file import track_from_bytes

CLIP = Path(__file__).resolve().parent.parent / "tests" / "film" / "clips" / "double-tuck.mp4"
TRACK = CLIP.parent.parent / "tracks" / "double-tuck.npz"
ASKED = {"heavy": 40.0, "lite": 12.0, "heavy+own": 15.0, "full+own": 15.0}  # s for both passes
CORES = 2


def a_frame(run: object, count: int) -> float:
    """Milliseconds a frame of going through a film once."""
    begun = perf_counter()
    for _ in run:  # type: ignore[attr-defined]
        pass
    return 1e3 * (perf_counter() - begun) / count


@bench("film stages", "one frame of 720p film through each stage, ms")
def stages() -> list[Row]:
    clip = read_clip(CLIP)
    small = [picture for _, picture in glances(CLIP)]
    background = background_of(small[::4])
    picture = next(frames(CLIP, 60, 61))[1]
    square = Square(650.0, 250.0, 240.0, 1.0)
    rows = [
        Row(
            "listing the packets of the whole film", 1e3 * median_of(lambda: read_clip(CLIP), repeats=3), "ms"
        ),
        Row("decoding forward", a_frame(frames(CLIP), clip.frames), "ms"),
        Row("decoding backward", a_frame(frames_backward(CLIP, 0, clip.frames), clip.frames), "ms"),
        Row("a glance, 320 px", a_frame(glances(CLIP), clip.frames), "ms"),
        Row("her silhouette", 1e3 * median_of(lambda: patches_of(mask_of(small[60], background))), "ms"),
        Row("cutting a turned square", 1e3 * median_of(lambda: cut(picture, square)), "ms"),
    ]
    shown = cut(picture, square)
    models = {kind: BlazePose(kind) for kind in get_args(Kind)}
    rows += [
        Row(f"one square, {kind} model", 1e3 * median_of(lambda m=model: m.joints(shown), repeats=5), "ms")  # type: ignore[misc]
        for kind, model in models.items()
    ]
    ratio = ratio_of(lambda: models["heavy"].joints(shown), lambda: models["lite"].joints(shown), repeats=5)
    return [*rows, Row("heavy over lite", ratio, "times")]


@bench("film whole", "both passes through a double of two seconds")
def whole() -> list[Row]:
    clip = read_clip(CLIP)
    rows = []
    for name in os.environ.get("LOFTBOOK_BENCH_POSE", "lite").split(","):
        kind, beside = stock_of(name)
        own = network() if beside else None
        assert own is not None or not beside, "there is no network of our own beside the program"
        model = kind if own is None else TwoEyes(kind, own)
        begun = process_time()
        took = seconds(lambda m=model: detect(CLIP, clip, model=m))  # type: ignore[misc]
        worked = process_time() - begun
        rows.append(Row(f"{name}, both passes", took, "s", target=ASKED.get(name)))
        rows.append(Row(f"{name}, a frame", 1e3 * took / clip.frames, "ms"))
        rows.append(Row(f"{name}, on the processor", worked, "s", target=_worked(name)))
    return rows


def _worked(name: str) -> float | None:
    """What two cores can do in the time asked for, s."""
    asked = ASKED.get(name)
    return None if asked is None else CORES * asked


@bench("film after detection", "everything from a track to readings, for a double of two seconds")
def after_detection() -> list[Row]:
    clip, track = read_clip(CLIP), track_from_bytes(TRACK.read_bytes())
    first = seconds(lambda: measure(clip, track))
    again = median_of(lambda: measure(clip, track), repeats=5)
    return [
        Row("the first time, with what is loaded then", first, "s"),
        Row("once loaded", again, "s", target=1.0),
    ]
