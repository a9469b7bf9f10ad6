"""Writing results down on the page: kept once, refused with a sentence, corrected, taken back; and blind."""

import re
from uuid import uuid4

import pytest
from tests.web.cast import SPRING_NOTE, payload

from loftbook.desk.answers import athlete_answer
from loftbook.desk.entry import entry_sheet


def form(made, who="mira", camp="spring"):
    return f"/camps/{getattr(made, camp)}/entry/{getattr(made, who)}"


def turns(made, who="mira"):
    sheet = entry_sheet(made.desk, made.spring)
    return [turn for (one, _), rows in sheet.entered.items() if one == getattr(made, who) for turn in rows]


def number_of(page):
    return re.search(r'name="id" value="([^"]+)"', page.text).group(1)


def test_it_works(client, made):
    page = client.get(form(made))
    answer = client.post(
        form(made), data=payload(number_of(page), note="saw the bed", mark_lift="3", mark_form="")
    )
    assert answer.status_code == 200
    assert "It is in the book." in answer.text
    (turn,) = turns(made)
    assert (turn.outcome.value, turn.help.key, turn.landing.value) == ("did_it", "nobody_in", "soft_flat_mat")
    assert (dict(turn.marks), turn.note, turn.rater) == ({"lift": 3}, "saw the bed", "H. Coach")


def test_the_name_of_who_marks_is_kept_for_the_next_child(client, made):
    client.post(form(made), data=payload(uuid4(), rater="Ω. Coach"))
    assert 'value="Ω. Coach"' in client.get(form(made, "noa")).text


def test_the_same_form_sent_twice_is_one_result(client, made):
    sent = payload(uuid4())
    client.post(form(made), data=sent)
    again = client.post(form(made), data=sent)
    assert "stands there once" in again.text
    assert len(turns(made)) == 1


def test_a_form_sent_again_with_something_else_overwrites_nothing(client, made):
    sent = payload(uuid4())
    client.post(form(made), data=sent)
    again = client.post(form(made), data=sent | {"outcome": "tried"})
    assert again.status_code == 422
    assert "was not overwritten" in again.text
    assert [turn.outcome.value for turn in turns(made)] == ["did_it"]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"help": ""}, "without the help she had"),
        ({"outcome": ""}, "no outcome"),
        ({"rung": "double_dream"}, "double_dream"),
        ({"rater": " "}, "no name of who saw it"),
        ({"rotation": "sideways"}, "sideways"),
        ({"landing": "lava"}, "lava"),
        ({"mark_charm": "3"}, "charm"),
        ({"note": "x" * 3000}, "3000"),
    ],
)
def test_what_cannot_stand_is_told_and_stays_in_the_form(client, made, changes, said):
    answer = client.post(form(made), data=payload(uuid4(), **{"note": "typed words", **changes}))
    assert answer.status_code == 422
    assert said in answer.text
    assert changes.get("note", "typed words") in answer.text
    assert turns(made) == []


@pytest.mark.parametrize("outcome", ["not_tried", "stopped", "declined", "not_allowed", "absent"])
def test_each_blank_is_its_own(client, made, outcome):
    client.post(form(made), data=payload(uuid4(), outcome=outcome, help=""))
    assert [turn.outcome.value for turn in turns(made)] == [outcome]


def test_a_form_without_its_number_is_refused(client, made):
    assert client.post(form(made), data=payload("")).status_code == 422
    assert turns(made) == []


def test_a_child_of_another_book_is_refused(client, made):
    assert client.get(f"/camps/{made.spring}/entry/{uuid4()}").status_code == 404
    answer = client.post(f"/camps/{made.spring}/entry/{uuid4()}", data=payload(uuid4()))
    assert answer.status_code == 404


def test_a_correction_is_a_new_fact(client, made):
    first = uuid4()
    client.post(form(made), data=payload(first, outcome="tried", rotation="short", note="chest low"))
    page = client.get(f"{form(made)}?correct={first}")
    assert f'name="replaces" value="{first}"' in page.text
    assert "chest low" in page.text
    client.post(form(made), data=payload(number_of(page), replaces=str(first)))
    assert [turn.outcome.value for turn in turns(made)] == ["did_it"]
    (column,) = (c for c in athlete_answer(made.desk, made.mira).columns if c.camp.id == made.spring)
    assert [turn.id for turn in column.replaced["double_tuck"]] == [first]
    assert "Corrected or withdrawn" in client.get(f"/athletes/{made.mira}").text


def test_a_turn_is_taken_back_and_stays_readable(client, made):
    turn = uuid4()
    client.post(form(made), data=payload(turn))
    answer = client.post(
        form(made) + "/withdraw", data={"attempt": str(turn), "by": "H. Coach", "sure": "yes"}
    )
    assert "no longer counts" in answer.text
    assert turns(made) == []
    assert "Corrected or withdrawn" in client.get(f"/athletes/{made.mira}").text


def test_taking_back_nothing_is_told(client, made):
    assert client.post(form(made) + "/withdraw", data={}).status_code == 422
    assert (
        client.post(form(made) + "/withdraw", data={"attempt": str(uuid4()), "sure": "yes"}).status_code
        == 404
    )


# ---- blind: the last camp's marks are not in the page before the new mark is in ----


def test_earlier_marks_are_not_in_the_page_at_all(client, made):
    """Not hidden by style, not in an attribute: the note of the last camp is nowhere in what the server sends."""
    for page in (f"/camps/{made.spring}/entry", form(made), form(made) + "?rung=double_tuck"):
        sent = client.get(page).text
        assert SPRING_NOTE not in sent, page
        assert "What an earlier camp says" not in sent, page


def test_a_refused_result_does_not_open_them(client, made):
    assert SPRING_NOTE not in client.post(form(made), data=payload(uuid4(), help="")).text


def test_once_the_mark_is_in_one_touch_shows_that_rung_only(client, made):
    client.post(form(made), data=payload(uuid4()))
    page = client.get(form(made)).text
    assert "What an earlier camp says" in page
    assert page.count(SPRING_NOTE) == 1  # the pike of the last camp is still hidden
    assert re.search(rf"<details class=\"earlier\">(?:(?!</details>).)*{SPRING_NOTE}", page, re.DOTALL)


def test_another_childs_mark_opens_nothing_of_hers(client, made):
    client.post(form(made, "noa"), data=payload(uuid4()))
    assert SPRING_NOTE not in client.get(form(made)).text


def test_taken_back_they_are_hidden_again(client, made):
    turn = uuid4()
    client.post(form(made), data=payload(turn))
    client.post(form(made) + "/withdraw", data={"attempt": str(turn), "sure": "yes"})
    assert SPRING_NOTE not in client.get(form(made)).text


def test_taking_back_asks_once(client, made):
    answer = client.post(form(made) + "/withdraw", data={"attempt": str(uuid4())})
    assert answer.status_code == 422
    assert "tick the box" in answer.text
