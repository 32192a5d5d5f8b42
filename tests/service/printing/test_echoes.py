"""What a sync program brings again is told from what a person asks for."""

import shutil
from datetime import timedelta


def test_a_copy_that_a_sync_program_brings_again_sends_nothing_and_goes(made) -> None:
    made.rename("lantern", "lantern print 1")
    shutil.copytree(made.outbox / "lantern print 1", made.folder / "phone")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    shutil.copytree(made.folder / "phone", made.outbox / "lantern print 1")
    made.until(lambda: made.names == ["lantern"])
    assert made.printer.sheets == 1
    assert "came again" in made.log


def test_so_does_one_that_comes_when_all_is_printed(made) -> None:
    made.rename("lantern", "lantern print")
    shutil.copytree(made.outbox / "lantern print", made.folder / "phone")
    made.until(lambda: made.done)
    shutil.copytree(made.folder / "phone", made.outbox / "lantern print")
    made.until(lambda: made.names == ["printed"])
    assert made.printer.sheets == 3


def test_the_old_folder_in_place_of_the_new_one_prints_no_backs(hand_turned) -> None:
    """A sync program puts back what it knows: without `printing.txt` it is no person's answer."""
    shop = hand_turned
    shop.rename("lantern", "lantern print")
    shutil.copytree(shop.outbox / "lantern print", shop.folder / "phone")
    shop.until(lambda: shop.names == ["lantern fronts printed"])
    shutil.rmtree(shop.outbox / "lantern fronts printed")
    shutil.copytree(shop.folder / "phone", shop.outbox / "lantern print")
    shop.until(lambda: shop.names == ["lantern fronts printed"])
    assert len(shop.printer.paper) == 1
    assert "echo of a sync program" in shop.log


def test_the_same_number_within_a_minute_is_an_echo(made, monkeypatch) -> None:
    monkeypatch.setattr("watcher.service.printing.echoes._ECHO", timedelta(minutes=1))
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"])
    assert made.printer.sheets == 1
