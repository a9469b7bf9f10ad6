"""A laptop's book comes into another one: nothing twice, nothing overwritten, what is unclear is asked.

What must hold is the law of the thing (idempotence, and the same facts whichever book takes in the
other) and the issue's own sentences; no outside table says it.
"""

import random
import shutil
import sqlite3
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from tests.desk import cast

from loftbook.book.consent import Consent, Purpose
from loftbook.book.deciding import Decided, Decision
from loftbook.book.people import Camp, Height, Name
from loftbook.book.typed.words import fold
from loftbook.desk.camps import make_camp
from loftbook.desk.clashes import open_clashes, settle_aside
from loftbook.desk.entry import withdraw
from loftbook.desk.merging.merge import merge_book
from loftbook.desk.people import all_athletes
from loftbook.desk.privacy.erasing import erase_child
from loftbook.errors import LoftbookError
from loftbook.store import attempts, camps, clips, decisions, same_as
from loftbook.store import people as store_people

TIME = datetime(2026, 4, 11, 12, tzinfo=UTC)


@pytest.fixture
def hall(tmp_path):
    """Two laptops with the same children and camp, ids and all, as after one list was read into both."""
    desks = []
    for name in ("one.book", "two.book"):
        desk = cast.a_desk(tmp_path / name)
        who = cast.bring(desk, *(cast.child(*pair) for pair in cast.NAMES[:3]))
        camp = cast.a_camp(desk, "Spring camp", cast.SPRING_26)
        cast.expect(desk, camp, who)
        desks.append(desk)
    yield desks, camp, who
    for desk in desks:
        desk.store.close()


def file_of(desk):
    return desk.store.path


def stored(merged):
    return {part.what: part.stored for part in merged.parts if part.stored}


def facts(desk, who=None, where=None):
    """Everything that is a fact, in numbers of this book or told through `who` and `where`, in no order."""
    who, where = who or {}, where or {}
    with desk.store.read() as connection:
        everyone = store_people.athletes(connection)
        places = camps.camps(connection)
        turns = [a for camp in places for a in attempts.attempts_of_camp(connection, camp.id, all=True)]
        back = attempts.withdrawals_of(connection, [a.id for a in turns])
        ids = [one.id for one in everyone]
        said = (*clips.consents_of(connection, ids), *decisions.decisions_of(connection, ids))
        expected = {
            (where.get(camp.id, camp.id), who.get(one, one), bib)
            for camp in places
            for one, bib in camps.expected(connection, camp.id).items()
        }
    return {
        "turns": {
            str(replace(a, athlete=who.get(a.athlete, a.athlete), camp=where.get(a.camp, a.camp)))
            for a in turns
        },
        "back": set(back),
        "children": {
            (
                who.get(one.id, one.id),
                one.born,
                frozenset((*one.names, *one.clubs, *one.heights, *one.twists, *one.consents)),
            )
            for one in everyone
        },
        "camps": {
            (where.get(c.id, c.id), fold(c.name), c.starts, c.place, frozenset(c.raters)) for c in places
        },
        "said": {str(replace(one, athlete=who.get(one.athlete, one.athlete))) for one in said},
        "expected": expected,
    }


def test_two_books_with_half_a_camp_each_become_one_and_a_second_merge_writes_nothing(hall):
    (one, two), camp, (mira, noa, otylia) = hall
    cast.write(one, cast.payload(camp, mira), cast.payload(camp, noa, cast.PIKE))
    kept, lost = cast.payload(camp, otylia), cast.payload(camp, otylia, cast.PIKE)
    cast.write(
        two, kept, lost, replace(kept, id=UUID(int=7), replaces=kept.id, outcome="tried", help="nobody_in")
    )
    withdraw(two, lost.id, by=cast.COACH)
    before = facts(two)
    dry = merge_book(one, file_of(two))
    assert (dry.written, stored(dry)) == (False, {"turns": 4})  # three turns and a taking back
    assert stored(merge_book(one, file_of(two), write=True)) == stored(dry)
    assert before["turns"] <= facts(one)["turns"]
    assert len(facts(one)["turns"]) == 5
    assert facts(two) == before  # the other book is read, never written
    held = cast.everything(one)
    revision = one.store.revision()
    again = merge_book(one, file_of(two), write=True)
    assert (again.has_news, cast.everything(one), one.store.revision()) == (False, held, revision)
    assert stored(merge_book(two, file_of(one), write=True)) == {"turns": 2}
    assert facts(two) == facts(one)


