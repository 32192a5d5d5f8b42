"""What sync programs do: write slowly, in pieces, under other names, half a pair now and half later, folder by file."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from tests.long_form import LONG

Drop = Callable[..., None]
Yes = Callable[[Path], None]
Draw = Callable[..., Path]
SHORT = slice(None) if LONG else slice(2)  # of several like cases the short form takes two
ENDINGS = ["png", "jpg", "tif", "webp"][SHORT]


@pytest.fixture
def sync(driven, draw_card: Draw) -> Callable[..., bytes]:
    """Art as it is in the end, as large as a photo makes it; gives the bytes of a side."""

    def art(side: str, ending: str = "png") -> bytes:
        file = draw_card(driven.folder.parent / "phone" / f"lantern_{side}.png", word=side)
        with Image.open(file) as drawn:
            photo = Image.blend(drawn, Image.effect_noise(drawn.size, 90).convert("RGB"), 0.5)
        packed = {"compression": "tiff_deflate"} if ending == "tif" else {}
        photo.save(file.with_suffix(f".{ending}"), **packed)
        return file.with_suffix(f".{ending}").read_bytes()

    return art


def assert_made_once(driven) -> None:
    assert (driven.orders, driven.held, driven.inbox) == (["lantern"], [], [])
    assert sorted(path.name for path in (driven.folder / "archive").iterdir()) == ["lantern"]
    assert driven.left_lying() == []


# -- ways of writing ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_file_that_is_written_slowly_in_its_place_is_taken_when_it_is_whole(driven, sync, ending: str) -> None:
    driven.start()
    back = sync("back", ending)
    (driven.folder / f"inbox/lantern_front.{ending}").write_bytes(sync("front", ending))
    with (driven.folder / f"inbox/lantern_back.{ending}").open("wb", buffering=0) as file:
        for start in range(0, len(back), len(back) // 9 + 1):
            file.write(back[start : start + len(back) // 9 + 1])
            if start + len(back) // 9 + 1 < len(back):
                driven.go_on(40)
                assert driven.orders == []
    driven.go_on(20)
    assert_made_once(driven)
    assert (driven.folder / f"archive/lantern/lantern_back.{ending}").read_bytes() == back


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_file_that_is_laid_out_in_zeros_and_then_filled_is_taken_when_it_is_filled(driven, sync, ending: str) -> None:
    driven.start()
    back = sync("back", ending)
    (driven.folder / f"inbox/lantern_front.{ending}").write_bytes(sync("front", ending))
    file = driven.folder / f"inbox/lantern_back.{ending}"
    file.write_bytes(bytes(len(back)))
    for part in (1, 2, 3):
        driven.go_on(60)
        assert (driven.orders, driven.held) == ([], [])
        filled = len(back) * part // 4
        file.write_bytes(back[:filled] + bytes(len(back) - filled))
    driven.go_on(60)
    assert (driven.orders, driven.held) == ([], [])
    file.write_bytes(back)
    driven.go_on(20)
    assert_made_once(driven)


@pytest.mark.parametrize("name", [".lantern_back.png.Xy12", "lantern_back.png.part", "~lantern_back.tmp"][SHORT])
def test_a_file_that_is_written_under_another_name_and_then_renamed(driven, sync, name: str) -> None:
    driven.start()
    (driven.folder / "inbox/lantern_front.png").write_bytes(sync("front"))
    aside = driven.folder / "inbox" / name
    aside.write_bytes(sync("back"))
    driven.go_on(700)
    assert aside.exists()
    assert driven.orders == []
    aside.rename(driven.folder / "inbox/lantern_back.png")
    driven.go_on(20)
    assert_made_once(driven)


def test_a_file_that_is_renamed_over_by_a_newer_one_before_it_is_taken(driven, sync, draw_card: Draw) -> None:
    driven.start()
    (driven.folder / "inbox/lantern_front.png").write_bytes(sync("front"))
    driven.go_on(30)
    newer = draw_card(driven.folder.parent / "newer.png", colour="#ff8800", word="newer")
    wanted = newer.read_bytes()
    newer.replace(driven.folder / "inbox/lantern_front.png")
    (driven.folder / "inbox/lantern_back.png").write_bytes(sync("back"))
    driven.go_on(20)
    assert_made_once(driven)
    assert (driven.folder / "archive/lantern/lantern_front.png").read_bytes() == wanted


def test_half_a_pair_minutes_before_the_other(driven, sync) -> None:
    driven.start()
    (driven.folder / "inbox/lantern_back.png").write_bytes(sync("back"))
    driven.go_on(14 * 60)
    (driven.folder / "inbox/lantern_front.png").write_bytes(sync("front"))
    driven.go_on(20)
    assert_made_once(driven)


def test_a_half_that_was_set_aside_is_found_by_its_other_side_an_hour_later(driven, sync) -> None:
    driven.start()
    (driven.folder / "inbox/lantern_back.png").write_bytes(sync("back"))
    driven.go_on(16 * 60)
    assert driven.held == ["lantern"]
    driven.go_on(3600)
    (driven.folder / "inbox/lantern_front.png").write_bytes(sync("front"))
    driven.go_on(20)
    assert_made_once(driven)


# -- what is never taken for art ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        "lantern_back (conflicted copy 2026-05-01).png",
        "lantern_back.sync-conflict-20260501-101112-ABCDEFG.png",
        "lantern_back (Case Conflict).png",
        "lantern_back_conflict-20260501-101112.png",
    ][SHORT],
)
def test_a_conflict_copy_is_held_with_its_reason_and_never_paired(driven, sync, draw_card: Draw, name: str) -> None:
    driven.start()
    for side in ("front", "back"):
        (driven.folder / f"inbox/lantern_{side}.png").write_bytes(sync(side))
    copy = draw_card(driven.folder / "inbox" / name, colour="#ff0000", word="other").read_bytes()
    driven.go_on(40)
    assert driven.orders == ["lantern"]
    [held] = driven.held
    assert (driven.folder / "held" / held / name).read_bytes() == copy
    why = " ".join((driven.folder / "held" / held / "why.txt").read_text().split())
    assert "is a copy that a sync program made because two versions were saved" in why


def test_a_conflict_copy_alone_is_no_half_of_a_pair(driven, sync) -> None:
    driven.start()
    (driven.folder / "inbox/lantern_back (conflicted copy 2026-05-01).png").write_bytes(sync("back"))
    (driven.folder / "inbox/lantern_front.png").write_bytes(sync("front"))
    driven.go_on(60)
    assert (driven.orders, driven.inbox) == ([], ["lantern_front.png"])


def test_a_file_that_is_not_fetched_yet_is_never_opened(driven, sync, monkeypatch: pytest.MonkeyPatch) -> None:
    """Opening it would call for it from afar. Linux has no mark for such files: the look is made to see one."""
    driven.start()
    for side in ("front", "back"):
        (driven.folder / f"inbox/lantern_{side}.png").write_bytes(sync(side))
    size = (driven.folder / "inbox/lantern_back.png").stat().st_size
    real, opened = os.open, []
    with monkeypatch.context() as patch:
        patch.setattr("watcher.inbox.scan._is_placeholder", lambda status: status.st_size == size)
        patch.setattr(os, "open", lambda path, *rest: (opened.append(Path(path).name), real(path, *rest))[1])
        driven.go_on(120)
        assert driven.inbox == ["lantern_back.png", "lantern_front.png"]
    assert "lantern_front.png" in opened
    assert "lantern_back.png" not in opened
    driven.go_on(20)
    assert driven.orders == ["lantern"]


# -- links -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("elsewhere", ["the same disk", "another disk"])
def test_an_inbox_that_is_a_link_works(driven, disk, drop_pair: Drop, elsewhere: str, say_yes: Yes) -> None:
    synced = driven.folder.parent / "synced"
    if elsewhere == "another disk":
        disk(synced)
    synced.mkdir(exist_ok=True)
    (driven.folder / "inbox").rmdir()
    (driven.folder / "inbox").symlink_to(synced)
    say_yes(driven.folder)
    driven.start()
    drop_pair(synced)
    driven.go_on(20)
    assert_made_once(driven)
    assert (driven.folder / "inbox").is_symlink()


def test_a_link_to_an_inbox_whose_drive_is_gone_is_waited_for(driven, disk, drop_pair: Drop, say_yes: Yes) -> None:
    drive = disk(driven.folder.parent / "synced")
    (driven.folder / "inbox").rmdir()
    (driven.folder / "inbox").symlink_to(driven.folder.parent / "synced")
    say_yes(driven.folder)
    driven.start()
    drive.move_to(driven.folder.parent / "unplugged")
    drop_pair(driven.folder.parent / "synced")  # below the place of the drive
    driven.go_on(30)
    assert "the drive of the folder inbox is not there" in driven.service.trouble
    assert driven.orders == []


def test_links_inside_the_inbox_are_refused_and_said(driven, draw_card: Draw) -> None:
    secret = draw_card(driven.folder.parent / "secret/lantern_front.png")
    (driven.folder / "inbox/lantern_front.png").symlink_to(secret)
    (driven.folder / "inbox/tag").symlink_to(secret.parent)
    driven.start()
    driven.go_on(1200)
    assert (driven.orders, driven.held) == ([], [])
    assert secret.exists()
    said = " ".join(driven.service.looked.left_alone)
    assert "lantern_front.png: a link" in said
    assert "tag: a link" in said
