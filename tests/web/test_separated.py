"""Every address that can be looked at, asked by a coach for another coach's camp and child, and by the programme.

From the table of routes: a new address is asked as well. On both databases. A name is looked for in every body that
comes back, whatever its status.
"""

import re
from contextlib import ExitStack
from datetime import date
from uuid import UUID

import pytest
from fastapi.testclient import TestClient
from tests import engines
from tests.desk import cast

from loftbook.book.access import Action
from loftbook.book.accounts import Sees
from loftbook.book.people import ClubStay
from loftbook.desk.accounts import add_account, end_account, give_camps
from loftbook.desk.devices import set_phrase
from loftbook.store import standings
from loftbook.web import create_app
from loftbook.web.access import RULES

PHRASE = "four quite unlikely words"
LOOKED_AT = sorted(path for method, path in RULES if method == "GET")
#: In no page of hers: the other camp, its hall, its rater, its child and what was written of her.
FOREIGN = ("Zwickau", "Quitten", "Rivalin", "Ottilie", "Fremd", "secret-note", "foreign.example", "Nachbar")
OURS = ("Hazel", "Ourchild")
VALUES = {"kind": "belt-list", "name": "attempts", "form": "csv", "search": "x", "token": "x", "number": "1"}
#: Nothing of the book is written there: how a page looks, coming in, leaving.
NO_WRITE = ("/look", "/lock", "/unlock", "/pair", "/api/unpair")
NOBODY = UUID(int=5)


class World:
    """One book with two camps that know nothing of each other, and who may read it."""

    def __init__(self, where):
        self.desk = cast.a_desk(where)
        self.camps = {}
        self.children = {}
        for key, given, family, camp, place, rater, club, contact, mail in (
            (
                "hers",
                "Hazel",
                "Ourchild",
                "Our camp",
                "Our hall",
                "O. Coach",
                "Our club",
                "H. Home",
                "coach@ours.example",
            ),
            (
                "foreign",
                "Ottilie",
                "Fremd",
                "Zwickau camp",
                "Quitten hall",
                "R. Rivalin",
                "Nachbar club",
                "Z. Nachbar",
                "coach@foreign.example",
            ),
        ):
            (child,) = cast.bring(
                self.desk,
                cast.child(given, family, clubs=(ClubStay(club, contact, mail),)),
            )
            made = cast.a_camp(self.desk, camp, date(2026, 3, 7), place=place, raters=(rater,))
            cast.expect(self.desk, made, (child,))
            note = "secret-note" if key == "foreign" else ""
            cast.write(self.desk, cast.payload(made, child, rater=rater, note=note))
            self.camps[key], self.children[key] = made.id, child
        set_phrase(self.desk, PHRASE)
        self.app = create_app(self.desk)
        self.keys = {
            "coach": add_account(self.desk, "O. Coach", Sees.COACH, camps_of={self.camps["hers"]}).key,
            "programme": add_account(self.desk, "The programme", Sees.PROGRAMME).key,
        }

    def visitor(self, stack, typed):
        """A browser that typed a key or the phrase at the laptop's door."""
        headers = {"sec-fetch-site": "same-origin"}
        client = stack.enter_context(TestClient(self.app, base_url="http://localhost", headers=headers))
        if typed:
            assert client.post("/unlock", data={"phrase": typed}, follow_redirects=False).status_code == 303
        return client

    def address(self, path, whose):
        ids = {"camp_id": self.camps[whose], "athlete_id": self.children[whose]}

        def one(found):
            kind = "parent" if found[1] == "kind" and path.startswith("/athletes") else ""
            return kind or str(ids.get(found[1]) or VALUES.get(found[1]) or NOBODY)

        return re.sub(r"\{(\w+)(?::\w+)?\}", one, path)


