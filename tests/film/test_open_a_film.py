"""Opening films: true times, upright pictures, and a sentence for what is no film."""

import struct
import zlib

import av
import numpy as np
import pytest
from tests.film.painted import film, number_in, painted, turned

from loftbook.errors import ClipError
from loftbook.film.decode import frames, frames_backward, glances, read_clip

TICK = 1 / 90_000  # s; the films made here count time in these


@pytest.mark.parametrize("rate", [30, 60, 240])
def test_each_frame_has_its_own_number_and_time(tmp_path, rate):
    times = np.arange(40) / rate
    path = film(tmp_path / "a.mp4", times)
    clip = read_clip(path)
    # what was written: the frame's number is painted in it
    assert [number_in(picture) for _, picture in frames(path)] == list(range(40))
    assert [n for n, _ in frames(path)] == list(range(40))
    assert np.allclose(clip.times, times, atol=TICK)
    assert abs(clip.rate - rate) < 0.01 * rate  # whole ticks
    assert clip.notes == ()


def test_hevc_is_read_as_well(tmp_path):
    path = film(tmp_path / "a.mp4", np.arange(20) / 60, codec="libx265")
    assert read_clip(path).codec == "hevc"
    assert [number_in(picture) for _, picture in frames(path)] == list(range(20))


def test_dropped_frames_leave_gaps_and_a_note(tmp_path):
    kept = [n for n in range(60) if n not in (20, 21, 40)]
    path = film(tmp_path / "a.mp4", [n / 60 for n in kept], numbers=kept)
    clip = read_clip(path)
    assert np.allclose(clip.times, np.array(kept) / 60, atol=TICK)
    assert any("3 frames were dropped" in note for note in clip.notes)
    assert [number_in(picture) for _, picture in frames(path)] == kept


def test_uneven_times_are_kept_and_said(tmp_path):
    steps = np.where(np.arange(50) % 2, 0.012, 0.021)
    times = np.cumsum(steps) - steps[0]
    clip = read_clip(film(tmp_path / "a.mp4", times))
    assert np.allclose(clip.times, times, atol=TICK)
    assert any("uneven" in note for note in clip.notes)


def test_a_rate_that_changes_within_the_film_is_said(tmp_path):
    times = np.cumsum([1 / 240] * 60 + [1 / 30] * 40)
    clip = read_clip(film(tmp_path / "a.mp4", times))
    assert np.allclose(clip.times, times - times[0], atol=2 * TICK)
    assert any("rate changes" in note for note in clip.notes)


@pytest.mark.parametrize("clockwise", [0, 90, 180, 270])
def test_the_picture_is_turned_upright_exactly_once(tmp_path, clockwise):
    path = turned(film(tmp_path / "a.mp4", np.arange(5) / 60), clockwise)
    clip = read_clip(path)
    _, picture = next(frames(path))
    # np.rot90 turns against the clock, so k quarter turns with it are -k; the matrix is the standard's, see `turned`
    expected = np.rot90(painted(0), -clockwise // 90)
    assert picture.shape == expected.shape == (clip.height, clip.width, 3)
    assert np.abs(picture.astype(int) - expected).mean() < 4  # of 255; the colours are coded, not kept
    _, small = next(glances(path, width=clip.width // 2))
    assert small.shape[0] / small.shape[1] == pytest.approx(clip.height / clip.width, rel=0.02)


def test_a_stretch_begins_where_it_is_asked_to(tmp_path):
    path = film(tmp_path / "a.mp4", np.arange(80) / 60)
    assert [n for n, _ in frames(path, 31, 50, step=4)] == [31, 35, 39, 43, 47]
    assert [number_in(picture) for _, picture in frames(path, 31, 50, step=4)] == [31, 35, 39, 43, 47]


def test_backward_is_forward_from_the_end(tmp_path, monkeypatch):
    path = film(tmp_path / "a.mp4", np.arange(50) / 60)
    monkeypatch.setattr("loftbook.film.decode.KEPT", 7 * 3 * 320 * 160)  # seven pictures at once, not all
    back = [(n, number_in(picture)) for n, picture in frames_backward(path, 3, 48, step=2)]
    assert back == [(n, n) for n in range(3, 48, 2)][::-1]


@pytest.mark.parametrize("name", ["concat:a|b.mp4", "http:x.mp4", "frame%03d.mp4", "Übung 1.mp4"])
def test_a_name_is_only_a_name(tmp_path, name):
    path = film(tmp_path / "a.mp4", np.arange(5) / 60).rename(tmp_path / name)
    assert [number_in(picture) for _, picture in frames(path, 2)] == [2, 3, 4]


def test_the_digest_is_that_of_the_untouched_file(tmp_path):
    from hashlib import sha256

    path = film(tmp_path / "a.mp4", np.arange(5) / 60)
    before = path.read_bytes()
    assert read_clip(path).digest == sha256(before).hexdigest()
    assert path.read_bytes() == before


def empty(path):
    path.write_bytes(b"")


def words(path):
    path.write_text("this is no film\n" * 50)


def folder(path):
    path.mkdir()


def playlist(path):
    path.write_text("#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:10,\n/etc/passwd\n#EXT-X-ENDLIST\n")


def concat(path):
    path.write_text("ffconcat version 1.0\nfile /etc/passwd\n")


def still(path):
    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", 2, 2, 8, 2, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 14))
        + chunk(b"IEND", b"")
    )


def one_frame(path):
    film(path, [0.0])


def without_its_end(path):
    film(path, np.arange(60) / 60)  # the index of an MP4 stands at its end
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def sound_only(path):
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=48_000)
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 4800), np.float32), format="fltp", layout="mono")
        frame.sample_rate = 48_000
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


