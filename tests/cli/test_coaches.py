"""Accounts by command: a key is shown once, camps are given and taken, what cannot be is told in a sentence."""

from loftbook.desk.accounts import account_of_key
from loftbook.desk.devices import set_phrase
from loftbook.desk.opening import open_desk


def test_a_coach_is_let_in_and_out_again(run, book):
    named = ("--book", book)
    first = run("book", "coach", "add", "B. Penhallow", *named)
    assert first.code == 1
    assert "loftbook book phrase" in first.err
    assert "sees all of it" in run("book", "coach", "list", *named).out
    desk = open_desk(book)
    set_phrase(desk, "four quite unlikely words")
    made = run("book", "coach", "add", "B. Penhallow", "--camp", "2025-04-12", *named, "--json")
    assert (made.code, made.err) == (0, "")
    found = account_of_key(desk, made.json["key"])
    assert found is not None
    assert len(found.camps) == 1
    listed = run("book", "coach", "list", *named)
    assert "B. Penhallow" in listed.out
    assert made.json["key"] not in listed.out + run("book", "coach", "list", *named, "--json").out
    assert run("book", "coach", "add", "B.  Penhallow", *named).code == 1
    assert (
        run("book", "coach", "add", "The programme", "--programme", "--camp", "2025-04-12", *named).code == 1
    )
    assert "0 of" in run("book", "coach", "camps", "B. Penhallow", *named).out
    assert run("book", "phrase", "--forget", *named).code == 1
    assert run("book", "coach", "end", "B. Penhallow", *named).code == 0
    assert account_of_key(desk, made.json["key"]) is None
    assert run("book", "coach", "end", "Nobody", *named).code == 1
    assert run("book", "phrase", "--forget", *named).code == 0
    desk.store.close()
