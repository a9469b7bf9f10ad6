"""Films on the pages and as JSON: put there, watched, put right, withheld, taken along, deleted."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests.desk import cast as desk_cast
from tests.desk.film import cast
from tests.web.conftest import SAME_SITE

from loftbook.book.consent import Purpose
from loftbook.book.entries import Entry
from loftbook.desk.film.consenting import Spoken, record_consent
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.working import work_all
from loftbook.desk.people import all_athletes
from loftbook.store import clips
from loftbook.web import create_app
from loftbook.web.guard import TOO_LARGE_FILM

CONTRACT = Path(__file__).resolve().parents[1] / "contracts" / "film.json"


@pytest.fixture
def hall(tmp_path):
    """A desk with a client and Mira’s turn; nothing is filmed yet."""
    desk, (hers, of_noa) = cast.filmed_book(tmp_path)
    with TestClient(create_app(desk), base_url="http://localhost", headers=SAME_SITE) as client:
        yield desk, client, hers, of_noa
    desk.store.close()


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    folder = tmp_path_factory.mktemp("filmed")
    desk, (hers, _) = cast.filmed_book(folder)
    with TestClient(create_app(desk), base_url="http://localhost", headers=SAME_SITE) as client:
        place = put(client, hers).headers["location"]
    assert {job.error for job in work_all(desk, engine=cast.ENGINE)} == {""}
    desk.store.tidy()
    desk.store.close()
    return folder, place.removeprefix("/film/")


@pytest.fixture
def filmed(shelf, tmp_path):
    """A desk with a client and one measured film."""
    folder, clip = shelf
    shutil.copytree(folder, tmp_path, dirs_exist_ok=True)
    desk = desk_cast.a_desk(tmp_path / "camp.book")
    with TestClient(create_app(desk), base_url="http://localhost", headers=SAME_SITE) as client:
        yield desk, client, clip
    desk.store.close()


def put(client, turn: Entry, data: bytes | None = None, **more):
    sent = {"by": "H. Alder", "station": "side A"} | more
    files = {"film": ("IMG 1.mp4", data or cast.TUCK.read_bytes(), "video/mp4")}
    return client.post(f"/attempts/{turn.id}/film", data=sent, files=files, follow_redirects=False)


def test_a_film_is_put_with_a_turn_and_its_work_waits(hall):
    _, client, hers, _ = hall
    assert "Keep and measure" in client.get(f"/attempts/{hers.id}/film").text
    answer = put(client, hers)
    assert answer.status_code == 303
    page = client.get(answer.headers["location"]).text
    assert "Waits its turn" in page
    assert "Mira Moss" in page
    assert "IMG 1.mp4" in client.get(f"/attempts/{hers.id}/film").text


def test_without_consent_it_is_refused_in_words_and_a_word_is_written_on_the_same_page(hall):
    desk, client, _, noa = hall
    assert "no film of her can be kept" in client.get(f"/attempts/{noa.id}/film").text
    refused = put(client, noa)
    assert refused.status_code == 422
    assert "no consent to filming Noa" in refused.text
    word = {"purpose": "filming", "word": "yes", "said_by": "a parent", "recorded_by": "H. Alder"}
    said = client.post(
        f"/athletes/{noa.athlete}/consent", data=word | {"attempt": str(noa.id)}, follow_redirects=False
    )
    assert said.headers["location"] == f"/attempts/{noa.id}/film"
    assert put(client, noa).status_code == 303
    with desk.store.read() as connection:
        assert len(clips.clips(connection)) == 1


def test_no_file_and_no_film_are_sentences_on_the_page(hall):
    _, client, hers, _ = hall
    nothing = client.post(f"/attempts/{hers.id}/film", data={"by": "x"})
    assert (nothing.status_code, "choose the file first" in nothing.text) == (422, True)
    odd = put(client, hers, data=b"hello")
    assert odd.status_code == 422
    assert "Traceback" not in odd.text


def test_a_film_may_be_larger_than_a_list_and_has_its_own_limit(hall):
    """The guard's limit for lists is 10 MB; a film goes through to the page, that says what it is."""
    _, client, hers, _ = hall
    assert put(client, hers, data=bytes(10_500_000)).status_code == 422
    said = client.post(f"/attempts/{hers.id}/film", headers={"content-length": "3000000000"}, content=b"")
    assert said.status_code == 413
    assert TOO_LARGE_FILM.sentence.split(".")[0] in said.text


