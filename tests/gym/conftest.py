"""Halls that end with their test, and a thumb that knows the screen."""

import pytest
from tests.gym.hall import Hall
from tests.gym.thumb import Thumb


@pytest.fixture
def hall(tmp_path):
    """Make halls; each is closed, and its server killed, after the test."""
    made = []

    def making(**wanted):
        one = Hall(tmp_path / f"hall {len(made)}.book", **wanted)
        made.append(one)
        return one

    yield making
    for one in made:
        one.close()


@pytest.fixture
def device(chromium, tmp_path):
    """A device with a disk of its own: closed and opened again by the same name it still knows everything."""
    kind, started = chromium
    opened = []

    def opening(name="tablet", *, width=360, height=740, look="light"):
        context = kind.launch_persistent_context(
            str(tmp_path / name),
            viewport={"width": width, "height": height},
            has_touch=width < 1000,
            color_scheme=look,
            accept_downloads=True,
            **started,
        )
        opened.append(context)
        return Thumb(context.pages[0] if context.pages else context.new_page(), context)

    yield opening
    for context in opened:
        context.close()
