"""The settings an order is made with: today's, or those of an earlier making with today's alignment."""

from dataclasses import replace
from pathlib import Path

import pytest

from watcher.archive.effective_settings import EffectiveSettings, settings_now, settings_then
from watcher.errors import OrderHeld
from watcher.settings.load import load_settings
from watcher.settings.model import Settings


@pytest.fixture
def settings(print_folder: Path) -> Settings:
    return load_settings(print_folder / "settings.toml")


def now(settings: Settings, card: str = "invitation") -> EffectiveSettings:
    return settings_now(settings, settings.cards[card], settings.sheets[settings.cards[card].sheet])


def test_a_damaged_alignment_is_never_taken_for_none(settings):
    before = now(settings)
    (settings.folder / "alignment.toml").write_text("not a table")
    with pytest.raises(OrderHeld, match="Mend or delete it"):
        now(settings)
    with pytest.raises(OrderHeld, match="Mend or delete it"):
        settings_then(settings, before)


def test_settings_of_then_are_not_those_of_today(settings):
    before = now(settings)
    before = replace(before, card=before.card.model_copy(update={"name": "gone", "quantity": 7}))
    then = settings_then(settings, before)
    assert (then.card.name, then.card.quantity) == ("gone", 7)
    assert "gone" not in settings.cards
    assert settings_then(settings, now(settings)).sha256 == now(settings).sha256


def test_a_printer_that_is_gone_prints_without_a_correction(settings):
    before = now(settings)
    printer = before.printer.model_copy(update={"name": "sold"})
    sheet = before.sheet.model_copy(update={"printer": "sold"})
    then = settings_then(settings, replace(before, printer=printer, sheet=sheet))
    assert (then.printer.name, then.printer.align, then.printer.click) == ("sold", {}, None)


def test_the_order_of_the_backs_is_todays_where_then_did_not_know_it(settings, print_folder):
    before = now(settings)
    file = print_folder / "settings.toml"
    file.write_text(file.read_text() + 'duplex = "manual"\nlead = "top"\nguide = "left"\nbacks_order = "n-to-1"\n')
    assert settings_then(load_settings(file), before).printer.backs_order == "n-to-1"


def test_a_colour_profile_is_found_by_its_name_or_the_order_is_held(settings, press_icc):
    before = now(settings)
    known = before.printer.model_copy(update={"output_profile": Path("press.icc")})
    with pytest.raises(OrderHeld, match=r"The colour profile press\.icc, .* is not there any more"):
        settings_then(settings, replace(before, printer=known))
    (settings.folder / "press.icc").write_bytes(press_icc)
    then = settings_then(settings, replace(before, printer=known))
    assert then.printer.output_profile == settings.folder / "press.icc"