def test_the_page_of_a_measured_film(filmed):
    _, client, clip = filmed
    page = client.get(f"/film/{clip}").text
    for words in (
        "Time of flight",
        " ± ",
        "what it rests on",
        "<svg",
        "The same as a table",
        "Missing",
        "Caution",
    ):
        assert words in page
    assert f'src="/film/{clip}/proxy.mp4"' in page
    listed = client.get("/film").text
    assert f"/film/{clip}" in listed
    assert "Invented people" in listed


def test_the_copy_for_the_browser_comes_in_the_pieces_it_asks_for(filmed):
    """RFC 9110, section 14: 206 with the range that was asked for, 416 for one beyond the end."""
    desk, client, clip = filmed
    address, whole = f"/film/{clip}/proxy.mp4", cast.TUCK.read_bytes()
    part = client.get(address, headers={"range": "bytes=100-299"})
    assert (part.status_code, part.content) == (206, whole[100:300])
    assert part.headers["content-range"] == f"bytes 100-299/{len(whole)}"
    assert client.get(address, headers={"range": f"bytes={len(whole) + 9}-"}).status_code == 416
    assert client.get(address).headers["accept-ranges"] == "bytes"
    assert "media-src 'self'" in client.get(address).headers["content-security-policy"]
    assert desk


def test_a_film_whose_yes_was_taken_back_is_not_sent_by_any_address(filmed):
    desk, client, clip = filmed
    mira = next(a for a in all_athletes(desk) if a.name.given == "Mira")
    record_consent(desk, mira.id, Spoken(Purpose.FILMING, False, "a parent", "H. Alder"))
    for address in ("proxy.mp4", "take.csv", "take.png", "take.mp4", f"beside/{clip}"):
        assert client.get(f"/film/{clip}/{address}").status_code == 422, address
    assert client.get(f"/api/film/{clip}/track").status_code == 422
    page = client.get(f"/film/{clip}").text
    assert "is not shown" in page
    assert "<video" not in page
    assert client.get(f"/api/film/{clip}").json()["film"]["proxy"] is None


def test_numbers_are_taken_along_without_a_name_in_the_files_name(filmed):
    _, client, clip = filmed
    for form in ("csv", "trc", "c3d", "parquet"):
        taken = client.get(f"/film/{clip}/take.{form}")
        assert taken.status_code == 200
        assert "film-2026-04-11-" in taken.headers["content-disposition"]
    assert client.get(f"/film/{clip}/take.exe").status_code == 404


def test_put_right_on_the_page_without_script(filmed):
    desk, client, clip = filmed
    bed = client.post(f"/film/{clip}/bed", data={"ends": "0, 665, 1280, 667"}, follow_redirects=False)
    assert bed.status_code == 303
    assert client.post(f"/film/{clip}/bed", data={"ends": "5"}).status_code == 422
    assert client.post(f"/film/{clip}/speed", data={"times": "2"}, follow_redirects=False).status_code == 303
    assert client.post(f"/film/{clip}/speed", data={"times": "x"}).status_code == 422
    told = client.get(f"/api/film/{clip}").json()
    assert told["facts"]["bed"] == [0, 665, 1280, 667]
    assert told["facts"]["speed"] == 2
    again = client.post(
        f"/film/{clip}/again", data={"at": "640,400,3", "model": "lite"}, follow_redirects=False
    )
    assert again.status_code == 303
    assert client.get(f"/api/film/{clip}/job").json()["job"]["state"] == "waiting"
    client.post(f"/film/{clip}/cancel")
    assert client.get(f"/api/film/{clip}/job").json()["job"]["state"] == "cancelled"
    assert client.post(f"/film/{clip}/delete", data={}).status_code == 422
    assert (
        client.post(f"/film/{clip}/delete", data={"sure": "yes"}, follow_redirects=False).status_code == 303
    )
    assert client.get(f"/film/{clip}").status_code == 404
    assert not clip_files(desk, clip).folder.exists()


