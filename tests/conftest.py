"""What every test may ask for: the real flights, and whether stepping aside is allowed."""

import functools
import os
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tests import engines
from tests.fence import questions

from loftbook.checks import NotHere, places
from loftbook.store import database

ROOT = Path(__file__).resolve().parent.parent


def step_aside(reason: str) -> None:
    """Skip, aloud; on a machine that promises the real data, fail instead."""
    if os.environ.get("LOFTBOOK_REQUIRE_REAL_DATA") == "1":
        pytest.fail(f"{reason} This machine has LOFTBOOK_REQUIRE_REAL_DATA=1, so that is a failure.")
    pytest.skip(reason)


def apart(test):
    """Run a test in a thread of its own: the session's browser keeps a loop of events in the main one."""

    @functools.wraps(test)
    def in_a_thread(*given, **named):
        with ThreadPoolExecutor(1) as alone:
            return alone.submit(test, *given, **named).result()

    return in_a_thread


@pytest.fixture(scope="session", autouse=True)
def _books_in_memory_are_copied():
    """A thousand tests want an empty book in memory: the steps make the first, the others are written after it.

    Books in files always go through the steps; tests/store holds one kind against the other.
    """
    made: list[str] = []
    by_the_steps = database.bring_up_to_date

    def bring_up_to_date(connection, where):
        if where != "in memory":
            by_the_steps(connection, where)
        elif made:
            for statement in made:
                connection.exec_driver_sql(statement)
        else:
            by_the_steps(connection, where)
            lines = connection.connection.dbapi_connection.iterdump()
            made.extend(line for line in lines if line not in ("BEGIN TRANSACTION;", "COMMIT;"))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(database, "bring_up_to_date", bring_up_to_date)
        yield


@pytest.fixture(scope="session", autouse=True)
def _all_books_on_a_server():
    """With LOFTBOOK_TEST_ENGINE=postgresql every book "in memory" is a database instead."""
    with pytest.MonkeyPatch.context() as patch:
        if engines.WANTED == "postgresql":
            patch.setattr(database, "_in_memory", lambda: engines.the_server().book())
        yield
    engines.stop_the_server()


@pytest.fixture(autouse=True)
def engine(request):
    """Which database this test's books lie in; a module marked both_engines is asked for each."""
    which = getattr(request, "param", engines.WANTED)
    if which == "postgresql" and request.node.get_closest_marker("of_a_file"):
        pytest.skip("It is about SQLite's file.")
    if which == "sqlite":
        yield which
        return
    server = engines.the_server()
    before = len(server.made)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(database, "_in_memory", server.book)
        yield which
    server.give_back(before)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A module with the mark both_engines runs on SQLite and on PostgreSQL."""
    engines.on_both(metafunc)


@pytest.fixture(scope="session")
def real_flights() -> Path:
    """The folder of recorded flights; without it the test steps aside and says so."""
    try:
        return places.real_flights()
    except NotHere as missing:
        step_aside(str(missing))
        raise


@pytest.fixture(scope="session")
def chromium():
    """Debian's own Chromium by way of playwright: its type, and how to start it without a window."""
    path = shutil.which("chromium")
    if path is None:
        step_aside("chromium is not on this machine; install it to run the tests with a browser.")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = {
            "executable_path": path,
            "args": ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"],
        }
        yield playwright.chromium, started


@pytest.fixture(scope="session")
def browser(chromium):
    """One browser for all tests that only need pages of their own."""
    kind, started = chromium
    opened = kind.launch(**started)
    yield opened
    opened.close()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """After the fence test, name what is growing: allowed, but it asks why."""
    reports = [report for group in terminalreporter.stats.values() for report in group]
    if any("test_shape_of_the_code" in getattr(report, "nodeid", "") for report in reports):
        terminalreporter.section("growing")
        for sentence in questions(ROOT / "src") or ["Nothing asks why."]:
            terminalreporter.write_line(sentence)
