"""The demonstration camp on SQLite and on PostgreSQL: the same rows, and the same answers to the last letter of JSON.

Each database is the other's second engine: neither knows how the other sorts, counts or keeps a document.
"""

import json
from datetime import UTC, datetime
from random import Random

import pytest
from tests import engines
from tests.desk.cast import everything

from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.answers.agreement import agreement_answer
from loftbook.desk.camp_papers import belt_facts, programme_facts
from loftbook.desk.demo import run
from loftbook.desk.evidence import evidence_answer
from loftbook.desk.film.answers import films_answer
from loftbook.desk.letters import letters_of_camp
from loftbook.desk.opening import open_desk
from loftbook.desk.people import all_athletes, all_camps
from loftbook.desk.plain import as_plain

NOW = datetime(2026, 11, 1, 18, tzinfo=UTC)


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    """The same demonstration in both: the clock stands still, and chance gives the same ids."""
    made = []
    for kind in engines.ENGINES:
        folder = tmp_path_factory.mktemp(kind)
        where = engines.the_server().book().address if kind == "postgresql" else folder / "demo.book"
        with pytest.MonkeyPatch.context() as patch:

            def opened(_, clock, patch=patch, where=where):
                desk = open_desk(where, clock=clock)
                patch.setattr("os.urandom", Random(7).randbytes)
                return desk

            patch.setattr(run, "_clock", lambda: NOW)
            patch.setattr(run, "empty_book", opened)
            patch.setenv("LOFTBOOK_FILMS", str(folder / "films"))
            made.append(run.build_demo(folder, say=lambda _: None))
    yield made
    for desk in made:
        desk.store.close()


def alike(both, ask):
    lite, server = (json.dumps(as_plain(ask(desk)), indent=1, ensure_ascii=False) for desk in both)
    assert len(lite) > 200
    assert server == lite


def test_every_row_of_every_table_is_the_same(both):
    lite, server = map(everything, both)
    assert {name for name, rows in lite.items() if rows} >= {"attempt", "standing", "clip", "job", "consent"}
    for name, rows in lite.items():
        # a key that each book draws by chance for itself is not compared
        mine, other = (
            [row for row in some if "home_answers.key" not in row] for some in (rows, server[name])
        )
        assert other == mine, name


def test_what_the_camps_answer_is_the_same(both):
    """Inventory, changes, expectations, clashes, twist sides, patterns."""
    for camp in all_camps(both[0]):
        alike(both, lambda desk, camp=camp: camp_answer(desk, camp.id))


def test_what_the_squad_and_each_gymnast_answer_is_the_same(both):
    alike(both, squad_answer)
    for who in all_athletes(both[0]):
        alike(both, lambda desk, who=who: athlete_answer(desk, who.id))


def test_letters_and_papers_say_the_same(both):
    last = all_camps(both[0])[0]
    alike(both, lambda desk: letters_of_camp(desk, last.id))
    alike(both, lambda desk: programme_facts(desk, last.id))
    alike(both, lambda desk: belt_facts(desk, last.id))


def test_agreement_evidence_and_films_say_the_same(both):
    for camp in all_camps(both[0]):
        alike(both, lambda desk, camp=camp: agreement_answer(desk, camp.id))
    alike(both, films_answer)
    for who in all_athletes(both[0])[:6]:
        alike(both, lambda desk, who=who: evidence_answer(desk, who.id, "double_pike"))
