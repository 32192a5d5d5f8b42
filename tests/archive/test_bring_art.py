"""Archived art is laid beside the order that repeats it only when all of it is what it was."""

import hashlib
import pickle
from pathlib import Path

import pytest

from tests.archive.an_archived_record import archived
from watcher.archive.archived import Archived
from watcher.archive.bring_art import ArtGone, bring_art, files_of
from watcher.orders.model import ArtSource
from watcher.orders.wishes import Wishes
from watcher.terms import Side


def source(name: str, sha256: str = "", **where: str) -> ArtSource:
    return ArtSource(side=Side.FRONT, file=name, sha256=sha256 or hashlib.sha256(name.encode()).hexdigest(), **where)


def lantern(*art: ArtSource) -> Archived:
    return archived(wishes=Wishes(card="tag", quantity=10), art=art)


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """With `a.png` and `b.png` of a lantern, and the taking folder of a repeat, where its job ticket lies."""
    for name in ("archive/lantern/a.png", "archive/lantern/b.png", "taking/again.toml"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(Path(name).name)
    return tmp_path / "archive"


def bring(order: Archived, archive: Path) -> list[str]:
    taking = archive.parent / "taking"
    bring_art(order, archive, taking, {"again.toml"})
    return sorted(file.name for file in taking.iterdir())


def test_the_art_is_laid_beside_the_job_ticket_and_stays_in_the_archive(archive):
    for name in ("a.png", "old.png"):
        (archive.parent / "taking" / name).write_text("of a try that was cut short")
    assert bring(lantern(source("a.png"), source("b.png")), archive) == ["a.png", "again.toml", "b.png"]
    assert (archive.parent / "taking/a.png").read_text() == "a.png"
    assert (archive / "lantern/a.png").read_text() == "a.png"


def test_all_faults_are_told_and_nothing_is_left_but_the_job_ticket(archive):
    (archive / "lantern/b.png").write_text("another")
    with pytest.raises(ArtGone, match=r"^lantern cannot be made again: c\.png is missing in archive/lantern;") as told:
        bring(lantern(source("a.png"), source("c.png"), source("b.png")), archive)
    assert told.value.faults[1] == "b.png in archive/lantern was altered since"
    assert [file.name for file in (archive.parent / "taking").iterdir()] == ["again.toml"]


def test_a_link_in_the_archive_is_not_followed(archive):
    (archive / "lantern/c.png").symlink_to(archive / "lantern/a.png")
    with pytest.raises(ArtGone, match=r"c\.png is missing"):
        bring(lantern(source("c.png")), archive)


def test_a_zip_is_compared_as_a_whole_where_that_is_known():
    in_zip = [source("a.zip", "ab", member="1.png"), source("b.zip", "cd", member="1.png", file_sha256="ef")]
    assert files_of(lantern(*in_zip, source("c.png", "gh"))) == {"a.zip": None, "b.zip": "ef", "c.png": "gh"}


def test_the_error_comes_whole_out_of_another_process():
    error = pickle.loads(pickle.dumps(ArtGone("lantern", ("a.png is missing",))))
    assert (error.order, error.faults) == ("lantern", ("a.png is missing",))
