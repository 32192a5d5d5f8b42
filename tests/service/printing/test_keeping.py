"""Folders of printed orders go when they were kept long enough."""


def test_printed_orders_are_dropped_when_they_were_kept_long_enough(print_shop) -> None:
    shop = print_shop()
    shop.make("lantern_x4")
    shop.rename("lantern", "lantern printed")
    shop.until(lambda: shop.done)
    shop.stop()
    shop.settings("[service]", '[service]\nkeep_printed = "0 s"')
    (shop.outbox / "printed/holiday pictures").mkdir()
    shop.until(lambda: shop.done == ["holiday pictures"])
    assert (shop.folder / "archive/lantern").is_dir()
