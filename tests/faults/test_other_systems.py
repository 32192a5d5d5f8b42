"""A print folder on a disk that behaves as that of Windows does. Of this macOS has the capitals alone."""

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stand_in_disk import MOST_SIGNS, StandIn, refuses
from watcher.disk.in_use import LONGEST_WAIT_S

pytestmark = pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="what is open is read from /proc")

Drop = Callable[..., None]
Draw = Callable[..., Path]
QUARTER_HOUR_S = 1000.0


@pytest.fixture
def windows(print_folder: Path, monkeypatch: pytest.MonkeyPatch) -> StandIn:
    """The disk of the print folder."""
    return StandIn(print_folder, monkeypatch)


def drop_zip(folder: Path, draw_card: Draw, *orders: str, sides: tuple[str, ...] = ("front", "back")) -> None:
    """Drop a ZIP of several orders, whose names no file system has had to take yet."""
    art = {side: draw_card(folder.parent / f"{side}.png", word=side).read_bytes() for side in ("front", "back")}
    with zipfile.ZipFile(folder / "export.zip", "w") as archive:
        for order in orders:
            for side in sides:
                archive.writestr(f"{order}_{side}.png", art[side])


def assert_all_fits(driven, windows: StandIn) -> None:
    """Nothing was asked of the disk that it refuses, and what lies there has names and lengths that it takes."""
    assert windows.refused == []
    for path in driven.folder.rglob("*"):
        assert not refuses(path.name)
        assert len(str(path)) <= MOST_SIGNS


def assert_made(driven, *names: str) -> None:
    assert driven.orders == sorted(names)
    assert (driven.pauses, driven.held, driven.inbox, driven.left_lying()) == ([], [], [], [])


# -- an order's life ---------------------------------------------------------------------------------------------------


def test_an_order_is_made_and_nothing_is_moved_that_the_program_itself_has_open(driven, windows, drop_pair: Drop):
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.go_on()
    assert_made(driven, "lantern")
    assert windows.slept == 0
    assert_all_fits(driven, windows)


def test_a_half_is_held_and_found_by_its_other_side(driven, windows, draw_card: Draw):
    driven.start()
    draw_card(driven.folder / "inbox/lantern_front.png")
    driven.go_on(QUARTER_HOUR_S)
    assert driven.held == ["lantern"]
    draw_card(driven.folder / "inbox/lantern_back.png", word="B")
    driven.go_on()
    assert_made(driven, "lantern")
    assert windows.slept == 0


def test_an_archived_order_is_made_again(driven, windows, drop_pair: Drop):
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.go_on()
    (driven.folder / "inbox/again.toml").write_text('repeat = "lantern"\n')
    driven.go_on()
    assert_made(driven, "lantern", "lantern-2")
    assert windows.slept == 0


# -- names -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "made"),
    [
        ("CON", "CON_"),
        ("nul.old", "nul_.old"),
        ("lpt1 ", "lpt1_"),
        ("menu. .", "menu"),
        ("10:30 tea", "1030 tea"),
        ('what? "a"', "what a"),
        ("COM\u00b2", "COM\u00b2_"),
    ],
)
def test_a_name_that_windows_refuses_is_made_one_that_it_takes(driven, windows, draw_card: Draw, order: str, made: str):
    driven.start()
    drop_zip(driven.folder / "inbox", draw_card, order)
    driven.go_on()
    assert driven.orders == [made]
    assert_all_fits(driven, windows)


def test_such_an_order_is_held_under_a_name_that_windows_takes(driven, windows, draw_card: Draw):
    driven.start()
    drop_zip(driven.folder / "inbox", draw_card, "PRN", sides=("front",))
    driven.go_on(QUARTER_HOUR_S)
    assert driven.held == ["PRN_"]
    assert_all_fits(driven, windows)


# -- long paths --------------------------------------------------------------------------------------------------------


@pytest.fixture
def longest(driven) -> str:
    """The longest order whose files the inbox can hold."""
    room = MOST_SIGNS - len(f"{driven.folder}/inbox/_x2_front.png")
    return ("a lantern walk in the long nights of november " * 5)[:room].rstrip() + "_x2"


def test_an_order_whose_paths_would_be_too_long_is_made_under_a_shorter_name(driven, windows, drop_pair: Drop, longest):
    driven.start()
    drop_pair(driven.folder / "inbox", longest)
    driven.go_on()
    (name,) = driven.orders
    assert longest.startswith(name)
    assert (driven.pauses, driven.held) == ([], [])
    assert_all_fits(driven, windows)