def test_guided_clicks_over_json_and_back(filmed):
    """The frames that are proposed, four joints each, from the truth; the pike is tested elsewhere."""
    _, client, clip = filmed
    told = client.get(f"/api/film/{clip}").json()
    known, points = cast.truth(), []
    for key in told["keys"]:
        seen = dict(zip(known["keypoints"], known["frames"][key["frame"]]["keypoints_px"], strict=True))
        for joint in ("shoulder", "hip", "knee", "ankle"):
            x, y = (sum(seen[f"{side}_{joint}"][k] for side in ("left", "right")) / 2 for k in (0, 1))
            points.append({"frame": key["frame"], "joint": joint, "x": x, "y": y})
    answer = client.post(f"/api/film/{clip}/points", json={"points": points, "by": "H. Alder"})
    assert answer.status_code == 200
    assert len(answer.json()["facts"]["points"]) == len(points)
    track = client.get(f"/api/film/{clip}/track").json()
    row = track["frames"].index(told["keys"][3]["frame"])
    assert track["origin"][row][track["joints"].index("left_hip")] == 2  # by hand, in the contract's numbers
    back = [{**point, "x": None, "y": None} for point in points]
    undone = client.post(f"/api/film/{clip}/points", json={"points": back}).json()
    assert undone["measured"]["readings"] == told["measured"]["readings"]


@pytest.mark.parametrize(
    ("address", "body"),
    [
        ("points", {}),
        ("points", {"points": [5]}),
        ("points", {"points": [{"frame": 1.5, "joint": "nose", "x": 1, "y": 1}]}),
        ("points", {"points": [{"frame": 1, "joint": "tail", "x": 1, "y": 1}]}),
        ("points", {"points": [{"frame": 1, "joint": "nose", "x": "1", "y": 1}]}),
        ("points", {"points": [{"frame": 10**30, "joint": "nose", "x": 1, "y": 1}]}),
        ("bed", {"ends": "x"}),
        ("bed", {"ends": [1, 2, 3]}),
        ("speed", {}),
        ("speed", {"times": 3}),
        ("flight", {"flight": "one"}),
        ("measure", {"model": "huge"}),
        ("measure", {"at": {"x": 1}}),
    ],
)
def test_what_cannot_be_is_a_sentence(filmed, address, body):
    _, client, clip = filmed
    answer = client.post(f"/api/film/{clip}/{address}", json=body)
    assert answer.status_code == 422, answer.text
    assert answer.json()["error"]


def test_two_films_of_one_child_stand_beside_each_other_and_no_two_children(filmed):
    desk, client, clip = filmed
    with desk.store.read() as connection:
        turns = [film.attempt for film in clips.clips(connection)]
    second = client.post(
        f"/attempts/{turns[0]}/film",
        data={"by": "H. Alder"},
        files={"film": ("b.mp4", cast.TUCK.read_bytes() + b"\0", "video/mp4")},
        follow_redirects=False,
    ).headers["location"]
    work_all(desk, engine=cast.ENGINE)
    page = client.get(f"/film/{clip}/beside/{second.removeprefix('/film/')}").text
    assert "Both clocks start at take-off" in page
    noa = next(a for a in all_athletes(desk) if a.name.given == "Noa")
    record_consent(desk, noa.id, Spoken(Purpose.FILMING, True, "a parent", "H. Alder"))
    of_noa = next(t for t in _turns(desk) if t.athlete == noa.id)
    third = put(client, of_noa).headers["location"].removeprefix("/film/")
    refused = client.get(f"/film/{clip}/beside/{third}")
    assert (refused.status_code, "nobody is compared" in refused.text) == (422, True)


def _turns(desk):
    from loftbook.store import attempts, camps

    with desk.store.read() as connection:
        return [t for camp in camps.camps(connection) for t in attempts.attempts_of_camp(connection, camp.id)]


def shape(value):
    if isinstance(value, dict):
        return {key: shape(inner) for key, inner in value.items()}
    if isinstance(value, list):
        known = [inner for inner in value if inner is not None]
        return [shape(known[0])] if known else []
    return (
        "number" if isinstance(value, int | float) and not isinstance(value, bool) else type(value).__name__
    )


def test_the_json_has_the_shape_that_the_browser_is_written_for(filmed):
    """The filed contract, key by key; values are examples."""
    _, client, clip = filmed
    filed = json.loads(CONTRACT.read_text(encoding="utf-8"))
    client.post(f"/api/film/{clip}/bed", json={"ends": [0, 665, 1280, 667]})
    point = {"frame": 40, "joint": "left_hip", "x": 640, "y": 300}
    told = client.post(f"/api/film/{clip}/points", json={"points": [point]}).json()
    assert shape(told) == shape(filed["film"])
    assert shape(client.get(f"/api/film/{clip}/track").json()) == shape(filed["track"])
    assert date.fromisoformat(told["film"]["keep_until"])
