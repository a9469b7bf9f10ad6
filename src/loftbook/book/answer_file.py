"""Reading an answer that came back: a file that the form saved, its text copied into a mail, or a saved mail.

Nothing in it is believed before it is checked: sizes, kinds, numbers, the sum over what was
typed. Texts are kept as they are and are only ever shown as text.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from email import policy
from email.message import EmailMessage
from email.parser import BytesParser
from typing import Any
from uuid import UUID

from loftbook.book.answering import KIND, Asked, HomeForm, Sent, Trained, TrainedItem, sum_of
from loftbook.errors import Refused

LARGEST = 4_000_000  # bytes of one file: an answer has some thousand, a mail with a small picture in it more
_MOST_ITEMS = 10
_BLOCK = re.compile(r"-----BEGIN LOFTBOOK ANSWER-----(.*?)-----END LOFTBOOK ANSWER-----", re.DOTALL)
_AGAIN = "ask for the file again, and for it as it was saved, not opened and saved anew"


def read_answers(data: bytes) -> tuple[Sent, ...]:
    """The answers in one file: one as a rule, several where a saved mail brings several.

    Raises Refused in words for what is none, ends in the middle, or was changed on the way.
    """
    if len(data) > LARGEST:
        raise Refused(
            f"a file of {len(data) // 1_000_000} MB", "an answer, which is small", "choose that file"
        )
    texts = list(_texts(data))
    if not texts:
        raise Refused("no answer in this file", "a file that the form saved (home-answer-….json)", _AGAIN)
    return tuple(_answer(text) for text in texts)


def _texts(data: bytes) -> Iterator[str]:
    """Every answer in a file as JSON text."""
    text = data.decode("utf-8-sig", "replace").strip()
    if text.startswith("{"):
        yield text
        return
    if "BEGIN LOFTBOOK ANSWER" in text and "\nContent-Type:" not in text:
        yield from _blocks(text)
        return
    if re.search(r"^[A-Za-z-]+:\s", text):
        mail = BytesParser(policy=policy.default).parsebytes(data)
        yield from _of_mail(mail)


def _of_mail(mail: Any) -> Iterator[str]:
    for part in mail.walk():
        if not isinstance(part, EmailMessage) or part.is_multipart():
            continue
        inside = part.get_payload(decode=True)
        text = inside.decode("utf-8-sig", "replace").strip() if isinstance(inside, bytes) else ""
        if text.startswith("{") and KIND in text:
            yield text
        elif part.get_content_type() == "text/plain" and "BEGIN LOFTBOOK ANSWER" in text:
            yield from _blocks(text)


def _blocks(text: str) -> Iterator[str]:
    """The copied form of an answer: letters that a mail program may wrap or quote without harm."""
    found = _BLOCK.findall(text)
    if not found:
        raise Refused(
            "an answer whose end is missing", "its text from BEGIN to END", "ask for the whole text"
        )
    for inside in found:
        letters = re.sub(r"[^A-Za-z0-9+/=]", "", inside)
        try:
            yield base64.b64decode(letters, validate=True).decode("utf-8")
        except ValueError as error:
            raise Refused(
                "an answer that was changed on the way", "its text as the form gave it", _AGAIN
            ) from error


def _answer(text: str) -> Sent:
    try:
        told = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refused("an answer that ends in the middle or was changed", "the whole file", _AGAIN) from error
    if not isinstance(told, Mapping) or told.get("kind") != KIND:
        raise Refused("a file of another kind", "a file that the form saved (home-answer-….json)", _AGAIN)
    if told.get("format") != 1:
        raise Refused(
            "an answer of a newer form", "one that this Loftbook knows", "bring Loftbook up to date"
        )
    try:
        return _sent(told)
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError) as error:
        raise Refused(
            "an answer with a part missing or changed", "the file as the form saved it", _AGAIN
        ) from error


def _sent(told: Mapping[str, Any]) -> Sent:
    form, said = _form(told["form"]), told["answer"]
    by, written, items, more = (_whole(said[name]) for name in ("by", "written", "items", "more"))
    if not isinstance(items, list) or len(items) != len(form.asked):
        raise ValueError("as many items as were asked")
    if sum_of(by, written, items, more) != told["sum"]:
        raise Refused(
            "an answer whose sum does not fit what it says: it was cut off or changed on the way",
            "the file as the form saved it",
            _AGAIN,
        )
    at = datetime.fromisoformat(str(written).replace("Z", "+00:00"))
    at = at.astimezone(UTC) if at.tzinfo else at.replace(tzinfo=UTC)
    rows = tuple(_item(asked, one) for asked, one in zip(form.asked, items, strict=True))
    return Sent(form, at, _text(by), rows, _text(more))


def _form(told: Mapping[str, Any]) -> HomeForm:
    told = _whole(dict(told))
    asked = told["asked"]
    if not isinstance(asked, list) or len(asked) > _MOST_ITEMS:
        raise ValueError("a short list of what was asked")
    return HomeForm(
        book=_text(told["book"]),
        athlete=UUID(told["athlete"]),
        camp=UUID(told["camp"]),
        given=_text(told["given"]),
        camp_name=_text(told["camp_name"]),
        made=date.fromisoformat(told["made"]),
        asked=tuple(Asked(_text(one["rung"]), _text(one["title"])) for one in asked),
        seal=_text(told["seal"]),
    )


def _item(asked: Asked, told: Mapping[str, Any]) -> TrainedItem:
    return TrainedItem(
        rung=asked.rung,
        title=asked.title,
        trained=Trained(told["trained"]),
        weekly=_number(told["weekly"]),
        weeks=_number(told["weeks"]),
        what=_text(told["what"]),
        problems=_text(told["problems"]),
        clip=_text(told["clip"]),
    )


def _number(typed: object) -> int | None:
    """A whole number as the form sends it, as text; empty is none."""
    if not isinstance(typed, str):
        raise TypeError("a number is sent as text")
    return int(typed[:6]) if typed.strip() else None


def _text(told: object) -> str:
    if not isinstance(told, str):
        raise TypeError("a text")
    return "".join(letter for letter in told if letter.isprintable() or letter == "\n").strip()


def _whole(told: Any) -> Any:
    """The same with each half of a letter that stands alone as a mark, for JSON may carry one and nothing else may."""
    if isinstance(told, str):
        return told.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    if isinstance(told, Mapping):
        return {key: _whole(value) for key, value in told.items()}
    return [_whole(one) for one in told] if isinstance(told, list) else told
