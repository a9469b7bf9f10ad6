"""Opens a film: when each frame was shown, and the frames themselves, upright and one at a time.

Frame times come from the presentation stamps of the file, never from a frame rate. A phone that was held upright
writes its picture lying down and asks the player to turn it; here it is turned, once. The file is only ever read.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError
from loftbook.film.clip import Clip

if TYPE_CHECKING:
    from av.container import InputContainer
    from av.video.frame import VideoFrame
    from av.video.stream import VideoStream

Picture = NDArray[np.uint8]

# Containers that phones and cameras write. Playlists and lists of files are not among them: such a text would make
# the decoder open whatever else it names.
CONTAINERS = "mov,matroska,avi,mpegts,mpeg,asf,flv"
LONGEST = 20 * 60.0  # s
MOST_FRAMES = 300_000
LARGEST = 8192 * 4608  # pixels: the largest that a phone films
KEPT = 150e6  # bytes of pictures held at once while a film runs backward
STILL = {
    b"\x89PNG": "PNG",
    b"\xff\xd8\xff": "JPEG",
    b"GIF8": "GIF",
    b"BM": "BMP",
    b"II*\0": "TIFF",
    b"MM\0*": "TIFF",
}
STILL_BRANDS = (b"heic", b"heix", b"mif1", b"avif")


@dataclass(frozen=True)
class _Contents:
    """What the list of packets says, before anything but the first frame is decoded."""

    stamps: NDArray[np.int64]  # presentation stamps in ticks, rising
    tick: float  # s
    size: tuple[int, int]  # upright, in square pixels
    aspect: float  # width of a stored pixel over its height
    turned: int
    codec: str
    notes: tuple[str, ...]


def read_clip(path: Path) -> Clip:
    """What a film holds: true frame times, the upright size, and what is odd about it.

    Units
        times in s from the first frame; sizes in px; `turned` in degrees against the clock

    Raises
        ClipError for what is no film, or too short, too long or too large to measure, with what to do

    Valid
        the packets are listed and one frame is decoded, so that a long film costs little; a frame that cannot be
        decoded later is simply not among `frames`
    """
    contents = _contents_of(path)
    times = (contents.stamps - contents.stamps[0]) * contents.tick
    return Clip(
        times=times,
        width=contents.size[0],
        height=contents.size[1],
        codec=contents.codec,
        digest=_digest(path),
        turned=contents.turned,
        notes=(*contents.notes, *_unevenness(times)),
    )


def frames(
    path: Path, start: int | None = None, stop: int | None = None, *, step: int = 1
) -> Iterator[tuple[int, Picture]]:
    """The frames from `start` up to but not with `stop`, each with its number in the clip, upright.

    Shapes
        pictures (height, width, 3) of red, green and blue, one byte each

    Valid
        one picture is held at a time; numbers are found by presentation stamp, so that a frame which cannot be
        decoded is left out and shifts no other
    """
    contents = _contents_of(path)
    yield from _frames(path, contents, start, stop, step=step, size=contents.size)


def _frames(
    path: Path,
    contents: _Contents,
    start: int | None,
    stop: int | None,
    *,
    step: int,
    size: tuple[int, int],
) -> Iterator[tuple[int, Picture]]:
    import av

    first, last = start or 0, len(contents.stamps) if stop is None else min(stop, len(contents.stamps))
    with _opened(path) as container:
        stream = _picture_stream(container, path)
        stream.thread_type = "AUTO"
        if first > 0:
            with suppress(av.error.FFmpegError):  # a damaged index: then from the start
                container.seek(int(contents.stamps[first]), stream=stream, backward=True)
        for frame in _decoded(container, stream):
            number = _number_of(frame, contents)
            if number is None or number < first or (number - first) % step:
                if number is not None and number >= last:
                    return
                continue
            if number >= last:
                return
            yield number, _upright(frame, contents, size)


def glances(
    path: Path, start: int | None = None, stop: int | None = None, *, step: int = 1, width: int = 320
) -> Iterator[tuple[int, Picture]]:
    """The same frames made small while they are decoded, for what needs no detail: who moves, and where.

    Units
        width : px of the upright picture; its height follows. A smaller film keeps its size.
    """
    contents = _contents_of(path)
    shrink = min(1.0, width / contents.size[0])
    small = (max(2, round(contents.size[0] * shrink)), max(2, round(contents.size[1] * shrink)))
    yield from _frames(path, contents, start, stop, step=step, size=small)


def frames_backward(path: Path, start: int, stop: int, *, step: int = 1) -> Iterator[tuple[int, Picture]]:
    """The same frames as `frames(path, start, stop, step=step)`, last one first.

    Valid
        stretches of some 150 MB are decoded forward and handed out from their end; memory stays flat
    """
    contents = _contents_of(path)
    width, height = contents.size
    held = max(4, int(KEPT / (3 * width * height)))
    numbers = range(start, min(stop, len(contents.stamps)), step)
    for end in range(len(numbers), 0, -held):
        part = numbers[max(0, end - held) : end]
        yield from reversed(list(frames(path, part[0], part[-1] + 1, step=step)))


def _contents_of(path: Path) -> _Contents:
    """List the packets of a file, once for each state of it."""
    try:
        state = path.stat()
    except OSError as trouble:
        raise ClipError(
            f"no film at {path.name} ({trouble.strerror})", "a file", "give its whole path"
        ) from None
    if path.is_dir():
        raise ClipError(f"a folder, {path.name}", "one film", "name the file inside it")
    if state.st_size == 0:
        raise ClipError(f"an empty file, {path.name}", "a film", "copy it from the phone again")
    return _listed(path, state.st_size, state.st_mtime_ns)


@lru_cache(maxsize=8)
def _listed(path: Path, size: int, changed: int) -> _Contents:  # noqa: ARG001  the state of the file is the key
    _refuse_still(path)
    with _opened(path) as container:
        stream = _picture_stream(container, path)
        frame = next(_decoded(container, stream), None)
        if frame is None:
            raise ClipError(
                f"no picture that can be decoded in {path.name}", "a film", "copy it from the phone again"
            )
        aspect = _aspect(stream)
        upright, notes = _seen_in_first(frame, aspect, path)
        turned, codec = int(frame.rotation) % 360, stream.codec_context.name
    with _opened(path) as container:
        stream = _picture_stream(container, path)
        stamps, more = _stamps(container, stream, path)
        tick = float(stream.time_base or 0)
    return _Contents(stamps, tick, upright, aspect, turned, codec, (*notes, *more))


def _opened(path: Path) -> InputContainer:
    """The file behind a decoder that opens no other file."""
    import av

    options = {"format_whitelist": CONTAINERS, "protocol_whitelist": "file"}
    try:
        return av.open(f"file:{path}", options=options, metadata_errors="replace")
    except (av.error.FFmpegError, ValueError) as trouble:
        raise ClipError(
            f"nothing in {path.name} that can be read as a film ({_reason(trouble)})",
            "an MP4, MOV, MKV, AVI or WebM file that is whole",
            "copy it from the phone again, or let the phone save it as the most compatible kind",
        ) from None


def _reason(trouble: Exception) -> str:
    said = str(getattr(trouble, "strerror", "") or trouble).lower()
    return "it is damaged, cut off, or of another kind" if "invalid" in said else said


def _refuse_still(path: Path) -> None:
    """A photograph is no film, and the decoder would happily call it one."""
    with path.open("rb") as file:
        head = file.read(16)
    kinds = [kind for magic, kind in STILL.items() if head.startswith(magic)]
    if head[4:8] == b"ftyp" and head[8:12] in STILL_BRANDS:
        kinds = ["HEIC or AVIF"]
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        kinds = ["WebP"]
    if kinds:
        raise ClipError(
            f"a still picture ({kinds[0]}), {path.name}", "a film", "choose the film of the attempt"
        )


def _picture_stream(container: InputContainer, path: Path) -> VideoStream:
    streams = [one for one in container.streams.video if not one.disposition & one.disposition.attached_pic]
    if not streams:
        what = "sound only" if container.streams.audio else "no moving picture"
        raise ClipError(f"{what} in {path.name}", "a film", "choose the film of the attempt")
    return streams[0]


def _decoded(container: InputContainer, stream: VideoStream) -> Iterator[VideoFrame]:
    """Every frame that can be decoded; a damaged packet loses its own frames and no others."""
    import av

    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets)
        except (StopIteration, av.error.FFmpegError):
            return
        try:
            yield from packet.decode()
        except av.error.FFmpegError:
            continue


def _stamps(
    container: InputContainer, stream: VideoStream, path: Path
) -> tuple[NDArray[np.int64], list[str]]:
    """The presentation stamps of all packets, in order, and what is odd about them."""
    import av

    found: list[int] = []
    promised = stream.frames
    try:
        for packet in container.demux(stream):
            if packet.pts is not None and packet.size and not packet.is_discard:
                found.append(packet.pts)
            if len(found) > MOST_FRAMES:
                raise _too_long(path)
    except av.error.FFmpegError:
        promised = max(promised, len(found) + 1)
    if not found and not promised:
        raise ClipError(
            f"no frame times in {path.name}", "a film from a phone", "let the phone save it again as MP4"
        )
    stamps = np.unique(np.array(found, dtype=np.int64))
    if len(stamps) < 2:
        raise ClipError(
            f"one frame in {path.name}", "a film of two frames or more", "choose the film of the attempt"
        )
    if (stamps[-1] - stamps[0]) * float(stream.time_base or 0) > LONGEST:
        raise _too_long(path)
    notes = []
    if promised > len(found):
        notes.append(f"The file ends early: {len(found)} of {promised} frames are there.")
    if len(stamps) < len(found):
        notes.append(f"{len(found) - len(stamps)} frames carry the time of another one and were left out.")
    return stamps, notes


def _too_long(path: Path) -> ClipError:
    return ClipError(
        f"more than {LONGEST / 60:.0f} minutes of film in {path.name}",
        "one attempt, or one turn with several",
        "cut the film on the phone to the turns that matter",
    )


def _seen_in_first(frame: VideoFrame, aspect: float, path: Path) -> tuple[tuple[int, int], list[str]]:
    """The upright size, and what the first frame tells."""
    width, height = _square(frame, aspect)
    if width * height > LARGEST:
        raise ClipError(
            f"a picture of {width} × {height} in {path.name}",
            "at most 8192 × 4608",
            "film with the phone's ordinary camera",
        )
    notes = []
    if frame.interlaced_frame:
        notes.append("The picture is interlaced: fast limbs show twice, so joints are less sure.")
    if frame.rotation % 90:
        notes.append(
            f"The file asks to be turned by {frame.rotation}°, which is no quarter turn; it was not turned."
        )
    return ((height, width) if _quarters(frame) % 2 else (width, height)), notes


def _aspect(stream: VideoStream) -> float:
    """Width of a stored pixel over its height; 1 where the file says nothing or nonsense."""
    ratio = float(stream.sample_aspect_ratio or 1)
    return ratio if 0.2 < ratio < 5 else 1.0


def _square(frame: VideoFrame, aspect: float) -> tuple[int, int]:
    """Width and height once pixels are made square."""
    return round(frame.width * aspect), frame.height


def _quarters(frame: VideoFrame) -> int:
    """Quarter turns against the clock that stand the picture upright."""
    return 0 if frame.rotation % 90 else int(frame.rotation // 90) % 4


def _upright(frame: VideoFrame, contents: _Contents, size: tuple[int, int]) -> Picture:
    width, height = _square(frame, contents.aspect)
    turn = 0 if contents.turned % 90 else contents.turned // 90
    if ((height, width) if turn % 2 else (width, height)) != contents.size:
        raise ClipError(
            f"a picture that changes its size from {contents.size} to {(width, height)}",
            "one size throughout",
            "cut the film where it changes",
        )
    wide, high = (size[1], size[0]) if turn % 2 else size
    picture: Picture = frame.to_ndarray(format="rgb24", width=wide, height=high).astype(np.uint8, copy=False)
    return np.ascontiguousarray(np.rot90(picture, turn)) if turn else picture


def _number_of(frame: VideoFrame, contents: _Contents) -> int | None:
    """Which frame of the clip this is, by its stamp."""
    if frame.pts is None:
        return None
    n = int(np.searchsorted(contents.stamps, frame.pts))
    return n if n < len(contents.stamps) and contents.stamps[n] == frame.pts else None


def _unevenness(times: NDArray[np.float64]) -> list[str]:
    """Sentences about frames that were dropped, and about a rate that changes."""
    steps = np.diff(times)
    usual = float(np.median(steps))
    counts = np.rint(steps / usual).astype(int)
    off = steps / usual - counts
    gaps = np.flatnonzero((counts > 1) & (np.abs(off) < 0.2))
    lost = int(np.sum(counts[gaps] - 1))
    notes = []
    if lost and lost < len(times) / 3:
        at = ", ".join(f"{times[n]:.2f} s" for n in gaps[:3])
        notes.append(f"{lost} frames were dropped by the camera (first at {at}); true times were used.")
    elif lost:
        notes.append("The frame rate changes within the film; true times were used.")
    if np.std(off) > 0.08:
        notes.append(f"Frame times are uneven by {100 * np.std(off):.0f} % of a step; true times were used.")
    return notes


def _digest(path: Path) -> str:
    """The sha256 of the file as it lies there."""
    digest = sha256()
    with path.open("rb") as file:
        while block := file.read(1 << 20):
            digest.update(block)
    return digest.hexdigest()
