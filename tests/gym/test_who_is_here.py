"""Somebody who is not on today's list, turns at another bed, and a record that the book has otherwise."""

import json

from tests.gym.hall import CAMP
from tests.gym.test_two_people import let_in
from tests.gym.thumb import DID, TRIED

from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Name
from loftbook.desk.clashes import open_clashes
from loftbook.store import people


def with_somebody_else(place):
    """One more child in the book, who is not expected."""
    other = Athlete(same_fact("gym child", "Zoe"), (Name("Zoe", "Late"),), invented=True)
    with place.desk.store.write() as connection:
        people.add_athletes(connection, [other])


def test_who_is_not_on_the_list_is_let_onto_it_at_the_laptop_with_one_touch(hall, device):
    """A tablet holds today's first names and no others; it says so, and has her with its next look."""
    place = hall(children=3, door="hall")
    with_somebody_else(place)
    place.start()
    thumb = device()
    let_in(place, thumb, "tablet 1")
    thumb.page.click("[data-act=find]")
    thumb.page.fill("dialog input", "Zoe")
    assert "Nobody on today’s list" in thumb.page.inner_text(".nobody")
    assert "head coach adds her at the laptop" in thumb.page.inner_text(".nobody")
    assert "Zoe" not in thumb.page.evaluate("async () => (await fetch('/api/sheet')).text()")
    thumb.page.click("[data-act=look-again]")
    thumb.page.wait_for_selector(".nobody :text('not on the list yet')")
    place.kill()
    place.door = "laptop"
    place.start()
    laptop = device("laptop", width=1280, height=800).page
    laptop.goto(f"{place.address}/camps/{CAMP}/expected")
    laptop.get_by_role("button", name="Add Zoe Late").click()
    laptop.wait_for_url("**/entry")
    place.kill()
    place.door = "hall"
    place.start()
    thumb.page.click("[data-act=look-again]")
    thumb.page.wait_for_selector("dialog [data-athlete] .name:text-is('Zoe')", timeout=60_000)
    thumb.page.click("dialog [data-athlete]:has(.name:text-is('Zoe'))")
    thumb.write(DID, "nobody_in")
    thumb.all_sent()
    assert [str(one.athlete) for one in place.in_force()] == [str(same_fact("gym child", "Zoe"))]


def test_enter_beside_a_number_keeps_the_list_and_adds_nobody(hall, device):
    place = hall(children=3)
    with_somebody_else(place)
    place.start()
    laptop = device("laptop", width=820, height=1000).page
    laptop.goto(f"{place.address}/camps/{CAMP}/expected")
    laptop.locator(".bibfield").first.fill("77")
    laptop.locator(".bibfield").first.press("Enter")
    laptop.wait_for_url("**/entry")
    from loftbook.desk.expecting import expecting

    found = expecting(place.desk, CAMP)
    assert len(found.who) == 3
    assert "77" in found.bibs.values()


def test_turns_at_another_bed_count_in_the_line_and_say_where_they_were(hall, device):
    place = hall(children=3)
    place.start()
    first = device("first")
    first.begin(place.address)
    for _ in range(3):
        first.write(DID, "nobody_in")
    first.all_sent()
    second = device("second", width=1280, height=800)
    second.begin(place.address)
    second.page.wait_for_selector(".glance :text('of 27')")
    assert "3 of 27 in all" in second.page.inner_text(".glance")
    second.write(TRIED, "", "short")
    second.all_sent()
    mira = second.page.inner_text(".side li:has(.name:text-is('Mira'))")
    assert "+1 elsewhere" in mira
    assert "had her" not in mira


def test_a_number_that_the_book_has_otherwise_is_a_conflict_on_the_screen_and_at_the_laptop(hall, device):
    """The answer was lost, and the record changes on the device's disk before it is sent again."""
    place = hall(children=3)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.begin(place.address)
    line.lose = 1
    thumb.write(DID, "nobody_in")
    thumb.page.wait_for_selector("[data-line='no network']")
    assert len(place.in_force()) == 1
    line.cut = True
    thumb.page.evaluate(
        """() => new Promise((resolve) => {
            const asking = indexedDB.open('loftbook-gym');
            asking.onsuccess = () => {
                const tx = asking.result.transaction('waiting', 'readwrite'), drawer = tx.objectStore('waiting');
                drawer.getAll().onsuccess = (event) => {
                    const row = event.target.result[0];
                    row.fact.help = 'belt_slack';
                    drawer.put(row);
                };
                tx.oncomplete = () => { asking.result.close(); resolve(); };
            };
        })"""
    )
    line.cut = False
    thumb.all_sent()
    sent = [row["help"] for body in line.batches for row in json.loads(body)["records"]]
    assert sent[0] == "nobody_in"
    assert sent[-1] == "belt_slack"
    thumb.page.click(".notices .link")
    shown = thumb.page.inner_text("dialog")
    assert "Nothing was overwritten" in shown
    assert "head coach" in shown
    (stands,) = place.in_force()
    assert stands.help.key == "nobody_in"
    (kept,) = open_clashes(place.desk, CAMP).aside
    assert (kept.row.verdict, kept.row.record["help"]) == ("conflict", "belt_slack")
    thumb.page.goto(f"{place.address}/camps/{CAMP}/clashes")
    told = thumb.page.inner_text("main")
    assert "belt, slack" in told  # in the words of the scale
    assert "nobody in" in told
