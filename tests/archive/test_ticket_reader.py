"""The facts of a ticket, whatever somebody has written into it."""

import os
from datetime import date

import pytest

from watcher.archive.ticket_file import PrintFile
from watcher.archive.ticket_reader import MOST_WARNINGS, OrderTicket, read_ticket, read_ticket_file, what_is_damaged
from watcher.terms import PageOrder

WHOLE = """
order = "lantern-2"
name = "Lantern"
card = "menu"
quantity = 50
up = 2
sheets = 26
made_at = "2026-11-25T12:00:00+00:00"
due = "2026-12-24"
note = "matt"
repeat_of = "lantern"
waste_percent = 12.5
flip = "long-edge"
duplex = "manual"
backs_order = "n-to-1"
[sheet]
name = "letter"
width_mm = 215.9
height_mm = 279.4
[[print]]
file = "lantern-2_sheets.pdf"
copies = 26
sides = "one-sided"
media = "na_letter_8.5x11in"
[settings.printer]
reload = "printed side down"
"""


@pytest.fixture
def read(tmp_path):
    """Read a ticket of this text."""

    def reading(text: str) -> OrderTicket | None:
        file = tmp_path / "lantern-2_ticket.toml"
        file.write_text(text)
        return read_ticket(file)

    return reading


def test_every_fact_is_read(read):
    ticket = read(WHOLE)
    assert (ticket.order, ticket.name, ticket.card, ticket.sheet) == ("lantern-2", "Lantern", "menu", "letter")
    assert (ticket.quantity, ticket.designs, ticket.up, ticket.sheets) == (50, 1, 2, 26)
    assert (ticket.due, ticket.note, ticket.repeat_of) == (date(2026, 12, 24), "matt", "lantern")
    assert (ticket.width_mm, ticket.height_mm, ticket.waste_percent) == (215.9, 279.4, 12.5)
    assert (ticket.reload, ticket.backs_order) == ("printed side down", PageOrder.N_TO_ONE)
    assert ticket.printing == (
        PrintFile(file="lantern-2_sheets.pdf", copies=26, sides="one-sided", media="na_letter_8.5x11in"),
    )
    assert ticket.is_whole


def test_an_early_ticket_has_the_name_of_its_folder_and_one_design(read):
    ticket = read('order = "lantern"')
    assert (ticket.name, ticket.designs, ticket.printing, ticket.is_whole) == ("lantern", 1, (), False)


def test_an_order_of_a_gang_run_counts_the_sheets_of_the_run(read):
    ticket = read('run = "run-2026-11-25"\nrun_sheets = 5\nsheets = 3\nrun_orders = ["a", "b"]')
    assert (ticket.sheets_printed, ticket.run_orders) == (5, ("a", "b"))
    assert read("sheets = 3").sheets_printed == 3


def test_what_is_to_be_looked_at_is_told_but_no_end_of_it(read):
    findings = "".join(f'[[findings]]\nlevel = "warn"\nmessage = "number {number}"\n' for number in range(9))
    ticket = read('[[findings]]\nlevel = "note"\nmessage = "quiet"\n' + findings)
    assert ticket.warnings == tuple(f"number {number}" for number in range(MOST_WARNINGS))


@pytest.mark.parametrize(
    "text",
    [
        "order = 1\nname = []\ncard = {}\nquantity = -3\ndesigns = true\nup = 1.5\nsheets = 99_999_999",
        "sheet = 3\nsettings = []\nprint = 4\nfindings = 5\nrun_orders = 6\nwaste_percent = 101",
        'due = "soon"\nbacks_order = 1\nnote = 12:00:00\n[settings]\nprinter = "office"',
        '[sheet]\nname = 1\nwidth_mm = "wide"\nheight_mm = true\n[[print]]\npaper = "A4"\n[[findings]]\nmessage = 3',
    ],
)
def test_what_is_not_as_this_program_writes_it_is_passed_over(read, text):
    assert read(text) == OrderTicket()


def test_what_cannot_be_read_is_none(read):
    assert read("order = ") is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_the_place_of_a_ticket_is_not_waited_for(tmp_path):
    """Listing an archive that holds one never ended."""
    os.mkfifo(tmp_path / "a_ticket.toml")
    assert read_ticket_file(tmp_path / "a_ticket.toml") is None
    assert what_is_damaged(tmp_path / "a_ticket.toml")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"order = 'a'", ""),
        (b"order = \xff", "is damaged: it is no text"),
        (b"order = ", "is damaged: it breaks off"),
        (b"order = 'a'\nname\n", "is damaged: line 2 cannot be read"),
        (b"a = " + b"[" * 5000, "is damaged: it is not as this program writes it"),
    ],
)
def test_what_is_wrong_with_a_ticket_is_said_behind_its_name(tmp_path, content, said):
    (tmp_path / "a_ticket.toml").write_bytes(content)
    assert what_is_damaged(tmp_path / "a_ticket.toml") == said


def test_a_ticket_that_is_gone_cannot_be_read(tmp_path):
    assert what_is_damaged(tmp_path / "a_ticket.toml") == "cannot be read (No such file or directory)"
