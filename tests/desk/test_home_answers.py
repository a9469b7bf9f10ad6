"""An answer from home: the form in a real browser without a network, the file taken in once, each way to be wrong."""

import base64
import json
from dataclasses import replace
from datetime import timedelta
from email.message import EmailMessage

import pytest
from tests.desk import cast
from tests.desk.cast import TUCK, payload, write
from tests.reports.reading import words

from loftbook.book.answer_file import read_answers
from loftbook.book.answering import HomeForm, Sent, Trained, TrainedItem, sum_of
from loftbook.desk.evidence import evidence_answer
from loftbook.desk.home_answers import (
    Became,
    Typed,
    answers_of_one,
    camp_from_home,
    home_form,
    home_form_file,
    take_answers,
    type_answer,
)
from loftbook.desk.letters import letter_of_one
from loftbook.desk.printing import letter_pdf
from loftbook.errors import Refused

HOSTILE = "</script><img src=x onerror=alert(1)> & “ü” \U0001f938"


@pytest.fixture
def filled(made):
    write(
        made.desk,
        payload(made.autumn, made.mira, marks={"landing": 1, "form": 2}),
        payload(made.autumn, made.noa, outcome="tried", rotation="short"),
    )
    return made


def sheet_of(desk, who, camp=None) -> HomeForm:
    return home_form(desk, letter_of_one(desk, who, camp))


def file_of(form: HomeForm, *, by="R. Sorrel", written="2026-01-10T18:00:00.000Z", more="", **first) -> bytes:
    """The file as the form saves it."""
    bare = {"trained": "", "weekly": "", "weeks": "", "what": "", "problems": "", "clip": ""}
    items = [bare | (first if at == 0 else {}) for at, _ in enumerate(form.asked)]
    told = {
        "kind": "loftbook-home-answer",
        "format": 1,
        "form": json.loads(
            json.dumps(vars(form) | {"asked": [vars(one) for one in form.asked]}, default=str)
        ),
        "answer": {"by": by, "written": written, "items": items, "more": more},
        "sum": sum_of(by.replace("\ud83d", "\ufffd"), written, items, more),
    }
    return json.dumps(told).encode()


def became(desk, *files: bytes) -> list[Became]:
    return [one.became for one in take_answers(desk, [("a.json", data) for data in files])]


def test_the_same_file_writes_once_and_an_edited_one_puts_it_right(filled):
    form = sheet_of(filled.desk, filled.mira, filled.autumn.id)
    first = file_of(form, trained="regularly", weekly="2", weeks="8", what="Open tuck drops, belt")
    second = file_of(form, written="2026-01-11T18:00:00.000Z", trained="sometimes", problems=HOSTILE)
    assert became(filled.desk, first, first) == [Became.WRITTEN, Became.SAME]
    assert became(filled.desk, second, first) == [Became.PUT_RIGHT, Became.SAME]
    (told,) = answers_of_one(filled.desk, filled.mira)
    assert told.answer.items[0].problems == HOSTILE
    assert [one.items[0].weekly for one in told.earlier] == [2]  # nothing is lost


def test_the_order_in_which_files_come_in_does_not_matter(filled):
    form = sheet_of(filled.desk, filled.mira, filled.autumn.id)
    late = file_of(form, written="2026-02-01T18:00:00.000Z", trained="regularly")
    early = file_of(form, trained="not")
    assert became(filled.desk, late, early) == [Became.WRITTEN, Became.OLDER]
    assert answers_of_one(filled.desk, filled.mira)[0].answer.items[0].trained is Trained.REGULARLY


def test_a_copied_text_and_a_saved_mail_bring_the_same_answer(filled):
    form = sheet_of(filled.desk, filled.mira, filled.autumn.id)
    data = file_of(form, trained="not", more=HOSTILE)
    letters = base64.b64encode(data).decode()
    block = "-----BEGIN LOFTBOOK ANSWER-----\n" + "\n> ".join(
        letters[at : at + 60] for at in range(0, len(letters), 60)
    )
    text = f"Dear H., here it is.\n\n> {block}\n-----END LOFTBOOK ANSWER-----\nBest".encode()
    mail = EmailMessage()
    mail["Subject"] = "Mira"
    mail.set_content("see the file")
    mail.add_attachment(data, maintype="application", subtype="json", filename="home-answer.json")
    assert became(filled.desk, text, bytes(mail), data) == [Became.WRITTEN, Became.SAME, Became.SAME]


def changed(data: bytes, **form) -> bytes:
    told = json.loads(data)
    told["form"] |= form
    return json.dumps(told).encode()


def test_what_is_wrong_is_said_plainly_and_nothing_is_written(filled, tmp_path):
    form = sheet_of(filled.desk, filled.mira, filled.autumn.id)
    other = cast.a_desk()
    cast.bring(other, cast.child("Mira", "Moss"))
    good = file_of(form, trained="regularly", weekly="3")
    foreign = replace(form, book="0" * 16)
    wrong = {
        "ends in the middle": good[:-40],
        "whose sum does not fit": good.replace(b'"weekly": "3"', b'"weekly": "9"'),
        "whose seal does not fit": changed(good, athlete=str(filled.noa)),
        "another book": file_of(foreign, trained="not"),
        "another kind": b'{"kind": "loftbook-waiting", "records": []}',
        "no answer in this file": b"\x89PNG\r\n\x1a\n\x00\x00",
        "without a name": file_of(form, by="", trained="not"),
        "says nothing": file_of(form),
        "99 times a week": file_of(form, trained="regularly", weekly="99"),
        "a part missing or changed": file_of(form, trained="every day"),
        "letters in one field": file_of(form, trained="not", problems="x" * 2001),
    }
    for part, data in wrong.items():
        (told,) = take_answers(filled.desk, [("a.json", data)])
        assert (told.became, part in told.why) == (Became.REFUSED, True), (part, told)
        assert "What to do:" in told.why
    assert answers_of_one(filled.desk, filled.mira) == ()
    # One that is wrong loses none beside it.
    assert became(filled.desk, good[:-40], good) == [Became.REFUSED, Became.WRITTEN]
    assert became(other, good) == [Became.REFUSED]


