"""Writes what people look at: a copy of a film that a browser can step through, the overlay, and a strip of pictures.

The original is never touched. Copies are H.264 with a key frame every 8 frames and nothing that looks ahead, which is
what makes a browser land on the frame that it was asked for; they keep the true frame times of the clip.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError
from loftbook.film.clip import Clip
from loftbook.film.decode import frames
from loftbook.film.track import COLUMN, MISSING, Track

Picture = NDArray[np.uint8]
Progress = Callable[[float], None]

TICKS = 90_000  # a second, as MPEG counts
BETWEEN_KEYS = 8
BONES = tuple(
    (f"{side}_{one}", f"{side}_{other}")
    for side in ("left", "right")
    for one, other in (
        ("shoulder", "elbow"),
        ("elbow", "wrist"),
        ("shoulder", "hip"),
        ("hip", "knee"),
        ("knee", "ankle"),
        ("ankle", "toe"),
        ("shoulder", "ear"),
    )
)
# Left is drawn whole, right is drawn broken: the side is told by form as well as by lightness.
INK = {"left": (255, 252, 240), "right": (150, 205, 255)}
EDGE = (16, 14, 12)


def write_proxy(
    path: Path, out: Path, *, clip: Clip, longest: int = 1920, progress: Progress | None = None
) -> None:
    """A copy for the browser: upright, H.264, a key frame every 8 frames, with the clip's true times and no sound.

    Units
        longest : the most pixels along either side; a larger picture is made smaller

    Raises
        ClipError when the film changes its size within, or when its folder takes no file
    """
    _write_film(out, clip, frames(path), longest=longest, progress=progress)


def write_overlay(
    path: Path, out: Path, *, clip: Clip, track: Track, progress: Progress | None = None
) -> None:
    """The stretch that was tracked as a film of its own, with the skeleton drawn on it.

    Valid
        joints that are missing are not drawn; left limbs are whole lines, right ones broken
    """
    rows = {int(n): row for row, n in enumerate(track.frames)}
    first, last = int(track.frames[0]), int(track.frames[-1])
    drawn = (
        (n, _with_skeleton(picture, track, rows[n]) if n in rows else picture)
        for n, picture in frames(path, first, last + 1)
    )
    _write_film(out, clip, drawn, longest=1920, progress=progress)


def write_strip(
    path: Path, out: Path, *, track: Track, numbers: Sequence[int], skeleton: bool = False
) -> None:
    """Chosen frames side by side as one PNG, each cut to the athlete's column, so that the parabola shows.

    Raises
        ClipError when none of the chosen frames was tracked
    """
    rows = {int(n): row for row, n in enumerate(track.frames)}
    chosen = sorted(n for n in numbers if n in rows)
    if not chosen:
        raise ClipError(
            "no chosen frame that was tracked", "frames of the flight", "choose among the tracked frames"
        )
    seen = track.points[[rows[n] for n in chosen]]
    middle = np.nanmean(seen[:, :, 0], axis=1)
    reach = float(np.nanmax(np.abs(seen[:, :, 0] - middle[:, None]))) * 1.15 + 12
    top = max(0, int(np.nanmin(seen[..., 1]) - 40))
    bottom = min(track.height, int(np.nanmax(seen[..., 1]) + 40))
    parts: list[Picture] = []
    for n, middle_x in zip(chosen, middle, strict=True):
        _, picture = next(frames(path, n, n + 1))
        shown = _with_skeleton(picture, track, rows[n]) if skeleton else picture
        parts.append(_column(shown, middle_x, reach)[top:bottom])
    _write_whole(out, lambda part: part.write_bytes(png(np.concatenate(parts, axis=1))))


def png(picture: Picture) -> bytes:
    """A picture as the bytes of a PNG."""
    import av

    encoder = av.CodecContext.create("png", "w")
    assert isinstance(encoder, av.VideoCodecContext)
    encoder.width, encoder.height = picture.shape[1], picture.shape[0]
    encoder.pix_fmt, encoder.time_base = "rgb24", Fraction(1, 25)
    frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(picture), format="rgb24")
    return b"".join(bytes(packet) for packet in (*encoder.encode(frame), *encoder.encode(None)))


def _column(picture: Picture, middle: float, reach: float) -> Picture:
    """A column of a picture round an abscissa, black beyond its edges."""
    left, wide = int(middle - reach), int(2 * reach)
    out = np.zeros((picture.shape[0], wide, 3), dtype=np.uint8)
    a, b = max(0, left), min(picture.shape[1], left + wide)
    if b > a:
        out[:, a - left : b - left] = picture[:, a:b]
    return out


def _write_film(
    out: Path,
    clip: Clip,
    pictures: Iterable[tuple[int, Picture]],
    *,
    longest: int,
    progress: Progress | None,
) -> None:
    shrink = min(1.0, longest / max(clip.width, clip.height))
    # 4:2:0 halves the colour both ways, so sides are even
    width, height = (max(2, int(side * shrink) // 2 * 2) for side in (clip.width, clip.height))

    def write(part: Path) -> None:
        import av

        with av.open(str(part), "w", format="mp4", options={"movflags": "+faststart"}) as container:
            stream = container.add_stream("libx264", rate=Fraction(clip.rate).limit_denominator(1001))
            stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
            stream.time_base = stream.codec_context.time_base = Fraction(1, TICKS)
            stream.codec_context.gop_size, stream.codec_context.max_b_frames = BETWEEN_KEYS, 0
            stream.options = {"crf": "21", "preset": "veryfast", "sc_threshold": "0"}
            for n, picture in _counted(pictures, clip, progress):
                frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
                frame = frame.reformat(width=width, height=height, format="yuv420p")
                frame.pts, frame.time_base = round(clip.times[n] * TICKS), Fraction(1, TICKS)
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))

    _write_whole(out, write)


def _counted(
    pictures: Iterable[tuple[int, Picture]], clip: Clip, progress: Progress | None
) -> Iterator[tuple[int, Picture]]:
    for n, picture in pictures:
        yield n, picture
        if progress is not None:
            progress((n + 1) / clip.frames)


def _write_whole(out: Path, write: Callable[[Path], object]) -> None:
    """Write beside and put into place at the end, so that nobody ever finds half a film."""
    part = out.with_name(f"{out.name}.{os.getpid()}.part")
    try:
        write(part)
        part.replace(out)
    except OSError as trouble:
        raise ClipError(
            f"no way to write {out.name} ({trouble.strerror or trouble})",
            "a folder with room",
            "free some room",
        ) from None
    finally:
        part.unlink(missing_ok=True)


def _with_skeleton(picture: Picture, track: Track, row: int) -> Picture:
    """The picture with the joints of one row drawn as lines."""
    out = picture.copy()
    points = np.where(track.origin[row, :, None] == MISSING, np.nan, track.points[row])
    thick = max(1.2, track.height / 420)
    for ink, extra in ((None, 1.4 * thick), (INK, 0.0)):
        for one, other in BONES:
            a, b = points[COLUMN[one]], points[COLUMN[other]]
            if np.isfinite([a, b]).all():
                side = one.split("_", maxsplit=1)[0]
                _line(
                    out,
                    a,
                    b,
                    radius=thick + extra,
                    ink=EDGE if ink is None else ink[side],
                    broken=side == "right",
                )
    return out


def _line(
    picture: Picture,
    a: NDArray[np.float64],
    b: NDArray[np.float64],
    *,
    radius: float,
    ink: tuple[int, int, int],
    broken: bool,
) -> None:
    """A line with soft edges, laid into the picture."""
    reach = radius + 1.5
    left, top = np.maximum(np.minimum(a, b) - reach, 0).astype(int)
    right, bottom = (np.maximum(a, b) + reach).astype(int) + 1
    part = picture[top:bottom, left:right]
    if part.size == 0:
        return
    y, x = np.mgrid[top : top + part.shape[0], left : left + part.shape[1]] + 0.5
    along = b - a
    length = float(np.hypot(*along))
    share = np.clip(((x - a[0]) * along[0] + (y - a[1]) * along[1]) / max(length**2, 1e-9), 0, 1)
    away = np.hypot(x - a[0] - share * along[0], y - a[1] - share * along[1])
    cover = np.clip(radius + 0.5 - away, 0, 1)
    if broken:
        cover = cover * ((share * length) % (6 * radius + 4) < 4 * radius + 2)
    part[:] = (part * (1 - cover[..., None]) + np.array(ink) * cover[..., None]).astype(np.uint8)
