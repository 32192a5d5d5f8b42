"""Designs that come as numbered names under one ticket."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.place_cards import EMPTY, alike, colour_of, new_shop, numbered, picture, seen, shows, zipped
from tests.stories.shop_files import change, ticket, why
from watcher.service.loop import Service

Once = Callable[[Path], Service]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return new_shop(tmp_path / "shop", by_sight=False)


class TestNumberedNamesUnderOneTicket:
    def drop_ticket(self, folder: Path, text: str = "") -> None:
        (folder / "inbox/named/spring.toml").write_text(f"# under one ticket\n{text}\n")

    def test_are_one_order_as_soon_as_all_that_it_says_are_there(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2, 3])
        self.drop_ticket(shop, "designs = 3\nquantity = 2")
        assert once(shop).making.made == 1
        (front, back) = seen(shop / "outbox/spring/spring_sheets.pdf")
        assert shows(front, [*[colour_of(number) for number in (1, 2, 3)] * 2, EMPTY, EMPTY])
        assert alike(back[1], colour_of(1, "back"))  # the upper right of the back page lies behind the upper left
        assert len(list((shop / "archive/spring").iterdir())) == 8

    def test_wait_while_some_of_them_have_not_come(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2])
        self.drop_ticket(shop, "designs = 4")
        assert once(shop).looked.waiting == ("spring: waits for its other designs: 3 and 4 are missing",)

    def test_wait_for_more_where_nobody_says_how_many(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2])
        self.drop_ticket(shop)
        service = once(shop)
        assert service.making.made == 0
        assert service.looked.waiting[0].startswith("spring: 2 designs so far; nothing says how many there are")

    def test_are_made_once_nothing_more_has_come_for_as_long_as_an_other_side_is_waited_for(
        self, shop: Path, once: Once
    ) -> None:
        change(shop, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
        numbered(shop, [1, 2])
        self.drop_ticket(shop)
        assert once(shop).making.made == 1
        assert ticket(shop, "spring")["designs"] == 2

    def test_that_lack_some_for_too_long_are_held_and_find_them_later(self, shop: Path, once: Once) -> None:
        change(shop, 'quiet = "0 s"', 'quiet = "0 s"\nwait_for_other_side = "0 s"')
        numbered(shop, [1, 2, 5])
        self.drop_ticket(shop, "designs = 5")
        assert once(shop).making.held == 1
        assert "Of the designs of spring, 3 and 4 are missing." in why(shop, "spring")
        numbered(shop, [3, 4])
        assert once(shop).making.made == 1
        assert ticket(shop, "spring")["designs"] == 5
        assert list((shop / "held").iterdir()) == []

    def test_in_a_zip_with_their_ticket_are_made_at_once(self, shop: Path, once: Once) -> None:
        names = {
            f"spring_{number}_{side}.png": picture(colour_of(number, side))
            for number in (1, 2)
            for side in ("front", "back")
        }
        (shop / "inbox/named/all.zip").write_bytes(zipped(names | {"spring.toml": b"quantity = 4"}))
        assert once(shop).making.made == 1
        assert "2 designs x 4 cards = 1 sheet" in (shop / "outbox/log.txt").read_text()

    def test_that_are_held_for_their_art_are_accepted_as_a_whole(self, shop: Path, once: Once) -> None:
        numbered(shop, [1, 2], size=(86, 58))
        self.drop_ticket(shop, "designs = 2")
        once(shop)
        assert (shop / "held/spring").exists()
        (shop / "held/spring").rename(shop / "held/spring ok")
        assert once(shop).making.made == 1
        assert ticket(shop, "spring")["designs"] == 2
