"""Two home coaches of the demonstration answer a letter: what the form saves is taken in as if it came by mail."""

from __future__ import annotations

import json
from collections.abc import Callable

from loftbook.book.answering import KIND, HomeForm, sum_of
from loftbook.desk import Desk
from loftbook.desk.home_answers import Became, home_form, take_answers
from loftbook.desk.letters import letters_of_camp
from loftbook.desk.people import all_camps
from loftbook.errors import LoftbookError

#: Invented: when it was saved, what is said of the first point that the letter set, and of anything else.
_SAID = (
    (
        "2026-09-20T17:30:00.000Z",
        {
            "trained": "regularly",
            "weekly": "2",
            "weeks": "10",
            "what": "As the letter says, on the small bed.",
        },
        "She likes the timers. The hall was shut in August.",
    ),
    (
        "2026-09-28T19:05:00.000Z",
        {
            "trained": "sometimes",
            "weekly": "1",
            "weeks": "6",
            "problems": "Afraid once; we stopped and went back.",
        },
        "",
    ),
)
_FIELDS = ("trained", "weekly", "weeks", "what", "problems", "clip")


def answer_from_home(desk: Desk, say: Callable[[str], object]) -> None:
    """Takes in answers to two letters of the camp before the last."""
    set_something = (one for one in letters_of_camp(desk, all_camps(desk)[1].id) if one.priorities.items)
    for facts, said in zip(set_something, _SAID, strict=False):
        club = facts.athlete.club
        data = _saved(home_form(desk, facts), club.coach_name if club else "the home coach", *said)
        for taken in take_answers(desk, [("home-answer.json", data)]):
            if taken.became is not Became.WRITTEN:
                raise LoftbookError(f"a demo answer that was {taken.became.value}: {taken.why}")
            say(f"An answer from home about {taken.who}, by {taken.by}: taken in as if it had come by mail")


def _saved(form: HomeForm, by: str, written: str, first: dict[str, str], more: str) -> bytes:
    """The file as the form in the browser saves it."""
    items = [
        {name: first.get(name, "") if at == 0 else "" for name in _FIELDS} for at in range(len(form.asked))
    ]
    head = vars(form) | {"asked": [vars(one) for one in form.asked]}
    told = {
        "kind": KIND,
        "format": 1,
        "form": head,
        "answer": {"by": by, "written": written, "items": items, "more": more},
        "sum": sum_of(by, written, items, more),
    }
    return json.dumps(told, default=str).encode()
