"""From the outbox to the tray by nothing but renaming folders."""

import shutil

import pytest

from tests.stand_in_printer import A4, media


@pytest.fixture
def made(print_shop):
    """A print folder with one order of three sheets, letter, both sides."""
    shop = print_shop()
    shop.make("lantern_x4")
    return shop


@pytest.fixture
def hand_turned(print_shop):
    """The same where a person turns the stack."""
    shop = print_shop('duplex = "manual"')
    shop.make("lantern_x4")
    return shop


def sent(shop, number: int = -1) -> dict:
    """What a job asked for."""
    return [asked for name, asked in shop.printer.heard if name == "create"][number]


def test_one_sheet_then_the_rest(made) -> None:
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.rename("lantern", "Lantern_PRINT ")
    made.until(lambda: made.done == ["lantern"])
    assert [sheets for _, sheets in made.printer.paper] == [1, 2]


def test_the_ticket_that_goes_with_it(made) -> None:
    sheets = (made.outbox / "lantern/lantern_sheets.pdf").read_bytes()
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    asked = sent(made)
    assert asked["copies"] == [3] and asked["sides"] == ["two-sided-long-edge"] and asked["print-scaling"] == ["none"]
    size = {"x-dimension": 21590, "y-dimension": 27940}
    edges = {f"media-{edge}-margin": 423 for edge in ("top", "right", "bottom", "left")}
    assert asked["media-col"] == [{"media-size": size, "media-source": "main", "media-type": "cardstock", **edges}]
    assert asked["multiple-document-handling"] == ["separate-documents-collated-copies"]
    assert asked["job-hold-until"] == ["indefinite"] and asked["job-name"][0].startswith("lantern sheets ")
    assert made.printer.jobs[1].document == sheets
    assert made.printer.asked.index("validate") < made.printer.asked.index("create")


def test_spoiled_sheets_are_sent_again_when_all_are_printed(made) -> None:
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    made.rename("printed/lantern", "lantern print 2")
    made.until(lambda: made.printer.sheets == 5 and made.done == ["lantern"])


def test_asked_for_once_more_nothing_is_left_to_send(made) -> None:
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    made.rename("printed/lantern", "lantern print")
    made.until(lambda: made.done == ["lantern"])
    assert made.printer.sheets == 3 and "printed already; nothing was sent" in made.log


def test_a_stack_turned_by_hand_goes_in_two_jobs(hand_turned) -> None:
    shop = hand_turned
    shop.rename("lantern", "lantern print")
    shop.until(lambda: shop.names == ["lantern fronts printed"])
    assert len(shop.printer.paper) == 1 and sent(shop)["sides"] == ["one-sided"] and sent(shop)["copies"] == [3]
    assert "rename the folder to lantern print for the backs" in shop.log
    shop.rename("lantern fronts printed", "lantern print")
    shop.until(lambda: shop.done == ["lantern"])
    names = [name.split()[1] for name, _ in shop.printer.paper]
    assert names == ["fronts", "backs"] and shop.printer.sheets == 6


def test_one_sheet_turned_by_hand_then_the_rest(hand_turned) -> None:
    shop = hand_turned
    for folder in ("lantern print 1", "lantern print", "lantern print", "lantern print"):
        (before,) = [name for name in shop.names if name != "printed"]
        count = len(shop.printer.paper)
        shop.rename(before, folder)
        shop.until(lambda count=count, folder=folder: len(shop.printer.paper) > count and folder not in shop.names)
    assert [sheets for _, sheets in shop.printer.paper] == [1, 1, 2, 2] and shop.done == ["lantern"]


def test_who_prints_by_hand_says_so(made) -> None:
    made.rename("lantern", "lantern printed")
    made.until(lambda: made.done == ["lantern"])
    assert made.printer.asked == [] and "all 3 sheets are printed" in made.log


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


def test_a_printer_without_an_address_is_a_plain_line(print_folder, inline_workers, drop_pair, once) -> None:
    drop_pair(print_folder / "inbox")
    once(print_folder)
    (print_folder / "outbox/lantern").rename(print_folder / "outbox/lantern print")
    once(print_folder)
    said = (print_folder / "outbox/lantern not printed/printing.txt").read_text()
    assert "Write queue =" in said


# -- what comes again --------------------------------------------------------------------------------------------------


def test_a_copy_that_a_sync_program_brings_again_sends_nothing_and_goes(made) -> None:
    made.rename("lantern", "lantern print 1")
    shutil.copytree(made.outbox / "lantern print 1", made.folder / "phone")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    shutil.copytree(made.folder / "phone", made.outbox / "lantern print 1")
    made.until(lambda: made.names == ["lantern"])
    assert made.printer.sheets == 1 and "came again" in made.log


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
    assert len(shop.printer.paper) == 1 and "echo of a sync program" in shop.log


def test_the_same_number_within_a_minute_is_an_echo(made, monkeypatch) -> None:
    from datetime import timedelta

    monkeypatch.setattr("watcher.service.printing.wishes._ECHO", timedelta(minutes=1))
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"])
    assert made.printer.sheets == 1


def test_notes_that_were_lost_send_nothing_again(made) -> None:
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.stop()
    for file in (made.folder / "state").glob("printing.sqlite*"):
        file.unlink()
    made.rename("lantern", "lantern print")
    made.until(lambda: made.names == ["lantern perhaps printed"])
    assert made.printer.sheets == 1


