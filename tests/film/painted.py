"""Films made on the spot: each frame carries its own number, painted as light and dark fields."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

BITS = 10
TICKS = 90_000


def painted(n: int, *, width: int = 320, height: int = 160) -> np.ndarray:
    """A picture with the number n as ten fields in the lower half; the upper left corner is red, all else grey."""
    picture = np.full((height, width, 3), 90, np.uint8)
    picture[: height // 4, : width // 4] = (220, 30, 30)
    field = width // BITS
    for bit in range(BITS):
        picture[height // 2 :, bit * field : (bit + 1) * field] = 235 if n >> bit & 1 else 20
    return picture


def number_in(picture: np.ndarray) -> int:
    """The number that a picture carries."""
    height, width = picture.shape[:2]
    field = width // BITS
    row = picture[3 * height // 4, :, 1]
    return sum(1 << bit for bit in range(BITS) if row[bit * field + field // 2] > 128)


def film(
    path: Path,
    times: Sequence[float],
    *,
    codec: str = "libx264",
    size: tuple[int, int] = (320, 160),
    numbers: Sequence[int] | None = None,
) -> Path:
    """A film whose frames are shown at the given times (s)."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=60)
        stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
        stream.time_base = stream.codec_context.time_base = Fraction(1, TICKS)
        stream.options = {"crf": "18", "preset": "ultrafast", "x265-params": "log-level=none"}
        for n, time in enumerate(times):
            picture = painted(n if numbers is None else numbers[n], width=size[0], height=size[1])
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24").reformat(format="yuv420p")
            frame.pts, frame.time_base = round(time * TICKS), Fraction(1, TICKS)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


# The matrix of a track header that turns the picture, as 16.16 and 2.30 fixed-point numbers in their order in the
# file: a b u, c d v, x y w.
# ISO/IEC 14496-12:2015, 6.2.2 and 8.3.2: (p q 1) times the matrix gives where the point (p, q) is shown, so that
# a = d = 0, b = 1, c = -1 sends a point on the right (1, 0) to below (0, 1): a quarter turn with the clock.
CLOCKWISE = {
    0: (1, 0, 0, 1),
    90: (0, 1, -1, 0),
    180: (-1, 0, 0, -1),
    270: (0, -1, 1, 0),
}


def turned(path: Path, clockwise: int) -> Path:
    """Ask, in the header of an MP4, for its picture to be shown turned with the clock."""
    content = bytearray(path.read_bytes())
    start = (
        content.index(b"tkhd") + 4 + 40
    )  # version 0: 4 + 20 + 16 bytes of times, layer and volume before it
    a, b, c, d = CLOCKWISE[clockwise]
    numbers = (a << 16, b << 16, 0, c << 16, d << 16, 0, 0, 0, 1 << 30)
    content[start : start + 36] = b"".join(n.to_bytes(4, "big", signed=True) for n in numbers)
    path.write_bytes(content)
    return path
