"""Consent as dated facts: what a letter home says while none is written, a no, and a yes that ends."""

from dataclasses import replace
from datetime import timedelta
from email import message_from_bytes
from email.policy import default

import pytest
from tests.desk import cast

from loftbook.book.consent import Purpose
from loftbook.desk.batch import childs_paper
from loftbook.desk.film.consenting import Spoken, record_consent
from loftbook.desk.mailing import letter_draft
from loftbook.desk.privacy.consenting import agreed, word_lines
from loftbook.errors import Refused
from loftbook.reports.plain import as_plain

NOT_YET = "The book holds no yes to writing about her to her home coach"


@pytest.fixture
def written(made):
    cast.write(made.desk, cast.payload(made.today, made.mira))
    return made


def said(made, allowed, purpose=Purpose.HOME_COACH, **more):
    spoken = Spoken(purpose, allowed, "a parent", "H. Alder", **more)
    return record_consent(made.desk, made.mira, spoken)


def letter(made, kind="letter"):
    return str(as_plain(childs_paper(made.desk, kind, made.mira)))


def test_without_a_word_the_letter_and_the_mail_say_so_plainly(written):
    assert NOT_YET in letter(written)
    draft = letter_draft(written.desk, written.mira, parent="kin@example.org", second="adult@example.org")
    assert NOT_YET in draft.missing[0]
    assert NOT_YET in message_from_bytes(draft.data, policy=default).get_body().get_content()
    assert NOT_YET not in letter(written, "parent"), "the parent is who may decide"
    assert NOT_YET not in letter(written, "hers")


def test_a_yes_takes_it_away_and_one_about_film_does_not(written):
    said(written, True, Purpose.SHARING)
    assert NOT_YET in letter(written)
    said(written, True)
    assert "Before it goes out" not in letter(written)
    assert letter_draft(written.desk, written.mira).missing[0].startswith("copy a parent")


def test_a_no_is_a_fact_of_its_own_and_stops_the_mail(written):
    said(written, True)
    said(written, False)
    assert "This is not to go out: no to writing about her to her home coach by a parent" in letter(written)
    with pytest.raises(Refused, match="word against it"):
        letter_draft(written.desk, written.mira)
    found = agreed(written.desk, written.mira)
    assert [one.allowed for one in found.said] == [True, False]
    assert "no to writing about her" in "\n".join(word_lines(found))


def test_a_yes_until_a_day_ends_with_that_day(written):
    last = cast.NOW.date() + timedelta(days=10)
    said(written, True, until=last)
    later = {
        days: replace(written.desk, clock=lambda d=days: cast.NOW + timedelta(days=d)) for days in (10, 11)
    }
    assert agreed(later[10], written.mira).words[Purpose.HOME_COACH].allowed
    assert not agreed(later[11], written.mira).words[Purpose.HOME_COACH].allowed
    with pytest.raises(Refused):
        letter_draft(later[11], written.mira)
