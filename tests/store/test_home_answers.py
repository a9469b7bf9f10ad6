"""What a home coach answered is kept as it came, a later answer beside it, and goes with the child."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

from tests.store import cast

from loftbook.book.answering import HomeAnswer, Trained, TrainedItem, standing_answers
from loftbook.store import camps, erasing, home_answers, people
from loftbook.store.database import open_book

WHEN = datetime(2026, 6, 1, 18, tzinfo=UTC)
FIRST = HomeAnswer(
    id=UUID(int=1),
    athlete=cast.athlete(1).id,
    camp=cast.camp(1).id,
    written=WHEN,
    by="R. Sorrel",
    items=(
        TrainedItem("double_pike", "Landing: pike", Trained.REGULARLY, 2, 8, problems="unmistakable ache"),
    ),
    more="",
    at=WHEN + timedelta(days=1),
    way="home-answer.json",
    digest="one",
)
LATER = replace(
    FIRST, id=UUID(int=2), written=WHEN + timedelta(hours=1), digest="two", more="and the trampoline"
)


def test_an_answer_comes_back_as_it_was_and_the_one_written_last_stands(book):
    with book.write() as connection:
        home_answers.add_answers(connection, [LATER])
        home_answers.add_answers(connection, [FIRST])  # the older file was taken in after the newer
        kept = home_answers.answers_of(connection, [FIRST.athlete])
        assert home_answers.answers_of(connection, [cast.athlete(2).id]) == ()
    assert kept == (LATER, FIRST)
    assert standing_answers(kept) == (LATER,)


def test_it_goes_with_the_child_and_leaves_no_word(tmp_path):
    store = open_book(tmp_path / "camp.book")
    with store.write() as connection:
        people.add_athletes(connection, [cast.full_athlete()])
        camps.add_camp(connection, cast.camp(1))
        home_answers.add_answers(connection, [FIRST, LATER])
    with store.write() as connection:
        assert erasing.erase_athlete(connection, FIRST.athlete)["home_answer"] == 2
    store.tidy()
    store.close()
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"unmistakable ache" not in left