def test_who_is_whom_is_asked_and_the_answer_is_kept(tmp_path):
    """Names alone tell nothing: another birth date is asked, the same name and birth date is one child."""
    one, two = cast.a_desk(tmp_path / "one.book"), cast.a_desk(tmp_path / "two.book")
    ours = cast.bring(one, cast.child("Mira", "Moss"), cast.child("Noa", "Nettle"))
    theirs = (
        replace(cast.child("Mira", "Moss"), id=UUID(int=11), heights=(Height(1.44, date(2026, 4, 11)),)),
        replace(cast.child("Noa", "Nettle"), id=UUID(int=12), born=date(2013, 2, 2)),
        replace(cast.child("Otylia", "Pine"), id=UUID(int=13)),
    )
    cast.bring(two, *theirs)
    here, there = cast.a_camp(one, "Spring camp", cast.SPRING_26), camp_of_its_own(two)
    cast.write(one, cast.payload(here, ours[0]))
    cast.write(two, *(cast.payload(there, who.id) for who in theirs))
    first = merge_book(one, file_of(two), write=True)
    (question,) = first.questions
    assert "another birth date" in question.sentence
    assert stored(first)["turns"] == 2  # Mira's, who is known, and Otylia's, who is new; Noa's waits
    assert {part.what: part.waiting for part in first.parts}["turns"] == 1
    mira = next(a for a in all_athletes(one) if a.name == Name("Mira", "Moss"))
    assert [height.metres for height in mira.heights] == [1.40, 1.44]
    choice = next(c.key for c in question.choices if c.key.startswith("is "))
    second = merge_book(one, file_of(two), answers={question.id: choice}, write=True)
    assert (stored(second)["turns"], second.questions) == (1, ())
    assert [part.conflict for part in second.parts if part.what == "children"] == [1]  # the birth dates
    assert not merge_book(one, file_of(two), write=True).questions  # it is not asked again
    # By the numbers that were kept the other way round asks nothing and loses nobody.
    back = merge_book(two, file_of(one), write=True)
    assert back.questions == ()
    with one.store.read() as connection:
        who, where = same_as.other_numbers(connection), same_as.other_camp_numbers(connection)
    here_facts, there_facts = facts(one), facts(two, who, where)
    for part in ("turns", "camps", "back", "expected", "said"):
        assert there_facts[part] == here_facts[part], part
    one.store.close()
    two.store.close()


def camp_of_its_own(desk):
    """The camp that the other laptop made by itself: the same days, name and hall under another number."""
    told = {"place": "Saltmarsh hall", "raters": ("R. Sorrel",), "bed": "bed A", "invented": True}
    days = (cast.SPRING_26, cast.SPRING_26 + timedelta(days=1))
    return make_camp(desk, Camp(UUID(int=99), "Spring  camp", *days, desk.ladder.edition, **told))


def test_one_number_with_two_contents_goes_to_the_head_coach_with_both(hall):
    (one, two), camp, (mira, *_) = hall
    turn = cast.payload(camp, mira)
    cast.write(one, turn)
    cast.write(two, replace(turn, outcome="tried"))
    with two.store.write() as connection:
        store_people.add_facts(connection, {mira: [Height(1.43, cast.SPRING_25)]})
    merged = merge_book(one, file_of(two), write=True)
    assert {part.what: part.conflict for part in merged.parts if part.conflict} == {"children": 1, "turns": 1}
    assert len(facts(one)["turns"]) == 1  # nothing was overwritten
    height, result = open_clashes(one, camp.id).aside
    assert (height.row.record["here"], height.row.record["there"]) == (
        "1.40 m on 2025-04-12",
        "1.43 m on 2025-04-12",
    )
    assert (result.stands.outcome.value, result.row.record["outcome"]) == ("did_it", "tried")
    settle_aside(one, height.row.seq, how="instead", by=cast.COACH, camp=camp.id)
    settle_aside(one, result.row.seq, how="instead", by=cast.COACH, camp=camp.id)
    assert open_clashes(one, camp.id).number == 0
    assert next(a for a in all_athletes(one) if a.id == mira).height.metres == 1.43
    assert merge_book(one, file_of(two), write=True).has_news is False  # what was settled is not raised again


