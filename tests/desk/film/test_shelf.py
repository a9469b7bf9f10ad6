"""Films in an object store, on two file systems of fsspec's own: a film comes back byte for byte, and goes for good.

Against a real S3 server nothing was run here.
"""

import shutil
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

import fsspec
import pytest
from tests.desk.film import cast

from loftbook.desk.film import places
from loftbook.desk.film.attaching import delete_film
from loftbook.desk.film.shelf import SETTING, Shelf, shelf_of
from loftbook.desk.film.working import work_all
from loftbook.errors import LoftbookError


@pytest.fixture(params=["memory", "local"])
def address(request, tmp_path):
    """In the memory of this process, or in a folder that stands for another machine's disk."""
    return f"memory://{uuid4().hex}/films" if request.param == "memory" else f"local://{tmp_path}/far/films"


def on_it(address):
    system, root = fsspec.core.url_to_fs(address)
    system.invalidate_cache()
    found = system.find(root) if system.exists(root) else []
    return {Path(one).name: system.cat_file(one) for one in found}


def test_a_film_is_put_there_fetched_by_another_machine_and_deleted_there(hall, address, monkeypatch):
    monkeypatch.setattr(places, "shelf_of", lambda _: Shelf(address))
    kept = hall.send()
    files = places.clip_files(hall.desk, kept.clip.id)
    assert {sha256(data).hexdigest() for data in on_it(address).values()} == {kept.clip.digest}
    shutil.rmtree(files.folder)  # another machine, which has never seen the film
    assert {job.error for job in work_all(hall.desk, engine=cast.ENGINE)} == {""}
    assert sha256(files.original.read_bytes()).hexdigest() == kept.clip.digest
    tracks = {name: data for name, data in on_it(address).items() if name.startswith("track-")}
    assert len(tracks) == 1
    shutil.rmtree(files.folder)
    (name,) = tracks
    assert files.brought(name).read_bytes() == tracks[name]
    delete_film(hall.desk, kept.clip.id, by="H. Alder", why="asked for")
    assert (on_it(address), files.folder.exists()) == ({}, False)


def test_a_film_that_is_refused_leaves_nothing_there(hall, address, monkeypatch):
    monkeypatch.setattr(places, "shelf_of", lambda _: Shelf(address))
    with pytest.raises(LoftbookError):
        hall.send(data=b"no film at all")
    assert on_it(address) == {}


def test_a_shelf_that_does_not_delete_stops_the_deletion(hall, tmp_path, monkeypatch):
    shelf = Shelf(f"local://{tmp_path}/far")
    monkeypatch.setattr(places, "shelf_of", lambda _: shelf)
    kept = hall.send()
    monkeypatch.setattr("fsspec.implementations.local.LocalFileSystem.rm_file", lambda *_: None)
    with pytest.raises(LoftbookError, match="stay on the shelf"):
        delete_film(hall.desk, kept.clip.id, by="H. Alder", why="asked for")
    assert places.clip_files(hall.desk, kept.clip.id).original.exists(), (
        "nothing is said to be gone that is not"
    )


def test_a_book_in_a_file_has_no_shelf_and_one_on_a_server_has_what_is_named(hall, monkeypatch):
    monkeypatch.setenv(SETTING, "memory://films")
    assert shelf_of(hall.desk) is None
    far = replace(
        hall.desk, store=replace(hall.desk.store, path=None, address="postgresql://book.example/camps")
    )
    assert shelf_of(far) == Shelf("memory://films")
    with pytest.raises(LoftbookError, match="cannot be reached"):
        Shelf("nosuchthing://films").fetch(Path("folder"))
