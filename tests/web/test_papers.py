"""The letter on screen says all that the paper says; the papers come as files."""

import email
import io
import time
import zipfile
from dataclasses import fields, is_dataclass
from email import policy
from html import unescape

import pytest
from pypdf import PdfReader

from loftbook.book.access import Action
from loftbook.desk.batch import childs_paper
from loftbook.desk.printing import letter
from loftbook.reports.charts.drawing import Drawing
from loftbook.web.access import RULES


def texts(value):
    """Every text of a page, in any depth; drawings say theirs themselves."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, (tuple, list)):
        for one in value:
            yield from texts(one)
    elif is_dataclass(value) and not isinstance(value, Drawing):
        for one in fields(value):
            if one.name not in ("kind", "author", "level", "mark"):
                yield from texts(getattr(value, one.name))


def test_the_screen_leaves_out_no_word_of_the_letter(client, made):
    sent = " ".join(unescape(client.get(f"/athletes/{made.mira}/letter").text).split())
    missing = [text for text in texts(letter(made.desk, made.mira)) if " ".join(text.split()) not in sent]
    assert missing == []


def test_the_letter_of_one_camp_is_not_that_of_another(client, made):
    page = client.get(f"/athletes/{made.mira}/letter?camp={made.autumn}").text
    assert f"letter.pdf?camp={made.autumn}" in page


def test_the_letter_comes_as_pdf(client, made):
    answer = client.get(f"/athletes/{made.mira}/letter.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith('attachment; filename="letter-mira-moss')
    # "%PDF-" opens every PDF file: ISO 32000-2, 7.5.2.
    assert answer.content.startswith(b"%PDF-")


def test_the_camps_lists_come_as_pdf(client, made):
    assert client.get(f"/camps/{made.autumn}/lists.pdf").content.startswith(b"%PDF-")


def test_all_letters_come_in_one_file(client, made):
    answer = client.get(f"/camps/{made.autumn}/letters.zip")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        names = packed.namelist()
        assert packed.testzip() is None
    # One each for the three who were there; the absent one and the one without a word get none.
    assert len(names) == 3
    assert all(name.startswith("letter-") and "/" not in name for name in names)


@pytest.mark.parametrize("kind", ["letter", "parent", "hers"])
def test_the_screen_leaves_out_no_word_of_a_paper(client, made, kind):
    sent = " ".join(unescape(client.get(f"/athletes/{made.mira}/papers/{kind}").text).split())
    page = childs_paper(made.desk, kind, made.mira)
    assert [text for text in texts(page) if " ".join(text.split()) not in sent] == []
    assert f"/papers/{kind}.pdf" in sent
    # "%PDF-" opens every PDF file: ISO 32000-2, 7.5.2.
    assert client.get(f"/athletes/{made.mira}/papers/{kind}.pdf?paper=letter").content.startswith(b"%PDF-")


@pytest.mark.parametrize("kind", ["belt-list", "programme-summary"])
def test_the_camps_own_papers_come_as_pdf_to_head_coaches(client, made, kind):
    assert client.get(f"/camps/{made.autumn}/papers/{kind}.pdf").content.startswith(b"%PDF-")
    assert RULES["GET", "/camps/{camp_id}/papers/{kind}.pdf"] is Action.WRITE_BOOK


def test_a_paper_that_is_not_there(client, made):
    assert client.get(f"/athletes/{made.mira}/papers/bill").status_code == 404
    assert client.get(f"/camps/{made.autumn}/papers/bill.pdf").status_code == 404


def test_a_mail_draft_is_read_first_and_then_taken(client, made):
    page = client.get(f"/athletes/{made.mira}/mail").text
    assert "Loftbook sends nothing" in page
    assert "Before this is sent" in page
    given = {"parent": "kin@example.org", "second": "adult@example.org"}
    taken = client.post(f"/athletes/{made.mira}/mail", data=given)
    assert taken.headers["content-type"] == "message/rfc822"
    mail = email.message_from_bytes(taken.content, policy=policy.default)
    assert mail["Cc"] == "kin@example.org, adult@example.org"
    text = mail.get_body().get_content()
    assert "copy a parent" not in text
    assert "copy a second adult" not in text
    assert "holds no yes" in text, "nobody agreed yet, and the draft says so"
    (letter_file,) = [one for one in mail.iter_attachments() if one.get_content_type() == "application/pdf"]
    sheets = [one.extract_text() for one in PdfReader(io.BytesIO(letter_file.get_content())).pages]
    assert "for whoever sends it" not in " ".join(sheets), "what is attached goes out as it is"


def test_the_reminder_is_a_sheet_of_its_own_before_the_letter(client, made):
    address = f"/athletes/{made.mira}/letter"
    first, *rest = PdfReader(io.BytesIO(client.get(f"{address}.pdf").content)).pages
    assert "for whoever sends it" in " ".join(first.extract_text().split())
    assert "1 of" not in first.extract_text()
    assert f"1 of {len(rest)}" in rest[0].extract_text()
    assert "for whoever sends it" not in " ".join(one.extract_text() for one in rest)
    assert "for whoever sends it" in client.get(address).text


def test_what_is_no_address_is_said_and_stays_typed(client, made):
    sent = client.post(f"/athletes/{made.mira}/mail", data={"parent": "kin at example"})
    assert sent.status_code == 422
    assert 'role="alert"' in sent.text
    assert "kin at example" in sent.text


def until(client, address, word, tries=300):
    for _ in range(tries):
        page = client.get(address)
        if word in page.text:
            return page
        time.sleep(0.1)
    raise AssertionError(page.text)


def test_all_papers_are_made_with_progress_and_taken_as_one_file(client, made):
    here = f"/camps/{made.autumn}/papers"
    assert client.get(f"{here}.zip").status_code == 422
    assert client.post(here, data={"paper": "papyrus"}).status_code == 422
    client.post(here, data={"paper": "letter"})
    running = client.get(here)
    assert ("Refresh" in running.headers) == ("Being made" in running.text)
    page = until(client, here, "Take the ZIP file")
    assert "Refresh" not in page.headers
    with zipfile.ZipFile(io.BytesIO(client.get(f"{here}.zip").content)) as packed:
        assert packed.testzip() is None
        # three and a form for each of three children, and four of the camp's own
        assert len(packed.namelist()) == 16
        pdf = packed.read(next(name for name in packed.namelist() if name.startswith("letter-")))
    # ANSI/ASME Y14.1: letter is 8.5 by 11 inches, 612 by 792 points
    assert PdfReader(io.BytesIO(pdf)).pages[0].mediabox[2:] == [612, 792]


def test_a_run_that_is_stopped_leaves_nothing(client, made):
    here = f"/camps/{made.autumn}/papers"
    client.post(here, data={})
    client.post(f"{here}/stop")
    page = until(client, here, "thrown away")
    assert "Take the ZIP file" not in page.text
    assert client.get(f"{here}.zip").status_code == 422
