"""What is made is delivered whole, whoever takes files away meanwhile: made again, never "made" without its sheets."""

import errno
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.disk import moves
from watcher.outbox import publish
from watcher.steps import Step

Drop = Callable[..., None]
WHOLE = {"_sheets.pdf", "_instructions.pdf", "_preview.png", "_card.png", "_ticket.toml"}


def delivered(driven, order: str = "lantern") -> set[str]:
    return {file.name.removeprefix(order) for file in (driven.folder / "outbox" / order).iterdir()}


def building(driven) -> Path:
    (folder,) = (driven.folder / "archive").glob(".making-*")
    return folder


def test_nothing_unfinished_ever_lies_in_the_outbox(driven, drop_pair: Drop) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.step_until_begun()
    assert (building(driven) / "lantern_sheets.pdf").exists()
    assert [path for path in (driven.folder / "outbox").iterdir() if path.is_dir()] == []


@pytest.mark.parametrize("lost", ["_sheets.pdf", "_ticket.toml", "_instructions.pdf", "all"])
def test_an_order_whose_product_has_lost_files_is_made_again_without_a_pause(
    driven, drop_pair: Drop, lost: str
) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.step_until_begun()
    if lost == "all":
        shutil.rmtree(building(driven))
    else:
        (building(driven) / f"lantern{lost}").unlink()
    driven.go_on(30)
    assert delivered(driven) == WHOLE
    assert (driven.pauses, driven.held, driven.left_lying()) == ([], [], [])
    assert len([line for line in driven.log if "made:" in line]) == 1


def test_a_file_that_was_cut_counts_as_lost(driven, drop_pair: Drop) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.step_until_begun()
    sheets = building(driven) / "lantern_sheets.pdf"
    whole = sheets.read_bytes()
    sheets.write_bytes(whole[:1000])
    driven.go_on(30)
    assert (driven.folder / "outbox/lantern/lantern_sheets.pdf").stat().st_size == len(whole)


def test_one_that_is_robbed_again_and_again_waits_and_is_made_when_nobody_does(driven, drop_pair: Drop) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox")
    for _ in range(3):
        driven.step_until_begun()
        (building(driven) / "lantern_ticket.toml").unlink()
        driven.step()
    assert "files of lantern were taken away three times" in driven.service.making.paused
    driven.go_on(120)
    assert delivered(driven) == WHOLE
    assert driven.pauses == ["paused", "going on"]


def test_a_run_that_has_lost_its_sheets_is_made_again(
    tags_may_share: Path,
    once: Callable[[Path], object],
    draw_card: Callable[..., Path],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    print_folder = tags_may_share
    for name in ("apple", "birch", "cedar"):
        draw_card(print_folder / f"inbox/tag/{name}_x6.png", (258, 173), word=name)
    robbed: list[Path] = []

    def rob(step: Step) -> None:
        if step is Step.RUN_MADE and not robbed:
            (sheets,) = (print_folder / "archive").glob(".making-run-*/*_sheets.pdf")
            sheets.unlink()
            robbed.append(sheets)

    monkeypatch.setattr("watcher.service.life.gang_orders.reached", rob)
    once(print_folder)
    assert len(robbed) == 1
    assert len(list((print_folder / "outbox").glob("run-*/run-*_sheets.pdf"))) == 1
    log = (print_folder / "outbox/log.txt").read_text()
    assert ("paused" in log, log.count(" for 3 orders instead of ")) == (False, 1)


def test_a_copy_to_another_disk_that_is_robbed_is_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The outbox alone may lie on a disk of its own; there too a folder appears by one rename, whole."""
    source, outbox = tmp_path / "archive/.making-1", tmp_path / "outbox"
    outbox.mkdir()
    source.mkdir(parents=True)
    for name in ("a_sheets.pdf", "a_ticket.toml"):
        (source / name).write_text(name)
    robbed = _two_disks(monkeypatch, outbox, times=3)
    publish.publish(source, outbox / "a")
    assert sorted(file.name for file in (outbox / "a").iterdir()) == ["a_sheets.pdf", "a_ticket.toml"]
    assert len(robbed) == 3
    assert not source.exists()


def test_one_that_never_comes_through_is_said_and_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, outbox = tmp_path / "archive/.making-1", tmp_path / "outbox"
    outbox.mkdir()
    source.mkdir(parents=True)
    (source / "a_sheets.pdf").write_text("sheets")
    _two_disks(monkeypatch, outbox, times=99)
    with pytest.raises(publish.TakenTooSoon, match="names that begin with a dot"):
        publish.publish(source, outbox / "a")
    assert (source / "a_sheets.pdf").read_text() == "sheets"
    assert list(outbox.iterdir()) == []


def _two_disks(monkeypatch: pytest.MonkeyPatch, outbox: Path, *, times: int) -> list[Path]:
    """No rename reaches the outbox from elsewhere, and what is copied into it is taken away so many times."""
    real, copy, robbed = Path.rename, moves._copy_over, list[Path]()

    def rename(self: Path, target: Path) -> Path:
        if Path(target).parent == outbox and self.parent != outbox:
            raise OSError(errno.EXDEV, "Invalid cross-device link", str(self))
        return real(self, target)

    def copy_and_lose(source: Path, target: Path) -> None:
        copy(source, target)
        if len(robbed) < times:
            target.unlink()
            robbed.append(target)

    monkeypatch.setattr(Path, "rename", rename)
    monkeypatch.setattr(moves, "_copy_over", copy_and_lose)
    return robbed


def test_a_full_disk_of_the_outbox_keeps_the_art_where_it_is_taken_up_again(driven, disk, drop_pair: Drop) -> None:
    """Nothing is archived before there is room for the sheets."""
    drive = disk(driven.folder / "outbox")
    driven.start()
    drive.fill(but=20_000)
    drop_pair(driven.folder / "inbox")
    driven.go_on(30)
    assert "the disk is full" in driven.service.making.paused
    assert not (driven.folder / "archive/lantern").exists()
    drive.make_room()
    driven.go_on(120)
    assert delivered(driven) == WHOLE
    assert driven.pauses == ["paused", "going on"]


def test_what_an_earlier_version_was_building_in_the_outbox_is_brought_to_its_end(driven, drop_pair: Drop) -> None:
    """There products were built in `outbox/.making-N`; here the art had been archived when the power was cut."""
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.step_until_begun()
    note = driven.folder / "archive/.taking-1.json"
    kept = note.read_bytes()
    driven.go_on(20)
    driven.service.stop()
    (driven.folder / "outbox/lantern").rename(driven.folder / "outbox/.making-1")
    note.write_bytes(kept)
    driven.start()
    assert delivered(driven) == WHOLE
    assert driven.left_lying() == []
