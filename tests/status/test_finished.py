"""What lies in the outbox is told from its files and tickets, and the paper that it takes is summed by stock."""

from dataclasses import replace
from pathlib import Path

import pytest
import tomli_w

from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob, order_key
from watcher.outbox.printing.sending_life import JobStage
from watcher.records.journal import Entry
from watcher.records.order_life import State
from watcher.status.finished import Uncollected, paper_to_pull
from watcher.status.model import FinishedOrder, ProductKind

TICKET = {
    "order": "lantern", "card": "invitation", "quantity": 50, "up": 2, "sheets": 26, "duplex": "manual",
    "flip": "long-edge", "made_at": "2026-05-02T10:00:00+00:00", "backs_order": "n-to-1",
    "settings": {"printer": {"reload": "printed side down"}},
    "sheet": {"name": "letter", "width_mm": 215.9, "height_mm": 279.4},
}  # fmt: skip
ENTRY = Entry(
    number=1, name="moon", key="moon", card="tag", state=State.DONE, since="2026-05-01T10:00:00+00:00",
    folder="moon", sheets=4, says="10 cards = 4 sheets",
)  # fmt: skip


def put(outbox: Path, folder: str, *names: str, **tickets: dict[str, object]) -> None:
    (outbox / folder).mkdir(exist_ok=True)
    for name in names:
        (outbox / folder / name).touch()
    for order, ticket in tickets.items():
        (outbox / folder / f"{order}_ticket.toml").write_text(tomli_w.dumps(ticket))


def look(outbox: Path, *entries: Entry) -> tuple[FinishedOrder, ...]:
    return Uncollected().read(outbox, entries, {}).entries


def test_an_order_is_told_by_its_ticket_with_its_files_in_the_order_they_are_needed(tmp_path):
    names = ("lantern_preview.png", "lantern_2-backs.pdf", "lantern_1-fronts.pdf", "NEWER ART IN lantern-2.txt", "x")
    put(tmp_path, "lantern", *names, lantern=TICKET)
    (order,) = look(tmp_path)
    kinds = (ProductKind.FRONTS, ProductKind.BACKS, ProductKind.PREVIEW, ProductKind.TICKET)
    assert tuple(file.kind for file in order.files) == kinds
    assert (order.words, order.size) == ("50 cards = 25 sheets, plus 1 spare", "215.9 x 279.4 mm")
    assert order.second_side == "printed side down; sheet 26 goes in first"
    assert order.newer == ("lantern-2",)


def test_without_a_ticket_the_journal_tells_it_and_without_sheets_it_is_none(tmp_path):
    put(tmp_path, "moon", "moon_sheets.pdf"), put(tmp_path, "mine", "holiday.pdf", "mine_preview.png")
    (order,) = look(tmp_path, ENTRY)
    assert (order.folder, order.words, order.sheets, order.card) == ("moon", "10 cards = 4 sheets", 4, "tag")
    assert order.made.isoformat() == ENTRY.since


def test_the_newest_is_first_and_what_has_no_date_is_last(tmp_path):
    put(tmp_path, "undated", "undated_sheets.pdf"), put(tmp_path, "moon", "moon_sheets.pdf")
    put(tmp_path, "lantern", "lantern_sheets.pdf", lantern=TICKET)
    assert [order.folder for order in look(tmp_path, ENTRY)] == ["lantern", "moon", "undated"]


def test_a_gang_run_is_told_by_the_tickets_of_its_orders(tmp_path):
    shared = TICKET | {"run": "run-1", "run_sheets": 8, "due": "2026-05-20"}
    sun = shared | {"order": "sun", "quantity": 24, "due": "2026-05-10", "note": "two piles"}
    put(tmp_path, "run-1", "run-1_sheets.pdf", lantern=shared, sun=sun)
    (run,) = look(tmp_path)
    assert run.words == "74 cards of 2 orders share 8 sheets"
    assert (run.orders, run.card, run.note) == (("lantern", "sun"), "invitation", "sun: two piles")
    assert run.due.isoformat() == "2026-05-10"


@pytest.mark.parametrize(("paper", "piles"), [("", [(16, 4)]), ("card stock", [(10, 1), (6, 3)])])
def test_paper_is_summed_by_stock_the_most_first_and_each_order_of_a_run_counts(full_day, paper, piles):
    (plain,) = full_day.finished.entries
    plain = replace(plain, paper="", sheets=2)
    run, other = replace(plain, sheets=4, orders=("a", "b")), replace(plain, sheets=10, paper=paper)
    pulled = paper_to_pull([plain, run, other])
    assert [(pile.sheets, pile.orders) for pile in pulled] == piles


def test_under_a_new_name_it_is_told_with_how_its_printing_stands_and_the_paper_it_still_takes(tmp_path):
    """`ORDER print` is the same order; so many of its sheets as are printed need no more paper."""
    put(tmp_path, "lantern print", "lantern_sheets.pdf", lantern=TICKET)
    put(tmp_path, "printed", "notes.txt")
    key = order_key("lantern", TICKET["made_at"])
    job = SheetJob(order_key=key, printer="laser", stack=0, side=Part.ALL, first=1, sheets=1, stage=JobStage.PRINTED)
    noted = OrderPrinting(note=OrderNote(key=key, name="lantern", sheets=26), jobs=(job,))
    (order,) = Uncollected().read(tmp_path, (), {}, {key: noted}).entries
    assert (order.folder, order.printing.says, order.sheets_left) == ("lantern print", "printed 1 of 26", 25)
    assert [pile.sheets for pile in paper_to_pull([order])] == [25]


def test_the_sheets_of_a_run_stand_in_the_order_of_its_layouts(tmp_path):
    names = [f"run-1_layout-{number}_{kind}.pdf" for number in (1, 2, 3, 10) for kind in ("1-fronts", "2-backs")]
    put(tmp_path, "run-1", *names, lantern=TICKET | {"run": "run-1", "run_sheets": 8})
    (run,) = look(tmp_path)
    assert [file.name for file in run.files if file.name.endswith(".pdf")] == names
