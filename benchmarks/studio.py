"""The studio in a real browser on a real server: from a drag to the new picture, and how quick it draws in software."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from typing import Any

from benchmarks.registry import Row, bench

PICTURE = 50.0  # ms
PICTURES_A_SECOND = 30.0
_TURN = """() => new Promise((done) => {
    const stage = document.querySelector('canvas.picture').stage, begun = performance.now();
    let n = 0;
    const next = () => {
        stage.turn(0.01, 0);
        if (++n < 120) requestAnimationFrame(next);
        else done((performance.now() - begun) / n);
    };
    requestAnimationFrame(next);
})"""


@bench("studio", "a key pose dragged in Chromium, drawn in software; both move with the load of the machine")
def studio() -> list[Row]:
    """A full-out: its last arm movement is dragged to and fro for four seconds; then one walks round her."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(f"{_served()}/lab/studio?flight=full_out")
        page.wait_for_selector(".landing[data-old=false]", timeout=120_000)
        waits = _dragged(page)
        frame = page.evaluate(_TURN)
        browser.close()
    return [
        Row("pictures in four seconds of dragging", float(len(waits)), ""),
        Row("from the drag to the new picture, median", waits[len(waits) // 2], "ms"),
        Row("the same, 95th of 100", waits[int(0.95 * len(waits))], "ms", target=PICTURE),
        Row(
            "one picture of a walk round her, drawn in software", frame, "ms", target=1000 / PICTURES_A_SECOND
        ),
    ]


def _dragged(page: Any) -> list[float]:
    handle = page.locator(".handle[data-key='3']")
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.evaluate("performance.clearMeasures()")
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(120):
        page.mouse.move(x - 120 * abs(step % 60 / 60 - 0.5), y)
        page.wait_for_timeout(33)
    page.mouse.up()
    page.wait_for_selector(".landing[data-old=false]")
    found = page.evaluate("performance.getEntriesByName('drag to picture').map((one) => one.duration)")
    return sorted(found)


def _served() -> str:
    import uvicorn

    from loftbook.desk.lab.answers import warm_up
    from loftbook.desk.opening import open_desk
    from loftbook.web import create_app

    warm_up()
    listening = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(create_app(open_desk(":memory:")), log_level="warning", ws="none"))
    threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True).start()
    while not server.started:
        time.sleep(0.02)
    return f"http://localhost:{listening.getsockname()[1]}"
