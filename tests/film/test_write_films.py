"""What is written for people: the copy a browser steps through, the overlay, the strip."""

import io
import struct

import av
import numpy as np
import pytest
from tests.film.painted import film, number_in, turned

from loftbook.errors import ClipError
from loftbook.film.decode import frames, read_clip
from loftbook.film.encode import png, write_overlay, write_proxy, write_strip
from loftbook.film.track import BY_MODEL, JOINTS, MISSING, Track


def still_track(clip, numbers):
    """Somebody who stands at one place."""
    points = np.zeros((len(numbers), len(JOINTS), 2))
    for n, name in enumerate(JOINTS):
        across = 100 + (8 if name.startswith("left") else -8)
        points[:, n] = across, 30 + 12 * (n // 2)
    shape = points.shape[:2]
    return Track(
        clip.times[numbers],
        np.array(numbers),
        points,
        np.ones(shape),
        np.full(shape, BY_MODEL),
        np.full(len(numbers), np.nan),
        clip.width,
        clip.height,
        "drawn by hand",
    )


@pytest.fixture
def uneven(tmp_path):
    """A film with a gap, lying on its side as a phone writes it."""
    times = [n / 60 for n in range(40) if n not in (11, 12)]
    return turned(film(tmp_path / "a.mp4", times), 90)


def test_the_copy_keeps_every_frame_and_its_time_and_stands_upright(uneven, tmp_path):
    clip = read_clip(uneven)
    write_proxy(uneven, tmp_path / "copy.mp4", clip=clip)
    copy = read_clip(tmp_path / "copy.mp4")
    assert np.allclose(copy.times, clip.times, atol=1e-4)  # a tick is 11 µs
    assert (copy.width, copy.height, copy.turned, copy.codec) == (clip.width, clip.height, 0, "h264")
    for (_, one), (_, other) in zip(frames(uneven), frames(tmp_path / "copy.mp4"), strict=True):
        assert number_in(np.rot90(one)) == number_in(np.rot90(other))


def test_the_copy_has_a_key_frame_every_eight_and_nothing_looks_ahead(uneven, tmp_path):
    write_proxy(uneven, tmp_path / "copy.mp4", clip=read_clip(uneven))
    with av.open(str(tmp_path / "copy.mp4")) as container:
        packets = [packet for packet in container.demux(video=0) if packet.size]
        assert container.streams.video[0].codec_context.pix_fmt == "yuv420p"
    keys = [n for n, packet in enumerate(packets) if packet.is_keyframe]
    assert max(np.diff(keys)) <= 8
    assert [packet.pts for packet in packets] == sorted(packet.pts for packet in packets)


def test_a_large_picture_is_made_smaller_and_even(tmp_path):
    path = film(tmp_path / "a.mp4", np.arange(4) / 30, size=(642, 322))
    write_proxy(path, tmp_path / "copy.mp4", clip=read_clip(path), longest=300)
    copy = read_clip(tmp_path / "copy.mp4")
    assert (copy.width, copy.height) == (300, 150)


def test_the_overlay_draws_on_the_frames_that_were_tracked_and_misses_what_is_missing(tmp_path):
    path = film(tmp_path / "a.mp4", np.arange(20) / 30, size=(320, 200))
    clip = read_clip(path)
    track = still_track(clip, list(range(5, 15)))
    told = []
    write_overlay(path, tmp_path / "over.mp4", clip=clip, track=track, progress=told.append)
    drawn = [picture.astype(int) for _, picture in frames(tmp_path / "over.mp4")]
    plain = [picture.astype(int) for _, picture in frames(path, 5, 15)]
    assert len(drawn) == 10
    assert all(
        np.abs(one - other)[30:140, 85:115].mean() > 10 for one, other in zip(drawn, plain, strict=True)
    )
    assert all(np.abs(one - other)[:, 200:].mean() < 4 for one, other in zip(drawn, plain, strict=True))
    assert told == sorted(told)
    nobody = still_track(clip, list(range(5, 15)))
    nobody.origin[:] = MISSING
    write_overlay(path, tmp_path / "none.mp4", clip=clip, track=nobody)
    for (_, one), other in zip(frames(tmp_path / "none.mp4"), plain, strict=True):
        assert np.abs(one - other).mean() < 4  # of 255: coded twice


def test_the_strip_is_a_png_with_a_column_for_each_frame(tmp_path):
    path = film(tmp_path / "a.mp4", np.arange(20) / 30, size=(320, 200))
    track = still_track(read_clip(path), list(range(20)))
    write_strip(path, tmp_path / "strip.png", track=track, numbers=[0, 8, 16])
    content = (tmp_path / "strip.png").read_bytes()
    # PNG (ISO/IEC 15948), 5.2 and 11.2.2: the signature, then IHDR with width and height as big-endian numbers
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", content[16:24])
    assert width % 3 == 0
    assert height > 100
    with pytest.raises(ClipError, match="chosen frame"):
        write_strip(path, tmp_path / "strip.png", track=track, numbers=[99])


def test_a_folder_that_takes_no_file_gets_a_sentence(tmp_path):
    path = film(tmp_path / "a.mp4", np.arange(4) / 30)
    with pytest.raises(ClipError, match="no way to write"):
        write_proxy(path, tmp_path / "gone" / "copy.mp4", clip=read_clip(path))


def test_a_png_holds_the_very_pixels():
    picture = np.random.default_rng(1).integers(0, 256, (5, 7, 3)).astype(np.uint8)
    with av.open(io.BytesIO(png(picture)), format="png_pipe") as container:
        back = next(container.decode(video=0)).to_ndarray(format="rgb24")
    assert np.array_equal(back, picture)
