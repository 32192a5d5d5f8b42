"""Which sheets a wish means, and which pages of which file print them."""

import io

import pypdf
import pytest

from watcher.archive.ticket_file import PrintFile
from watcher.archive.ticket_reader import OrderTicket
from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob
from watcher.outbox.printing.sending_life import JobStage
from watcher.outbox.printing.stacks import NotSent, cut_pages, document_of, next_pieces, stacks_of
from watcher.terms import PageOrder

BOTH = "two-sided-long-edge"


def pdf(pages: int) -> bytes:
    """Pages that can be told apart by their width."""
    writer, data = pypdf.PdfWriter(), io.BytesIO()
    for number in range(pages):
        writer.add_blank_page(width=100 + number, height=200)
    writer.write(data)
    return data.getvalue()


@pytest.fixture
def stacks(tmp_path):
    """Stacks of files: name behind the order's, pages, copies, sides."""

    def make(*files, designs=1, order=None):
        printing = []
        for name, pages, copies, sides in files:
            (tmp_path / f"x_{name}.pdf").write_bytes(pdf(pages))
            printing.append(PrintFile(file=f"x_{name}.pdf", copies=copies, sides=sides, media=""))
        ticket = OrderTicket(order="x", printing=tuple(printing), designs=designs, backs_order=order)
        return stacks_of(ticket, tmp_path, "x")

    return make


def printed(*jobs) -> OrderPrinting:
    """An order of which so much is printed: stack, side, first, sheets."""
    done = (
        SheetJob(order_key="x", printer="p", stack=stack, side=side, first=first, sheets=sheets, stage=JobStage.PRINTED)
        for stack, side, first, sheets in jobs
    )
    return OrderPrinting(note=OrderNote(key="x", name="x", sheets=0), jobs=tuple(done))


def said(pieces) -> list[tuple[int, str, int, int]]:
    return [(piece.stack.number, str(piece.part), piece.first, piece.sheets) for piece in pieces]


def test_all_that_is_wanted_and_then_the_rest(stacks) -> None:
    one = stacks(("sheets", 2, 26, BOTH))
    assert said(next_pieces(one, None, None, "x")) == [(0, "sheets", 1, 26)]
    assert said(next_pieces(one, printed((0, Part.ALL, 1, 1)), None, "x")) == [(0, "sheets", 2, 25)]
    assert next_pieces(one, printed((0, Part.ALL, 1, 26)), None, "x") == ()
    assert said(next_pieces(one, printed((0, Part.ALL, 1, 26)), 3, "x")) == [(0, "sheets", 1, 3)]


def test_copies_of_a_file_of_one_sheet(stacks) -> None:
    (piece,) = next_pieces(stacks(("sheets", 2, 26, BOTH)), None, 3, "x")
    assert document_of(piece).pages is None
    assert document_of(piece).copies == 3


def test_one_sheet_of_a_file_with_repeated_pages_is_its_two_pages(stacks) -> None:
    one = stacks(("sheets", 8, 1, BOTH))
    (first,) = next_pieces(one, None, 1, "x")
    (rest,) = next_pieces(one, printed((0, Part.ALL, 1, 1)), None, "x")
    assert document_of(first).pages == (0, 1)
    assert document_of(rest).pages == (2, 3, 4, 5, 6, 7)
    (all_of_it,) = next_pieces(one, None, None, "x")
    assert document_of(all_of_it).pages is None


def test_more_alike_sheets_than_the_file_holds(stacks) -> None:
    one = stacks(("sheets", 4, 1, BOTH))
    (spare,) = next_pieces(one, printed((0, Part.ALL, 1, 2)), 3, "x")
    assert document_of(spare).pages == (0, 1, 2, 3, 0, 1)


def test_spoiled_sheets_that_differ_cannot_be_guessed(stacks) -> None:
    one = stacks(("sheets", 8, 1, BOTH), designs=8)
    with pytest.raises(NotSent, match="differ"):
        next_pieces(one, printed((0, Part.ALL, 1, 4)), 1, "x")


@pytest.mark.parametrize(
    ("order", "backs"), [(None, (1, 2, 3)), (PageOrder.ONE_TO_N, (1, 2, 3)), (PageOrder.N_TO_ONE, (0, 1, 2))]
)
def test_backs_lie_in_the_order_in_which_the_stack_comes(stacks, order, backs) -> None:
    """The file of the backs of four different sheets has them as the whole stack comes: last first where it is so."""
    pair = stacks(("1-fronts", 4, 1, "one-sided"), ("2-backs", 4, 1, "one-sided"), designs=8, order=order)
    trial = printed((0, Part.FRONTS, 1, 1), (0, Part.BACKS, 1, 1))
    (fronts,) = next_pieces(pair, trial, None, "x")
    assert said([fronts]) == [(0, "fronts", 2, 3)]
    assert document_of(fronts).pages == (1, 2, 3)
    after = printed((0, Part.FRONTS, 1, 1), (0, Part.BACKS, 1, 1), (0, Part.FRONTS, 2, 3))
    (back,) = next_pieces(pair, after, None, "x")
    assert back.part is Part.BACKS
    assert document_of(back).pages == backs


def test_fronts_and_backs_are_never_one_wish(stacks) -> None:
    files = [(f"layout-{n}_{kind}", 1, 2, "one-sided") for n in (1, 2) for kind in ("1-fronts", "2-backs")]
    two = stacks(*files)
    done = []
    for expected in [(0, "fronts"), (0, "backs"), (1, "fronts"), (1, "backs")]:
        (piece,) = next_pieces(two, printed(*done), None, "x")
        assert (piece.stack.number, str(piece.part)) == expected
        done.append((piece.stack.number, piece.part, piece.first, piece.sheets))
    assert next_pieces(two, printed(*done), None, "x") == ()


def test_both_layouts_of_a_run_follow_each_other(stacks) -> None:
    two = stacks(("layout-1_sheets", 2, 5, BOTH), ("layout-2_sheets", 2, 2, BOTH))
    assert said(next_pieces(two, None, 1, "x")) == [(0, "sheets", 1, 1)]
    rest = next_pieces(two, printed((0, Part.ALL, 1, 1)), None, "x")
    assert said(rest) == [(0, "sheets", 2, 4), (1, "sheets", 1, 2)]


def test_pages_are_cut_as_they_are() -> None:
    cut = pypdf.PdfReader(io.BytesIO(cut_pages(pdf(6), (2, 3))))
    assert [float(page.mediabox.width) for page in cut.pages] == [102, 103]


def test_a_file_that_is_not_there_is_a_plain_line(stacks, tmp_path) -> None:
    ticket = OrderTicket(printing=(PrintFile(file="x_sheets.pdf", copies=1, sides=BOTH, media=""),))
    with pytest.raises(NotSent, match="cannot be read"):
        stacks_of(ticket, tmp_path, "x")
    with pytest.raises(NotSent, match="earlier version"):
        stacks_of(OrderTicket(), tmp_path, "x")
