"""The files of a clip, all of them: the untouched original, and what was made of it, in one folder beside the book."""

from __future__ import annotations

import hashlib
import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.film.shelf import Shelf, forget_folder, shelf_of
from loftbook.errors import ClipError, LoftbookError

LARGEST_CLIP = 2_000_000_000  # bytes: five minutes of 4K from a phone
_CHUNK = 1 << 20
_ENDINGS = frozenset(".mp4 .mov .m4v .3gp .avi .mkv .webm .mts .m2ts .ts .wmv .asf .flv".split())


@dataclass(frozen=True)
class ClipFiles:
    """The folder of one clip. Whatever is kept of a clip lies in it and nowhere else."""

    folder: Path
    shelf: Shelf | None = None  # where they lie for good, where that is not this folder

    @property
    def original(self) -> Path:
        """The film as it came, never written to again."""
        found = self._originals()
        if not found and self.shelf is not None and self.shelf.fetch(self.folder):
            found = self._originals()
        if not found:
            raise LoftbookError(
                f"no film in {self.folder.name}",
                "the file that was put there",
                "restore the folder of films that lies beside the book",
            )
        return found[0]

    @property
    def proxy(self) -> Path:
        """A copy that a browser can step through frame by frame."""
        return self.folder / "proxy.mp4"

    @property
    def poster(self) -> Path:
        """One picture of it."""
        return self.folder / "poster.jpg"

    def _originals(self) -> list[Path]:
        return sorted(self.folder.glob("original*")) if self.folder.is_dir() else []

    def brought(self, name: str) -> Path:
        """A file that was made of the clip before, fetched where another machine made it."""
        file = self.named(name)
        if not file.exists() and self.shelf is not None:
            self.shelf.fetch(self.folder)
        return file

    def kept(self) -> None:
        """Puts what is new in the folder where it lies for good."""
        if self.shelf is not None:
            self.shelf.keep(self.folder)

    def named(self, name: str) -> Path:
        """Another file of the clip, such as a track."""
        return self.folder / name


def films_folder(desk: Desk) -> Path:
    """Where the films of a book lie: beside its file, or where LOFTBOOK_FILMS says for a book on a server."""
    if desk.store.path is not None:
        return film_folder_of(desk.store.path)
    if desk.store.address is None:
        raise LoftbookError("a book that is no file", "a book in a file", "name one with --book")
    named = os.environ.get("LOFTBOOK_FILMS", "")
    if not named:
        raise LoftbookError(
            "a book on a server, and no folder for its films",
            "a folder that every program of this book reaches",
            "name it in LOFTBOOK_FILMS",
        )
    return Path(named)


def keeps_films(desk: Desk) -> bool:
    """Whether there is a place for films: not beside a book in memory, nor on a server without LOFTBOOK_FILMS."""
    on_a_server = desk.store.address is not None and bool(os.environ.get("LOFTBOOK_FILMS"))
    return desk.store.path is not None or on_a_server


def film_folder_of(book: Path) -> Path:
    """Where the films of a book in this file lie."""
    return book.with_name(book.name + ".films")


def clip_files(desk: Desk, clip: UUID) -> ClipFiles:
    """The files of one clip: this is the one place that knows them all."""
    return ClipFiles(films_folder(desk) / str(clip), shelf_of(desk))


def delete_files(desk: Desk, clip: UUID) -> None:
    """Deletes every file of a clip, the original first and for good."""
    files = clip_files(desk, clip)
    if files.shelf is not None:
        files.shelf.forget(clip)
    forget_folder(files.folder)


def take_in(files: ClipFiles, source: BinaryIO, name: str, *, most: int = LARGEST_CLIP) -> tuple[str, int]:
    """Writes a film piece by piece to its folder; returns its sha256 and how many bytes it has.

    Nothing of it stays when it is too large or the disk is full.
    """
    ending = Path(name).suffix.lower()
    target = files.named("original" + (ending if ending in _ENDINGS else ""))
    try:
        files.folder.mkdir(parents=True, exist_ok=False)
        try:
            return _written(source, target, most)
        except BaseException:
            shutil.rmtree(files.folder)
            raise
    except OSError as error:
        raise LoftbookError(
            f"no way to keep the film {name} ({error.strerror})",
            "a disk with room for it",
            "free some space beside the book; nothing was kept of it",
        ) from error


def _written(source: BinaryIO, target: Path, most: int) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    with target.open("xb") as out:
        while piece := source.read(_CHUNK):
            size += len(piece)
            if size > most:
                raise ClipError(
                    f"a film of more than {most // 1_000_000} MB",
                    f"at most {most // 1_000_000} MB",
                    "cut it to the jump on the phone, and send that",
                )
            digest.update(piece)
            out.write(piece)
        out.flush()
        os.fsync(out.fileno())
    target.chmod(0o444)  # the original is read only from here on
    return digest.hexdigest(), size
