"""The form as one HTML file that needs nothing beside itself: no network, no account, no other file.

A mail brings it, a phone opens it, and what is typed leaves it only as a file that the home
coach saves and sends herself. Its policy allows its own program and its own look, by their
sums, and nothing else.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator
from dataclasses import asdict
from hashlib import sha256
from html import escape

from loftbook.book.answering import (
    KIND,
    LONGEST_NAME,
    LONGEST_TEXT,
    MOST_A_WEEK,
    MOST_WEEKS,
    HomeForm,
    Trained,
)
from loftbook.reports.dates import day
from loftbook.reports.texts import Texts, form_part, texts


def compose(
    form: HomeForm,
    say: Texts | None = None,
    *,
    cautions: tuple[str, ...] = (),
    file: str = "home-answer.json",
    invented: bool = False,
) -> str:
    """The whole file as text; `file` is how the saved answer is called, `say` the texts of a language."""
    say = say or texts()
    css, js = form_part("form.css"), form_part("form.js")
    policy = (
        f"default-src 'none'; script-src '{_sum(js)}'; style-src '{_sum(css)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    title = say("home.title", name=form.given)
    head = (
        f'<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" content="{escape(policy)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="referrer" content="no-referrer">\n<title>{escape(title)}</title>\n<style>{css}</style>'
    )
    body = "\n".join(_body(form, say, cautions=cautions, file=file, invented=invented))
    carried = f'<script type="application/json" id="asked">{_carried(form)}</script>'
    return (
        f'<!doctype html>\n<html lang="{escape(say.lang)}">\n<head>\n{head}\n</head>\n'
        f"<body>\n{body}\n{carried}\n<script>{js}</script>\n</body>\n</html>\n"
    )


def _sum(text: str) -> str:
    """A sum as a content security policy names it."""
    return "sha256-" + base64.b64encode(sha256(text.encode()).digest()).decode()


def _carried(form: HomeForm) -> str:
    """What comes back with the answer; no letter of it can end the element that it stands in."""
    text = json.dumps(asdict(form), default=str, ensure_ascii=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _body(
    form: HomeForm, say: Texts, *, cautions: tuple[str, ...], file: str, invented: bool
) -> Iterator[str]:
    def told(name: str, /, **values: object) -> str:
        return escape(say(name, **values))

    yield f'<p class="kicker">{told("home.kicker", camp=form.camp_name, day=day(form.made))}</p>'
    if invented:
        yield f"<p>{told('home.invented')}</p>"
    yield f"<main>\n<h1>{told('home.title', name=form.given)}</h1>"
    yield "".join(f"<p>{escape(text)}</p>" for text in say.all("home.lead", name=form.given))
    yield f'<noscript><p class="caution"><strong>{told("home.noscript")}</strong></p></noscript>'
    if cautions:
        points = "".join(f"<li>{escape(one)}</li>" for one in cautions)
        yield f'<div class="caution"><strong>{told("sheet.cautions")}</strong><ul>{points}</ul></div>'
    said = {name: told(f"home.{name}") for name in ("saved", "empty", "correct", "copied", "byhand")}
    data = " ".join(
        f'data-{name}="{text}"' for name, text in (said | {"kind": KIND, "file": escape(file)}).items()
    )
    yield f'<form {data} autocomplete="off">'
    for at, one in enumerate(form.asked):
        yield _thing(at, one.title, say)
    yield f"<section><h2>{told('home.more.title')}</h2>{_area('more', told('home.more.label'))}"
    yield _field(told("home.by"), f'<input name="by" required maxlength="{LONGEST_NAME}">')
    yield (
        f'<div class="keys" hidden><button>{told("home.save")}</button>'
        f'<button type="button" class="plain print">{told("home.print")}</button></div><output role="status"></output>'
    )
    yield (
        f'<div class="other save" hidden><label class="field"><span>{told("home.other")}</span>'
        f'<textarea class="copied" readonly></textarea></label>'
        f'<button type="button" class="copy plain">{told("home.copy")}</button></div></section>\n</form>'
    )
    yield f"</main>\n<footer><p>{told('home.foot', name=form.given)}</p></footer>"


def _thing(at: int, title: str, say: Texts) -> str:
    """One thing that the letter set, and what is asked of it."""

    def told(name: str, /, **values: object) -> str:
        return escape(say(name, **values))

    choices = "".join(
        f'<label><input type="radio" name="trained-{at}" value="{one.value}">'
        f"{told(f'home.trained.{one.value}')}</label>"
        for one in (Trained.REGULARLY, Trained.SOMETIMES, Trained.NOT)
    )
    trained = f'<legend>{told("home.trained.label")}</legend><div class="choices">{choices}</div>'
    numbers = _number(f"weekly-{at}", told("home.weekly"), MOST_A_WEEK)
    numbers += _number(f"weeks-{at}", told("home.weeks"), MOST_WEEKS)
    clip = f'<input name="clip-{at}" maxlength="200">'
    return (
        f'<fieldset class="part"><legend class="thing">{at + 1}. {escape(title)}</legend>'
        f'<fieldset class="field">{trained}</fieldset><div class="pair">{numbers}</div>'
        f"{_area(f'what-{at}', told('home.what'))}{_area(f'problems-{at}', told('home.problems'))}"
        f"{_field(told('home.clip'), clip)}</fieldset>"
    )


def _field(label: str, inside: str) -> str:
    return f'<label class="field"><span>{label}</span>{inside}</label>'


def _number(name: str, label: str, most: int) -> str:
    pattern = "|".join(map(str, range(most + 1)))
    typed = f'<input name="{name}" inputmode="numeric" pattern="{pattern}" maxlength="2">'
    return _field(f'{label} <span class="hint">(0–{most})</span>', typed)


def _area(name: str, label: str) -> str:
    return _field(label, f'<textarea name="{name}" rows="3" maxlength="{LONGEST_TEXT}"></textarea>')
