"""A repeat takes from the archived order what its ticket leaves open, and says what has changed since."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.archive.archived_order import put_order
from tests.orders.an_order import an_order
from watcher.archive.effective_settings import settings_now
from watcher.archive.repeat import RepeatPlan, common_name, plan_repeat
from watcher.archive.same_art import order_fingerprint
from watcher.errors import OrderHeld
from watcher.orders.model import Repeat
from watcher.settings.load import load_settings
from watcher.settings.to_toml import write_settings
from watcher.terms import Side


@pytest.fixture
def shop(print_folder: Path) -> Path:
    """A print folder in whose archive a tag lies, made with the settings that it still has."""
    settings = load_settings(print_folder / "settings.toml")
    made = settings_now(settings, settings.cards["tag"], settings.sheets["a4"])
    put_order(
        print_folder / "archive", "night", name="Night", quantity=30, overs_asked="10 %", up=10, sheets=4,
        note="two piles", accepted=True, settings_sha256=made.sha256, settings=write_settings(made),
    )  # fmt: skip
    return print_folder


def plan(shop: Path, repeat: Repeat | None = None, **wishes: object) -> RepeatPlan:
    order = an_order("again", **({"quantity": 0} | wishes))
    if "overs" not in wishes:
        order = replace(order, wishes=replace(order.wishes, overs=None))
    settings = load_settings(shop / "settings.toml")
    return plan_repeat(order, repeat or Repeat(order="night"), settings, shop / "archive")


def change(shop: Path, old: str, new: str) -> None:
    file = shop / "settings.toml"
    assert old in file.read_text()
    file.write_text(file.read_text().replace(old, new))


def test_what_the_ticket_leaves_open_is_as_it_was_and_the_rest_as_it_says(shop):
    same = plan(shop).order
    assert (same.name, same.wishes.quantity, str(same.wishes.overs), same.wishes.note, same.accepted) == (
        "Night", 30, "10 %", "two piles", True,
    )  # fmt: skip
    other = plan(shop, quantity=5, overs="2", note="one pile").order.wishes
    assert (other.quantity, str(other.overs), other.note, other.card) == (5, "2", "one pile", "tag")


def test_so_many_sheets_hold_only_where_no_quantity_is_asked_for(shop):
    spoiled = Repeat(order="night", sheets_only=2)
    assert plan(shop, spoiled).sheets_only == 2
    assert plan(shop, spoiled, quantity=5).sheets_only is None


def test_changed_settings_are_said_and_a_yes_of_then_does_not_hold_for_them(shop):
    assert plan(shop).said == ()
    change(shop, '"85 x 55 mm"', '"85 x 54 mm"')
    today = plan(shop)
    (finding,) = today.said
    assert finding.code == "settings-changed"
    assert "size of the card 85 x 55 mm -> 85 x 54 mm" in finding.message
    assert not today.order.accepted


def test_as_before_takes_the_settings_of_then(shop):
    change(shop, '"85 x 55 mm"', '"85 x 54 mm"')
    then = plan(shop, Repeat(order="night", as_before=True))
    assert (then.settings.card.trim.height, then.said, then.order.accepted) == (55, (), True)


def test_a_card_that_cannot_take_the_art_any_more_holds_the_order(shop):
    change(shop, "sides = 1", "sides = 2")
    with pytest.raises(OrderHeld, match="was made on one side, but the card tag has two sides now"):
        plan(shop)
    change(shop, "[cards.tag]", "[cards.label]")
    with pytest.raises(OrderHeld, match="The card tag, .* is no longer in the settings"):
        plan(shop)


def test_it_counts_as_the_same_art_as_its_own_art_dropped_again_beside_the_common_one(shop: Path) -> None:
    own, common = ({"side": side, "file": file, "sha256": digest} for side, file, digest in (
        ("front", "a.png", "ab"), ("back", common_name(Side.BACK, ".png"), "cd"),
    ))  # fmt: skip
    put_order(shop / "archive", "moon", art=[own, common], card="invitation")
    found = plan(shop, Repeat(order="moon"))
    dropped = replace(found.order, art=tuple(one for one in found.order.art if one.side is Side.FRONT))
    card = load_settings(shop / "settings.toml").cards["invitation"]
    assert found.sha256 == order_fingerprint(dropped, card, {Side.BACK: "cd"})