def test_a_child_who_was_erased_does_not_come_back_by_an_older_book(hall):
    (one, two), camp, (mira, noa, _) = hall
    cast.write(two, cast.payload(camp, mira), cast.payload(camp, noa))
    erase_child(one, mira, typed="Mira Moss", by=cast.COACH)
    merged = merge_book(one, file_of(two), write=True)
    assert cast.names(one) == ["Noa O’Nettle", "Otylia Pine"]
    assert stored(merged)["turns"] == 1
    assert any("erased" in note for note in merged.notes)
    assert not any(
        "Mira" in str(row) or str(mira) in str(row) for rows in cast.everything(one).values() for row in rows
    )
    # The other way round she is not erased by a merge, but a person is told.
    assert any(
        "Mira Moss was erased from the other book" in note for note in merge_book(two, file_of(one)).notes
    )


def test_a_child_known_by_another_number_does_not_come_back_either(tmp_path):
    one, two = cast.a_desk(tmp_path / "one.book"), cast.a_desk(tmp_path / "two.book")
    (mira,) = cast.bring(one, cast.child("Mira", "Moss"))
    cast.bring(two, replace(cast.child("Mira", "Moss"), id=UUID(int=11)))
    merge_book(one, file_of(two), write=True)
    erase_child(one, mira, typed="Mira Moss", by=cast.COACH)
    merge_book(one, file_of(two), write=True)
    assert cast.names(one) == []
    one.store.close()
    two.store.close()


def test_one_list_read_into_two_books_is_one_list_though_the_camp_has_two_numbers(tmp_path):
    one, two = cast.a_desk(tmp_path / "one.book"), cast.a_desk(tmp_path / "two.book")
    for desk in (one, two):
        cast.imported(desk)
    here, there = facts(one), cast.everything(two)
    with two.store.write() as connection:  # as if the camp had been made by hand there
        old = camps.last_camp(connection)
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        for table in ("attempt", "camp_athlete", "standing", "visit", "camp_pair", "camp_last"):
            connection.exec_driver_sql(
                f"UPDATE {table} SET camp = ? WHERE camp = ?", (str(UUID(int=5)), str(old.id))
            )
        connection.exec_driver_sql("UPDATE camp SET id = ? WHERE id = ?", (str(UUID(int=5)), str(old.id)))
        connection.exec_driver_sql("UPDATE attempt SET id = lower(hex(randomblob(4))) || substr(id, 9)")
    assert cast.everything(two) != there
    merged = merge_book(
        one, file_of(two), write=True, answers={f"camp {UUID(int=5).hex[-8:]}": f"is {old.id.hex[-8:]}"}
    )
    assert merged.questions == ()
    assert facts(one)["turns"] == here["turns"]
    one.store.close()
    two.store.close()


