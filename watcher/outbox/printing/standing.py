"""How the printing of an order stands: the record that lists have of it; `print_status` makes it."""

from dataclasses import dataclass
from enum import StrEnum


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
