"""A book in memory, with a few invented people and camps in it."""

import pytest
from tests.store import cast

from loftbook.store import camps, people
from loftbook.store.database import open_book


@pytest.fixture
def book():
    store = open_book(":memory:")
    with store.write() as connection:
        people.add_athletes(connection, [cast.athlete(number) for number in range(1, 9)])
        for number in range(1, 6):
            camps.add_camp(connection, cast.camp(number))
    yield store
    store.close()
