"""Nothing lost and nothing doubled: killed servers, cut lines, lost answers, two tabs, wrong clocks."""

import json

import pytest
from tests.gym.thumb import DID, TRIED, Thumb


def told(hall):
    """What the book holds, in the words of the screen: child's id, rung, turn, outcome, help, rotation."""
    return sorted(
        (
            str(one.athlete),
            one.rung,
            one.turn,
            one.outcome.value,
            one.help.key if one.help is not None else "",
            one.rotation.value if one.rotation else "",
        )
        for one in hall.in_force()
    )


def test_a_killed_server_a_reload_and_a_closed_browser_lose_nothing(hall, device):
    """The page comes back without a server, on localhost, and everything is sent exactly once when it returns."""
    place = hall(children=6)
    place.start()
    first = device("tablet")
    first.begin(place.address)
    first.kept_by_the_browser()
    first.write(DID, "nobody_in")
    first.wait_for_waiting(0)
    place.kill()
    first.write(TRIED, "", "short")
    first.page.reload()
    first.page.wait_for_selector("[data-result]")
    first.write(DID, "belt_light")
    first.write("stopped")
    assert first.who() == "Edda" or first.who() == "Dara", first.who()
    assert first.waiting() == 3
    first.context.close()
    again = device("tablet")
    again.open(place.address)
    again.page.wait_for_selector("[data-result]")
    assert again.waiting() == 3
    assert again.page.get_attribute("[data-waiting]", "data-line") in ("no network", "sent")
    again.write(DID, "nobody_in")
    assert "waiting to send" in again.page.inner_text("[data-waiting]")
    place.start()
    again.all_sent()
    ids = {name: str(identity) for name, identity in place.ids.items()}
    assert told(place) == sorted(
        [
            (ids["Mira"], "double_tuck", 1, "did_it", "nobody_in", ""),
            (ids["Ayla"], "double_tuck", 1, "tried", "", "short"),
            (ids["Bo"], "double_tuck", 1, "did_it", "belt_light", ""),
            (ids["Cem"], "double_tuck", 1, "stopped", "", ""),
            (ids["Dara"], "double_tuck", 1, "did_it", "nobody_in", ""),
        ]
    )


def test_answers_lost_after_the_commit_do_not_double(hall, device):
    """The book has the batch, the tablet never hears of it, and sends it again: one fact an id."""
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.begin(place.address)
    line.lose = 3
    for _ in range(4):
        thumb.write(DID, "nobody_in")
    thumb.all_sent()
    assert line.lose == 0
    sent = [one["id"] for body in line.batches for one in json.loads(body)["records"]]
    assert len(sent) > len(set(sent)) == 4
    assert len(told(place)) == 4


def test_a_cut_line_is_said_and_mends_itself(hall, device):
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.begin(place.address)
    line.cut = True
    thumb.write(DID, "nobody_in")
    thumb.wait_for_waiting(1)
    thumb.page.wait_for_selector("[data-line='no network']")
    assert "everything is kept on this device" in thumb.page.inner_text(".offline")
    line.cut = False
    thumb.wait_for_waiting(0, seconds=30)  # by its own timer, nobody touches anything
    assert len(told(place)) == 1


def test_one_touch_that_fires_twice_writes_one_result(hall, device):
    """A bounce would give the next child a result that nobody saw."""
    place = hall(children=6)
    place.start()
    thumb = device()
    thumb.begin(place.address)
    thumb.page.evaluate(
        "() => { const key = document.querySelector('[data-result=alone]'); key.click(); key.click(); key.click(); }"
    )
    thumb.page.wait_for_selector(".gym[data-written='1']")
    thumb.page.dblclick("[data-result=alone]", delay=0)
    thumb.page.wait_for_timeout(500)
    thumb.all_sent()
    assert [row[2:4] for row in told(place)] in ([(1, "did_it")], [(1, "did_it")] * 2)
    assert len(told(place)) == int(thumb.written())


