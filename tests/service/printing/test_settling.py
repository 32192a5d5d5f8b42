"""A folder has the name that tells what came of its printing."""


def test_a_stack_turned_by_hand_goes_in_two_jobs(hand_turned) -> None:
    shop = hand_turned
    shop.rename("lantern", "lantern print")
    shop.until(lambda: shop.names == ["lantern fronts printed"])
    assert len(shop.printer.paper) == 1
    assert shop.sent()["sides"] == ["one-sided"]
    assert shop.sent()["copies"] == [3]
    assert "rename the folder to lantern print for the backs" in shop.log
    shop.rename("lantern fronts printed", "lantern print")
    shop.until(lambda: shop.done == ["lantern"])
    names = [name.split()[1] for name, _ in shop.printer.paper]
    assert names == ["fronts", "backs"]
    assert shop.printer.sheets == 6


def test_one_sheet_turned_by_hand_then_the_rest(hand_turned) -> None:
    shop = hand_turned
    for folder in ("lantern print 1", "lantern print", "lantern print", "lantern print"):
        (before,) = [name for name in shop.names if name != "printed"]
        count = len(shop.printer.paper)
        shop.rename(before, folder)
        shop.until(lambda count=count, folder=folder: len(shop.printer.paper) > count and folder not in shop.names)
    assert [sheets for _, sheets in shop.printer.paper] == [1, 1, 2, 2]
    assert shop.done == ["lantern"]


def test_who_prints_by_hand_says_so(made) -> None:
    made.rename("lantern", "lantern printed")
    made.until(lambda: made.done == ["lantern"])
    assert made.printer.asked == []
    assert "all 3 sheets are printed" in made.log


def test_some_printed_by_hand_count(made) -> None:
    made.rename("lantern", "lantern printed 2")
    made.until(lambda: made.names == ["lantern"])
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    assert made.printer.sheets == 1


def test_printed_by_hand_without_any_printer_in_the_settings(print_folder, inline_workers, drop_pair, once) -> None:
    drop_pair(print_folder / "inbox")
    once(print_folder)
    (print_folder / "outbox/lantern").rename(print_folder / "outbox/lantern printed")
    once(print_folder)
    assert (print_folder / "outbox/printed/lantern/lantern_sheets.pdf").exists()


def test_a_link_in_the_place_of_the_printed_orders_folder_takes_nothing_out(
    print_folder, inline_workers, drop_pair, once
) -> None:
    """Whoever else may write to a synced print folder may have put it there."""
    drop_pair(print_folder / "inbox")
    once(print_folder)
    (print_folder / "outbox/lantern").rename(print_folder / "outbox/lantern printed")
    (print_folder.parent / "elsewhere").mkdir()
    (print_folder / "outbox/printed").symlink_to(print_folder.parent / "elsewhere")
    once(print_folder)
    assert (print_folder / "outbox/printed/lantern/lantern_sheets.pdf").exists()
    assert not list((print_folder.parent / "elsewhere").iterdir())


def test_a_stack_turned_by_hand_never_goes_by_itself(print_shop) -> None:
    shop = print_shop('send = "made"\nduplex = "manual"')
    shop.make("lantern_x2")
    for _ in range(4):
        (before,) = [name for name in shop.names if name != "printed"] or [""]
        if before:
            count = len(shop.printer.paper)
            word = "lantern print" if count else "lantern print 1"
            shop.rename(before, word)
            shop.until(lambda count=count, word=word: len(shop.printer.paper) > count and word not in shop.names)
    shop.make("nova_x2")
    shop.rest()
    assert "nova" in shop.names


def test_an_order_that_is_called_printed_is_made_and_printed(print_shop) -> None:
    shop = print_shop()
    shop.drop(shop.folder / "inbox", "printed_x2")
    shop.until(lambda: "printed-2" in shop.names)
    shop.rename("printed-2", "printed-2 print")
    shop.until(lambda: shop.done == ["printed-2"])
    assert shop.printer.sheets == 2


def test_the_same_art_again_is_made_once_its_order_is_printed(made) -> None:
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.rename("lantern", "lantern kept for anna")
    made.drop(made.folder / "inbox", "lantern_x4")
    made.until(lambda: "the same art again" in made.log)
    made.rename("lantern kept for anna", "lantern printed")
    made.until(lambda: made.done == ["lantern"])
    made.drop(made.folder / "inbox", "lantern_x4")
    made.until(lambda: "lantern-2" in made.names)
