"""Complete orders taken out of the inbox, by a clock that the test holds; and what stays there, and why."""

import os
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from watcher.inbox.inspection import inspect_file
from watcher.inbox.scan import Identity
from watcher.orders.readings import group_key
from watcher.service.shop import Shop
from watcher.service.taking import FULL_S, Taking, TakingResult

WAIT_S = 900.0  # a front waits for its back
Take = Callable[..., TakingResult]


@pytest.fixture
def taking(shop: Shop) -> Taking:
    return Taking(shop, once=False)


@pytest.fixture
def take(taking: Taking) -> Take:
    """Take what is complete; `now` is the steady clock, s."""

    def do(now: float = 0.0, busy=(), **more) -> TakingResult:
        return taking.take({}, busy, now, **more)

    return do


def names(result: TakingResult) -> list[str]:
    return [order.name for order in result.taken]


def test_a_pair_is_claimed_and_a_half_waits(take: Take, drop_pair, draw_card, print_folder: Path) -> None:
    drop_pair(print_folder / "inbox")
    draw_card(print_folder / "inbox/otter_front.png")
    result = take()
    assert names(result) == ["lantern"]
    assert result.waiting == ("otter: waits for its back",)
    assert result.waiting_in_s == pytest.approx(WAIT_S, abs=5)
    assert [path.name for path in (print_folder / "inbox").iterdir()] == ["otter_front.png"]


def test_a_half_that_has_waited_enough_is_taken_with_its_fault(take: Take, draw_card, print_folder: Path) -> None:
    draw_card(print_folder / "inbox/otter_front.png")
    assert names(take(0.0)) == []
    (order,) = take(WAIT_S + 1).taken
    assert order.fault is not None
    assert order.fault.startswith("otter_front.png has waited 15 min for its back.")


def test_a_half_in_a_zip_is_taken_at_once(taking: Taking, draw_card, print_folder: Path) -> None:
    """A ZIP was packed whole: nothing is waited for."""
    art = draw_card(print_folder / "otter_front.png")
    with zipfile.ZipFile(print_folder / "inbox/otter.zip", "w") as packed:
        packed.write(art, art.name)
    (file,) = taking.take({}, (), 0.0).to_look
    (order,) = taking.take({file.identity: inspect_file(file.path)}, (), 0.0).taken
    assert (order.name, order.missing) == ("otter", "back")


def test_the_orders_of_a_zip_wait_together_while_something_of_one_arrives(taking, draw_card, print_folder) -> None:
    inbox = print_folder / "inbox"
    with zipfile.ZipFile(inbox / "week.zip", "w") as archive:
        for name in ("market_front.png", "market_back.png", "otter_front.png"):
            archive.write(draw_card(print_folder / name), name)
    back = draw_card(inbox / "otter_back.png")
    back.write_bytes(back.read_bytes()[:-20])
    result = taking.take({Identity.of((inbox / "week.zip").lstat()): inspect_file(inbox / "week.zip")}, (), 0.0)
    assert names(result) == []
    assert set(result.waiting) >= {"market: still arriving", "otter: still arriving"}


def test_an_order_waits_for_one_of_its_name_that_is_being_made(take: Take, drop_pair, print_folder: Path) -> None:
    drop_pair(print_folder / "inbox")
    result = take(busy=[group_key(None, "lantern")])
    assert (names(result), result.blocked) == ([], True)
    assert result.waiting == ("lantern: an order of this name is on its way",)


def test_what_is_due_first_is_taken_first(take: Take, drop_pair, print_folder: Path) -> None:
    for name, due in (("acorn", "2030-05-02"), ("birch", "2030-05-01")):
        drop_pair(print_folder / "inbox", name)
        (print_folder / f"inbox/{name}.toml").write_text(f"due = {due}\n")
    drop_pair(print_folder / "inbox", "cedar")
    assert names(take()) == ["birch", "acorn", "cedar"]


def test_with_a_long_queue_only_what_is_due_before_its_end_is_taken(take: Take, drop_pair, print_folder: Path) -> None:
    for name in ("acorn", "birch"):
        drop_pair(print_folder / "inbox", name)
    (print_folder / "inbox/birch.toml").write_text("due = 2030-05-01\n")
    assert names(take(before="2030-05-01")) == []
    assert names(take(before=date(2030, 6, 1).isoformat())) == ["birch"]


def test_orders_are_passed_on_a_few_at_a_time(take: Take, draw_card, print_folder: Path) -> None:
    for number in range(10):
        draw_card(print_folder / f"inbox/tag/{chr(97 + number)}.png", (258, 173))
    passed: list[tuple[int, bool]] = []
    take(pass_on=lambda orders, more: passed.append((len(orders), more)))
    assert passed == [(8, True), (2, False)]


def test_it_is_noticed_when_a_file_comes(take: Take, taking: Taking, draw_card, print_folder: Path) -> None:
    os.utime(print_folder / "inbox", ns=(0, 0))
    take()
    assert not taking.has_changed()
    draw_card(print_folder / "inbox/otter_front.png")
    assert taking.has_changed()


def test_a_missing_inbox_is_an_error_and_nothing_is_taken(take: Take, print_folder: Path) -> None:
    (print_folder / "inbox").rmdir()
    with pytest.raises(OSError, match="inbox"):
        take()


# -- what may not be all there -----------------------------------------------------------------------------------------


def test_art_that_says_no_side_waits_a_moment_for_what_tells_it(take: Take, draw_card, print_folder: Path) -> None:
    draw_card(print_folder / "inbox/otter.png")
    assert take(0.0).taken == ()
    draw_card(print_folder / "inbox/otter back.png", word="B")
    assert names(take(5.0)) == ["otter"]


def test_alone_it_is_taken_with_its_fault_after_that(take: Take, draw_card, print_folder: Path) -> None:
    draw_card(print_folder / "inbox/otter.png")
    assert take(0.0).taken == ()
    (order,) = take(FULL_S + 1).taken
    assert (order.fault_code, order.missing) == ("name-unclear", None)


def test_a_folder_of_pages_is_taken_when_it_has_rested(take: Take, draw_card, print_folder: Path) -> None:
    for page in (1, 2, 3):
        draw_card(print_folder / f"inbox/tag/names x2/{page}.png", (258, 173), word=str(page))
    result = take(0.0)
    assert result.waiting[0].startswith("names: ")
    (order,) = take(FULL_S + 1).taken
    assert (order.name, order.designs, order.wishes.quantity, order.came_in) == ("names", (1, 2, 3), 2, "names x2")
    assert not (print_folder / "inbox/tag/names x2").exists()
    assert (print_folder / "inbox/tag").is_dir()


def test_an_empty_folder_that_asks_for_a_repeat_is_taken_and_goes(take: Take, print_folder: Path) -> None:
    (print_folder / "inbox/again otter x40").mkdir(parents=True)
    (order,) = (*take(0.0).taken, *take(10.0).taken)
    assert order.repeat is not None
    assert (order.repeat.order, order.wishes.quantity, order.files[0].name) == ("otter", 40, "again.toml")
    assert not (print_folder / "inbox/again otter x40").exists()
