"""Every page answers, says that its people are invented, and keeps to the house's promises."""

import re

import pytest

from loftbook.web.pages import page_routers

PAGES = {
    "squad": "/",
    "counts": "/counts",
    "camps": "/camps",
    "new camp": "/camps/new",
    "camp": "/camps/{spring}",
    "camp before": "/camps/{autumn}",
    "who is next": "/camps/{spring}/entry",
    "entry": "/camps/{spring}/entry/{mira}",
    "athlete": "/athletes/{mira}",
    "athlete with little": "/athletes/{hostile}",
    "letter": "/athletes/{mira}/letter",
    "evidence": "/athletes/{mira}/evidence",
    "privacy of a child": "/athletes/{mira}/privacy",
    "what is held": "/privacy",
    "copy for parents": "/athletes/{mira}/papers/parent",
    "her own sheet": "/athletes/{mira}/papers/hers",
    "mail draft": "/athletes/{mira}/mail",
    "answers from home": "/answers",
    "mark again from film": "/again",
    "all papers": "/camps/{autumn}/papers",
    "an answer to be typed": "/athletes/{mira}/answer",
    "from home before a camp": "/camps/{spring}/from-home",
    "import": "/import",
    "lists": "/lists",
    "cautions": "/cautions",
    "who is expected": "/camps/{spring}/expected",
    "putting a camp right": "/camps/{spring}/describe",
    "plan": "/camps/{spring}/plan",
    "typing a sheet": "/camps/{spring}/type",
    "to be settled": "/camps/{spring}/clashes",
    "agreement": "/camps/{spring}/agreement",
    "take in": "/take-in",
    "devices": "/devices",
    "hello": "/hello",
    "let in": "/pair",
    "pass phrase": "/unlock",
    "studio": "/lab/studio",
    "studio for somebody": "/lab/studio?athlete={mira}",
    "films": "/film",
}
SHOWING_PEOPLE = {
    "squad",
    "camp",
    "camp before",
    "who is next",
    "entry",
    "athlete",
    "athlete with little",
    "letter",
    "evidence",
    "privacy of a child",
    "copy for parents",
    "her own sheet",
    "mail draft",
    "all papers",
    "an answer to be typed",
    "from home before a camp",
    "who is expected",
    "plan",
    "typing a sheet",
    "agreement",
}


def address(made, page):
    return PAGES[page].format(
        **{name: getattr(made, name) for name in ("spring", "autumn", "mira", "hostile")}
    )


@pytest.mark.parametrize("page", PAGES)
def test_it_works(client, made, page):
    answer = client.get(address(made, page))
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/html")
    assert answer.text.count("<h1>") == 1


@pytest.mark.parametrize("page", sorted(SHOWING_PEOPLE))
def test_invented_people_are_called_invented(client, made, page):
    assert "Invented people, for demonstration" in client.get(address(made, page)).text


def test_every_page_of_the_app_is_in_this_list(made):
    """A new page without a test here is noticed: each GET route is met by one address or known to be no page."""
    files = {
        "/athletes/{athlete_id}/letter.pdf",
        "/athletes/{athlete_id}/evidence.pdf",
        "/athletes/{athlete_id}/everything.zip",  # test_privacy
        "/athletes/{athlete_id}/answer.html",  # test_answers
        "/camps/{camp_id}/papers.zip",  # test_papers
        "/athletes/{athlete_id}/papers/{kind}.pdf",  # this and the next: test_papers
        "/camps/{camp_id}/papers/{kind}.pdf",
        "/camps/{camp_id}/lists/{name}.{form}",
        "/camps/{camp_id}/lists.pdf",
        "/camps/{camp_id}/letters.zip",
        "/camps/{camp_id}/blank.pdf",
        "/hello/loftbook-ca.crt",  # test_hall
        "/import/{token}",  # test_bring_in
        "/entry",  # goes on to the latest camp
        "/lab/card.pdf",  # test_lab_pages
        "/camps/{camp_id}/next-steps",  # test_lab_pages
        "/lab",  # goes on to the studio with the plan in its link
        "/film/{clip_id}",  # this and the next: test_film
        "/film/{clip_id}/proxy.mp4",
        "/film/{clip_id}/take.{form}",
        "/film/{clip_id}/beside/{other_id}",
        "/attempts/{attempt_id}/film",
    }
    routes = [route for router in page_routers() for route in router.routes if "GET" in route.methods]
    met = {r.path for r in routes for page in PAGES if r.path_regex.match(address(made, page))}
    assert {r.path for r in routes} - met - files == set()
    assert len(routes) >= len(PAGES)


@pytest.mark.parametrize("page", PAGES)
def test_nothing_of_style_or_script_stands_in_the_page_itself(client, made, page):
    """The policy forbids it, so the browser would not run it; and no address leads elsewhere."""
    answer = client.get(address(made, page))
    assert re.search(r"<style|\sstyle=|\son[a-z]+=|<script(?![^>]*\bsrc=)", answer.text) is None
    assert "'unsafe" not in answer.headers["content-security-policy"]
    assert re.findall(r'(?:src|href|action)="(?:https?:)?//[^"]*"', answer.text) == []


@pytest.mark.parametrize("page", PAGES)
def test_nobody_is_called_ready_and_nobody_is_weighed(client, made, page):
    words = re.sub(r"<[^>]+>", " ", client.get(address(made, page)).text).casefold()
    assert re.search(r"\b(is|are|was) ready\b|\bcleared\b|\bkg\b", words) is None
    # The page of cautions says that weight is asked for nowhere; no other page knows the word, but as the unit of a
    # pull ("0.12 body weights"), which is a ratio and tells no weight.
    words = words.replace(" body weights to ", " ").replace(" body weights hung from her knees", " ")
    assert ("weight" in words) == (page == "cautions")


@pytest.mark.parametrize("page", ["squad", "camp", "athlete", "letter", "entry", "cautions"])
def test_cautions_stand_where_training_is_near(client, made, page):
    assert "caution" in client.get(address(made, page)).text.casefold()


def test_an_empty_book_says_what_to_do_first(made):
    from fastapi.testclient import TestClient

    from loftbook.desk.opening import open_desk
    from loftbook.web import create_app

    empty = TestClient(create_app(open_desk(":memory:")), base_url="http://localhost")
    assert "Bring in the roster first" in empty.get("/").text
    for page in ("/camps", "/lists", "/import", "/entry"):
        assert empty.get(page).status_code == 200, page


@pytest.mark.parametrize("look", ["light", "dark", "device"])
def test_the_look_is_kept_and_leads_back(client, look):
    answer = client.post("/look", data={"look": look, "back": "/camps"})
    assert answer.url.path == "/camps"
    assert f'data-look="{look}"' in answer.text


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", ""]
)
def test_the_look_leads_nowhere_else(client, back):
    answer = client.post("/look", data={"look": "dark", "back": back}, follow_redirects=False)
    assert answer.headers["location"] == "/"


def test_fonts_are_ours_and_kept_by_the_browser(client):
    for name in ("source-serif-4", "source-serif-4-italic", "source-sans-3", "source-sans-3-italic"):
        answer = client.get(f"/fonts/{name}.ttf")
        # The first four bytes of a TrueType font: OpenType specification 1.9, "Organization of an OpenType font".
        assert answer.content[:4] == b"\x00\x01\x00\x00"
        assert "max-age=31536000" in answer.headers["cache-control"]
    assert client.get("/fonts/../app.py").status_code == 404
