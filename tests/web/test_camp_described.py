"""The pages that say who is expected and put a camp right."""

from dataclasses import replace

from loftbook.desk.answers import camp_answer
from loftbook.desk.camps import described, put_camp_right
from loftbook.desk.expecting import expecting
from loftbook.desk.people import all_camps


def fields(**changes):
    return {
        "name": "Spring camp",
        "starts": "2026-04-11",
        "ends": "2026-04-12",
        "place": "Saltmarsh hall",
        "bed": "bed A",
        "take_off": "trampoline",
        "landing": "soft_flat_mat",
        "raters": "H. Coach",
        "by": "H. Coach",
        "turns_too": "yes",
    } | changes


def test_a_new_camp_leads_to_who_is_expected_with_everybody_ticked(client, made):
    page = client.post("/camps", data=fields(name="Summer camp", starts="2026-07-04", ends=""))
    assert page.url.path.endswith("/expected")
    assert page.text.count(" checked") == 5
    assert "everybody in the squad" in page.text


def test_the_ticks_are_kept_and_the_page_leads_to_writing(client, made):
    here = f"/camps/{made.spring}/expected"
    ticked = {f"here_{who}": "yes" for who in (made.mira, made.noa)}
    page = client.post(here, data=ticked | {f"bib_{made.mira}": "17", f"bib_{made.formula}": "9"})
    assert page.url.path == f"/camps/{made.spring}/entry"
    assert expecting(made.desk, made.spring).who == {made.mira, made.noa}
    assert expecting(made.desk, made.spring).bibs[made.mira] == "17"
    again = client.get(here).text
    assert again.count(" checked") == 2
    assert "2 children, as you said" in again


def test_one_number_on_two_backs_is_told_and_the_ticks_stay(client, made):
    sent = {f"here_{who}": "yes" for who in (made.mira, made.noa)}
    sent |= {f"bib_{who}": "7" for who in (made.mira, made.noa)}
    page = client.post(f"/camps/{made.spring}/expected", data=sent | {"here_nonsense": "yes"})
    assert page.status_code == 422
    assert "two backs" in page.text
    assert page.text.count(" checked") == 2
    assert len(expecting(made.desk, made.spring).who) == 5


def test_somebody_not_expected_is_found_and_can_be_written_about(client, made):
    client.post(f"/camps/{made.spring}/expected", data={f"here_{made.noa}": "yes"})
    entry = f"/camps/{made.spring}/entry"
    assert "Mira Moss" not in client.get(entry).text
    found = client.get(entry, params={"find": "mir"})
    assert f"{entry}/{made.mira}" in found.text
    assert "not among those expected" in found.text
    assert client.get(f"{entry}/{made.mira}").status_code == 200
    assert "Nobody else of that name" in client.get(entry, params={"find": "xyzzy"}).text


def test_a_camp_is_put_right_and_the_old_description_stands_below(client, made):
    here = f"/camps/{made.spring}/describe"
    page = client.post(here, data=fields(name="Easter camp", landing="pit_with_mat"))
    assert page.url.path == f"/camps/{made.spring}"
    assert "Easter camp" in page.text
    below = client.get(here).text
    assert "Spring camp" in below
    assert "put right by H. Coach" in below


def test_what_a_camp_cannot_be_is_told_and_stays_in_the_form(client, made):
    page = client.post(f"/camps/{made.spring}/describe", data=fields(starts="2199-01-01", ends="2199-01-02"))
    assert page.status_code == 422
    assert "year 2199" in page.text
    assert 'value="2199-01-01"' in page.text
    assert described(made.desk, made.spring).before == ()


def test_assumed_surfaces_are_said_on_the_page_until_one_touch_confirms_them(client, made):
    camp = next(c for c in all_camps(made.desk) if c.id == made.spring)
    put_camp_right(made.desk, replace(camp, surfaces_assumed=True), by="a list")
    page = client.get(f"/camps/{made.spring}")
    assert "Assumed, not written down" in page.text
    assert client.get(f"/api/camps/{made.spring}").json()["camp"]["surfaces_assumed"] is True
    after = client.post(f"/camps/{made.spring}/surfaces", data={"by": "H. Coach"})
    assert "ssumed" not in after.text
    assert described(made.desk, made.spring).before[-1].by == "H. Coach"


def test_what_changed_since_the_first_camp_is_worked_out_where_it_is_asked_for(client, made):
    here = f"/camps/{made.spring}"
    assert f'href="{here}?against=first#since-first"' in client.get(here).text
    asked = client.get(here, params={"against": "first"}).text
    assert 'id="since-first"' in asked
    short = camp_answer(made.desk, made.spring, since_first=False)
    whole = camp_answer(made.desk, made.spring)
    assert short.since_first is None
    assert replace(whole, since_first=None) == short
