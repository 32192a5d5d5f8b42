"""How the printing of an order stands: the record that lists have of it, which `print_status` makes.

Light to import: in most print folders nothing was ever sent to a printer, and those that list them look here first.
"""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

NOTES_NAME = "printing.sqlite"  # the notes on what was sent; see `notes.py`


def is_anything_noted(state: Path) -> bool:
    """Whether there are notes on what was sent to printers."""
    return (state / NOTES_NAME).exists()


class PrintStanding(StrEnum):
    """How far an order's printing is."""

    SENDING = "sending"  # it is on its way to the printer
    WAITING = "waiting"  # the printer must be seen to first
    PRINTING = "printing"  # the printer has it
    SOME = "some"  # a part of it is printed, and nothing is under way
    BACKS = "backs"  # its fronts are printed; the stack is to be put back
    PERHAPS = "perhaps"  # nobody can know; a person looks
    NOT_PRINTED = "not printed"  # it was asked for and not sent


@dataclass(frozen=True, kw_only=True)
class PrintStatus:
    """How the printing of an order stands.

    Attributes:
        standing: how far it is.
        says: the same in a line for people, with what they are to do; no full stop at its end.
        printed: sheets that are printed with all of their sides.
        sheets: sheets of the order.
        half_done: sheets with their fronts on them, which wait for their backs.
    """

    standing: PrintStanding
    says: str
    printed: int
    sheets: int
    half_done: int = 0

    @property
    def left(self) -> int:
        """The sheets of paper that it still takes."""
        return max(0, self.sheets - self.printed - self.half_done)
