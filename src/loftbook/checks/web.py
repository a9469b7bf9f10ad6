"""The pages and the JSON of the invented demonstration book, held against the standards of the web.

The pages are opened in a real browser, each at two widths in light and in dark. The
JSON is asked what its own description promises, with good and with senseless requests.
"""

from __future__ import annotations

import shutil
import socket
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from itertools import product
from pathlib import Path
from typing import Any

from loftbook.checks.places import needed
from loftbook.checks.registry import Finding, NotHere, check
from loftbook.desk import Desk
from loftbook.desk.demo.run import build_demo
from loftbook.desk.people import all_athletes, all_camps

WIDTHS = {"phone": 360, "laptop": 1280}
LOOKS = ("light", "dark")
ONLY_VIOLATIONS = {"resultTypes": ["violations"]}  # the nodes that pass are not described one by one
EXAMPLES = 25  # requests of each kind to each operation
_LIST = """First name;Surname;Date of birth;Club;mystery
Ada;Ashdown;2014-03-02;Tollgate Gym;blue
Ada;Ashdown;2014-03-02;Saltpan Trampoline;red
Bea;Birch;31/02/2014;Tollgate Gym;
"""
_GOOD = {
    "rung": "double_tuck",
    "help": "nobody_in",
    "rater": "H. Alder",
    "marks": {},
    "at": "2026-10-18T10:00:00Z",
}


@check(
    name="The pages open to everybody",
    kind="standard",
    source="WCAG 2.2 (W3C Recommendation), levels A and AA, and good practice, by the rules of axe-core",
    expected="no violation on any page, light and dark, at 360 and 1280 px",
    tolerance="none",
)
def pages_pass_axe() -> Finding:
    """Every page of the demonstration, everything on it unfolded, through axe in Chromium."""
    axe = needed("axe_playwright_python.sync_playwright").Axe()
    found: list[str] = []
    looked_at = 0
    with _demonstration() as (desk, address), _browser() as browser:
        page = browser.new_page()
        for path in (*_paths(desk), _report_on_a_list(page, address)):
            page.goto(address + path)
            page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
            for size, look in product(WIDTHS, LOOKS):
                page.set_viewport_size({"width": WIDTHS[size], "height": 800})
                page.emulate_media(color_scheme=look)
                violations = axe.run(page, options=ONLY_VIOLATIONS).response["violations"]
                found += [f"{path} ({size}, {look}): {_said(one)}" for one in violations]
                looked_at += 1
    words = f"{len(found)} violations in {looked_at} looks at {looked_at // (len(WIDTHS) * len(LOOKS))} pages"
    return Finding("; ".join([words, *found[:5]]), holds=not found and looked_at > 0)


@check(
    name="The JSON keeps what its description promises",
    kind="standard",
    source="OpenAPI 3.1 (OpenAPI Initiative) and RFC 9110, by requests that schemathesis makes from the description",
    expected="no server error, and every answer of a kind and form that the description names",
    tolerance="a request that fits the form may be refused for what the book holds (no such child)",
)
def json_keeps_its_promises() -> Finding:
    """Good and senseless requests for every operation, the same ones each time."""
    schemathesis = needed("schemathesis")
    found: list[str] = []
    asked = operations = 0
    with _demonstration(serve=False) as (desk, _):
        described = schemathesis.openapi.from_asgi("/api/openapi.json", _app(desk, "testserver"))
        for result in described.get_all_operations():
            operation = result.ok()
            asked += _ask(operation, _known(desk), found)
            operations += 1
    words = f"{asked} requests to {operations} operations, {len(found)} broken promises"
    return Finding("; ".join([words, *found[:3]]), holds=not found and operations > 0)


