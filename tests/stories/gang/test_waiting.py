"""Orders that may share sheets wait for others, and what ends that."""

import os
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tests.stories.gang.a_gang import COLOURS, Draw, folders, today
from tests.stories.shop_files import ticket


class TestWaiting:
    def test_an_order_waits_for_others(self, shop: Path, serve: Callable, drop: Callable[..., None]) -> None:
        drop(shop, "apple_x2")
        service = serve(shop)
        assert folders(shop) == []  # and nothing that was begun
        drop(shop, "birch_x2", COLOURS[1])
        serve(shop, service)
        assert folders(shop) == []
        service.stop()

    def test_ends_when_the_first_has_waited_long_enough(
        self, shop: Path, serve: Callable, drop: Callable[..., None]
    ) -> None:
        drop(shop, "apple_x2")
        service = serve(shop)
        service.stop()
        (note,) = (shop / "archive").glob(".taking-*.json")
        os.utime(note, (time.time() - 2 * 3600 - 1,) * 2)
        drop(shop, "birch_x2", COLOURS[1])
        serve(shop).stop()
        assert len(folders(shop)) == 1
        assert ticket(shop, "apple")["run_orders"] == ["apple", "birch"]

    @pytest.mark.parametrize("key", ["now", "due"])
    def test_ends_for_all_when_one_is_in_haste(
        self, shop: Path, serve: Callable, drop: Callable[..., None], key: str
    ) -> None:
        drop(shop, "apple_x2")
        service = serve(shop)
        drop(shop, "birch_x2", COLOURS[1], **{key: {"now": "true", "due": str(today())}[key]})
        serve(shop, service).stop()
        assert ticket(shop, "apple")["run_orders"] == ["apple", "birch"]

    def test_goes_on_when_there_is_time_until_the_due_date(
        self, shop: Path, serve: Callable, drop: Callable[..., None]
    ) -> None:
        drop(shop, "apple_x2", due=str(today() + timedelta(days=3)))
        serve(shop).stop()
        assert folders(shop) == []

    def test_goes_on_after_a_restart(self, shop: Path, serve: Callable, drop: Callable[..., None]) -> None:
        drop(shop, "apple_x2")
        serve(shop).stop()
        drop(shop, "birch_x2", COLOURS[1])
        service = serve(shop)
        assert folders(shop) == []
        (shop / "state/gang-now").touch()
        serve(shop, service).stop()
        assert ticket(shop, "birch")["run_orders"] == ["apple", "birch"]
        assert not (shop / "state/gang-now").exists()

    def test_bad_art_is_held_at_once(self, shop: Path, serve: Callable, draw_card: Draw) -> None:
        for side in ("front", "back"):
            draw_card(shop / f"inbox/apple_{side}.png", (50, 34), word=side)
        serve(shop).stop()
        assert (shop / "held/apple/why.txt").exists()
