"""What the writer and the readers of `ORDER_ticket.toml` share: its name, and records that stand in it."""

from dataclasses import dataclass

TICKET_SUFFIX = "_ticket.toml"
LARGEST_TICKET = 1024 * 1024  # bytes; a ticket of a hundred places is a hundredth of it
NO_FLIP = "none"


@dataclass(frozen=True, kw_only=True)
class PrintFile:
    """How a file of sheets is printed.

    Attributes:
        file: its name in the outbox.
        copies: how many copies of it.
        sides: as IPP names it (RFC 8011 5.2.8).
        media: the paper as IPP names it (PWG 5101.1).
    """

    file: str
    copies: int
    sides: str
    media: str