@pytest.fixture(scope="module", params=engines.ENGINES)
def world(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("separated")
    where = engines.the_server().book().address if request.param == "postgresql" else folder / "camp.book"
    made = World(where)
    yield made
    made.desk.store.close()


@pytest.fixture(scope="module")
def visitors(world):
    with ExitStack() as stack:
        yield {
            "keeper": world.visitor(stack, PHRASE),
            "nobody": world.visitor(stack, ""),
            **{who: world.visitor(stack, key) for who, key in world.keys.items()},
        }


def told(answer, words):
    return [word for word in words if word.encode() in answer.content]


@pytest.mark.parametrize("path", LOOKED_AT)
def test_a_coach_finds_nothing_of_another_coach_s_camp(world, visitors, path):
    answer = visitors["coach"].get(world.address(path, "foreign"), follow_redirects=False)
    assert told(answer, FOREIGN) == [], path
    if "camp_id" in path or "athlete_id" in path:
        assert answer.status_code in (303, 403, 404), (path, answer.status_code)
        if RULES["GET", path] is Action.READ_BOOK:  # and that is her account's doing, not the address's
            assert answer.status_code == 404, path
            assert visitors["keeper"].get(world.address(path, "foreign")).status_code == 200, path


@pytest.mark.parametrize("path", LOOKED_AT)
def test_the_programme_finds_no_name(world, visitors, path):
    for whose in ("hers", "foreign"):
        answer = visitors["programme"].get(world.address(path, whose), follow_redirects=False)
        assert told(answer, (*FOREIGN, *OURS)) == [], path
        assert answer.status_code < 500 or path == "/health/serving", path  # no backup yet


def test_what_is_hers_is_there_and_the_keeper_sees_both(world, visitors):
    """Without this the tests above could pass on an empty book."""
    for path in (
        "/",
        "/camps",
        "/camps/{camp_id}",
        "/athletes/{athlete_id}",
        "/api/squad",
        "/api/camps/{camp_id}",
    ):
        answer = visitors["coach"].get(world.address(path, "hers"))
        assert answer.status_code == 200, path
        assert b"Hazel" in answer.content or b"Our camp" in answer.content, path
    for paper in ("/athletes/{athlete_id}/letter", "/camps/{camp_id}/plan", "/camps/{camp_id}/agreement"):
        assert visitors["coach"].get(world.address(paper, "hers")).status_code == 200, paper
    for whose, name in (("hers", b"Hazel"), ("foreign", b"Ottilie")):
        assert name in visitors["keeper"].get(world.address("/camps/{camp_id}", whose)).content
    assert visitors["programme"].get("/counts").status_code == 200
    assert b"2 gymnasts" in visitors["programme"].get("/counts").content.lower().replace(b"two", b"2")


def test_a_coach_writes_nothing(world, visitors):
    for method, path in sorted(RULES):
        if method == "POST" and "lab" not in path and path not in NO_WRITE:
            answer = visitors["coach"].post(world.address(path, "hers"), follow_redirects=False)
            assert answer.status_code in (401, 403, 404, 409, 422), (path, answer.status_code)


def test_camps_given_and_taken_count_at_once_and_an_ended_key_opens_nothing(world):
    with ExitStack() as stack:
        new = add_account(world.desk, "N. Newcomer", Sees.COACH, camps_of={world.camps["hers"]})
        client = world.visitor(stack, new.key)
        page = world.address("/camps/{camp_id}", "foreign")
        assert client.get(page).status_code == 404
        give_camps(world.desk, "N. Newcomer", {world.camps["foreign"]})
        assert client.get(page).status_code == 200
        assert client.get(world.address("/camps/{camp_id}", "hers")).status_code == 404
        assert told(client.get("/"), ("Hazel",)) == []
        end_account(world.desk, "N. Newcomer")
        assert client.get(page, follow_redirects=False).status_code == 303
        assert client.post("/unlock", data={"phrase": new.key}).status_code in (403, 429)


@pytest.mark.parametrize("who", ["coach", "programme"])
def test_what_tablets_sent_is_worked_out_before_a_key_reads_it(world, visitors, who):
    """A key cannot write findings; the book's keeper makes those that fell behind, of all camps."""
    pairs = [(world.camps[whose], world.children[whose]) for whose in ("hers", "foreign")]
    with world.desk.store.write() as connection:
        standings.fall_behind(connection, pairs)
    page = "/counts" if who == "programme" else world.address("/camps/{camp_id}", "hers")
    assert visitors[who].get(page).status_code == 200
    with world.desk.store.read() as connection:
        assert standings.behind(connection) == ()