def test_files_that_are_still_coming_are_waited_for(made) -> None:
    made.rename("lantern", "lantern print")
    sheets = made.outbox / "lantern print/lantern_sheets.pdf"
    data = sheets.read_bytes()
    sheets.write_bytes(data[: len(data) // 2])
    made.service.step(0)
    assert made.printer.asked == []
    sheets.write_bytes(data)
    made.service.printing._look_at = float("-inf")
    made.until(lambda: made.done)
    assert made.printer.jobs[1].document == data


def test_taken_back_before_anything_went_out(made) -> None:
    made.printer.attributes |= {"printer-state": 5, "printer-state-reasons": "media-empty-error"}
    made.rename("lantern", "lantern print")
    made.rest()
    made.rename("lantern print", "lantern")
    made.until(lambda: not made.service.printing.waits)
    made.printer.attributes |= {"printer-state": 3, "printer-state-reasons": "none"}
    made.rest()
    assert made.printer.sheets == 0 and made.names == ["lantern"]


# -- the printer -------------------------------------------------------------------------------------------------------


def test_a_busy_printer_is_waited_for(made) -> None:
    made.printer.busy = 3
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    assert made.printer.sheets == 3


def test_a_printer_that_is_off_is_waited_for_and_nothing_else_waits(made, drop_pair) -> None:
    made.stop()
    made.settings(made.printer.uri, "ipp://127.0.0.1:9/ipp/print")
    made.rename("lantern", "lantern print")
    made.rest()
    made.make("comet_x4")
    assert made.names == ["comet", "lantern print"]
    made.stop()
    made.settings("ipp://127.0.0.1:9/ipp/print", made.printer.uri)
    made.until(lambda: made.done == ["lantern"])


def test_paper_that_runs_out_in_mid_job_is_told_and_waited_for(made) -> None:
    made.printer.prints = False
    made.rename("lantern", "lantern print")
    made.until(lambda: made.printer.jobs and made.printer.jobs[1].state == 5)
    made.printer.jobs[1].state = 6
    made.printer.attributes |= {"printer-state": 5, "printer-state-reasons": "media-empty-error"}
    made.until(lambda: [job.says for job in made.service.printing._desk.sending.jobs.values()] == ["out of paper"])
    made.printer.attributes |= {"printer-state": 3, "printer-state-reasons": "none"}
    made.printer.print_all()
    made.until(lambda: made.done == ["lantern"])


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"media-col-ready": [media(A4)]}, ["needs letter (215.9 x 279.4 mm)", "lies", "210 x 297"]),
        ({"media-col-database": [media(margin=1168)]}, ["11.68 mm", "6.35 mm", "unprintable"]),
        ({"document-format-supported": ["image/pwg-raster"]}, ["PDF"]),
        ({"print-scaling-supported": ["auto", "fit"]}, ["actual size"]),
        ({"sides-supported": ["one-sided"]}, ["duplex"]),
        ({"copies-supported": (1, 2)}, ["3 copies", "pages"]),
    ],
)
def test_what_does_not_fit_is_refused_with_the_numbers(made, wrong, said) -> None:
    made.printer.attributes |= wrong
    made.rename("lantern", "lantern print")
    made.until(lambda: made.names == ["lantern not printed"])
    told = (made.outbox / "lantern not printed/printing.txt").read_text()
    assert all(word in told and word in made.log for word in said), told
    assert "create" not in made.printer.asked


def test_what_the_printer_itself_would_leave_out_is_refused(made) -> None:
    made.printer.ignored = ("media-col",)
    made.rename("lantern", "lantern print")
    made.until(lambda: made.names == ["lantern not printed"])
    assert "create" not in made.printer.asked


def test_refused_once_it_is_sent_when_it_is_asked_for_again(made) -> None:
    made.printer.attributes["media-col-ready"] = [media(A4)]
    made.rename("lantern", "lantern print")
    made.until(lambda: made.names == ["lantern not printed"])
    made.printer.attributes["media-col-ready"] = [media()]
    made.rename("lantern not printed", "lantern print")
    made.until(lambda: made.done == ["lantern"])


def test_a_rim_of_four_zeros_is_never_asked_for(made) -> None:
    made.printer.attributes["media-col-database"] = [media(margin=0), media(margin=423)]
    made.printer.attributes["media-col-ready"] = [media(margin=0)]
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    assert sent(made)["media-col"][0]["media-top-margin"] == 423


# -- perhaps printed ---------------------------------------------------------------------------------------------------


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
    assert unclear.printer.sheets == 3 and "output tray" in told and "lantern printed 3" in told


def test_a_person_says_that_it_is_printed(unclear) -> None:
    unclear.rename("lantern perhaps printed", "lantern printed")
    unclear.until(lambda: unclear.done == ["lantern"])
    assert unclear.printer.sheets == 3


def test_a_person_says_how_many_are_there(unclear) -> None:
    unclear.rename("lantern perhaps printed", "lantern printed 2")
    unclear.until(lambda: unclear.names == ["lantern"])
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


# -- send = "made" -----------------------------------------------------------------------------------------------------


def test_made_orders_go_by_themselves_once_a_first_sheet_was_found_good(print_shop) -> None:
    shop = print_shop('send = "made"')
    shop.make("lantern_x4")
    shop.rest()
    assert shop.printer.sheets == 0
    shop.rename("lantern", "lantern print 1")
    shop.until(lambda: shop.names == ["lantern"] and shop.printer.paper)
    shop.make("comet_x4")
    shop.rest()
    assert shop.printer.sheets == 1  # nobody has said yet that it is good
    shop.rename("lantern", "lantern print")
    shop.until(lambda: shop.done == ["lantern"])
    shop.make("nova_x4")
    shop.until(lambda: shop.done == ["lantern", "nova"])
    assert shop.printer.sheets == 6 and "comet" in shop.names


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
    assert shop.printer.sheets == 3 and "nova" in shop.names


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


# -- the folder of printed orders --------------------------------------------------------------------------------------


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
