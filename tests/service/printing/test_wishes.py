"""Renames are answered once: what comes again sends nothing, what is unclear waits for a person."""

import pytest


def test_notes_that_were_lost_send_nothing_again(made) -> None:
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.stop()
    for file in (made.folder / "state").glob("printing.sqlite*"):
        file.unlink()
    made.rename("lantern", "lantern print")
    made.until(lambda: made.names == ["lantern perhaps printed"])
    assert made.printer.sheets == 1


def test_taken_back_before_anything_went_out(made) -> None:
    made.printer.attributes |= {"printer-state": 5, "printer-state-reasons": "media-empty-error"}
    made.rename("lantern", "lantern print")
    made.until(lambda: "lantern: 3 sheets wait for the printer office: out of paper" in made.log)
    made.rename("lantern print", "lantern")
    made.until(lambda: "lantern: 3 sheets not sent after all; nothing had gone out" in made.log)
    made.printer.attributes |= {"printer-state": 3, "printer-state-reasons": "none"}
    made.rest()
    assert made.printer.sheets == 0
    assert made.names == ["lantern"]


@pytest.fixture
def unclear(print_shop):
    """An order of which nobody knows whether it is on paper: the printer forgot everything once it had it."""
    shop = print_shop(holds=False, forgets=True)
    shop.make("lantern_x4")
    shop.printer.dies["send"] = "after"
    shop.rename("lantern", "lantern print")
    shop.until(lambda: shop.names == ["lantern perhaps printed"])
    return shop


def test_what_nobody_can_know_waits_for_a_person(unclear) -> None:
    unclear.rest()
    told = (unclear.outbox / "lantern perhaps printed/printing.txt").read_text()
    assert unclear.printer.sheets == 3
    assert "output tray" in told
    assert "lantern printed 3" in told


def test_a_person_says_that_it_is_printed(unclear) -> None:
    unclear.rename("lantern perhaps printed", "lantern printed")
    unclear.until(lambda: unclear.done == ["lantern"])
    assert unclear.printer.sheets == 3


def test_a_person_says_how_many_are_there(unclear) -> None:
    unclear.rename("lantern perhaps printed", "lantern printed 2")
    unclear.until(lambda: unclear.names == ["lantern"])
    assert "lantern: 2 sheets noted as printed by hand" in unclear.log
    unclear.rename("lantern", "lantern print")
    unclear.until(lambda: unclear.done == ["lantern"])
    assert unclear.printer.sheets == 4


def test_a_person_says_that_there_is_none(unclear) -> None:
    unclear.rename("lantern perhaps printed", "lantern print")
    unclear.until(lambda: unclear.done == ["lantern"])
    assert unclear.printer.sheets == 6


def test_a_job_that_somebody_cancels_at_the_printer_is_not_sent_again(made) -> None:
    made.printer.prints = False
    made.rename("lantern", "lantern print")
    made.until(lambda: made.printer.jobs and made.printer.jobs[1].state == 5)
    made.printer.jobs[1].state, made.printer.jobs[1].printed = 7, 2
    made.until(lambda: made.names == ["lantern perhaps printed"])
    assert "after 2 sheets" in made.log


def test_made_orders_go_by_themselves_once_a_first_sheet_was_found_good(print_shop) -> None:
    shop = print_shop('send = "made"')
    shop.make("lantern_x4")
    shop.rest()
    assert shop.printer.sheets == 0
    assert "lantern: not sent by itself, as no sheet of such an order was looked at yet" in shop.log
    shop.rename("lantern", "lantern print 1")
    shop.until(lambda: shop.names == ["lantern"] and shop.printer.paper)
    shop.make("comet_x4")
    shop.rest()
    assert shop.printer.sheets == 1  # nobody has said yet that it is good
    shop.rename("lantern", "lantern print")
    shop.until(lambda: shop.done == ["lantern"])
    shop.make("nova_x4")
    shop.until(lambda: shop.done == ["lantern", "nova"])
    assert shop.printer.sheets == 6
    assert "comet" in shop.names


def test_other_settings_must_be_found_good_anew(print_shop) -> None:
    shop = print_shop('send = "made"')
    shop.make("lantern_x4")
    for word in ("lantern print 1", "lantern print"):
        count = shop.printer.sheets
        shop.rename("lantern", word)
        shop.until(lambda count=count, word=word: shop.printer.sheets > count and word not in shop.names)
    shop.settings('bleed = "0.125 in"', 'bleed = "0.12 in"')
    shop.make("nova_x4")
    shop.rest()
    assert shop.printer.sheets == 3
    assert "nova" in shop.names


def test_one_whose_sheets_are_gone_is_printed_all_the_same_when_a_person_says_so(made) -> None:
    (made.outbox / "lantern/lantern_sheets.pdf").write_bytes(b"no sheets any more")
    made.rename("lantern", "lantern printed")
    made.until(lambda: made.done == ["lantern"])
    assert "lantern: 1 sheet noted as printed by hand" in made.log
