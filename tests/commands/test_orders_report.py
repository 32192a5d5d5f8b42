"""The archive as it is listed: facts in a line, paper in a sum, and names that no terminal obeys."""

import json
from dataclasses import replace
from io import StringIO

import pytest
from rich.console import Console

from tests.archive.an_archived_record import archived
from watcher.archive.listed_order import listed as listed_order
from watcher.archive.listing import Damaged, OrderList, PaperUse, paper_use
from watcher.commands.orders_report import lines, print_list, say_use, to_json


@pytest.fixture
def listed():
    """A list of one order, repeated so often, with what is otherwise about it."""

    def of(repeated=0, damaged=(), **otherwise):
        order = replace(listed_order(archived(**otherwise)), repeated=repeated)
        return OrderList(entries=(order,), use=paper_use([order]), damaged=damaged)

    return of


@pytest.mark.parametrize(
    ("otherwise", "end"),
    [
        ({}, "2 on a sheet, 25 % waste, made Fri 1 May 2026"),
        ({"waste_percent": None}, "2 on a sheet, made Fri 1 May 2026"),
        ({"repeated": 3}, "made Fri 1 May 2026, repeated 3 x"),
        ({"repeated": 3, "repeat_of": "lamp"}, "made Fri 1 May 2026, repeat of lamp"),
    ],
)
def test_a_line_tells_what_is_known_and_nothing_else(listed, otherwise, end):
    line, _ = lines(listed(**otherwise))
    assert line.startswith("lantern: invitation, 10 cards, 6 sheets letter, 2 on a sheet")
    assert line.endswith(end)


@pytest.mark.parametrize(
    ("paper_m2", "waste", "said"),
    [
        (3.84, 25.4, "3 orders: 120 cards, 63 sheets, 3.8 m2 of paper, 25 % of it waste"),
        (3.84, None, "3 orders: 120 cards, 63 sheets, 3.8 m2 of paper"),
        (0.0, None, "3 orders: 120 cards, 63 sheets"),
    ],
)
def test_the_sum_leaves_out_what_nobody_knows(paper_m2, waste, said):
    assert say_use(PaperUse(orders=3, cards=120, sheets=63, paper_m2=paper_m2, waste_percent=waste)) == said


def test_a_damaged_folder_is_listed_before_the_sum_with_its_reason(listed):
    damaged = (Damaged(folder="old\x1b[2J", why="its ticket is missing"),)
    *_, told, _ = lines(listed(damaged=damaged))
    assert told == r"old\x1b[2J: cannot be read as an order: its ticket is missing"
    assert to_json(listed(damaged=damaged))["damaged"][0]["why"] == "its ticket is missing"


def test_a_terminal_is_shown_names_as_they_are(listed):
    console = Console(file=StringIO(), width=140)
    print_list(listed(folder="[bold]sun[/bold] :smile:"), console)
    assert "[bold]sun[/bold] :smile:" in console.file.getvalue()


@pytest.mark.parametrize("name", ["sun", "spring-menu-for-the-harbour-fair-and-the-regatta-dinner-2", "w" * 100])
@pytest.mark.parametrize("width", [60, 80])
def test_an_order_takes_one_or_two_lines_and_no_name_is_broken(listed, name, width):
    console = Console(file=StringIO(), width=width)
    print_list(listed(folder=name, repeat_of="spring-menu-for-the-harbour-fair"), console)
    *told, _ = console.file.getvalue().splitlines()
    assert len(told) <= 2
    assert told[0].partition(":")[0] == name
    assert all(len(line) <= max(width, len(name)) for line in told)
    assert "10 cards, 6 sheets letter, Fri 1 May 2026" in told[-1]


def test_machines_are_given_a_name_that_is_no_utf8(listed):
    """A byte that is none stands in a name as a lone surrogate (PEP 383), which no UTF-8 file may hold."""
    told = to_json(listed(folder="sun\udcff"))
    assert told["orders"][0]["order"].startswith("sun")
    assert json.dumps(told, ensure_ascii=False).encode("utf-8")
