"""A thumb on the entry screen: it touches what a coach would touch, counts the touches, and reads what is said."""

import time
from dataclasses import dataclass
from typing import Any

WHO = "[data-act=child] .name"
DID, TRIED = "did_it", "tried"
KEYS = {
    ("did_it", "nobody_in", ""): "alone",
    ("tried", "", "short"): "short",
    ("tried", "", "over"): "over",
    ("tried", "", ""): "tried",
    ("stopped", "", ""): "stopped",
    ("declined", "", ""): "declined",
    ("not_tried", "", ""): "not_tried",
    ("absent", "", ""): "absent",
    ("not_allowed", "", ""): "not_allowed",
}


@dataclass
class Thumb:
    """One page of a browser, and how often it was touched."""

    page: Any  # playwright's
    context: Any
    touches: int = 0

    def open(self, address: str) -> None:
        self.page.goto(f"{address}/gym")
        self.page.wait_for_selector(".gym main > *", state="attached")

    def begin(self, address: str, *, rater: str = "H. Coach") -> None:
        """Open the page and say who marks."""
        self.open(address)
        self.page.wait_for_selector("input[name=rater], [data-result]")
        if self.page.query_selector("input[name=rater]"):
            self.page.fill("input[name=rater]", rater)
            self.page.click("button.solid")
        self.page.wait_for_selector("[data-result]")

    def kept_by_the_browser(self) -> None:
        """Wait until the service worker has the shell."""
        self.page.evaluate(
            """async () => {
                const worker = (await navigator.serviceWorker.ready).active;
                while (worker.state !== 'activated') await new Promise((done) => setTimeout(done, 50));
            }"""
        )

    def touch(self, selector: str) -> None:
        self.page.click(selector)
        self.touches += 1

    def who(self) -> str:
        return str(self.page.inner_text(WHO))

    def armed(self) -> None:
        self.page.wait_for_selector(".gym[data-armed=true]")

    def choose(self, name: str) -> bool:
        """Have that child on the bed, with as few touches as there are; answers whether she was next anyway."""
        if self.page.query_selector(WHO) and self.who() == name:
            return True
        near = self.page.query_selector(f"[data-act=then]:has(span:text-is('{name}'))")
        if near:
            self.touch(f"[data-act=then]:has(span:text-is('{name}'))")
        else:
            self.touch("[data-act=find]")
            self.touch(f"dialog [data-athlete]:has(.name:text-is('{name}'))")
        self.page.wait_for_selector(f"{WHO}:text-is('{name}')")
        return False

    def rung(self, key: str) -> None:
        """Have that rung, for her alone."""
        chosen = f".rungs [data-rung={key}][aria-pressed=true]"
        if not self.page.query_selector(chosen):
            self.touch(f".rungs [data-rung={key}]")
            self.page.wait_for_selector(chosen)

    def write(self, outcome: str, help_key: str = "", rotation: str = "") -> None:
        """The result in one touch, or two where the help is another than the last."""
        before = self.written()
        self.armed()
        if (outcome, help_key, rotation) in KEYS:
            self.touch(f"[data-result={KEYS[outcome, help_key, rotation]}]")
        else:
            self.touch("[data-result=other-help]")
            self.touch(f"dialog [data-help={help_key}]")
        self.written_more_than(before)

    def written_more_than(self, before: str) -> None:
        """Wait until another fact is on the disk."""
        self.page.wait_for_selector(f".gym:not([data-written='{before}'])")

    def written(self) -> str:
        """How many facts this device has on its disk."""
        return str(self.page.get_attribute(".gym", "data-written"))

    def undo(self) -> None:
        before = self.written()
        self.armed()
        self.touch("[data-act=undo]")
        self.written_more_than(before)

    def waiting(self) -> int:
        return int(self.page.get_attribute("[data-waiting]", "data-waiting"))

    def wait_for_waiting(self, count: int, *, seconds: float = 20) -> None:
        self.page.wait_for_selector(f"[data-waiting='{count}']", timeout=seconds * 1000)

    def all_sent(self, *, seconds: float = 70) -> None:
        """Have it send now, as a coach would, until nothing waits."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            self.page.evaluate("window.dispatchEvent(new Event('online'))")
            try:
                self.wait_for_waiting(0, seconds=3)
            except Exception:  # playwright's own timeout; the loop has its own
                continue
            return
        raise AssertionError(f"{self.waiting()} still waiting after {seconds} s")

    def notices(self) -> str:
        return " ".join(self.page.locator(".notices").all_inner_texts())

    def on_disk(self) -> Any:
        """What waits, read from the browser's own store, not from the screen."""
        return self.page.evaluate(
            """() => new Promise((resolve) => {
                const asking = indexedDB.open('loftbook-gym');
                asking.onsuccess = () => {
                    const all = asking.result.transaction('waiting').objectStore('waiting').getAll();
                    all.onsuccess = () => { asking.result.close(); resolve(all.result.map((row) => row.fact)); };
                };
            })"""
        )
