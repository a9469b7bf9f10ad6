"""Marking again from film: blind, each film once for each person, one's own only when it is forgotten."""

from dataclasses import replace
from datetime import timedelta

import pytest
from fastapi.testclient import TestClient
from tests.desk import cast as desk_cast
from tests.desk.film import cast
from tests.web.conftest import SAME_SITE

from loftbook.book.turns import markings, remarkings
from loftbook.desk.film.places import clip_files
from loftbook.desk.opening import open_desk
from loftbook.store import attempts, clips
from loftbook.web import create_app

RATER, OTHER = "H. Alder", "Q. Second"


@pytest.fixture
def later(tmp_path):
    """Eight days after the camp: one filmed turn, whose number was put right after it was filmed."""
    desk, (hers, _) = cast.filmed_book(tmp_path)
    with TestClient(create_app(desk), base_url="http://localhost", headers=SAME_SITE) as client:
        sent = {"by": RATER, "station": "side A"}
        files = {"film": (cast.TUCK.name, cast.TUCK.read_bytes(), "video/mp4")}
        clip = client.post(f"/attempts/{hers.id}/film", data=sent, files=files, follow_redirects=False)
    put_right = replace(hers, id=desk_cast.same_fact("right"), turn=1, replaces=hers.id, marks={"form": 1})
    desk_cast.write(desk, put_right)
    with desk.store.read() as connection:
        (film,) = clips.clips(connection)
    assert clip.headers["location"].endswith(str(film.id))
    clip_files(desk, film.id).proxy.write_bytes(b"a copy for the browser")
    desk.store.close()
    desk = open_desk(tmp_path / "camp.book", clock=lambda: desk_cast.NOW + timedelta(days=8))
    yield desk, film.id
    desk.store.close()


def client_of(desk):
    return TestClient(create_app(desk), base_url="http://localhost", headers=SAME_SITE)


def turns_of(desk):
    with desk.store.read() as connection:
        return attempts.attempts_marked_again(connection)


def test_a_film_is_marked_once_by_each_without_name_camp_or_mark(later):
    desk, clip = later
    seen = {"clip": str(clip), "outcome": "did_it", "rotation": "short", "mark_form": "2"}
    with client_of(desk) as client:
        for rater in (RATER, OTHER):
            page = client.get("/again", params={"rater": rater}).text
            assert f"/film/{clip}/proxy.mp4" in page
            for hidden in ("Mira", "Moss", "Spring camp", "checked"):
                assert hidden not in page, hidden
            client.post("/again", data=seen | {"rater": rater})
            assert "No film waits" in client.get("/again", params={"rater": rater}).text
            assert client.post("/again", data=seen | {"rater": rater}).status_code == 422
        assert client.post("/again", data={"rater": RATER}).status_code == 422
    turns = turns_of(desk)
    assert [(one.earlier.marks["form"], one.later.marks["form"]) for one in remarkings(turns)] == [(1, 2)]
    assert [(one.first.rater, one.second.rater) for one in markings(turns)] == [(RATER, OTHER)]


def test_ones_own_mark_comes_up_when_it_is_forgotten(later, tmp_path):
    # book/turns.py: a week, common practice, no source
    _, clip = later
    early = open_desk(tmp_path / "camp.book", clock=lambda: desk_cast.NOW + timedelta(days=5))
    with client_of(early) as client:
        assert "No film waits" in client.get("/again", params={"rater": RATER}).text
        assert str(clip) in client.get("/again", params={"rater": OTHER}).text
    early.store.close()
