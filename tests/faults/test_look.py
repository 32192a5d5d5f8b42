"""A ZIP or PDF that cannot be looked into because of the disk or for want of memory: a pause as for everything else."""

import errno
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.inbox import inspection as look

Drop = Callable[..., None]


@pytest.fixture
def drop_zip(driven, draw_card: Callable[..., Path]) -> Callable[[], Path]:
    def drop() -> Path:
        file = driven.folder / "inbox/moon.zip"
        with zipfile.ZipFile(file, "w") as archive:
            for number in (1, 2):
                archive.write(draw_card(driven.folder.parent / f"{number}.png", word=str(number)), f"{number}.png")
        return file

    return drop


def test_want_of_memory_is_one_pause_and_it_goes_on_by_itself(driven, failing, drop_zip: Callable) -> None:
    """Before: it was asked again at every look, and nobody was told."""
    memory = failing(look, "usable_members", 1, errno.ENOMEM)
    driven.start()
    drop_zip()
    driven.go_on(40)
    assert driven.log == ["paused: this computer is short of memory (Cannot allocate memory). Close other programs"]
    assert 1 < memory.calls < 10
    memory.mend()
    driven.go_on(70)
    assert driven.orders == ["moon"]
    assert driven.pauses == ["paused", "going on"]


def test_a_place_of_the_disk_that_cannot_be_read_does_not_keep_the_others(
    driven, failing, drop_zip: Callable, drop_pair: Drop
) -> None:
    failing(look, "usable_members", 1, errno.EIO)
    driven.start()
    drop_zip()
    driven.go_on(10)
    for name in ("one", "two", "three"):
        drop_pair(driven.folder / "inbox", name)
    driven.go_on(130)
    assert driven.orders == ["one", "three", "two"]
    assert driven.held == ["moon"]
    assert "moon.zip cannot be read" in (driven.folder / "held/moon/why.txt").read_text()
    assert driven.pauses == ["paused", "going on"] * (len(driven.pauses) // 2)
    assert len(driven.pauses) <= 4


def test_a_file_that_has_gone_meanwhile_is_no_trouble(driven, failing, drop_zip: Callable) -> None:
    file = drop_zip()
    driven.start()
    gone = failing(look, "usable_members", 1, errno.ENOENT)
    usable = look.usable_members

    def remove_then_fail(path: Path) -> object:
        file.unlink(missing_ok=True)
        return usable(path)

    look.usable_members = remove_then_fail  # `failing` puts the real one back
    driven.go_on(30)
    assert gone.calls == 1
    assert (driven.log, driven.inbox) == ([], [])