def _ask(operation: Any, known: dict[str, str], found: list[str]) -> int:
    """Send good and senseless requests to one operation; answers how many, and adds what was broken."""
    hypothesis, schemathesis = needed("hypothesis"), needed("schemathesis")
    sent = 0

    def ask(case: Any) -> None:
        nonlocal sent
        sent += 1
        if sent % 2:
            _about_somebody(case, known)
        case.validate_response(case.call(), excluded_checks=_not_asked())

    same_each_time = hypothesis.settings(
        max_examples=EXAMPLES,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[hypothesis.Phase.generate],
        suppress_health_check=list(hypothesis.HealthCheck),
    )
    settled = same_each_time(ask)
    for mode in schemathesis.GenerationMode:
        try:
            hypothesis.given(case=operation.as_strategy(generation_mode=mode))(settled)()
        except hypothesis.errors.Unsatisfiable:
            continue  # a request without any part cannot be senseless
        except (AssertionError, schemathesis.errors.SchemathesisError, BaseExceptionGroup) as broken:
            found.append(f"{operation.label}: {' '.join(str(broken).split())[:300]}")
    return sent


def _about_somebody(case: Any, known: dict[str, str]) -> None:
    """A good request about a camp and a child that the book holds, so that some are answered and written."""
    if not case.meta.generation.mode.is_positive:
        return
    case.path_parameters = {name: known[name] for name in case.path_parameters or {}}
    if isinstance(case.body, dict):
        case.body = case.body | _GOOD | {"athlete": known["athlete_id"]}


def _not_asked() -> list[Any]:
    """What the book holds may refuse a well-formed result; the description cannot say that."""
    return [needed("schemathesis.specs.openapi.checks").positive_data_acceptance]


def _known(desk: Desk) -> dict[str, str]:
    return {"camp_id": str(all_camps(desk)[0].id), "athlete_id": str(all_athletes(desk)[0].id)}


def _said(violation: dict[str, Any]) -> str:
    nodes = violation["nodes"]
    return f"{violation['id']} at {nodes[0]['target'][0]} and {len(nodes) - 1} more"


def _paths(desk: Desk) -> tuple[str, ...]:
    camp, athlete = (f"{known}" for known in _known(desk).values())
    return (
        "/",
        "/camps",
        "/camps/new",
        f"/camps/{camp}",
        f"/camps/{camp}/entry",
        f"/camps/{camp}/entry/{athlete}",
        f"/camps/{camp}/plan",
        f"/camps/{camp}/type",
        f"/camps/{camp}/clashes",
        f"/athletes/{athlete}",
        f"/athletes/{athlete}/letter",
        "/import",
        "/lists",
        "/take-in",
        "/devices",
        "/hello",
        "/pair",
        "/unlock",
        "/cautions",
        "/no-such-page",
    )


def _report_on_a_list(page: Any, address: str) -> str:
    """Brings in a list with something to ask and something to refuse; answers where its report stands."""
    page.goto(f"{address}/import")
    page.locator("input[name=kind][value=roster]").check()
    page.set_input_files(
        "input[type=file]", {"name": "roster.csv", "mimeType": "text/csv", "buffer": _LIST.encode()}
    )
    page.get_by_role("button", name="Read it").click()
    page.wait_for_url("**/import/*")
    return str(page.url).removeprefix(address)


def _app(desk: Desk, *hosts: str) -> Any:
    from loftbook.web import create_app

    return create_app(desk, hosts=("localhost", *hosts))


@contextmanager
def _demonstration(*, serve: bool = True) -> Iterator[tuple[Desk, str]]:
    """The demonstration book in a folder of its own, served on a free port or not at all."""
    with tempfile.TemporaryDirectory() as folder, ExitStack() as later:
        desk = build_demo(Path(folder), say=lambda _: None)
        later.callback(desk.store.close)
        address = later.enter_context(_served(desk)) if serve else ""
        yield desk, address


@contextmanager
def _served(desk: Desk) -> Iterator[str]:
    uvicorn = needed("uvicorn")
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(_app(desk), log_level="critical", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.02)
        try:
            yield f"http://localhost:{listening.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(10)


@contextmanager
def _browser() -> Iterator[Any]:
    """Chromium of the machine, without a window."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        raise NotHere(
            "Chromium is not on this machine", todo="install it; on Debian: apt-get install chromium"
        )
    flags = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
    with needed("playwright.sync_api").sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=flags)
        try:
            yield browser
        finally:
            browser.close()
