"""Complete orders claimed: numbered, cleared up after, put back when that fails, and the others go on."""

from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.inbox.settle import Settling
from watcher.orders.claim import FileChanged
from watcher.orders.inbox_reading import InboxQuery, read_inbox
from watcher.orders.model import Order
from watcher.outbox.hold import hold
from watcher.service import claiming
from watcher.service.claiming import Claiming
from watcher.service.shop import Shop
from watcher.service.taking import read_found


@pytest.fixture
def claimed(shop: Shop) -> Callable[..., tuple[Order, ...]]:
    """Claim every complete order of the inbox."""
    own = Claiming(shop)
    own.next_number = 1

    def do(claiming: Claiming = own) -> tuple[Order, ...]:
        query = InboxQuery(settings=shop.settings, insides={}, settling=Settling(0), content=read_found, now=0)
        return claiming.claim([(plan,) for plan in read_inbox(query).plans], set(), lambda _orders, _more: None)

    return do


def test_orders_are_numbered_and_leave_the_inbox(claimed, drop_pair, print_folder: Path) -> None:
    for name in ("acorn", "birch"):
        drop_pair(print_folder / "inbox", name)
    first, second = claimed()
    assert first.number < second.number
    assert list((print_folder / "inbox").iterdir()) == []


@pytest.mark.parametrize(("error", "trouble"), [(FileChanged("a"), False), (PermissionError(13, "denied"), True)])
def test_one_that_cannot_be_claimed_does_not_keep_the_others(
    shop: Shop, claimed, drop_pair, print_folder: Path, monkeypatch: pytest.MonkeyPatch, error: Exception, trouble: bool
) -> None:
    own, real = Claiming(shop), claiming.claim

    def failing(bundle, *more):
        if bundle[0].name == "acorn":
            raise error
        return real(bundle, *more)

    monkeypatch.setattr(claiming, "claim", failing)
    for name in ("acorn", "birch"):
        drop_pair(print_folder / "inbox", name)
    assert [order.name for order in claimed(own)] == ["birch"]
    assert bool(own.trouble) is trouble
    assert {path.name for path in (print_folder / "inbox").iterdir()} == {"acorn_front.png", "acorn_back.png"}


@pytest.fixture
def held(shop: Shop, claimed, drop_pair, print_folder: Path) -> Path:
    """The folder of an order that is held."""
    drop_pair(print_folder / "inbox")
    (order,) = claimed()
    since = "2026-05-01T10:11:12+02:00"
    hold(order, ("Look at it.",), soft=True, archive=shop.archive, held=shop.held, since=since)
    return shop.held / "lantern"


def test_a_held_folder_whose_art_has_been_taken_goes(claimed, held: Path, print_folder: Path) -> None:
    held.rename(print_folder / "inbox/lantern")
    assert len(claimed()) == 1
    assert list((print_folder / "inbox").iterdir()) == []


def test_a_picture_of_ours_in_it_goes_with_it(shop: Shop, claimed, drop_pair, tmp_path: Path) -> None:
    drop_pair(shop.inbox)
    (order,) = claimed()
    picture = tmp_path / "lantern_card.png"
    picture.write_bytes(b"a card")
    folders = {"archive": shop.archive, "held": shop.held}
    hold(order, ("Look at it.",), soft=True, since="2026-05-01T10:11:12+02:00", pictures=(picture,), **folders)
    (shop.held / "lantern").rename(shop.inbox / "lantern")
    assert len(claimed()) == 1
    assert list(shop.inbox.iterdir()) == []


def test_a_file_of_the_person_in_a_held_folder_stays(claimed, held: Path, print_folder: Path) -> None:
    back = held.rename(print_folder / "inbox/lantern")
    (back / ".notes").write_text("mine")
    claimed()
    assert (back / ".notes").read_text() == "mine"


def test_mended_files_make_room_for_their_name_in_held(shop: Shop, claimed, held: Path, draw_card) -> None:
    for side in ("front", "back"):
        draw_card(shop.inbox / f"lantern_{side}.png", word=f"new {side}")
    claimed()
    assert [path.name for path in shop.held.iterdir()] == ["lantern-2"]


def test_the_very_same_files_are_not_kept_twice(shop: Shop, claimed, held: Path, drop_pair) -> None:
    drop_pair(shop.inbox)
    claimed()
    assert list(shop.held.iterdir()) == []