def test_a_merge_that_was_broken_off_is_simply_repeated(hall, monkeypatch):
    (one, two), camp, (mira, *_) = hall
    cast.write(two, cast.payload(camp, mira))
    held = cast.everything(one)
    monkeypatch.setattr("loftbook.desk.merging.merge.write_films", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        merge_book(one, file_of(two), write=True)
    assert cast.everything(one) == held
    monkeypatch.undo()
    assert stored(merge_book(one, file_of(two), write=True)) == {"turns": 1}


def test_what_was_said_and_decided_comes_too_once(hall):
    (one, two), _, (mira, *_) = hall
    with two.store.write() as connection:
        clips.add_consents(
            connection,
            [
                Consent(
                    UUID(int=3), mira, Purpose.FILMING, True, cast.SPRING_26, "her mother", cast.COACH, TIME
                )
            ],
        )
        told = ("national coach", "The pit first.", two.ladder.edition, TIME)
        decisions.add_decisions(
            connection,
            [
                Decision(
                    UUID(int=4),
                    mira,
                    cast.PIKE,
                    Decided.STAY,
                    cast.SPRING_26,
                    date(2026, 9, 1),
                    cast.COACH,
                    *told,
                )
            ],
        )
    for expected in ({"consents": 1, "decisions": 1}, {}):
        assert stored(merge_book(one, file_of(two), write=True)) == expected
    assert facts(one) == facts(two)


def test_an_older_book_is_brought_up_to_date_on_a_copy_and_a_newer_one_is_refused(hall):
    (one, two), camp, (mira, *_) = hall
    cast.write(two, cast.payload(camp, mira))
    two.store.close()
    with sqlite3.connect(file_of(two)) as plain:  # as before there were second numbers
        plain.executescript("DROP TABLE camp_last; DROP TABLE account_camp; DROP TABLE account")
        plain.executescript(
            "DROP INDEX ix_attempt_marked_again; DROP TABLE same_as; UPDATE alembic_version SET version_num = '0008'"
        )
    plain.close()
    bytes_before = file_of(two).read_bytes()
    assert stored(merge_book(one, file_of(two), write=True)) == {"turns": 1}
    assert file_of(two).read_bytes() == bytes_before
    with sqlite3.connect(file_of(two)) as plain:
        plain.execute("UPDATE alembic_version SET version_num = '9999'")
    plain.close()
    with pytest.raises(LoftbookError, match="newer Loftbook"):
        merge_book(one, file_of(two), write=True)
    with pytest.raises(LoftbookError, match="this very book"):
        merge_book(one, file_of(one))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whoever_takes_in_whom_the_facts_are_the_same(tmp_path, seed):
    """Random halves of a camp, with corrections and takings back on both sides, seeded."""
    chance = random.Random(seed)
    desks = [cast.a_desk(tmp_path / f"{name}.book") for name in ("one", "two")]
    everyone = [cast.child(*pair) for pair in cast.NAMES]
    turns = []
    for number, desk in enumerate(desks):
        # A child of both books has half the time another number in the second one.
        some = chance.sample(everyone, 4)
        who = [
            replace(a, id=UUID(int=50 + i)) if number and chance.random() < 0.5 else a
            for i, a in enumerate(some)
        ]
        ids = cast.bring(desk, *who)
        camp = cast.a_camp(desk, "Spring camp", cast.SPRING_26) if not number else camp_of_its_own(desk)
        cast.expect(desk, camp, ids[: chance.randrange(5)])
        for place in range(12):
            new = cast.payload(
                camp,
                chance.choice(ids),
                chance.choice([cast.TUCK, cast.PIKE]),
                id=UUID(int=number * 100 + place + 1),
            )
            old = chance.choice(turns) if turns and chance.random() < 0.4 else None
            if old and old.camp == camp.id and chance.random() < 0.5:
                withdraw(desk, old.id, by=cast.COACH)
                turns.remove(old)
                continue
            if old and old.camp == camp.id:
                new = replace(new, replaces=old.id, athlete=old.athlete)
                turns.remove(old)
            cast.write(desk, new)
            turns.append(new)
    one, two = desks
    one.store.tidy()
    shutil.copy(file_of(one), tmp_path / "first.book")
    merge_book(one, file_of(two), write=True)
    merge_book(two, tmp_path / "first.book", write=True)
    with one.store.read() as connection:
        who, where = same_as.other_numbers(connection), same_as.other_camp_numbers(connection)
    told, other = facts(one), facts(two, who, where)
    for part in ("turns", "back", "said"):
        assert other[part] == told[part], part
    assert {number for number, *_ in other["children"]} == {number for number, *_ in told["children"]}
    assert not merge_book(one, file_of(two), write=True).has_news
    for desk in desks:
        desk.store.close()
