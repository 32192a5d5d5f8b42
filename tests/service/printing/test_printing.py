"""From the outbox to the tray by nothing but renaming folders; what a printer has to say is told."""

import time

import pytest

from tests.stand_in_printer import A4, media
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes


def test_one_sheet_then_the_rest(made) -> None:
    made.rename("lantern", "lantern print 1")
    made.until(lambda: made.names == ["lantern"] and made.printer.paper)
    made.rename("lantern", "Lantern_PRINT ")
    made.until(lambda: made.done == ["lantern"])
    assert [sheets for _, sheets in made.printer.paper] == [1, 2]


def test_the_outbox_is_looked_at_again_within_half_a_minute(made) -> None:
    """For renames that no file event told of; half a minute is our own choice."""
    made.rest()
    made.until(lambda: 0 < (made.service.printing.next_in(time.monotonic()) or 0) <= 30)


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
    assert made.printer.sheets == 3
    assert "printed already; nothing was sent" in made.log


def test_a_busy_printer_is_waited_for(made) -> None:
    made.printer.busy = 3
    made.rename("lantern", "lantern print")
    made.until(lambda: made.done)
    assert made.printer.sheets == 3


def test_a_printer_that_is_off_is_waited_for_and_nothing_else_waits(made, drop_pair) -> None:
    made.stop()
    made.settings(made.printer.uri, "ipp://127.0.0.1:9/ipp/print")
    keep_yes(load_settings(made.folder / "settings.toml"))
    made.rename("lantern", "lantern print")
    made.rest()
    made.make("comet_x4")
    assert made.names == ["comet", "lantern print"]
    assert (
        made.log.count("lantern: 3 sheets wait. The printer office (ipp://127.0.0.1:9/ipp/print) does not answer") == 1
    )
    made.stop()
    made.settings("ipp://127.0.0.1:9/ipp/print", made.printer.uri)
    keep_yes(load_settings(made.folder / "settings.toml"))
    made.until(lambda: made.done == ["lantern"])


def test_paper_that_runs_out_in_mid_job_is_told_and_waited_for(made) -> None:
    made.printer.prints = False
    made.rename("lantern", "lantern print")
    made.until(lambda: made.printer.jobs and made.printer.jobs[1].state == 5)
    made.printer.jobs[1].state = 6
    made.printer.attributes |= {"printer-state": 5, "printer-state-reasons": "media-empty-error"}
    made.until(lambda: [job.says for job in made.service.printing._desk.sending.jobs.values()] == ["out of paper"])
    made.until(lambda: "lantern: 3 sheets wait for the printer office: out of paper" in made.log)
    made.printer.attributes |= {"printer-state": 3, "printer-state-reasons": "none"}
    made.printer.print_all()
    made.until(lambda: made.done == ["lantern"])
    assert made.log.count("out of paper") == 1


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
