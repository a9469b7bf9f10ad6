"""A draft of the mail that goes with a letter: a file for a mail program to open. Loftbook sends nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.home_answers import form_of_letter
from loftbook.desk.letters import letter_of_one
from loftbook.desk.printing import file_name
from loftbook.errors import Refused
from loftbook.reports.dates import days
from loftbook.reports.pdf import write_pdf
from loftbook.reports.sheets.letter.compose import LetterFacts, compose
from loftbook.reports.texts import Texts, texts


@dataclass(frozen=True)
class MailDraft:
    """A draft: to whom, who is copied, its words, what is still to be done, and the whole as a file (.eml).

    `missing` are sentences; the file says them in its first line too, so that nobody sends it
    without a parent and a second adult by oversight.
    """

    to: str
    copied: tuple[str, ...]
    subject: str
    text: str
    missing: tuple[str, ...]
    name: str
    data: bytes


def letter_draft(
    desk: Desk, athlete_id: UUID, camp_id: UUID | None = None, *, parent: str = "", second: str = ""
) -> MailDraft:
    """The mail to her home coach with the letter in it, a parent and a second adult copied.

    The book keeps no address of a parent: `parent` and `second` are given each time and kept
    nowhere. Raises Refused for something that is no address, and UnknownThing as the letter does.
    """
    facts, say = letter_of_one(desk, athlete_id, camp_id), texts()
    club = facts.athlete.club
    to = _address_or_nothing(club.coach_email if club else "")
    copied = tuple(str(_address(one)) for one in (parent, second) if one.strip())
    missing = (*_agreed(facts), *_missing(say, to=to, parent=parent, second=second))
    subject = say("mail.subject", name=facts.athlete.name.full, camp=facts.camp.name)
    text = _text(facts, say, missing)
    mail = EmailMessage(policy=SMTP)
    mail["X-Unsent"] = "1"  # some mail programs then open it as a draft
    mail["Subject"] = _one_line(subject)
    if to:
        mail["To"] = to
    if copied:
        mail["Cc"] = ", ".join(copied)
    mail.set_content(text)
    mail.add_attachment(
        write_pdf(replace(compose(facts), cover=()), made=desk.clock().replace(microsecond=0)),
        maintype="application",
        subtype="pdf",
        filename=file_name("letter", facts.athlete),
    )
    form, data = form_of_letter(desk, facts)
    mail.add_attachment(data, maintype="text", subtype="html", filename=form)
    name = file_name("letter", facts.athlete).removesuffix(".pdf") + ".eml"
    return MailDraft(to, copied, subject, text, missing, name, mail.as_bytes())


def _agreed(facts: LetterFacts) -> tuple[str, ...]:
    """What has to be agreed before it goes; raises Refused where somebody said no."""
    if not facts.before_it_goes:
        return ()
    if facts.refused:
        raise Refused(
            f"a word against it for {facts.athlete.name.full}",
            "no mail to her home coach",
            f"{facts.before_it_goes} Ask again and write the new word down if it has changed",
        )
    return (facts.before_it_goes.rstrip("."),)


def _missing(say: Texts, *, to: str, parent: str, second: str) -> tuple[str, ...]:
    asked = (("mail.no_to", to), ("mail.no_parent", parent), ("mail.no_second", second))
    return tuple(say(name) for name, given in asked if not given.strip())


def _text(facts: LetterFacts, say: Texts, missing: tuple[str, ...]) -> str:
    club = facts.athlete.club
    coach = club.coach_name if club else ""
    body = say(
        "mail.body",
        greeting=say("mail.greeting", coach=coach) if coach else say("mail.greeting_nobody"),
        name=facts.athlete.name.full,
        camp=facts.camp.name,
        days=days(facts.camp.starts, facts.camp.ends),
        sender=facts.sender,
    )
    first = say("mail.unsent", what="; ".join(missing)) + "\n\n" if missing else ""
    return f"{first}{body.strip()}\n"


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _address(text: str) -> Address:
    """An address as it was typed; raises Refused for what is none."""
    typed = text.strip()
    try:
        found = Address(addr_spec=typed)
    except (ValueError, IndexError, MessageError):
        found = Address()
    if not found.username or "." not in found.domain:
        raise Refused(f"{typed[:80]!r} as an address", "one such as name@example.org", "correct it")
    return found


def _address_or_nothing(text: str) -> str:
    """The address that the book has of a coach, if it is one."""
    try:
        return str(_address(text)) if text.strip() else ""
    except Refused:
        return ""
