"""The server's side of tests/contracts: the browser's tests read the same files."""

import json
from datetime import date, datetime
from pathlib import Path
from uuid import UUID

import pytest

from loftbook.book.access import Role
from loftbook.book.devices import Pairing
from loftbook.book.people import Athlete, Camp, Name
from loftbook.desk.devices import let_in, offer
from loftbook.desk.opening import open_desk
from loftbook.desk.sheet import Who, day_sheet
from loftbook.desk.sync import Batch, take_in
from loftbook.desk.waiting_file import take_in_file
from loftbook.store import attempts, camps, people

FOLDER = Path(__file__).resolve().parent.parent / "contracts"
SYNC = json.loads((FOLDER / "sync.json").read_text(encoding="utf-8"))


@pytest.fixture
def desk():
    now = datetime.fromisoformat(SYNC["now"])
    desk = open_desk(":memory:", clock=lambda: now)
    camp, first = UUID(SYNC["camp"]), date.fromisoformat(SYNC["first_day"])
    with desk.store.write() as connection:
        named = (("Mira", "Stone"), ("Mira", "Sturm"))
        children = [
            Athlete(UUID(who), (Name(*name),), invented=True)
            for who, name in zip(SYNC["athletes"], named, strict=True)
        ]
        people.add_athletes(connection, children)
        camps.add_camp(connection, Camp(camp, "Spring", first, first, desk.ladder.edition, invented=True))
        camps.expect(connection, camp, {child.id: str(n) for n, child in enumerate(children, 7)})
    yield desk
    desk.store.close()


def test_step_by_step(desk):
    for step in SYNC["steps"]:
        answers = take_in(desk, Batch(step["records"])).answers
        assert len(answers) == len(step["answers"]), step["what"]
        for answer, expected in zip(answers, step["answers"], strict=True):
            assert answer.status == expected["status"], (step["what"], answer)
            assert answer.again is expected.get("again", False), (step["what"], answer)
            assert expected.get("why", "") in answer.why
    with desk.store.read() as connection:
        inside = attempts.attempts_of_camp(connection, UUID(SYNC["camp"]))
    assert sorted(str(a.id) for a in inside) == SYNC["in_force_at_the_end"]


def test_the_file_of_waiting_results(desk):
    data = (FOLDER / "waiting-file.json").read_bytes()
    taken = take_in_file(desk, data, "waiting-file.json")
    assert (taken.device, taken.counts["stored"]) == ("tablet 2", 2)


def test_the_sheet_has_the_shape_that_the_browser_is_written_for(desk):
    """The keys, and the kind of each value, of the filed example."""
    filed = json.loads((FOLDER / "sheet.json").read_text(encoding="utf-8"))
    secret = offer(desk, Pairing(Role.ENTRY, rater="Coach Q", name="tablet 1")).secret
    device = let_in(desk, secret=secret).device
    take_in(desk, Batch(SYNC["steps"][0]["records"], device=device))
    made = day_sheet(desk, Who(device))
    assert shape(json.loads(json.dumps(made))) == shape(filed)


def shape(value):
    if isinstance(value, dict):
        if all(len(key) == 36 for key in value):  # by the ids of children
            return {"id": shape(next(iter(value.values())))} if value else {}
        return {key: shape(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [shape(value[0])] if value else []
    return type(value).__name__
