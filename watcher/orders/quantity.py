"""How many sheets an order needs, and the one way this is said everywhere: slug line, instructions, ticket, log.

Rule: sheets = ceil((quantity + overs) / up), cards first. The other formula in use (whole sheets first, then the
percentage) gives one sheet more now and then: 36 against 35 for 250 cards, 8-up, 5 % and 2 sheets. Both are common
practice, no source.

Of several designs the quantity and the overs count for each, a part of a card as one; overs in sheets are so many more
of each different sheet.
"""

from dataclasses import dataclass

from watcher.settings.amounts import Overs

NO_NUMBER = "because no number was given"


@dataclass(frozen=True, kw_only=True)
class SheetCount:
    """The sheets of one order.

    Attributes:
        quantity: finished cards the customer gets, of each design.
        overs_cards: cards printed on top of that, of each design.
        up: cards on one sheet.
        base: sheets that the quantity alone needs.
        spare: sheets that the overs add.
        designs: how many different cards there are.
    """

    quantity: int
    overs_cards: int
    up: int
    base: int
    spare: int
    designs: int = 1

    @property
    def total(self) -> int:
        """Sheets to print."""
        return self.base + self.spare

    @property
    def words(self) -> str:
        """The count for people: `50 cards = 25 sheets, plus 1 spare`."""
        return quantity_line(self.quantity, self.base, self.spare, self.designs)


def count_sheets(quantity: int, overs: Overs, up: int) -> SheetCount:
    """Sheets for `quantity` cards and their overs, `up` cards on a sheet.

    Raises:
        ValueError: `quantity` or `up` is below 1.
    """
    if quantity < 1 or up < 1:
        raise ValueError(f"{quantity} cards at {up} on a sheet: both must be 1 or more")
    overs_cards = overs.cards_for(quantity, up)
    base = _sheets_for(quantity, up)
    spare = _sheets_for(quantity + overs_cards, up) - base
    return SheetCount(quantity=quantity, overs_cards=overs_cards, up=up, base=base, spare=spare)


def quantity_line(quantity: int, base_sheets: int, spare_sheets: int, designs: int = 1) -> str:
    """The count for people: `50 cards = 25 sheets, plus 1 spare`; nothing about spares when there are none.

    Of several designs: `24 designs x 1 card = 3 sheets`.
    """
    each = f"{counted(designs, 'design')} x " if designs > 1 else ""
    line = f"{each}{counted(quantity, 'card')} = {counted(base_sheets, 'sheet')}"
    return f"{line}, plus {spare_sheets} spare" if spare_sheets else line


def say_cards(quantity: int, *, from_card: bool) -> str:
    """The cards that are wanted, for people, of each design; empty where that is not known.

    Args:
        quantity: how many.
        from_card: nobody gave that number: it is the one that the settings have for the card.
    """
    if quantity < 1:
        return ""
    return counted(quantity, "card") + (f", {NO_NUMBER}" if from_card else "")


def run_line(quantity: int, run: str, run_sheets: int, orders: int) -> str:
    """The count of an order that shares its sheets: `24 cards, in run-2026-11-25: 8 sheets for 5 orders`."""
    return f"{counted(quantity, 'card')}, in {run}: {counted(run_sheets, 'sheet')} for {orders} orders"


def counted(number: int, thing: str) -> str:
    """A number and its noun: `1 sheet`, `25 sheets`."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _sheets_for(cards: int, up: int) -> int:
    return -(-cards // up)