def test_the_clock_of_a_phone_may_be_wrong(filled):
    form = sheet_of(filled.desk, filled.mira, filled.autumn.id)
    assert became(filled.desk, file_of(form, written="2099-01-01T00:00:00Z", trained="not")) == [
        Became.WRITTEN
    ]
    assert answers_of_one(filled.desk, filled.mira)[0].answer.written == cast.NOW
    (odd,) = read_answers(file_of(form, by="half \ud83d", trained="not"))
    assert isinstance(odd, Sent)
    assert odd.by == "half \ufffd"


def test_an_answer_on_paper_is_typed_and_stands_beside_the_next_camp(filled):
    typed = Typed("R. Sorrel", (TrainedItem("", "", Trained.REGULARLY, 2, 8, clip="mira-3.mp4"),))
    told = type_answer(filled.desk, filled.mira, filled.autumn.id, typed)
    assert told.became is Became.WRITTEN
    assert type_answer(filled.desk, filled.mira, filled.autumn.id, typed).became is Became.SAME
    with pytest.raises(Refused, match="says nothing"):
        type_answer(filled.desk, filled.noa, filled.autumn.id, Typed("R. Sorrel", ()))
    here = camp_from_home(filled.desk, filled.today.id)
    item = here.answers[filled.mira].answer.items[0]
    assert (item.title.partition(":")[0], item.weekly, item.clip) != ("", None, "")
    assert filled.noa in here.silent
    assert camp_from_home(filled.desk, filled.autumn.id).answers == {}


def test_who_was_at_the_next_camp_without_being_expected_is_shown_too(filled):
    type_answer(filled.desk, filled.mira, filled.autumn.id, Typed("R. Sorrel", (), "The pit was closed"))
    camp = cast.a_camp(filled.desk, "Summer camp", cast.SPRING_26 - timedelta(days=30))
    write(filled.desk, payload(camp, filled.mira))
    assert set(camp_from_home(filled.desk, camp.id).answers) == {filled.mira}


def test_the_evidence_quotes_it_and_the_next_letter_leaves_the_words_out(filled):
    write(filled.desk, payload(filled.today, filled.mira))
    form = sheet_of(filled.desk, filled.mira, filled.autumn.id)
    ache = "sore wrist since May"
    assert became(filled.desk, file_of(form, trained="regularly", weekly="2", problems=ache)) == [
        Became.WRITTEN
    ]
    laid = evidence_answer(filled.desk, filled.mira, form.asked[0].rung).facts.evidence
    assert [one.kind for one in laid.told] == ["item", "problems"]
    assert [one.values["note"] for one in laid.against if one.kind == "home"] == [ache]
    told = words(letter_pdf(filled.desk, filled.mira, filled.today.id))
    assert "trained regularly, 2 times a week" in told
    assert "R. Sorrel" in told
    assert "sore wrist" not in told  # parents and others read the letter


def test_the_form_carries_no_more_than_it_must(filled):
    name, data = home_form_file(filled.desk, filled.mira, filled.autumn.id)
    text = data.decode()
    assert "Mira" in text
    for secret in (
        "Moss",
        "2014",
        "Kittiwake",
        "1.40",
        "140",
        str(filled.desk.clock().date() + timedelta(days=1)),
    ):
        assert secret not in text, secret
    assert name.endswith(".html")


def test_the_form_works_from_a_file_without_a_network(filled, tmp_path, browser):
    """The browser is the other program: its policy, its keyboard, its download, its CRC by our small script."""
    name, data = home_form_file(filled.desk, filled.mira, filled.autumn.id)
    (tmp_path / name).write_bytes(data)
    context = browser.new_context(viewport={"width": 360, "height": 740}, offline=True, accept_downloads=True)
    page = context.new_page()
    asked, said = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.goto((tmp_path / name).as_uri())
    page.get_by_role("button", name="Save the answer").click()
    assert page.get_by_label("Your name").evaluate("one => !one.validity.valid")
    page.get_by_label("Your name").fill("R. Sorrel")
    first = page.get_by_role("group").first
    first.get_by_label("Regularly").focus()
    page.keyboard.press("Space")
    first.get_by_label("Times a week").fill("3")
    first.get_by_label("Problems").fill(HOSTILE)
    with page.expect_download() as coming:
        page.keyboard.press("Tab")
        page.get_by_role("button", name="Save the answer").press("Enter")
    saved = tmp_path / "saved.json"
    coming.value.save_as(saved)
    assert coming.value.suggested_filename.startswith("home-answer-mira")
    assert "mail it back" in page.get_by_role("status").inner_text()
    copied = page.get_by_label("If no file was saved").input_value()
    wide = page.evaluate("document.documentElement.scrollWidth")
    context.close()
    assert wide <= 360
    assert said == []  # the policy stopped nothing of ours
    assert {url.partition(":")[0] for url in asked} <= {"file", "blob"}
    assert became(filled.desk, saved.read_bytes(), copied.encode()) == [Became.WRITTEN, Became.SAME]
    item = answers_of_one(filled.desk, filled.mira)[0].answer.items[0]
    assert (item.rung, item.trained, item.weekly, item.problems) == (TUCK, Trained.REGULARLY, 3, HOSTILE)
