"""From a film to a track: milliseconds a frame by stage, and the whole of a double of two seconds.

The film is the rendered tuck of the tests: 125 frames of 1280 × 720 at 60 a second. A target is the most that was asked
of two quiet cores. LOFTBOOK_BENCH_POSE names the models that follow the whole film; the default is `lite`, and
`lite,full,heavy` takes minutes on a busy machine.
"""

from __future__ import annotations

import os
from pathlib import Path
from time import perf_counter
from typing import get_args

from benchmarks.registry import Row, bench, median_of, ratio_of, seconds
from loftbook.film.blazepose import BlazePose, Kind
from loftbook.film.crops import Square, cut
from loftbook.film.decode import frames, frames_backward, glances, read_clip
from loftbook.film.detect import detect
from loftbook.film.measuring import measure
from loftbook.film.silhouette import background_of, mask_of, patches_of
from loftbook.film.track_file import track_from_bytes

CLIP = Path(__file__).resolve().parent.parent / "tests" / "film" / "clips" / "double-tuck.mp4"
TRACK = CLIP.parent.parent / "tracks" / "double-tuck.npz"
ASKED = {"heavy": 40.0, "lite": 12.0}  # s for both passes


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
    for kind in os.environ.get("LOFTBOOK_BENCH_POSE", "lite").split(","):
        assert kind in get_args(Kind), f"{kind} is none of {get_args(Kind)}"
        took = seconds(lambda k=kind: detect(CLIP, clip, model=k))  # type: ignore[misc]
        rows.append(Row(f"{kind} model, both passes", took, "s", target=ASKED.get(kind)))
        rows.append(Row(f"{kind} model, a frame", 1e3 * took / clip.frames, "ms"))
    return rows


@bench("film after detection", "everything from a track to readings, for a double of two seconds")
def after_detection() -> list[Row]:
    clip, track = read_clip(CLIP), track_from_bytes(TRACK.read_bytes())
    first = seconds(lambda: measure(clip, track))
    again = median_of(lambda: measure(clip, track), repeats=5)
    return [
        Row("the first time, with what is loaded then", first, "s"),
        Row("once loaded", again, "s", target=1.0),
    ]
