"""Where the line lies between orders that may share a sheet and those that may not."""

from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from watcher.orders.model import Order
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.work.gang_kind import MOST_CARDS_SHARED, kind_of


@pytest.fixture
def settings(tags_may_share: Path) -> Settings:
    """Those of the print folder, with tags that may share sheets."""
    return load_settings(tags_may_share / "settings.toml")


def with_tag(settings: Settings, **change: object) -> Settings:
    tag = settings.cards["tag"].model_copy(update=change)
    return settings.model_copy(update={"cards": {**settings.cards, "tag": tag}})


def tag(**values: object) -> Order:
    return an_order("tag", **{"card": "tag", **values})


def test_the_kind_names_the_sheet_that_the_order_or_else_its_card_is_printed_on(settings: Settings) -> None:
    both = settings.model_copy(
        update={"sheets": {name: sheet.model_copy(update={"gang": True}) for name, sheet in settings.sheets.items()}}
    )
    kinds = [kind_of(tag(), both), kind_of(tag(sheet="letter"), both)]
    assert [kind and kind.sheet for kind in kinds] == ["a4", "letter"]


def test_cards_for_another_envelope_do_not_share(settings: Settings) -> None:
    assert kind_of(tag(), settings) != kind_of(tag(), with_tag(settings, envelope="C6"))


def test_an_order_of_as_many_cards_as_may_share_does_and_with_its_overs_it_does_not(settings: Settings) -> None:
    assert kind_of(tag(quantity=MOST_CARDS_SHARED), settings) is not None
    assert kind_of(tag(quantity=MOST_CARDS_SHARED, overs="1"), settings) is None


def test_the_word_of_the_order_goes_before_that_of_its_card(settings: Settings) -> None:
    """Whether the customer is to see it first."""
    asking = with_tag(settings, approve=True)
    assert kind_of(tag(), asking) is None
    assert kind_of(tag(approve=False), asking) == kind_of(tag(), settings)


def test_an_order_whose_check_was_overruled_has_its_sheets_for_itself(settings: Settings) -> None:
    assert kind_of(tag(overruled=True), settings) is None
    assert kind_of(tag(), settings) is not None
