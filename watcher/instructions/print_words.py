"""The sentences on printing: what to set in the print dialog, and what to do at the printer in which order.

Each function takes facts of one order and gives plain sentences; where they stand is `print_section.py`'s business.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from watcher.instructions.second_side import Stack
from watcher.instructions.words import both_units, plain
from watcher.layout.geometry import Size
from watcher.orders.quantity import counted
from watcher.sheet.draw.size_check import Between, SizeCheck
from watcher.terms import Copies, Duplex, Edge, Feed, Flip, PrinterKind
from watcher.units import show_run


def files_to_print(files: Sequence[str], sheets: int, copies: Copies) -> str:
    """Say which file to print and how many copies; of two files which comes first."""
    if copies is Copies.PAGES:
        how_often = f"<b>1 copy</b> (the file holds all {counted(sheets, 'sheet')})"
    else:
        how_often = "<b>1 copy</b>" if sheets == 1 else f"<b>{sheets} copies</b>"
    names = [f"<b>{plain(name)}</b>" for name in files]
    if len(names) == 1:
        return f"{names[0]}, {how_often}"
    return f"first {names[0]}, {how_often}; then {names[1]} on the other side, {how_often}"


def feed_words(feed: Feed, sheet: Size, lead: Edge | None = None, *, inches_first: bool = False) -> str:
    """Say which edge of the sheet enters the printer first, with its length, and which edge of the front that is."""
    edges = sorted((sheet.width, sheet.height))
    name, length = ("short", edges[0]) if feed is Feed.SHORT_EDGE else ("long", edges[1])
    which = f"; it becomes the <b>{lead}</b> edge of the front" if lead else ""
    long = both_units(length, inches_first=inches_first)
    return f"<b>{name} edge</b>, {long}, into the printer first{which}"


def in_steps(files: Sequence[str]) -> tuple[str, ...]:
    """What the steps call the files that are printed in one go."""
    return ("the fronts", "the backs") if len(files) > 1 else ("the file",)


def sides_setting(flip: Flip | None, duplex: Duplex, sheet: Size) -> str:
    """Say what to choose under "two-sided" in the print dialog.

    Source: RFC 8011 5.2.8 for the two edges. "Book" and "tablet" are what drivers say for an upright page (common
    practice, no source); for a page wider than high drivers do not agree, so there the edge alone is named.
    """
    if flip is None:
        return "<b>one side</b> (two-sided printing off)"
    if duplex is Duplex.MANUAL:
        return "<b>one side</b> for both files (two-sided printing off): you put the stack back in yourself"
    if sheet.is_landscape:
        return f"both sides, <b>flip on {flip.words}</b> (go by the edge, not by words like 'book' or 'tablet')"
    return f"both sides, <b>flip on {flip.words}</b> (some printers say '{flip.dialog_word}')"


def stack_turn(flip: Flip, reload: str | None) -> str:
    """Say how the stack goes back in for its second side."""
    if reload:
        return f"put it back in like this: <b>{plain(reload)}</b>"
    return (
        f"turn it over on its <b>{flip.words}</b> and put it back in; pencil an arrow on it first. Which way up and "
        "which end first differs from printer to printer (the turn test, print-folder align, settles it for good)"
    )


@dataclass(frozen=True, kw_only=True)
class PrintWay:
    """How the sheets of an order get both of their sides and their copies.

    Attributes:
        flip: the edge on which they are turned; None for one side.
        duplex: who turns them.
        copies: how the number of sheets reaches the printer.
        reload: how a stack goes back in, as the turn test told it; None where it is not known.
        kind: what puts the ink on them.
    """

    flip: Flip | None
    duplex: Duplex
    copies: Copies
    reload: str | None = None
    kind: PrinterKind = PrinterKind.LASER


def print_one(files: Sequence[str], way: PrintWay, *, stack: Stack | None = None, others: bool = False) -> str:
    """Say how to print a single sheet first; `others`: there are further files to print.

    Where nobody knows in which order different sheets come back it takes two to see it: the first and the last.
    """
    flip, copies = way.flip, way.copies
    if flip is None or way.duplex is Duplex.AUTOMATIC:
        of = f" of <b>{plain(files[0])}</b>" if others else ""
        pages = "" if copies is Copies.ONCE else " (page 1 alone)" if flip is None else " (pages 1 and 2)"
        return f"<b>Print ONE sheet</b>{of}{pages}."
    fronts, backs = in_steps(files)
    if stack is not None and stack.order is None:
        pages = f"pages 1 and {stack.sheets} alone"
        return (
            f"<b>Print TWO sheets</b>, the first and the last: {fronts} once, {pages}. Take both as one stack and "
            f"{stack_turn(flip, way.reload)}. <b>Sheet 1 must go in first.</b> Print {backs} once, {pages}."
        )
    page = "" if copies is Copies.ONCE else ", page 1 alone"
    back = page if stack is None else f", page {stack.page_of(1)} alone (the back of sheet 1)"
    return (
        f"<b>Print ONE sheet</b>: {fronts} once{page}. Take that sheet and {stack_turn(flip, way.reload)}. "
        f"Print {backs} once{back}."
    )


def check_one(
    flip: Flip | None, duplex: Duplex, check: SizeCheck, *, has_marks: bool, inches_first: bool = False
) -> str:
    """Say what to check on that sheet."""
    size = f"{measure_words(check, inches_first=inches_first)} If not, set actual size again."
    if flip is None:
        return size
    through = "a mark" if has_marks else "the corner of a card"
    wrong = (
        "the sheet was turned on the other edge: change that and print one again"
        if duplex is Duplex.AUTOMATIC
        else "the other end of the sheet must go in first: print one again so"
    )
    return (
        f"{size} <b>Hold it against the light</b>, or push a pin through {through}: front and back must lie on each "
        f"other. If a back is upside down or behind the wrong card, {wrong}."
    )


def measure_words(check: SizeCheck, *, inches_first: bool = False) -> str:
    """Say what to measure on the first sheet, and what it must be."""
    if check.ruler is not None:
        scales = f"{check.ruler.mm} mm", f"{check.ruler.inches} in"
        first, second = reversed(scales) if inches_first else scales
        return f"Measure its ruler: it must be exactly {first} long on one edge and {second} on the other."
    found = check.distance
    if found is None:
        return "Nothing on it shows its size: look into the print dialog, which must say 100 %, and measure a card."
    length = both_units(found.length, inches_first=inches_first)
    if found.between is Between.MARKS:
        what = f"from the first to the last cutting mark along the {found.edge}"
    elif found.cards is not None:
        one, other = found.cards
        what = (
            f"from any small thing printed on card {one} to the same thing on card {other} (counted from the top left, "
            "row by row)"
        )
    else:
        ends = "left to its right" if found.across else "top to its bottom"
        return f"Measure the print on its front, from its {ends} end: it must be about {length}."
    return f"Measure on its front {what}: it must be exactly {length}."


def check_trial(stack: Stack | None, *, has_numbers: bool) -> Iterator[str]:
    """Say how a trial of two sheets shows in which order they came."""
    if stack is not None and stack.order is None:
        how = "the small print on front and back says the same number" if has_numbers else "it has its own back"
        yield (
            f"<b>Look at both sheets</b>: {how} (sheet 1 of {stack.sheets}, sheet {stack.sheets} of {stack.sheets}). "
            "If not, the other sheet went in first: lay them the other way round and print the two again."
        )


def check_numbers(stack: Stack | None, *, has_numbers: bool) -> Iterator[str]:
    """Say how to see at the end that each of different sheets has its own back."""
    if stack is not None and has_numbers and (stack.order or stack.sheets > 2):
        yield (
            "<b>Look at the small print</b> of the first and of the last sheet: front and back say the same number "
            f"(sheet 1 of {stack.sheets}, sheet {stack.sheets} of {stack.sheets}). If not, the stack went in with the "
            "wrong sheet first."
        )


def print_rest(
    files: Sequence[str], sheets: int, way: PrintWay, *, stack: Stack | None = None, others: bool = False
) -> str:
    """Say how to print the rest; the first sheet counts once it is good."""
    flip, copies, rest = way.flip, way.copies, sheets - 1
    if stack is not None:
        return _rest_of_stack(files, stack, way)
    if not rest and others:
        return "If it is good, that was all of this file."
    if not rest:
        return "If it is good, that was all: this order needs no more than this sheet."
    more = f"{counted(rest, 'more sheet')} ({sheets} with the first)"
    if flip is None or way.duplex is Duplex.AUTOMATIC:
        per_sheet = 1 if flip is None else 2
        pages = "" if copies is Copies.ONCE else f": pages {per_sheet + 1} to {per_sheet * sheets}"
        dry = " <b>Let the ink dry</b> before you stack or cut them." if way.kind is PrinterKind.INKJET else ""
        return f"If it is good, <b>print the rest</b>, {more}{pages}.{dry}"
    times = counted(rest, "more time") if copies is Copies.ONCE else show_run(2, sheets, "page")
    fronts, backs = in_steps(files)
    dry = " <b>let the fronts dry</b>;" if way.kind is PrinterKind.INKJET else ""
    return (
        f"If it is good, <b>print the rest</b>, {more}: {fronts} {times};{dry} take the stack and "
        f"{_as_before(flip, way.reload)}; {backs} {times}."
    )


def _rest_of_stack(files: Sequence[str], stack: Stack, way: PrintWay) -> str:
    """The rest of sheets that differ: those between the first and the last where both are printed, else from 2 on."""
    last = stack.sheets if stack.order else stack.sheets - 1
    if last < 2:
        return "If they are good, that was all: this order needs no more than these two sheets."
    fronts, backs = in_steps(files)
    dry = " <b>let the fronts dry</b>;" if way.kind is PrinterKind.INKJET else ""
    first = stack.goes_in_first(2, last)
    as_before = _as_before(way.flip or Flip.LONG_EDGE, way.reload, "the first sheet" if stack.order else "those two")
    order = (
        f"take the stack with its sheets <b>in the order in which they came out</b> and {as_before}: "
        f"<b>sheet {first} goes in first</b>"
        if stack.order
        else f"take the stack and {as_before}, so that <b>sheet {first} goes in first</b>"
    )
    good = "it is" if stack.order else "they are"
    return (
        f"If {good} good, <b>print the rest</b>, {counted(last - 1, 'more sheet')} ({stack.sheets} in all): {fronts} "
        f"{show_run(2, last, 'page')};{dry} {order}; {backs} {show_run(*stack.pages_of(2, last), 'page')}."
    )


def print_another(files: Sequence[str], sheets: int) -> str:
    """Say how to print a further file, or pair of files, once the first is done."""
    names = " and ".join(f"<b>{plain(name)}</b>" for name in files)
    if sheets == 1:
        return f"Then the same way {names}: this one sheet, and check it."
    return f"Then the same way {names}: one sheet first, check it, then {sheets - 1} more ({sheets} with the first)."


def _as_before(flip: Flip, reload: str | None, first: str = "the first sheet") -> str:
    if reload:
        return stack_turn(flip, reload)
    return f"put it back in exactly as you put back {first}"
