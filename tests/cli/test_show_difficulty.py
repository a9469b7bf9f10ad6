"""Competition difficulty beside a rung: only where it is switched on, only where she did it alone.

The values: FIG trampoline code of points 2005, difficulty table, read second hand.
"""

from tests.desk import cast
from tests.desk.cast import PIKE, SPRING_25, TUCK, a_camp, bring, child, payload, write
from tests.desk.test_which_ladder import own

from loftbook.desk.answers import athlete_answer

ON = ("show_difficulty = false", "show_difficulty = true")


def a_book(folder, *changes):
    """Mira alone on the tuck, in a light belt on the pike, as it asks on the tuck in the belt."""
    desk = cast.a_desk(folder / "camp.book", ladder_file=own(folder, "ours-1", *changes))
    (who,) = bring(desk, child("Mira", "Moss"))
    camp = a_camp(desk, "Camp", SPRING_25)
    write(
        desk,
        payload(camp, who),
        payload(camp, who, PIKE, help="belt_light"),
        payload(camp, who, "double_tuck_belt", help="belt_slack"),
    )
    return desk, who


def test_it_stands_beside_what_she_did_alone(tmp_path):
    desk, who = a_book(tmp_path, ON)
    shown = athlete_answer(desk, who).difficulty
    # FIG trampoline 2005, read second hand: double back tuck 1.0; in the belt it has no value
    assert {rung: one.words for rung, one in shown.items()} == {TUCK: "difficulty 1.0 (trampoline, to 2024)"}
    desk.store.close()


def test_nothing_stands_there_while_it_is_off(tmp_path):
    desk, who = a_book(tmp_path)
    assert athlete_answer(desk, who).difficulty == {}
    desk.store.close()


def test_the_command_says_it_in_words_and_as_json(run, tmp_path):
    a_book(tmp_path, ON)[0].store.close()
    words = run("athlete", "show", "Mira Moss", "--book", "camp.book").out
    assert "alone, difficulty 1.0 (trampoline, to 2024)" in words
    assert words.count("difficulty") == 1
    told = run("athlete", "show", "Mira Moss", "--book", "camp.book", "--json").json["difficulty"]
    assert told == {TUCK: {"points": 1.0, "edition": "trampoline to 2024", "ends": "2024-12-31"}}
    shown = run("ladder", "show", "--book", "camp.book")
    # FIG trampoline 2005, read second hand: double back pike 1.2
    assert "Double back, pike  (nobody in), difficulty 1.2 (trampoline, to 2024)" in shown.out
    told = run("ladder", "show", "--book", "camp.book", "--json").json["difficulty"]
    assert told[PIKE]["points"] == 1.2
    assert "double_tuck_belt" not in told


def test_the_command_says_nothing_while_it_is_off(run, tmp_path):
    a_book(tmp_path)[0].store.close()
    for words in (("athlete", "show", "Mira Moss"), ("ladder", "show")):
        assert "difficulty" not in run(*words, "--book", "camp.book").out
    assert "difficulty" not in run("ladder", "show", "--book", "camp.book", "--json").json


def test_the_page_says_it_beside_the_standing(tmp_path):
    from fastapi.testclient import TestClient

    from loftbook.web.app import create_app

    for number, (changes, times) in enumerate([((ON,), 1), ((), 0)]):
        folder = tmp_path / str(number)
        folder.mkdir()
        desk, who = a_book(folder, *changes)
        page = TestClient(create_app(desk), base_url="http://localhost").get(f"/athletes/{who}").text
        assert page.count("ifficulty") == times
        assert page.count("Difficulty 1.0 (trampoline, to 2024)") == times
        desk.store.close()