def test_a_note_that_fires_change_twice_is_one_correction(hall, device):
    """The id is made when a value really changes: closing twice, or unchanged, makes no fact."""
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.begin(place.address)
    thumb.write(DID, "nobody_in")
    for _ in range(2):
        thumb.page.click("[data-act=add]")
        thumb.page.fill("#note", "late set")
        thumb.page.dispatch_event("#note", "change")
        thumb.page.dispatch_event("#note", "input")
        thumb.page.click("[data-act=close]")
    thumb.page.click("[data-act=add]")
    thumb.page.keyboard.press("Escape")
    thumb.all_sent()
    (one,) = place.in_force()
    assert one.note == "late set"
    sent = {row["id"]: row for body in line.batches for row in json.loads(body)["records"]}
    assert len(sent) == 2
    assert sum(row.get("replaces") is not None for row in sent.values()) == 1


def test_two_tabs_share_one_outbox(hall, device):
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    left = device()
    left.begin(place.address)
    right = Thumb(left.context.new_page(), left.context)
    right.begin(place.address)
    line.cut = True
    left.write(DID, "nobody_in")
    right.page.wait_for_selector(".gym[data-written='1']")
    right.write(TRIED)
    left.wait_for_waiting(2)
    assert left.who() == right.who() == "Bo"
    line.cut = False
    left.page.evaluate("window.dispatchEvent(new Event('online'))")
    right.page.evaluate("window.dispatchEvent(new Event('online'))")
    left.all_sent()
    right.wait_for_waiting(0)
    assert len(told(place)) == 2


def test_an_undo_takes_back_and_returns_to_the_child(hall, device):
    place = hall(children=6)
    place.start()
    thumb = device()
    thumb.begin(place.address)
    thumb.write(DID, "nobody_in")
    assert thumb.who() == "Ayla"
    thumb.undo()
    assert thumb.who() == "Mira"
    thumb.write(TRIED, "", "over")
    thumb.all_sent()
    ((_, _, turn, outcome, _, rotation),) = told(place)
    assert (turn, outcome, rotation) == (1, "tried", "over")


def test_a_clock_in_1970_loses_nothing_and_is_said(hall, device):
    place = hall(children=6)
    place.start()
    thumb = device()
    thumb.page.clock.set_system_time(1000)
    thumb.begin(place.address)
    thumb.write(DID, "nobody_in")
    thumb.write(TRIED, "", "short")
    thumb.all_sent()
    assert len(told(place)) == 2
    assert "clock" in thumb.notices()
    assert all(one.at.year >= 2026 for one in place.in_force())


@pytest.mark.parametrize("how", ["revoked", "unknown"])
def test_shut_out_while_results_wait(hall, device, how):
    """They are kept, the page says so in the book's own words, and the file holds every one of them."""
    place = hall(children=6, door="hall")
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.open(place.address)
    thumb.page.wait_for_selector("input[name=code]")
    thumb.page.fill("input[name=code]", place.ticket("tablet 1").code)
    thumb.page.click(".pairing .solid")
    thumb.page.wait_for_selector("[data-result]")
    line.cut = True
    thumb.write(DID, "nobody_in")
    thumb.write("declined")
    if how == "revoked":
        place.shut_everybody_out()
    else:
        thumb.context.clear_cookies()
    line.cut = False
    thumb.page.evaluate("window.dispatchEvent(new Event('online'))")
    thumb.page.wait_for_selector("[data-line='not let in']")
    assert "What waits is kept here" in thumb.notices()
    assert thumb.waiting() == 2
    with thumb.page.expect_download() as saved:
        thumb.page.click(".notices [data-act=save-file]")
    content = json.loads(saved.value.path().read_text(encoding="utf-8"))
    assert saved.value.suggested_filename.startswith("loftbook-waiting-tablet-1-")
    assert content["kind"] == "loftbook-waiting"
    assert {row["id"] for row in content["records"]} == {row["id"] for row in thumb.on_disk()}
    from loftbook.desk.waiting_file import take_in_file

    take_in_file(place.desk, saved.value.path().read_bytes(), "waiting.json")
    assert [row[3] for row in sorted(told(place), key=lambda row: row[3])] == ["declined", "did_it"]
    # Let in again, it sends the same once more, and the book keeps each once.
    thumb.page.click(".notices summary")
    thumb.page.fill(".notices input[name=code]", place.ticket("tablet 1").code)
    thumb.page.click(".notices .pairing .solid")
    thumb.wait_for_waiting(0)
    assert len(told(place)) == 2


