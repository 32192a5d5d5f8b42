"""Which sheets of an order a wish means, and the document that prints just these.

The files of an order are stacks: one file with both sides, or one of the fronts and one of the backs. Sheets of a stack
are counted from 1 and printed in that order, so that it is enough to know how many are printed.
"""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from watcher.archive.folder_words import SHEETS_NAME
from watcher.archive.ticket_file import PrintFile
from watcher.archive.ticket_reader import OrderTicket
from watcher.errors import PrintFolderError
from watcher.outbox.printing.order_printing import OrderPrinting, Part
from watcher.terms import ONE_SIDED, PageOrder

_MOST_COPIES = 5000


class NotSent(PrintFolderError):
    """Sheets that are not sent, with the reason for a shop owner."""


@dataclass(frozen=True, kw_only=True)
class Stack:
    """The sheets of one file, or of a file of fronts and its file of backs.

    Attributes:
        number: counted from 0.
        front: the file with both sides, or with the fronts.
        back: the file of the backs, where a person turns the stack; else None.
        in_file: how many sheets the file holds, before copies.
        sheets: how many are wanted.
        pages: of a sheet in the first file: 2 where it has both sides.
        alike: whether all sheets are the same.
        backs_order: in which order the sheets of a turned stack come.
    """

    number: int
    front: PrintFile
    back: PrintFile | None
    in_file: int
    sheets: int
    pages: int
    alike: bool
    backs_order: PageOrder

    def file_of(self, part: Part) -> PrintFile:
        """The file that prints a part."""
        return self.back if part is Part.BACKS and self.back is not None else self.front


@dataclass(frozen=True, kw_only=True)
class Piece:
    """Sheets of a stack that are printed in one job, from `first` on."""

    stack: Stack
    part: Part
    first: int
    sheets: int

    @property
    def file(self) -> PrintFile:
        """The file that it is printed from."""
        return self.stack.file_of(self.part)


@dataclass(frozen=True, kw_only=True)
class Document:
    """How a piece is printed: pages of its file (None: all of them), counted from 0, and how many copies."""

    pages: tuple[int, ...] | None
    copies: int


def stacks_of(ticket: OrderTicket, folder: Path, order: str) -> tuple[Stack, ...]:
    """Give the stacks of an order.

    Args:
        ticket: of the order, or of any order of a run.
        folder: where its files lie now.
        order: the name with which the files begin.

    Raises:
        NotSent: the ticket does not tell how they are printed, or a file cannot be read.
    """
    if not ticket.printing:
        raise NotSent(f"The ticket of {order} does not say how it is printed: an earlier version made it.")
    by_layout: dict[str, dict[str, PrintFile]] = {}
    for file in ticket.printing:
        found = SHEETS_NAME.fullmatch(file.file.removeprefix(order))
        if found is None:
            raise NotSent(f"The ticket in {order} names {file.file}, which is no file of its sheets.")
        by_layout.setdefault(found["layout"] or "", {})[found["kind"]] = file
    return tuple(_stack(number, files, ticket, folder) for number, files in enumerate(by_layout.values()))


def _stack(number: int, files: dict[str, PrintFile], ticket: OrderTicket, folder: Path) -> Stack:
    front, back = files.get("sheets") or files["1-fronts"], files.get("2-backs")
    pages = 1 if front.sides == ONE_SIDED else 2
    in_file = _page_count(folder / front.file) // pages
    if in_file < 1 or not 1 <= front.copies <= _MOST_COPIES:
        raise NotSent(f"{front.file} does not hold the sheets that the ticket tells of.")
    return Stack(
        number=number,
        front=front,
        back=back,
        in_file=in_file,
        sheets=in_file * front.copies,
        pages=pages,
        alike=in_file == 1 or ticket.designs == 1,
        backs_order=ticket.backs_order or PageOrder.ONE_TO_N,
    )


def _page_count(file: Path) -> int:
    from pypdf.errors import PyPdfError  # here: a service that prints nothing does not load it

    try:
        status = file.stat()
        return _pages_in(file, status.st_ino, status.st_size, status.st_mtime_ns)
    except (OSError, PyPdfError, ValueError, RecursionError) as error:
        raise NotSent(f"{file.name} cannot be read ({type(error).__name__}). Have the order made again.") from error


