"""The browser empties the page's store: under an open page nothing is lost; afterwards what is gone is said."""

from tests.gym.thumb import DID, TRIED


def evict(thumb, address):
    """Chromium's own clearing of a site's storage; as when it needs the room, cookies stay."""
    session = thumb.context.new_cdp_session(thumb.page)
    kinds = "indexeddb,local_storage,cache_storage,service_workers"
    session.send("Storage.clearDataForOrigin", {"origin": address, "storageTypes": kinds})


def begun(hall, device):
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.begin(place.address)
    thumb.write(DID, "nobody_in")
    thumb.all_sent()
    line.cut = True
    thumb.write(TRIED, "", "short")
    thumb.write(DID, "nobody_in")
    thumb.wait_for_waiting(2)
    return place, line, thumb


def test_emptied_under_an_open_page_everything_goes_back_and_is_sent(hall, device):
    place, line, thumb = begun(hall, device)
    evict(thumb, place.address)
    thumb.write(TRIED, "", "over")
    thumb.wait_for_waiting(3)
    assert "storage" not in thumb.notices()
    assert thumb.page.evaluate("async () => (await indexedDB.databases()).length") == 1
    assert len(thumb.on_disk()) == 3
    assert thumb.page.query_selector("[data-act=loss-seen]") is None
    line.cut = False
    thumb.all_sent()
    assert sorted(one.outcome.value for one in place.in_force()) == ["did_it", "did_it", "tried", "tried"]


def test_emptied_while_closed_the_page_says_how_many_are_gone_and_what_to_do(hall, device):
    place, line, thumb = begun(hall, device)
    page = thumb.page
    page.goto("about:blank")
    evict(thumb, place.address)
    line.cut = False
    thumb.open(place.address)
    page.wait_for_selector("[data-act=loss-seen]")
    said = thumb.notices()
    assert "2 results are gone from this device" in said
    assert "at the laptop" in said
    page.reload()  # it is said until somebody has read it
    page.wait_for_selector("[data-act=loss-seen]")
    page.click("[data-act=loss-seen]")
    page.wait_for_selector("[data-act=loss-seen]", state="detached")
    page.reload()
    page.wait_for_selector("input[name=rater], [data-result]")
    assert page.query_selector("[data-act=loss-seen]") is None
    assert len(place.in_force()) == 1


def test_a_first_visit_and_a_sent_day_say_nothing(hall, device):
    place = hall(children=6)
    place.start()
    thumb = device()
    thumb.begin(place.address)
    thumb.write(DID, "nobody_in")
    thumb.all_sent()
    thumb.page.goto("about:blank")
    evict(thumb, place.address)
    thumb.open(place.address)
    thumb.page.wait_for_selector("input[name=rater], [data-result]")
    assert thumb.page.query_selector("[data-act=loss-seen]") is None
