"""A clock on the wall that jumps by a year: nothing is lost, nothing is set aside before its time, the log goes on."""

import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from watcher.records.timestamps import local_now

Drop = Callable[..., None]
Draw = Callable[..., Path]
YEAR_S = 365.25 * 24 * 3600
JUMPS = pytest.mark.parametrize("jump_s", [YEAR_S, -YEAR_S], ids=["ahead", "back"])


@pytest.fixture
def set_clock(driven, monkeypatch: pytest.MonkeyPatch) -> Callable[[float], None]:
    """Set the clock on the wall by so many seconds; the dates that the disk keeps stay as they were."""
    real, real_ns = time.time, time.time_ns

    def jump(seconds: float) -> None:
        monkeypatch.setattr(time, "time", lambda: real() + seconds)
        monkeypatch.setattr(time, "time_ns", lambda: real_ns() + int(seconds * 1e9))
        driven.service.shop.now = lambda: local_now() + timedelta(seconds=seconds)
        driven.service.shop.log._now = driven.service.shop.now

    return jump


@JUMPS
def test_a_pair_is_made_and_the_log_goes_on(driven, drop_pair: Drop, set_clock, jump_s: float) -> None:
    driven.start()
    drop_pair(driven.folder / "inbox", "before")
    driven.go_on(20)
    set_clock(jump_s)
    drop_pair(driven.folder / "inbox", "after", colour="#ffeecc")
    driven.go_on(20)
    assert driven.orders == ["after", "before"]
    assert [line.partition(":")[0] for line in driven.log] == ["before", "after"]


@JUMPS
def test_a_half_that_waits_is_not_held_before_its_time_nor_kept_for_a_year(
    driven, draw_card: Draw, set_clock, jump_s: float
) -> None:
    driven.start()
    draw_card(driven.folder / "inbox/lantern_front.png")
    driven.go_on(300)
    set_clock(jump_s)
    driven.go_on(500)  # 13 of 15 minutes
    assert driven.held == []
    driven.go_on(200)
    assert driven.held == ["lantern"]


@JUMPS
def test_a_half_that_comes_as_the_clock_jumps_waits_its_whole_time(
    driven, draw_card: Draw, set_clock, jump_s: float
) -> None:
    """Before: its date on the disk was a year old at its first look, and it was set aside at once."""
    driven.start()
    driven.go_on(5)
    draw_card(driven.folder / "inbox/lantern_front.png")
    set_clock(jump_s)
    driven.go_on(800)
    assert driven.held == []
    driven.go_on(200)
    assert driven.held == ["lantern"]


@JUMPS
def test_a_file_that_is_not_complete_is_given_up_in_its_time(driven, draw_card: Draw, set_clock, jump_s: float) -> None:
    driven.start()
    file = draw_card(driven.folder / "inbox/lantern_front.png")
    file.write_bytes(file.read_bytes()[:-20])
    driven.go_on(60)
    set_clock(jump_s)
    driven.go_on(480)  # 9 of 10 minutes
    assert driven.held == []
    driven.go_on(120)
    assert driven.held == ["lantern"]


@JUMPS
def test_the_next_start_knows_the_orders_of_the_other_time(driven, drop_pair: Drop, set_clock, jump_s: float) -> None:
    driven.start()
    set_clock(jump_s)
    drop_pair(driven.folder / "inbox")
    driven.go_on(20)
    driven.service.stop()
    driven.start()
    drop_pair(driven.folder / "inbox")
    driven.go_on(20)
    assert driven.orders == ["lantern"]
    assert "the same art again" in driven.log[-1]
