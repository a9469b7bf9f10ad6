"""A client for the pages, a real server, and a real browser."""

import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from fastapi.testclient import TestClient
from tests.web.cast import Cast, cast

from loftbook.web import create_app

SAME_SITE = {"sec-fetch-site": "same-origin"}


@pytest.fixture
def made() -> Cast:
    """A fresh book for each test."""
    return cast()


@pytest.fixture
def client(made: Cast) -> Iterator[TestClient]:
    """A browser-like client of that book, called by the name a browser would use."""
    with TestClient(create_app(made.desk), base_url="http://localhost", headers=SAME_SITE) as talking:
        yield talking


@pytest.fixture(scope="session")
def served() -> Iterator[tuple[str, Cast]]:
    """A server on a free port, for tests with a browser; they may write, but not count on a fresh book."""
    made = cast()
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        server = uvicorn.Server(uvicorn.Config(create_app(made.desk), log_level="warning", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://localhost:{port}", made
        server.should_exit = True
        thread.join(10)
