"""Two people at one bed, in two browsers: both marks are kept unseen by the other, both corrections are shown."""

import re

from tests.gym.hall import CAMP
from tests.gym.thumb import DID, TRIED

from loftbook.book.turns import markings
from loftbook.desk.clashes import open_clashes


def let_in(place, thumb, name, *, second=False):
    """Type the six letters into the entry screen."""
    thumb.open(place.address)
    thumb.page.fill("input[name=code]", place.ticket(name, second=second).code)
    thumb.page.click(".pairing .solid")
    thumb.page.wait_for_selector("[data-result], input[name=rater]", timeout=60_000)


def test_two_seats_mark_one_turn_and_neither_sees_the_other(hall, device):
    place = hall(children=3, door="hall")
    place.start()
    first, second = device("first"), device("second")
    let_in(place, first, "first")
    let_in(place, second, "second", second=True)
    assert "second rater" in second.page.inner_text(".place")
    second.page.click("[data-act=station]")
    second.page.fill("dialog #rater", "K. Other")
    second.page.click("[data-act=close]")
    first.write(DID, "nobody_in")
    first.all_sent()
    second.page.reload()
    second.page.wait_for_selector("[data-result]", timeout=60_000)
    assert second.who() == "Mira"  # she is still to be marked at this seat
    second.write(TRIED, "", "short")
    second.all_sent()
    first.page.reload()
    first.page.wait_for_selector("[data-result]", timeout=60_000)
    mira = str(place.ids["Mira"])
    rows = [one for one in place.in_force() if str(one.athlete) == mira]
    (pair,) = markings(rows)
    assert (pair.first.outcome.value, pair.first.rater) == ("did_it", "H. Coach")
    assert (pair.second.outcome.value, pair.second.rater) == ("tried", "K. Other")
    # What either seat may ask for holds its own mark and not the other's.
    for thumb, own, other in ((first, pair.first, pair.second), (second, pair.second, pair.first)):
        sheet = thumb.page.evaluate("async () => (await fetch('/api/sheet')).text()")
        assert str(own.id) in sheet
        assert str(other.id) not in sheet
        assert other.rater == "H. Coach" or other.rater not in sheet  # the camp itself names its coach


def test_two_people_correct_one_result_and_the_head_coach_chooses(hall, device):
    """The tablet corrects without a network, the laptop corrects meanwhile; nothing is chosen silently."""
    place = hall(children=3)
    place.start()
    line = place.through_a_line()
    tablet = device("tablet")
    tablet.begin(place.address)
    tablet.write(DID, "nobody_in")
    tablet.all_sent()
    line.cut = True
    before = tablet.written()
    tablet.page.click("[data-act=add]")
    tablet.page.fill("#note", "hand on the mat")
    tablet.page.click("[data-act=close]")
    tablet.written_more_than(before)
    laptop = device("laptop", width=1280, height=800).page
    mira = place.ids["Mira"]
    laptop.goto(f"http://localhost:{place.port}/camps/{CAMP}/entry/{mira}")
    laptop.get_by_text("Correct or take back").first.click()
    laptop.get_by_role("link", name="Correct it").first.click()
    laptop.locator("input[name=outcome][value=tried]").check()
    laptop.locator("input[name=rater]").fill("K. Laptop")
    laptop.get_by_role("button", name=re.compile("Write it down|Put it right")).click()
    laptop.wait_for_url(re.compile("written="))
    line.cut = False
    tablet.all_sent()
    assert len(place.in_force()) == 2
    assert open_clashes(place.desk, CAMP).number == 1
    laptop.goto(f"http://localhost:{place.port}/camps/{CAMP}/clashes")
    shown = laptop.inner_text("main")
    assert "hand on the mat" in shown
    assert "K. Laptop" in shown
    laptop.locator("input[name=keep]").nth(0).check()
    chosen = laptop.locator("label:has(input[name=keep])").nth(0).inner_text()
    laptop.fill("input[name=by]", "H. Coach")
    laptop.get_by_role("button", name="Settle it").click()
    laptop.get_by_text("Nothing. Everybody agrees.").wait_for()
    (stands,) = place.in_force()
    assert (stands.rater in chosen) or (stands.note and stands.note in chosen)
