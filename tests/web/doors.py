"""Visitors of every kind, each with a client of her own, through each of the three doors."""

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi.testclient import TestClient

from loftbook.book.access import Role
from loftbook.book.devices import Pairing
from loftbook.desk.devices import allow_guests, let_in, offer
from loftbook.web import create_app
from loftbook.web.access import Door, at_door, cookie_of
from loftbook.web.hall.address import Hall

HALL = Hall(("192.168.1.7",), authority=b"a certificate")
ADDRESS = {
    Door.LAPTOP: "http://localhost",
    Door.HALL: "https://loftbook.local:8643",
    Door.OPEN: "http://192.168.1.7:8644",
}
SAME_SITE = {"sec-fetch-site": "same-origin", "accept": "application/json"}


def paired(desk, role=Role.ENTRY, *, guest=False, **more):
    """A device that was let in, and its token."""
    return let_in(desk, secret=offer(desk, Pairing(role, **more)).secret, guest=guest)


@contextmanager
def at(desk, door: Door, token: str = "", *, app=None) -> Iterator[TestClient]:
    """A client that comes through a door, with a token or without."""
    app = app or create_app(desk, hall=HALL)
    with TestClient(
        at_door(app, door), base_url=ADDRESS[door], headers=SAME_SITE, follow_redirects=False
    ) as client:
        if token:
            client.cookies.set(cookie_of(door), token)
        yield client


def with_guests(desk):
    """The same desk, where guests are allowed."""
    allow_guests(desk, allowed=True)
    return desk
