"""Answers from home on the pages: files taken in, one typed, the words of strangers shown as words."""

from tests.desk.test_home_answers import HOSTILE, file_of

from loftbook.book.access import Action
from loftbook.desk.home_answers import answers_of_one, home_form
from loftbook.desk.letters import letter_of_one
from loftbook.web.access import RULES


def test_files_are_taken_in_and_their_words_stay_words(client, made):
    form = home_form(made.desk, letter_of_one(made.desk, made.mira, made.autumn))
    data = file_of(
        form, by=HOSTILE, trained="regularly", weekly="2", problems=HOSTILE, clip=HOSTILE, more=HOSTILE
    )
    sent = [("file", ("a.json", data)), ("file", ("<b>.json", data[:-9])), ("file", ("c.json", data))]
    told = client.post("/answers", files=sent).text
    assert told.count("Written into the book") == told.count("In the book already") == 1
    assert "ends in the middle" in told
    assert "<b>.json" not in told
    for page in (
        f"/athletes/{made.mira}",
        f"/camps/{made.spring}/from-home",
        f"/athletes/{made.mira}/answer?camp={made.autumn}",
        "/answers",
    ):
        text = client.get(page).text
        assert "&lt;img src=x onerror=alert(1)&gt;" in text, page
        assert "<img src=x" not in text, page
    assert "2 times a week" in client.get(f"/camps/{made.spring}/from-home").text


def test_an_answer_on_paper_is_typed(client, made):
    address = f"/athletes/{made.mira}/answer?camp={made.autumn}"
    assert client.post(address, data={"by": "R. Sorrel"}).status_code == 422
    wrong = client.post(address, data={"by": "R. Sorrel", "weekly-0": "two", "what-0": "drops"})
    assert (wrong.status_code, "as a number" in wrong.text, "drops" in wrong.text) == (422, True, True)
    assert (
        "Written into the book"
        in client.post(address, data={"by": "R. Sorrel", "more": "No bed till March"}).text
    )
    assert answers_of_one(made.desk, made.mira)[0].answer.more == "No bed till March"
    assert client.post("/answers", data={}).status_code == 422


def test_the_form_is_a_file_and_only_head_coaches_get_it(client, made):
    answer = client.get(f"/athletes/{made.mira}/answer.html?camp={made.autumn}")
    assert answer.headers["content-disposition"].startswith('attachment; filename="answer-mira-moss')
    for address in (
        "GET /athletes/{athlete_id}/answer.html",
        "POST /answers",
        "GET /camps/{camp_id}/from-home",
    ):
        assert RULES[tuple(address.split(" ", 1))] is Action.WRITE_BOOK