@pytest.mark.parametrize(
    ("make", "word"),
    [
        (empty, "empty"),
        (words, "read as a film"),
        (folder, "folder"),
        (playlist, "read as a film"),
        (concat, "read as a film"),
        (still, "still picture"),
        (one_frame, "one frame"),
        (without_its_end, "read as a film"),
        (sound_only, "sound only"),
    ],
)
def test_what_is_no_film_gets_a_sentence(tmp_path, make, word):
    path = tmp_path / "thing.mp4"
    make(path)
    with pytest.raises(ClipError, match=word) as told:
        read_clip(path)
    assert "What to do" in str(told.value)


def test_a_missing_film_gets_a_sentence(tmp_path):
    with pytest.raises(ClipError, match="no film"):
        read_clip(tmp_path / "gone.mp4")


def test_a_picture_larger_than_any_phone_films_is_refused(tmp_path, monkeypatch):
    path = film(tmp_path / "a.mp4", np.arange(5) / 60)
    monkeypatch.setattr("loftbook.film.decode.LARGEST", 100 * 100)
    with pytest.raises(ClipError, match="320 × 160"):
        read_clip(path)


def test_a_film_of_an_hour_is_refused(tmp_path):
    path = film(tmp_path / "a.mp4", [0.0, 1.0, 3600.0])
    with pytest.raises(ClipError, match="minutes"):
        read_clip(path)


def test_what_a_broken_off_film_still_holds_is_read(tmp_path):
    path = tmp_path / "a.mkv"  # this kind has its index in front
    film(path, np.arange(60) / 60)
    content = path.read_bytes()
    path.write_bytes(content[: int(len(content) * 0.6)])
    clip = read_clip(path)
    seen = [number_in(picture) for _, picture in frames(path)]
    assert 20 < clip.frames < 60
    assert seen == list(range(len(seen)))
    assert len(seen) >= clip.frames - 1


@pytest.mark.parametrize("seed", range(6))
def test_damaged_bytes_never_end_in_anything_but_a_sentence_or_frames(tmp_path, seed):
    path = film(tmp_path / "a.mp4", np.arange(30) / 60)
    content = bytearray(path.read_bytes())
    chance = np.random.default_rng(seed)
    for at in chance.integers(0, len(content), 40):
        content[at] = chance.integers(256)
    path.write_bytes(content)
    try:
        clip = read_clip(path)
        shapes = {picture.shape for n, picture in frames(path) if 0 <= n < clip.frames}
    except ClipError as told:
        text = str(told)
    else:
        text = "expected" if shapes <= {(clip.height, clip.width, 3)} else "another shape"
    assert "expected" in text
