"""Which back comes when, of a stack of different sheets that a person puts back in.

The file of the backs is written in the order in which the sheets come. Where the turn test has not settled that order
it runs from the first sheet to the last, and the person is asked to look.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from watcher.orders.quantity import counted
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level, PageOrder

if TYPE_CHECKING:
    from watcher.sheet.draw.plan import SheetPlan  # who lists what was made draws nothing


@dataclass(frozen=True, kw_only=True)
class Stack:
    """A stack of sheets that differ, in one pair of files.

    Attributes:
        sheets: how many.
        order: in which they come when they are put back; None: not known, and the backs run from 1 to n.
    """

    sheets: int
    order: PageOrder | None

    def page_of(self, sheet: int) -> int:
        """Where the back of a sheet lies in its file; both counted from 1."""
        return self.sheets + 1 - sheet if self.order is PageOrder.N_TO_ONE else sheet

    def pages_of(self, first: int, last: int) -> tuple[int, int]:
        """The first and last page with the backs of some sheets that follow each other."""
        pages = sorted((self.page_of(first), self.page_of(last)))
        return pages[0], pages[1]

    def goes_in_first(self, first: int, last: int) -> int:
        """Which sheet of some that follow each other goes in first."""
        return last if self.order is PageOrder.N_TO_ONE else first


def stack_of(printer: PrinterSettings, plan: "SheetPlan") -> Stack | None:
    """Give the stack that a person puts back; None where its sheets are all alike, or nobody puts it back."""
    return None if plan.order_of_backs is None else Stack(sheets=plan.sheets, order=printer.backs_order)


def stack_findings(stack: Stack | None) -> tuple[Finding, ...]:
    """Warn that it is not known in which order the sheets come."""
    if stack is None or stack.order is not None:
        return ()
    said = (
        f"The {counted(stack.sheets, 'sheet')} of this order differ, and it is not known in which order they come when "
        "the stack goes back in for its second side: sheet 1 must go in first, or sheets get each other's backs. The "
        "turn test, print-folder align, settles it for good."
    )
    return (Finding(level=Level.WARN, code="backs-order-unknown", message=said),)


def second_side(reload: str, order: PageOrder | None, sheets: int) -> str:
    """Say how a stack goes back in and which sheet goes in first, as far as known: half a sentence, or nothing.

    Args:
        reload: the shop's own words, or empty.
        order: in which its sheets come; None where they are all alike.
        sheets: how many there are.
    """
    first = ""
    if order is not None and sheets > 1:
        first = f"sheet {Stack(sheets=sheets, order=order).goes_in_first(1, sheets)} goes in first"
    return "; ".join(filter(None, (reload.rstrip(". "), first)))
