"""Every route for every visitor, from the route table itself: a route without a rule fails here.

What each visitor may do is written down a second time below, by hand and in the words of
the issue, so that a slip in the program's own table shows.
"""

import re
from contextlib import ExitStack, contextmanager
from uuid import UUID

import pytest
from fastapi import APIRouter
from tests.web.cast import cast
from tests.web.doors import HALL, at, paired, with_guests

from loftbook.book.access import AT_THE_LAPTOP, Action, Role
from loftbook.desk.devices import set_phrase, shut_out
from loftbook.web import create_app
from loftbook.web.access import RULES, Door, NoRule, guarded
from loftbook.web.api import api_routers
from loftbook.web.pages import page_routers

# The issue: "Entry devices get only today's first names, bibs and rungs"; roles head coach, entry, read;
# letting devices in at the laptop only; plain http limited to the entry role.
OPEN_TO_ALL = {Action.LOOK_IN}
MAY = {
    "head coach at the laptop": set(Action),
    "nobody at a locked laptop": OPEN_TO_ALL,
    "head coach in the hall": set(Action) - AT_THE_LAPTOP,
    "entry in the hall": OPEN_TO_ALL | {Action.OWN_LEAVE, Action.DAY_SHEET, Action.SEND, Action.LOOK_BACK},
    "read in the hall": OPEN_TO_ALL | {Action.OWN_LEAVE, Action.READ_BOOK, Action.COUNTS},
    "nobody in the hall": OPEN_TO_ALL,
    "shut out": OPEN_TO_ALL,
    "guest": OPEN_TO_ALL | {Action.OWN_LEAVE, Action.DAY_SHEET, Action.SEND, Action.LOOK_BACK},
    "entry token sent in the open": OPEN_TO_ALL,
    "head coach token sent in the open": OPEN_TO_ALL,
}


def routes():
    app = create_app_for_routes()
    found = {("GET", "/api/openapi.json")}
    for router in (*api_routers(), *page_routers(), *app):
        for route in router.routes:
            found |= {(method, route.path) for method in route.methods - {"HEAD"}}
    return sorted(found)


def create_app_for_routes():
    from loftbook.web import fonts, gym, health, islands, static_files

    return health.router, fonts.router, static_files.router, islands.router, gym.router


ROUTES = routes()


@contextmanager
def everybody():
    """A client for each kind of visitor, on a fresh book."""
    desk = with_guests(cast().desk)
    app = create_app(desk, hall=HALL)
    out = paired(desk)
    shut_out(desk, out.device.id)
    tokens = {
        "head coach at the laptop": (Door.LAPTOP, ""),
        "head coach in the hall": (Door.HALL, paired(desk, Role.HEAD_COACH).token),
        "entry in the hall": (Door.HALL, paired(desk).token),
        "read in the hall": (Door.HALL, paired(desk, Role.READ).token),
        "nobody in the hall": (Door.HALL, ""),
        "shut out": (Door.HALL, out.token),
        "guest": (Door.OPEN, paired(desk, guest=True).token),
        "entry token sent in the open": (Door.OPEN, paired(desk).token),
        "head coach token sent in the open": (Door.OPEN, paired(desk, Role.HEAD_COACH).token),
    }
    with ExitStack() as stack:
        yield {
            name: stack.enter_context(at(desk, door, token, app=app))
            for name, (door, token) in tokens.items()
        }


@pytest.fixture(scope="module")
def shared():
    with everybody() as clients:
        yield clients


@pytest.fixture
def visitors(shared, request):
    """The same clients for all routes, but fresh ones where a route lets in or shuts out."""
    rule = RULES[request.node.callspec.params["method"], request.node.callspec.params["path"]]
    if rule not in (*AT_THE_LAPTOP, Action.OWN_LEAVE):
        yield shared
        return
    with everybody() as clients:
        yield clients


@pytest.fixture(scope="module")
def locked():
    desk = cast().desk
    set_phrase(desk, "four quite unlikely words")
    with at(desk, Door.LAPTOP) as client:
        yield client


def asked(client, method, path):
    """The status of a route for a visitor, with an id that is in no book where it takes one."""
    address = re.sub(r"\{\w+_id\}", str(UUID(int=5)), path)
    address = re.sub(r"\{\w+\}", "x", address)
    return client.request(method, address)


@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_each_route_for_each_visitor(visitors, method, path):
    action = RULES[method, path]
    for name, client in visitors.items():
        answer = asked(client, method, path)
        json = answer.headers.get("content-type") == "application/json"
        told = answer.json().get("code", "") if answer.status_code in (401, 403) and json else ""
        refused = told in ("unknown_device", "revoked", "not_for_this_role", "open_line", "not_here")
        assert refused is (action not in MAY[name]), (name, action, answer.status_code, answer.text[:200])
        if refused:
            assert "Spring" not in answer.text
            assert "Mira" not in answer.text


@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_each_route_at_a_locked_laptop(locked, method, path):
    answer = asked(locked, method, path)
    refused = answer.status_code == 401 and answer.json()["code"] == "unknown_device"
    assert refused is (RULES[method, path] not in MAY["nobody at a locked laptop"])


def test_there_is_no_rule_for_a_route_that_is_not_there():
    assert set(RULES) == set(ROUTES)


def test_an_app_with_a_route_without_a_rule_does_not_start():
    router = APIRouter()
    router.add_api_route("/new-page", lambda: "")
    with pytest.raises(NoRule, match="/new-page"):
        guarded(router.routes)


def test_an_address_that_is_not_there_says_only_that(shared):
    for client in shared.values():
        assert client.get("/nothing-here").status_code == 404
        assert client.request("PUT", "/api/squad").status_code == 405


def test_a_page_sends_nobody_to_where_a_code_is_typed(made):
    with at(made.desk, Door.HALL) as client:
        answer = client.get("/", headers={"accept": "text/html"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/pair")
    with at(made.desk, Door.HALL, paired(made.desk).token) as client:
        assert client.get("/", headers={"accept": "text/html"}).headers["location"] == "/gym"
        assert client.get("/camps", headers={"accept": "text/html"}).status_code == 403


def test_each_door_answers_to_its_own_names_only(made):
    """A name of the hall that is made to point at this machine (DNS rebinding) must not open the laptop's door."""
    with at(made.desk, Door.LAPTOP) as client:
        for host in ("loftbook.local:8642", "192.168.1.7", "evil.example"):
            assert client.get("/api/squad", headers={"host": host}).status_code == 421
    with at(made.desk, Door.HALL, paired(made.desk, Role.HEAD_COACH).token) as client:
        assert client.get("/api/squad", headers={"host": "localhost"}).status_code == 421
        assert client.get("/api/squad").status_code == 200


@pytest.mark.parametrize("headers", [{"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"}])
def test_what_another_site_sends_is_refused_with_a_good_token_too(made, headers):
    with at(made.desk, Door.HALL, paired(made.desk).token) as client:
        answer = client.post("/api/sync", json={"records": []}, headers=headers)
        assert answer.status_code == 403


def test_a_header_does_not_make_anybody_the_head_coach(made):
    with at(made.desk, Door.HALL) as client:
        for name in ("x-forwarded-for", "x-real-ip", "forwarded", "x-forwarded-host"):
            assert client.get("/api/squad", headers={name: "127.0.0.1"}).status_code == 401
