"""A whole camp, 216 attempts, through the real entry screen: touches and seconds for each."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from benchmarks.registry import Row, bench


@bench(
    "gym",
    "216 attempts (24 children, 3 rungs, 3 turns) through the real screen, with cuts, kills and reloads",
)
def gym() -> list[Row]:
    """Replays the camp in Chromium, then compares the book with what was meant."""
    from playwright.sync_api import sync_playwright
    from tests.gym.hall import Hall
    from tests.gym.replay import in_the_book, replay
    from tests.gym.thumb import Thumb

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        hall = Hall(Path(folder) / "camp.book")
        hall.start()
        hall.through_a_line()

        def opened() -> Thumb:
            context = playwright.chromium.launch_persistent_context(
                str(Path(folder) / "tablet"),
                executable_path=shutil.which("chromium"),
                args=["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"],
                viewport={"width": 360, "height": 740},
                has_touch=True,
            )
            return Thumb(context.pages[0], context)

        try:
            told, thumb = replay(hall, opened, seed=216, turns=3)
            wrong = set(in_the_book(hall)) ^ set(told.meant.items())
            thumb.context.close()
        finally:
            hall.close()
    return [
        Row("attempts written", float(len(told.meant)), ""),
        Row("faults on the way (cut, kill, reload, close, lost answer)", float(len(told.faults)), ""),
        Row("facts lost, doubled or different", float(len(wrong)), "", target=0.0),
        Row("touches for an attempt, mean of all", told.rows()[0][1], ""),
        Row("touches for a plain result, most", told.rows()[1][1], "", target=3.0),
        Row("the screen's own time for an attempt, median", told.rows()[2][1], "s", target=10.0),
    ]
