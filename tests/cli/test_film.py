"""The nouns of film on the command line; following the athlete is tested elsewhere, the truth stands in for it."""

from pathlib import Path

import pytest
from tests.desk.film import cast

# The issue's own words for the list of readings.
NAMES = {
    "time of flight",
    "height",
    "travel",
    "rotation",
    "hip flexion in the shape",
    "knee flexion in the shape",
    "shape",
    "landing lean",
    "scale",
}


@pytest.fixture(autouse=True)
def _followed_by_truth(monkeypatch):
    def detect(path, clip, at=None, *, model="heavy", progress=None, cancelled=None):
        progress(0.5)
        return cast.true_track(clip)

    monkeypatch.setattr("loftbook.film.detect.detect", detect)


@pytest.fixture
def filmed(tmp_path) -> Path:
    """A book in which Mira may be filmed and has a turn."""
    desk, _ = cast.filmed_book(tmp_path)
    desk.store.close()
    return tmp_path / "camp.book"


@pytest.fixture
def kept(filmed, run) -> str:
    """The id of a film that was put there and measured."""
    put = run("film", "attach", cast.TUCK, "Mira Moss", "--by", "H. Alder", "--book", filmed, "--json")
    assert put.code == 0, put.err
    return put.json["film"]["id"]


def test_a_film_is_measured_without_a_book_and_none_is_made(run, tmp_path):
    answer = run("film", "measure", cast.TUCK, "--json")
    assert (answer.code, answer.err) == (0, "")
    told = answer.json
    assert told["verdict"].keys() == {"trust", "sentence", "reasons"}
    assert {one["name"] for one in told["readings"]} >= NAMES
    for one in told["readings"]:
        assert one.keys() == {"name", "value", "unit", "uncertainty", "verdict", "basis", "recipe"}
    assert list(tmp_path.iterdir()) == []


def test_in_words_each_reading_stands_with_its_uncertainty(run):
    answer = run("film", "measure", cast.TUCK, "--eyes", "stock")
    assert "Looked at with the stock pose model alone." in answer.out
    line = next(line for line in answer.out.splitlines() if line.strip().startswith("time of flight"))
    assert " ± " in line
    assert " s " in line
    assert "Verdict: " in answer.out
    assert "A qualified coach decides" in answer.out


@pytest.mark.parametrize("ending", ["csv", "parquet", "trc", "c3d"])
def test_the_time_course_is_a_file_on_request(run, tmp_path, ending):
    answer = run("film", "measure", cast.TUCK, "--out", f"course.{ending}")
    assert answer.code == 0, answer.err
    assert (tmp_path / f"course.{ending}").stat().st_size > 1000
    assert f"course.{ending}" in answer.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nothing.mp4"], "no film at nothing.mp4"),
        ([cast.TUCK, "--at", "1,2"], "X,Y,FRAME"),
        ([cast.TUCK, "--at", "9999,2,1"], "a picture of 1280 by 720"),
        ([cast.TUCK, "--model", "huge"], "heavy, full, lite"),
        ([cast.TUCK, "--stature", "143"], "give metres"),
        ([cast.TUCK, "--speed", "3"], "1, 2, 4 or 8"),
        ([cast.TUCK, "--bed", "a,b"], "X1,Y1,X2,Y2"),
        ([cast.TUCK, "--out", "course.xls"], "csv, parquet, trc, c3d"),
        ([cast.TUCK, "--out", "/proc/none/course.csv"], "a folder you may write to"),
    ],
)
def test_what_cannot_be_is_one_sentence(run, words, said):
    answer = run("film", "measure", *words)
    assert answer.code == 1
    assert said in answer.err
    assert "Traceback" not in answer.err
    assert len(answer.err.strip().splitlines()) == 1


@pytest.mark.parametrize("content", [b"", b"hello", b"\x89PNG\r\n\x1a\n" + bytes(40), bytes(5000)])
def test_what_is_no_film_is_one_sentence(run, tmp_path, content):
    (tmp_path / "odd.mp4").write_bytes(content)
    answer = run("film", "measure", "odd.mp4")
    assert (answer.code, answer.out) == (1, "")
    assert len(answer.err.strip().splitlines()) == 1


def test_put_listed_shown_measured_again_taken_along_and_deleted(run, filmed, kept, tmp_path):
    book = ("--book", filmed)
    assert "Mira Moss" in run("film", "list", *book).out
    before = run("film", "show", kept, *book, "--json").json["measured"]
    assert {one["name"] for one in before["readings"]} >= NAMES
    assert run("film", "remeasure", *book, "--json").json == {kept: "measured"}
    assert run("film", "show", kept, *book, "--json").json["measured"] == before
    for ending in ("csv", "trc", "png", "mp4", "pdf"):
        saved = run("film", "export", kept, "--to", f"film.{ending}", *book)
        assert saved.code == 0, saved.err
        assert (tmp_path / f"film.{ending}").stat().st_size > 1000
    assert run("film", "delete", kept, "--by", "H. Alder", *book).code == 0
    assert run("film", "list", *book, "--json").json["lines"] == []
    assert not list((tmp_path / "camp.book.films").iterdir())


def test_without_consent_it_is_refused_and_with_a_word_it_goes_in(run, filmed):
    book = ("--book", filmed)
    put = ("film", "attach", cast.TUCK, "Noa O’Nettle", "--by", "H. Alder", "--later", *book)
    refused = run(*put)
    assert refused.code == 1
    assert "no consent to filming Noa O’Nettle" in refused.err
    said = run("film", "consent", "Noa O’Nettle", "yes", "--said-by", "a parent", "--by", "H. Alder", *book)
    assert said.code == 0, said.err
    assert "waiting" in run(*put).out
    assert "It was there already" in run(*put).out
    odd = run("film", "consent", "Noa O’Nettle", "perhaps", "--said-by", "a", "--by", "b", *book)
    assert (odd.code, "yes or no" in odd.err) == (1, True)


def test_commands_that_read_make_no_book(run, tmp_path):
    for words in (("list",), ("show", "x"), ("remeasure",), ("export", "x", "--to", "a.csv")):
        assert run("film", *words, "--book", tmp_path / "mistyped.book").code == 1
    assert not (tmp_path / "mistyped.book").exists()