@lru_cache(maxsize=64)
def _pages_in(file: Path, _inode: int, _size: int, _changed: int) -> int:
    from pypdf import PdfReader

    return len(PdfReader(file).pages)


def next_pieces(
    stacks: Sequence[Stack], printing: OrderPrinting | None, asked: int | None, order: str
) -> tuple[Piece, ...]:
    """Give what a wish means now: the backs of the stack that waits for them, else the next sheets.

    Where a person turns the stack, only fronts are given, and of one stack at a time. Each printed sheet counts as
    wanted, the first one too that was held to the light; what is asked for beyond that replaces spoiled sheets.

    Args:
        stacks: of the order.
        printing: what is printed of it.
        asked: so many sheets, or None: all that are still wanted.
        order: its name, for people.

    Raises:
        NotSent: sheets are asked for beyond those wanted, and they differ.
    """
    fronts = printing.awaiting_backs if printing else None
    if fronts is not None and stacks[fronts.stack].back is not None:
        stack = stacks[fronts.stack]
        return (Piece(stack=stack, part=Part.BACKS, first=fronts.first, sheets=fronts.sheets),)
    done = {stack.number: printing.printed(stack.number) if printing else 0 for stack in stacks}
    wanted = tuple(_next_of(stacks, done, asked))
    if asked and not wanted:
        wanted = (_spare(stacks, asked, order),)
    return wanted[:1] if any(piece.part is Part.FRONTS for piece in wanted) else wanted


def _next_of(stacks: Sequence[Stack], done: dict[int, int], asked: int | None) -> Iterator[Piece]:
    """The sheets that are not printed yet, in their order, at most so many."""
    for stack in stacks:
        left = max(0, stack.sheets - done[stack.number])
        sheets = left if asked is None else min(left, asked)
        if sheets:
            yield Piece(stack=stack, part=_first_part(stack), first=done[stack.number] + 1, sheets=sheets)
            asked = None if asked is None else asked - sheets
        if asked == 0:
            return


def _spare(stacks: Sequence[Stack], asked: int, order: str) -> Piece:
    """Sheets in place of spoiled ones, when all are printed."""
    stack = stacks[0]
    if len(stacks) > 1 or not stack.alike:
        raise NotSent(
            f"All sheets of {order} are printed, and they differ from each other, so it cannot be known which"
            f" {'one is' if asked == 1 else f'{asked} are'} wanted again. Print these pages from the file by hand, or"
            f" have single cards made again: print-folder repeat {order} --only NUMBER."
        )
    return Piece(stack=stack, part=_first_part(stack), first=1, sheets=asked)


def _first_part(stack: Stack) -> Part:
    return Part.ALL if stack.back is None else Part.FRONTS


def document_of(piece: Piece) -> Document:
    """Give how a piece is printed: copies of the whole file where it holds one sheet, else the pages of its sheets."""
    stack, in_file = piece.stack, piece.stack.in_file
    if in_file == 1:
        return Document(pages=None, copies=piece.sheets)
    sheets = [(number - 1) % in_file for number in range(piece.first, piece.first + piece.sheets)]
    if len(sheets) == stack.sheets and stack.front.copies > 1:
        return Document(pages=None, copies=stack.front.copies)
    if piece.part is Part.BACKS and stack.backs_order is PageOrder.N_TO_ONE:
        sheets = [in_file - 1 - number for number in reversed(sheets)]
    of_one = stack.pages if piece.part is not Part.BACKS else 1
    pages = tuple(of_one * sheet + page for sheet in sheets for page in range(of_one))
    return Document(pages=None if pages == tuple(range(of_one * in_file)) else pages, copies=1)


def cut_pages(file: bytes, pages: Sequence[int]) -> bytes:
    """Give a PDF of some pages of another, as they are."""
    from pypdf import PdfReader, PdfWriter

    reader, writer = PdfReader(io.BytesIO(file)), PdfWriter()
    for number in pages:
        writer.add_page(reader.pages[number])
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()
