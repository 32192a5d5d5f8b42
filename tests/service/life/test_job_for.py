"""What a worker is told of an order: names, day and fingerprint, and what keeps it from being told anything."""

from dataclasses import replace
from pathlib import Path

import pytest

from watcher.errors import OrderHeld
from watcher.orders.claim import taking_folder
from watcher.orders.model import Order, Repeat
from watcher.outbox.product import building_folder
from watcher.records.order_life import State
from watcher.service.life.cases import OrderCase
from watcher.service.life.job_for import job_for_order, job_for_repeat
from watcher.service.life.making import Making
from watcher.service.shop import Shop
from watcher.terms import Side


def with_card(shop: Shop, **change: object) -> None:
    card = shop.settings.cards["invitation"].model_copy(update=change)
    shop.settings = shop.settings.model_copy(update={"cards": {**shop.settings.cards, "invitation": card}})


def asking_for(order: Order, **wishes: object) -> Order:
    return replace(order, wishes=replace(order.wishes, **wishes))


def test_it_says_where_the_art_lies_and_under_which_name_the_product_goes(making: Making, taken: OrderCase):
    job = job_for_order(taken.order, making.shop, lambda _order: "lantern-4")
    archive, number = making.shop.archive, taken.number
    assert (job.folder, job.building) == (taking_folder(archive, number), building_folder(archive, number))
    assert (job.name, job.shown) == ("lantern-4", "lantern-4")
    assert job.date == job.made_at[:10]


def test_art_that_was_made_before_shows_the_name_and_day_of_the_first_time(making: Making, taken: OrderCase):
    art = job_for_order(taken.order, making.shop, making.name_for).order_sha256
    done = replace(taken.order, number=taken.number + 100)
    entry = making.journal.entry(done, State.DONE, folder="comet", art=art)
    making.shop.journal.write(replace(entry, since="2026-01-02T03:04:05+00:00"))
    job = job_for_order(taken.order, making.shop, lambda _order: "lantern")
    assert (job.name, job.shown, job.date) == ("lantern", "comet", "2026-01-02")


@pytest.mark.parametrize("gone", [{"card": "gone"}, {"sheet": "gone"}])
def test_without_its_card_or_sheet_in_the_settings_it_is_held(making: Making, taken: OrderCase, gone: dict[str, str]):
    with pytest.raises(OrderHeld, match="gone .*is no longer in the settings"):
        job_for_order(asking_for(taken.order, **gone), making.shop, making.name_for)


def test_other_common_art_makes_another_order_and_without_it_there_is_none(
    making: Making, taken: OrderCase, tmp_path: Path
):
    common = tmp_path / "back.png"
    with_card(making.shop, common_back=common)
    with pytest.raises(OrderHeld, match="common back of the card invitation cannot be read"):
        job_for_order(taken.order, making.shop, making.name_for)
    prints = set()
    for content in (b"a", b"b"):
        common.write_bytes(content)
        job = job_for_order(taken.order, making.shop, making.name_for)
        prints.add(job.order_sha256)
    assert len(prints) == 2
    assert job.common == ((Side.BACK, common),)


def test_a_repeat_of_an_order_that_the_archive_does_not_have_is_held(making: Making, taken: OrderCase):
    order = replace(taken.order, art=(), files=())
    with pytest.raises(OrderHeld, match="comet"):
        job_for_repeat(order, Repeat(order="comet"), making.shop, making.name_for)