def test_a_half_of_such_a_name_is_still_a_front_when_it_comes_back_from_held(driven, windows, draw_card: Draw, longest):
    driven.start()
    draw_card(driven.folder / f"inbox/{longest}_front.png")
    driven.go_on(QUARTER_HOUR_S)
    draw_card(driven.folder / f"inbox/{longest}_back.png", word="B")
    driven.go_on()
    assert (len(driven.orders), driven.held, driven.pauses) == (1, [], [])
    assert_all_fits(driven, windows)


# -- capitals ----------------------------------------------------------------------------------------------------------


def test_orders_that_differ_in_capitals_alone_never_share_a_folder(driven, windows, drop_pair: Drop):
    driven.start()
    drop_pair(driven.folder / "inbox", "Lantern")
    driven.go_on()
    drop_pair(driven.folder / "inbox", "LANTERN", colour="#ffeedd")
    driven.go_on()
    assert_made(driven, "LANTERN-2", "Lantern")


def test_a_folder_of_a_card_is_found_in_any_capitals(driven, windows, draw_card: Draw):
    driven.start()
    draw_card(driven.folder / "inbox/Tag/menu.png", (258, 173))
    driven.go_on()
    assert driven.orders == ["menu"]


# -- files in use ------------------------------------------------------------------------------------------------------


def test_a_scanner_that_has_new_art_open_for_a_second_is_not_noticed(driven, windows, drop_pair: Drop):
    driven.start()
    drop_pair(driven.folder / "inbox")
    windows.hold_open(driven.folder / "inbox/lantern_front.png", seconds=1)
    driven.go_on()
    assert_made(driven, "lantern")
    assert 1 <= windows.slept <= LONGEST_WAIT_S


def test_a_file_that_stays_open_pauses_under_its_name_and_is_made_once_when_it_is_closed(driven, windows, drop_pair):
    driven.start()
    drop_pair(driven.folder / "inbox")
    windows.hold_open(driven.folder / "inbox/lantern_front.png")
    driven.go_on(30)
    assert driven.orders == []
    assert "lantern_front.png in " in str(driven.service.trouble)
    assert "another program has it open" in str(driven.service.trouble)
    windows.let_go()
    driven.go_on()
    assert driven.orders == ["lantern"]
    assert driven.pauses == ["paused", "going on"]
    assert (driven.inbox, driven.left_lying()) == ([], [])


def test_a_pause_over_an_open_file_waits_for_it_once_and_not_at_every_try(driven, windows, drop_pair: Drop):
    driven.start()
    drop_pair(driven.folder / "inbox")
    windows.hold_open(driven.folder / "inbox/lantern_front.png")
    driven.go_on(600)
    assert windows.slept <= 2 * LONGEST_WAIT_S


def test_other_orders_are_made_while_a_file_of_one_stays_open(driven, windows, drop_pair: Drop):
    driven.start()
    drop_pair(driven.folder / "inbox", "comet")
    drop_pair(driven.folder / "inbox", "lantern")
    windows.hold_open(driven.folder / "inbox/comet_back.png")
    driven.go_on(60)
    assert driven.orders == ["lantern"]
    windows.let_go()
    driven.go_on()
    assert driven.orders == ["comet", "lantern"]


def test_art_that_is_open_while_its_order_is_delivered_is_delivered_when_it_is_closed(driven, windows, drop_pair: Drop):
    """A thumbnailer that looks into the archive: the folder cannot get its name."""
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.take_without_making()
    windows.hold_open(next(driven.folder.glob("archive/.taking-*/lantern_front.png")))
    driven.go_on(30)
    assert "another program has it open" in str(driven.service.making.paused)
    windows.let_go()
    driven.go_on()
    assert driven.orders == ["lantern"]
    assert driven.pauses == ["paused", "going on"]
    assert driven.left_lying() == []


def test_left_overs_that_a_scanner_has_open_do_not_keep_the_program_from_starting(driven, windows, drop_pair: Drop):
    for left_over in ("archive/.making-7/a_sheets.pdf", "outbox/.old.gone/a_sheets.pdf"):
        (driven.folder / left_over).parent.mkdir(parents=True)
        (driven.folder / left_over).write_bytes(b"%PDF")
        windows.hold_open(driven.folder / left_over)
    drop_pair(driven.folder / "inbox")
    driven.start()
    driven.go_on(20)
    assert driven.orders == ["lantern"]
    driven.service.stop()
    windows.let_go()
    driven.start()
    assert driven.left_lying() == []


def test_a_status_page_that_a_viewer_keeps_open_holds_nothing_up(driven, windows, drop_pair: Drop):
    driven.start()
    driven.go_on(10)
    windows.hold_open(driven.folder / "outbox/status.html")
    drop_pair(driven.folder / "inbox")
    driven.go_on()
    assert_made(driven, "lantern")
    assert windows.slept <= 2 * LONGEST_WAIT_S
