"""The pages of privacy: a word, an archive, an erasure; and everything that leaves is written down before it goes."""

import io
import json
import re
import time
import zipfile

import pytest
from tests.web.doors import at, paired

from loftbook.book.access import Role
from loftbook.desk.people import all_athletes
from loftbook.desk.privacy.export import descriptions
from loftbook.desk.privacy.leaving import left_the_machine
from loftbook.store.holding import tables_about_children
from loftbook.web.access import Door


def page(made):
    return f"/athletes/{made.mira}/privacy"


def test_a_word_is_written_down_and_a_mistake_keeps_what_was_typed(client, made):
    said = {"purpose": "home_coach", "word": "yes", "said_by": "a parent", "recorded_by": "H. Coach"}
    assert "nothing written" in client.get(page(made)).text
    answer = client.post(page(made), data=said | {"said_by": " ", "recorded_by": "Kept Typed"})
    assert (answer.status_code, "Kept Typed" in answer.text) == (422, True)
    told = client.post(page(made), data=said).text
    assert "yes to writing about her to her home coach by a parent" in told


def test_the_archive_holds_all_about_her_and_says_what_it_is(client, made):
    answer = client.get(f"/athletes/{made.mira}/everything.zip")
    archive = zipfile.ZipFile(io.BytesIO(answer.content))
    held = json.loads(archive.read("held.json"))
    layout = json.loads(archive.read("layout.json"))
    assert {row["given"] for row in held["athlete_name"]} == {"Mira"}
    assert {row["athlete"] for row in held["attempt"]} == {str(made.mira)}
    assert held["height"]
    assert layout.keys() == held.keys()
    for name, rows in held.items():
        assert layout[name]["holds"], name
        assert all(row.keys() == layout[name]["columns"].keys() for row in rows), name
    assert "Nettle" not in archive.read("held.json").decode(), "nothing of another child"
    assert any(name.startswith("letters/") for name in archive.namelist())


def test_every_table_that_can_hold_a_child_is_described():
    assert tables_about_children() <= descriptions().keys()


FILES = {
    "/athletes/{mira}/letter.pdf?camp={autumn}": ("letter", 1),
    "/athletes/{mira}/everything.zip": ("archive of all that is held", 1),
    "/athletes/{mira}/answer.html?camp={autumn}": ("form for the home coach's answer", 1),
    "/camps/{autumn}/lists/inventory.csv": ("inventory.csv", 5),
    "/camps/{autumn}/lists/squad.csv": ("squad.csv", 5),
}


@pytest.mark.parametrize("address", FILES)
def test_what_is_taken_away_is_written_down(client, made, address):
    assert left_the_machine(made.desk) == ()
    assert client.get(address.format(mira=made.mira, autumn=made.autumn)).status_code == 200
    (line,) = left_the_machine(made.desk)
    assert (line.out.what, line.out.children) == FILES[address]
    assert line.out.by == "this laptop"
    assert "this laptop" in client.get("/privacy").text


def test_a_mail_with_its_attachments_and_all_papers_at_once_are_written_down(client, made):
    given = {"parent": "kin@example.org", "second": "adult@example.org"}
    client.post(f"/athletes/{made.mira}/mail", data=given)
    (mail,) = left_the_machine(made.desk)
    assert (mail.out.what, mail.out.children) == ("draft of a mail: letter and answer form", 1)
    client.post(f"/camps/{made.autumn}/papers")
    for _ in range(300):
        taken = client.get(f"/camps/{made.autumn}/papers.zip")
        if taken.status_code == 200:
            break
        time.sleep(0.1)
    assert taken.status_code == 200
    assert left_the_machine(made.desk)[0].out.what == "all papers of a camp"
    assert left_the_machine(made.desk)[0].out.children == 5


def test_what_a_tablet_is_shown_is_written_down_once_a_day(made):
    for role, address, what in (
        (Role.ENTRY, "/api/sheet", "sheet of the day"),
        (Role.READ, "/camps", "pages of the book"),
    ):
        with at(made.desk, Door.HALL, paired(made.desk, role).token) as tablet:
            assert {tablet.get(address).status_code for _ in range(3)} == {200}
        line = left_the_machine(made.desk)[0]
        assert line.out.what.startswith(what)
        assert line.out.children == 5
    assert len(left_the_machine(made.desk)) == 2


def test_reading_on_the_laptop_and_what_fails_leave_no_line(client, made):
    client.get(f"/athletes/{made.mira}/letter")
    client.get("/camps/00000000-0000-4000-8000-000000000000/lists.pdf")
    assert left_the_machine(made.desk) == ()


def test_she_is_erased_by_her_whole_name_only(client, made):
    address = f"/athletes/{made.mira}/erase"
    wrong = client.post(address, data={"typed": "Mira", "by": "H. Coach"})
    assert (wrong.status_code, "type her whole name" in wrong.text) == (422, True)
    assert len(all_athletes(made.desk)) == 5
    done = client.post(address, data={"typed": "Mira Moss", "by": "H. Coach"})
    assert "She is erased" in done.text
    assert made.mira not in {one.id for one in all_athletes(made.desk)}
    assert "Moss" not in re.sub(r"\s+", " ", client.get("/").text)
