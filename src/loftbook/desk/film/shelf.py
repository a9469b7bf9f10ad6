"""Where a federation's films lie when that is no folder: an object store, by the names that fsspec knows.

The folder of films (`LOFTBOOK_FILMS`) is then a place to work in: a film is put on the shelf when it
comes in and with each track, is fetched by whichever machine needs it, and is taken off the shelf
when it is deleted, before anything else of it.
"""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from loftbook.desk import Desk
from loftbook.errors import LoftbookError

#: The name of the setting: an address such as s3://bucket/films; empty for no shelf.
SETTING = "LOFTBOOK_SHELF"


@dataclass(frozen=True)
class Shelf:
    """One place in an object store, with a folder for each clip."""

    address: str

    def keep(self, folder: Path) -> int:
        """Puts every file of a clip's folder on the shelf that it lacks; returns how many. Files never change."""
        system, root = self._reach()
        self._said(partial(system.makedirs, exist_ok=True), f"{root}/{folder.name}")
        put = 0
        for file in sorted(one for one in folder.iterdir() if one.is_file()):
            target = f"{root}/{folder.name}/{file.name}"
            if not system.exists(target) or system.size(target) != file.stat().st_size:
                self._said(system.put_file, str(file), target)
                put += 1
        return put

    def fetch(self, folder: Path) -> bool:
        """Brings a clip's files that are not in its folder yet; False where the shelf has none.

        Each file gets its name when it is whole.
        """
        system, root = self._reach()
        found = self._names(system, f"{root}/{folder.name}")
        if found:
            folder.mkdir(parents=True, exist_ok=True)
        for name in found:
            target = folder / name
            if not target.exists():
                draft = folder / f".{uuid4().hex[:8]}"
                try:
                    self._said(system.get_file, f"{root}/{folder.name}/{name}", str(draft))
                    draft.replace(target)
                finally:
                    draft.unlink(missing_ok=True)
        return bool(found)

    def forget(self, clip: UUID, *names: str) -> None:
        """Takes these files of a clip off the shelf, all of them without a name; raises where one stays."""
        system, root = self._reach()
        place = f"{root}/{clip}"
        for name in names or self._names(system, place):
            if system.exists(f"{place}/{name}"):
                self._said(system.rm_file, f"{place}/{name}")
        left = set(self._names(system, place)) & set(names or self._names(system, place))
        if left:
            raise LoftbookError(
                f"{len(left)} files of a film that stay on the shelf",
                "a shelf that deletes",
                "look at the rights of its key, then delete the film again",
            )

    def _names(self, system: Any, place: str) -> list[str]:
        system.invalidate_cache()
        if not system.exists(place):
            return []
        return [
            one["name"].rsplit("/", 1)[-1] for one in system.ls(place, detail=True) if one["type"] == "file"
        ]

    def _reach(self) -> tuple[Any, str]:
        try:
            from fsspec.core import url_to_fs
        except ModuleNotFoundError as error:
            raise LoftbookError(
                "a shelf for films, and no package fsspec that reaches it",
                "it",
                'install it with: pip install "loftbook[federation]"',
            ) from error
        try:
            system, root = url_to_fs(self.address)
        except (ValueError, ImportError) as error:
            raise LoftbookError(
                f"a shelf that cannot be reached ({type(error).__name__}: {error})",
                "an address such as s3://bucket/films",
                f"correct {SETTING}; for s3 also: pip install s3fs",
            ) from error
        return system, root.rstrip("/")

    def _said(self, doing: Any, *words: str) -> None:
        try:
            doing(*words)
        except OSError as error:
            raise LoftbookError(
                f"no way to use the shelf of films ({type(error).__name__})",
                "one that answers and takes files",
                "check its address, its key and the network, then try again",
            ) from error


def shelf_of(desk: Desk) -> Shelf | None:
    """The shelf of a book on a server, None without one. A book in a file keeps its films beside itself."""
    address = os.environ.get(SETTING, "")
    return Shelf(address) if address and desk.store.address is not None else None


def forget_folder(folder: Path) -> None:
    """Deletes what lies of a clip on this machine."""
    if folder.is_dir():
        shutil.rmtree(folder)
