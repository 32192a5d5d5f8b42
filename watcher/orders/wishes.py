"""What is wanted of an order: one record, made from its files and job ticket and handed on whole."""

from dataclasses import dataclass
from datetime import date

from watcher.settings.amounts import NO_OVERS, Overs, OversKind, parse_overs
from watcher.settings.card import CardSettings
from watcher.terms import Sequencing


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What is wanted of an order. What is not said here, the settings of its card decide.

    Attributes:
        card, sheet: names in the settings; empty where they are not said.
        quantity: finished cards, of each design; 0 where it is not said.
        quantity_from_card: nobody gave that number: it is the one that the settings have for the card.
        overs: spare cards on top; None where they are not said.
        due: the day on which the cards are needed.
        note: text for the person at the printer.
        approve: whether the customer is to see a picture of the card first; None where it is not said.
        now: it waits for no other orders to share its sheets.
        sequence: how several designs follow each other; None where it is not said.
        only: the numbers of the designs that are wanted; empty for all.
    """

    card: str = ""
    sheet: str = ""
    quantity: int = 0
    quantity_from_card: bool = False
    overs: Overs | None = None
    due: date | None = None
    note: str | None = None
    approve: bool | None = None
    now: bool = False
    sequence: Sequencing | None = None
    only: tuple[int, ...] = ()

    @property
    def spare(self) -> Overs:
        """The overs; none where they are not said."""
        return self.overs or NO_OVERS

    @property
    def cards_with_overs(self) -> int:
        """The cards and their overs; overs in sheets count for none, for a sheet more costs all orders alike."""
        return self.quantity + (0 if self.spare.kind is OversKind.SHEETS else self.spare.cards_for(self.quantity, 1))

    def approve_for(self, card: CardSettings) -> bool:
        """Whether the customer is to see a picture of the card first: as the order says, else as the card does."""
        return card.approve if self.approve is None else self.approve

    def sequence_for(self, card: CardSettings) -> Sequencing:
        """How several designs follow each other: as the order says, else as the card does."""
        return self.sequence or card.sequence


def overs_from(text: str) -> Overs:
    """Read overs as `str(Overs)` writes them: `5 %`, `3`, `1 sheet`.

    Raises:
        ValueError: the text is none of these.
    """
    return parse_overs(int(text) if text.isdecimal() else text)
