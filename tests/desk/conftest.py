"""A fresh book in memory for each test, and the same with the cast in it."""

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

import pytest
from tests.desk import cast

from loftbook.book.people import Camp
from loftbook.desk import Desk


@dataclass(frozen=True)
class Programme:
    """The desk, its camps and who is who."""

    desk: Desk
    spring: Camp
    autumn: Camp
    today: Camp
    mira: UUID
    noa: UUID
    otylia: UUID
    petra: UUID
    rika: UUID

    @property
    def everyone(self) -> tuple[UUID, ...]:
        return (self.mira, self.noa, self.otylia, self.petra, self.rika)


@pytest.fixture
def desk() -> Iterator[Desk]:
    opened = cast.a_desk()
    yield opened
    opened.store.close()


@pytest.fixture
def made(desk: Desk) -> Programme:
    """Five children expected at three camps; nothing is written yet."""
    who = cast.bring(desk, *(cast.child(*name) for name in cast.NAMES))
    held = (
        cast.a_camp(desk, "Spring camp", cast.SPRING_25),
        cast.a_camp(desk, "Autumn camp", cast.AUTUMN_25, bed="bed B"),
        cast.a_camp(desk, "Spring camp", cast.SPRING_26),
    )
    for camp in held:
        cast.expect(desk, camp, who)
    return Programme(desk, *held, *who)
