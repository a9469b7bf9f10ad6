"""Commands write down what they write: whose each paper is, where it lies, and its digest, so that erasure finds it."""

import hashlib
from pathlib import Path

from tests.desk import cast

from loftbook.desk.batch import write_papers
from loftbook.desk.privacy.erasing import erase_child
from loftbook.desk.privacy.leaving import left_the_machine, line_words
from loftbook.desk.privacy.taking import export_to


def test_every_paper_of_a_camp_is_noted_and_hers_go_with_her(made, tmp_path):
    cast.write(made.desk, cast.payload(made.today, made.mira), cast.payload(made.today, made.noa))
    files = write_papers(made.desk, made.today.id, tmp_path)
    lines = left_the_machine(made.desk)
    assert {line.out.file for line in lines} == {str(file) for file in files}
    for line in lines:
        assert line.out.digest == hashlib.sha256(Path(line.out.file).read_bytes()).hexdigest()
    hers = [line for line in left_the_machine(made.desk, made.mira) if line.out.children == 1]
    assert {line.out.for_whom for line in hers} == {
        "the home coach",
        "a parent or guardian",
        "the child herself",
    }
    assert "Mira Moss" in line_words(hers[0])
    archive = tmp_path / "everything.zip"
    export_to(made.desk, made.mira, archive)
    done = erase_child(made.desk, made.mira, typed="Mira Moss", by="H. Alder")
    assert len(done.papers) == len(hers) >= 4
    assert archive.exists(), "it was made for her parents to keep"
    assert any("everything.zip" in line for line in done.elsewhere)
    assert not [file for file in tmp_path.iterdir() if "mira" in file.name]
    assert [file for file in tmp_path.iterdir() if "nettle" in file.name]
    assert any("belt-list" in line for line in done.elsewhere)
    assert "Mira" not in str([line_words(line) for line in left_the_machine(made.desk)])
