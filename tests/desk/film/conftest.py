"""A book with filmed turns, for each test anew."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from uuid import UUID

import pytest
from tests.desk import cast as desk_cast
from tests.desk.film import cast

from loftbook.desk import Desk
from loftbook.desk.film.attaching import Attached, Sent, attach
from loftbook.desk.film.working import work_all


@dataclass(frozen=True)
class Hall:
    """The desk, Mira’s turn, Noa’s turn."""

    desk: Desk
    turn: UUID
    turn_of_noa: UUID
    mira: UUID
    noa: UUID

    def send(self, turn: UUID | None = None, data: bytes | None = None, **more) -> Attached:
        source = BytesIO(cast.TUCK.read_bytes() if data is None else data)
        sent = Sent(source, **({"name": "IMG 0001.mp4", "by": "H. Alder", "station": "side A"} | more))
        return attach(self.desk, turn or self.turn, sent, engine=cast.ENGINE)

    def measured(self, **more) -> Attached:
        """A film that was put there and measured."""
        kept = self.send(**more)
        assert {job.error for job in work_all(self.desk, engine=cast.ENGINE)} == {""}
        return kept


def opened(folder: Path) -> Hall:
    desk, (hers, of_noa) = cast.filmed_book(folder)
    return Hall(desk, hers.id, of_noa.id, hers.athlete, of_noa.athlete)


@pytest.fixture
def hall(tmp_path) -> Iterator[Hall]:
    """Nothing is filmed yet."""
    made = opened(tmp_path)
    yield made
    made.desk.store.close()


@pytest.fixture(scope="session")
def shelf(tmp_path_factory) -> tuple[Hall, Attached]:
    """A book with one film, measured; each test takes a copy."""
    made = opened(tmp_path_factory.mktemp("films"))
    kept = made.measured()
    made.desk.store.tidy()
    made.desk.store.close()
    return made, kept


@pytest.fixture
def filmed(shelf, tmp_path) -> Iterator[tuple[Hall, UUID]]:
    """Mira’s turn with one film, measured, and the film’s id."""
    made, kept = shelf
    book = made.desk.store.path
    shutil.copytree(book.parent, tmp_path, dirs_exist_ok=True)
    desk = desk_cast.a_desk(tmp_path / book.name)
    yield replace(made, desk=desk), kept.clip.id
    desk.store.close()
