"""What stands in the way of a run: bad art, a worker that breaks, a full disk, a name that is taken."""

import errno
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.stories.gang.a_gang import COLOURS, NAMES, Draw, Once, folders
from tests.stories.shop_files import log, ticket
from watcher.outbox.product import Product


class TestAnOrderThatCannotBeMade:
    def test_does_not_stop_the_run(self, shop: Path, once: Once, drop: Callable[..., None], draw_card: Draw) -> None:
        for number, name in enumerate(NAMES[:3]):
            drop(shop, f"{name}_x2", COLOURS[number])
        draw_card(shop / "inbox/birch_x2_back.png", (50, 34))
        once(shop)
        assert ticket(shop, "apple")["run_orders"] == ["apple", "cedar"]
        assert (shop / "held/birch/why.txt").exists()

    def test_any_more_when_the_run_is_made_does_not_either(
        self, shop: Path, serve: Callable, drop: Callable[..., None], draw_card: Draw
    ) -> None:
        """It was good when it came, and somebody has changed it in the archive since."""
        for number, name in enumerate(NAMES[:3]):
            drop(shop, f"{name}_x2", COLOURS[number])
        service = serve(shop)
        (art,) = (shop / "archive").glob(".taking-*/birch_x2_back.png")
        art.write_bytes(b"x" * art.stat().st_size)
        (shop / "state/gang-now").touch()
        serve(shop, service).stop()
        assert ticket(shop, "apple")["run_orders"] == ["apple", "cedar"]
        assert "birch" in log(shop)


class TestTrouble:
    def drop_two(self, shop: Path, drop: Callable[..., None]) -> None:
        for number, name in enumerate(NAMES[:2]):
            drop(shop, f"{name}_x2", COLOURS[number])

    def test_a_run_that_breaks_its_worker_is_made_singly(
        self, shop: Path, once: Once, drop: Callable[..., None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.drop_two(shop, drop)
        monkeypatch.setattr("watcher.work.make_gang_run.make_run", _breaks)
        once(shop)
        assert folders(shop) == ["apple", "birch"]

    def test_a_full_disk_puts_the_delivery_off(
        self, shop: Path, once: Once, drop: Callable[..., None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.drop_two(shop, drop)
        with monkeypatch.context() as full:
            full.setattr("watcher.service.life.gang_delivery.deliver_run", _finds_no_room)
            assert once(shop).making.paused
        assert [path.name for path in (shop / "archive").glob(".making-*")] == [".making-run-1"]
        once(shop)
        assert ticket(shop, "apple")["run_orders"] == ["apple", "birch"]
        assert not list((shop / "archive").glob(".*"))

    def test_a_name_taken_meanwhile_makes_the_run_again_under_another(
        self, shop: Path, once: Once, drop: Callable[..., None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self.drop_two(shop, drop)
        (shop / "outbox").mkdir(exist_ok=True)
        monkeypatch.setattr(Product, "finish", _and_takes_its_name(shop / "outbox"))
        once(shop)
        assert ticket(shop, "apple")["run"].endswith("-2")

    def test_the_next_run_of_a_day_has_another_name_though_the_first_was_collected(
        self, made: Path, once: Once, drop: Callable[..., None]
    ) -> None:
        (run,) = folders(made)
        shutil.rmtree(made / "outbox" / run)
        for name in ("fern", "gorse"):
            drop(made, f"{name}_x2")
        once(made)
        assert folders(made) == [f"{run}-2"]


def _breaks(_task: object) -> None:
    raise MemoryError


def _finds_no_room(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device", "outbox")


def _and_takes_its_name(outbox: Path) -> Callable[[Product, str, bytes], None]:
    """Finish a product, and the first time make a folder that has the run's name."""
    right, taken = Product.finish, list[Path]()

    def finish(product: Product, name: str, content: bytes) -> None:
        right(product, name, content)
        if not taken:
            (building,) = (outbox.parent / "archive").glob(".making-run-*")
            (sheets,) = building.glob("*_sheets.pdf")
            taken.append(outbox / sheets.name.removesuffix("_sheets.pdf"))
            taken[0].mkdir()

    return finish
