"""The demonstration’s one film: a rendered body that turns a double tuck, put with an invented gymnast’s turn."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from importlib.resources import files
from io import BytesIO

from loftbook.book.attempts import Attempt
from loftbook.book.consent import Purpose
from loftbook.desk import Desk
from loftbook.desk.film.attaching import Sent, attach
from loftbook.desk.film.consenting import Spoken, record_consent
from loftbook.desk.people import all_athletes, find_camp
from loftbook.ladder.scales import Outcome
from loftbook.store import attempts

RUNG, FILM = "double_tuck", "invented-double-tuck.mp4"
KEPT = timedelta(days=365)


def agree(desk: Desk, rater: str) -> None:
    """Writes an invented yes down to letters home, for everybody but one, so that both can be seen."""
    said = "a parent (invented)"
    for who in all_athletes(desk)[:-1]:
        for purpose in (Purpose.HOME_COACH, Purpose.PARENT):
            record_consent(desk, who.id, Spoken(purpose, allowed=True, said_by=said, recorded_by=rater))


def put_film(desk: Desk, rater: str, say: Callable[[str], object]) -> None:
    """Writes an invented consent down and puts the film with a turn; it is measured as soon as pages are served."""
    turn = _turn(desk)
    if turn is None:
        return
    said = "a parent (invented)"
    until = desk.clock().date() + KEPT
    for purpose, last in ((Purpose.FILMING, None), (Purpose.KEEPING, until)):
        record_consent(
            desk, turn.athlete, Spoken(purpose, allowed=True, said_by=said, recorded_by=rater, until=last)
        )
    film = BytesIO(files("loftbook.desk.demo").joinpath(FILM).read_bytes())
    attach(desk, turn.id, Sent(film, FILM, rater, station="side A", model="lite"))
    who = next(one for one in all_athletes(desk) if one.id == turn.athlete)
    say(
        f"{FILM}: a rendered film, nobody real, put with a turn of {who.name.full}; "
        "its page is under Films, and it is measured while the pages are served"
    )


def _turn(desk: Desk) -> Attempt | None:
    """The first turn of the latest camp on the film’s rung that came round, of somebody who may be filmed."""
    may = {one.id for one in all_athletes(desk) if one.may_be_filmed}
    with desk.store.read() as connection:
        turns = attempts.attempts_of_camp(connection, find_camp(desk).id)
    fitting = (t for t in turns if t.rung == RUNG and t.outcome is Outcome.DID_IT and t.athlete in may)
    return next(fitting, None)
