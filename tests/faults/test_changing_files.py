"""Files that are written to, replaced or deleted in the very moment in which they are read."""

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.inbox import settle
from watcher.orders import claim
from watcher.service.life.returning import MOST_RETURNS
from watcher.work import make_order as pipeline

Drop = Callable[..., None]
Draw = Callable[..., Path]


class Once:
    """Stands in a function's place and does something before or after its first call for a file of that name.

    Args:
        real: the function.
        name: of the file.
        do: what happens then; is given the path.
        after: whether it happens after the call.
    """

    def __init__(self, real: Callable, name: str, do: Callable[[Path], object], *, after: bool = False) -> None:
        self._real, self._name, self._do, self._after, self.done = real, name, do, after, False

    def __call__(self, path: Path, *rest: object) -> object:
        mine = path.name == self._name and not self.done
        self.done = self.done or mine
        if mine and not self._after:
            self._do(path)
        result = self._real(path, *rest)
        if mine and self._after:
            self._do(path)
        return result


def _then(real: Callable, do: Callable[[], object]) -> Callable:
    def call(*arguments: object) -> None:
        real(*arguments)
        do()

    return call


def _grow(path: Path) -> None:
    with path.open("ab") as file:
        file.write(b"more")


def _delete(path: Path) -> None:
    path.unlink()


@pytest.fixture
def replace(draw_card: Draw) -> Callable[[Path], None]:
    """Put other art of the very same length in the file's place, by rename, as sync programs do."""

    def renamed_over(path: Path) -> None:
        fresh = draw_card(path.parent.parent / "fresh" / path.name, colour="#ff0000", word="new")
        data = fresh.read_bytes()
        size = path.stat().st_size
        fresh.write_bytes(data + bytes(max(0, size - len(data))))
        fresh.replace(path)

    return renamed_over


@pytest.mark.parametrize("where", ["_identity", "move_file", "sha256_of"])
@pytest.mark.parametrize("what", ["grows", "is replaced", "is deleted"])
def test_a_file_that_changes_while_it_is_claimed_is_taken_as_it_is_in_the_end(
    driven, drop_pair: Drop, replace: Callable, monkeypatch: pytest.MonkeyPatch, where: str, what: str
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    change = {"grows": _grow, "is replaced": replace, "is deleted": _delete}[what]
    seen: list[bytes] = []

    def do(path: Path) -> None:
        change(path)
        seen.append(path.read_bytes() if path.exists() else b"")

    hook = Once(getattr(claim, where), "lantern_back.png", do, after=where == "_identity")
    monkeypatch.setattr(claim, where, hook)
    driven.go_on(30)
    assert hook.done
    assert driven.left_lying() == []
    if what == "is deleted":
        assert (driven.orders, driven.inbox) == ([], ["lantern_front.png"])
        return
    assert (driven.orders, driven.held, driven.inbox) == (["lantern"], [], [])
    assert (driven.folder / "archive/lantern/lantern_back.png").read_bytes() == seen[0]


def test_a_file_that_is_replaced_by_one_of_the_same_size_between_look_and_claim_must_rest_anew(
    driven, drop_pair: Drop, replace: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before: another inode was taken for a copy on another device, of which nothing but the size was compared."""
    (driven.folder / "settings.toml").write_text(
        (driven.folder / "settings.toml").read_text().replace('quiet = "0 s"', 'quiet = "30 s"')
    )
    driven.start()
    drop_pair(driven.folder / "inbox")
    hook = Once(claim._identity, "lantern_back.png", replace, after=True)
    monkeypatch.setattr(claim, "_identity", hook)
    while not hook.done:
        driven.step()
    assert driven.inbox == ["lantern_back.png", "lantern_front.png"]
    driven.go_on(40)
    assert driven.orders == ["lantern"]


@pytest.mark.parametrize("what", ["grows", "is replaced", "is deleted"])
def test_a_file_that_changes_while_its_end_is_looked_for(
    driven, drop_pair: Drop, replace: Callable, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    change = {"grows": _grow, "is replaced": replace, "is deleted": _delete}[what]
    driven.start()
    drop_pair(driven.folder / "inbox")
    hook = Once(settle.how_complete, "lantern_back.png", change)
    driven.service._taking._settling._ask = hook
    driven.go_on(30)
    assert hook.done
    if what == "is deleted":
        assert (driven.orders, driven.inbox) == ([], ["lantern_front.png"])
    else:
        assert (driven.orders, driven.held, driven.inbox) == (["lantern"], [], [])


@pytest.mark.parametrize("moment", ["before it is read", "after it was read"])
def test_a_file_that_its_writer_goes_on_with_after_it_was_taken_goes_back_and_is_made_once(
    driven, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    """A program that has the file open writes on, wherever the file has been moved to."""
    driven.start()
    drop_pair(driven.folder / "inbox")
    writer = (driven.folder / "inbox/lantern_back.png").open("ab")

    def write_on(_job: object) -> None:
        if not writer.closed:
            writer.write(b"more")
            writer.close()

    real = pipeline.make

    def make(job: object) -> object:
        if moment == "before it is read":
            write_on(job)
        made = real(job)
        write_on(job)
        return made

    monkeypatch.setattr(pipeline, "make", make)
    driven.go_on(40)
    assert (driven.orders, driven.held, driven.inbox) == (["lantern"], [], [])
    assert (driven.folder / "archive/lantern/lantern_back.png").read_bytes().endswith(b"more")
    assert driven.left_lying() == []
    assert any("was written to while it was made" in line for line in driven.log)


def test_a_file_that_is_written_to_for_ever_is_set_aside_in_the_end(
    driven, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    real = pipeline.make

    def make(job: object) -> object:
        _grow(job.folder / "lantern_back.png")
        return real(job)

    monkeypatch.setattr(pipeline, "make", make)
    driven.go_on(120)
    assert driven.held == ["lantern"]
    assert "changed while it was being read" in " ".join((driven.folder / "held/lantern/why.txt").read_text().split())
    assert driven.service.making.returned["lantern"] == MOST_RETURNS


def test_a_zip_that_is_replaced_while_its_inside_is_looked_at(
    driven, draw_card: Draw, monkeypatch: pytest.MonkeyPatch
) -> None:
    def pack(path: Path, word: str) -> None:
        with zipfile.ZipFile(path, "w") as archive:
            for name in ("1.png", "2.png"):
                archive.write(draw_card(driven.folder.parent / "art" / name, word=word + name), name)

    inbox_zip = driven.folder / "inbox/comet.zip"
    pack(inbox_zip, "old")
    fresh = driven.folder.parent / "fresh.zip"
    pack(fresh, "new")
    wanted = fresh.read_bytes()
    driven.start()
    for worker in driven.service.making.workers:
        monkeypatch.setattr(worker, "start", _then(worker.start, lambda: fresh.exists() and fresh.replace(inbox_zip)))
    driven.go_on(30)
    assert not fresh.exists()
    assert driven.orders == ["comet"]
    assert (driven.folder / "archive/comet/comet.zip").read_bytes() == wanted
    assert (driven.held, driven.left_lying()) == ([], [])