def test_leaving_wipes_the_names_and_keeps_what_waits(hall, device):
    place = hall(children=6, door="hall")
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.open(place.address)
    thumb.page.fill("input[name=code]", place.ticket("tablet 1").code)
    thumb.page.click(".pairing .solid")
    thumb.page.wait_for_selector("[data-result]")
    line.cut = True
    thumb.write(DID, "nobody_in")
    thumb.page.click("[data-act=station]")
    thumb.page.click("[data-act=leave]")
    thumb.page.wait_for_selector("input[name=code]")
    assert thumb.waiting() == 1
    kept = thumb.page.evaluate(
        """() => new Promise((resolve) => {
            const asking = indexedDB.open('loftbook-gym');
            asking.onsuccess = () => {
                const all = asking.result.transaction('kept').objectStore('kept').getAll();
                all.onsuccess = () => resolve(JSON.stringify(all.result));
            };
        })"""
    )
    assert "Mira" not in kept


def test_storage_refused_keeps_results_in_the_page_and_offers_the_file(hall, device):
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.page.add_init_script(
        "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };"
    )
    thumb.begin(place.address)
    line.cut = True
    thumb.armed()
    thumb.touch("[data-result=alone]")
    thumb.wait_for_waiting(1)
    assert "storage is full" in thumb.notices()
    with thumb.page.expect_download() as saved:
        thumb.page.click(".notices [data-act=save-file]")
    assert len(json.loads(saved.value.path().read_text(encoding="utf-8"))["records"]) == 1
    line.cut = False
    thumb.all_sent()
    assert len(told(place)) == 1


def test_an_answer_that_refuses_is_shown_and_kept_aside(hall, device):
    """A child taken off the list while a tablet with yesterday's roster writes: the sentence is shown."""
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    thumb.begin(place.address)
    line.cut = True
    thumb.write(DID, "nobody_in")
    # The same tablet, with a record spoilt on its disk as by an older version of the page.
    thumb.page.evaluate(
        """() => new Promise((resolve) => {
            const asking = indexedDB.open('loftbook-gym');
            asking.onsuccess = () => {
                const tx = asking.result.transaction('waiting', 'readwrite'), drawer = tx.objectStore('waiting');
                drawer.getAll().onsuccess = (event) => {
                    const row = event.target.result[0];
                    row.fact.rung = 'no_such_rung';
                    drawer.put(row);
                };
                tx.oncomplete = () => resolve();
            };
        })"""
    )
    line.cut = False
    thumb.all_sent()
    assert told(place) == []
    thumb.page.click(".notices .link")
    assert "no_such_rung" in thumb.page.inner_text("dialog")


def test_without_a_certificate_the_page_says_so_and_holds_on(hall, device):
    """Plain http: no service worker, so the page asks to be kept open and asks back before it is left."""
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device()
    # What plain http in the hall looks like from inside the page.
    thumb.page.add_init_script("Object.defineProperty(window, 'isSecureContext', { value: false });")
    thumb.begin(place.address)
    assert "keep this page open" in thumb.notices()
    line.cut = True
    thumb.write(DID, "nobody_in")
    assert "do not close or reload this page until it says all sent" in thumb.notices()
    asked = []
    thumb.page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    thumb.page.close(run_before_unload=True)
    thumb.page.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    line.cut = False
    thumb.all_sent()


def test_every_page_says_what_waits(hall, device):
    place = hall(children=6)
    place.start()
    line = place.through_a_line()
    thumb = device(width=1280, height=800)
    thumb.begin(place.address)
    line.cut = True
    thumb.write(DID, "nobody_in")
    thumb.write(TRIED)
    thumb.wait_for_waiting(2)
    thumb.page.goto(f"http://localhost:{line.port}/gym")
    line.cut = False
    line.refuse = True  # the book takes nothing now, the pages are there
    for path in ("/", "/camps", "/entry"):
        thumb.page.goto(f"{place.address}{path}")
        assert thumb.page.inner_text(".waiting").startswith("2 waiting to send")
    line.refuse = False
    thumb.open(place.address)
    thumb.all_sent()
    thumb.page.goto(f"{place.address}/camps")
    thumb.page.wait_for_timeout(300)
    assert thumb.page.query_selector(".waiting") is None
