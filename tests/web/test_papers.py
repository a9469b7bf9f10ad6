"""The letter on screen says all that the paper says; the papers come as files."""

import io
import zipfile
from dataclasses import fields, is_dataclass
from html import unescape

from loftbook.desk.printing import letter
from loftbook.reports.charts.drawing import Drawing


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
