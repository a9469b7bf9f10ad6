"""A track as the bytes of one file, and back: what is kept beside a clip and sent between machines.

The file is a NumPy `.npz` (a zip of arrays) without pickled objects; the same track always gives the same bytes.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError, LoftbookError
from loftbook.film.track import SecondEyes, Silhouette, Track

EDITION = 1
LARGEST = 200_000_000  # bytes of one unpacked array; a film of 20 minutes at 240 frames a second stays below
ARRAYS = ("times", "frames", "points", "spread", "origin", "apart")
WITNESS = ("axis", "middle", "area")
SECOND = ("middles", "spread", "confidence", "apart", "used", "sure")
WHOLE = ("frames", "origin")


def track_to_bytes(track: Track) -> bytes:
    """The track as a file; its arrays come back bit for bit.

    Example
        >>> n = 2
        >>> track = Track(np.arange(n) / 60, np.arange(n), np.ones((n, 19, 2)), np.ones((n, 19)),
        ...     np.full((n, 19), 1), np.full(n, np.nan), 1280, 720, "invented")
        >>> back = track_from_bytes(track_to_bytes(track))
        >>> back.detector, bool(np.all(back.points == track.points)), back.silhouette
        ('invented', True, None)
    """
    arrays = {name: np.asarray(getattr(track, name)) for name in ARRAYS}
    if track.silhouette is not None:
        arrays |= {f"silhouette_{name}": getattr(track.silhouette, name) for name in WITNESS}
    if track.edges is not None:
        arrays["edges"] = track.edges
    if track.second is not None:
        arrays |= {f"second_{name}": getattr(track.second, name) for name in SECOND}
    words = {
        "edition": EDITION,
        "width": track.width,
        "height": track.height,
        "detector": track.detector,
        "notes": list(track.notes),
    }
    if track.second is not None:
        words["second"] = track.second.name
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        _put(file, "words.json", json.dumps(words, ensure_ascii=False).encode())
        for name, array in arrays.items():
            kind = np.int64 if name in WHOLE else np.float64
            member = io.BytesIO()
            np.lib.format.write_array(
                member, np.ascontiguousarray(array, dtype=kind), version=(1, 0), allow_pickle=False
            )
            _put(file, f"{name}.npy", member.getvalue())
    return out.getvalue()


def track_from_bytes(data: bytes) -> Track:
    """The track that a file holds.

    Raises
        ClipError when the bytes are no track, or of an edition that this program does not know
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            words = json.loads(_taken(file, "words.json"))
            arrays = {
                info.filename.removesuffix(".npy"): _array(_taken(file, info.filename))
                for info in file.infolist()
                if info.filename.endswith(".npy")
            }
        if words["edition"] != EDITION:
            raise ClipError(
                f"a track file of edition {words['edition']}", f"edition {EDITION}", "update Loftbook"
            )
        return _track(words, arrays)
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError, EOFError, LoftbookError) as trouble:
        if isinstance(trouble, ClipError):
            raise
        raise ClipError(
            "a file that holds no track", "a file written by Loftbook", "measure the film again"
        ) from None


def _track(words: Mapping[str, object], arrays: Mapping[str, NDArray[np.float64]]) -> Track:
    silhouette = None
    if "silhouette_axis" in arrays:
        axis, middle, area = (arrays[f"silhouette_{name}"] for name in WITNESS)
        silhouette = Silhouette(axis, middle, area)
    second = None
    if "second_middles" in arrays:
        kept = {name: arrays[f"second_{name}"] for name in SECOND}
        second = SecondEyes(
            kept["middles"],
            kept["spread"],
            kept["confidence"],
            kept["apart"],
            kept["used"] > 0,
            kept["sure"] > 0,
            str(words["second"]),
        )
    notes = words["notes"]
    return Track(
        arrays["times"],
        arrays["frames"].astype(np.int64),
        arrays["points"],
        arrays["spread"],
        arrays["origin"].astype(np.int64),
        arrays["apart"],
        int(str(words["width"])),
        int(str(words["height"])),
        str(words["detector"]),
        silhouette,
        tuple(str(note) for note in notes) if isinstance(notes, list) else (),
        arrays.get("edges"),
        second,
    )


def _put(file: zipfile.ZipFile, name: str, content: bytes) -> None:
    """One member with no date, so that equal tracks are equal files."""
    file.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content, compress_type=zipfile.ZIP_DEFLATED)


def _taken(file: zipfile.ZipFile, name: str) -> bytes:
    if file.getinfo(name).file_size > LARGEST:
        raise ClipError(
            f"{name} larger than any track", "a file written by Loftbook", "measure the film again"
        )
    return file.read(name)


def _array(content: bytes) -> NDArray[np.float64]:
    found: NDArray[np.float64] = np.lib.format.read_array(io.BytesIO(content), allow_pickle=False)
    return found
