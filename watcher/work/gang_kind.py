"""Which orders may share a sheet: everything that holds for the whole sheet must be the same for all of them."""

from collections.abc import Hashable
from dataclasses import dataclass

from watcher.orders.model import Order
from watcher.settings.card import CardSettings
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.terms import PaperEdge

MOST_CARDS_SHARED = 10_000  # of one order: at best it would save a sheet, and the arithmetic grows with it


@dataclass(frozen=True, kw_only=True)
class Kind:
    """What orders must have in common: the sheet, by its name in the settings, and all that is done to it."""

    sheet: str
    key: Hashable


def kind_of(order: Order, settings: Settings) -> Kind | None:
    """Give what the order must have in common with others to share sheets; None when it shares with none.

    A repeat is made singly, for it is to be the same sheet as the first time; so is a card whose place on the sheet
    depends on its art, one that the customer is to see first, one of whose sheets a person has said that they are
    right, and one so large that it fills its sheets by itself; and an order of many designs has its own way of lying on
    sheets.
    """
    wishes = order.wishes
    card = settings.cards.get(wishes.card)
    if card is None or order.fault or order.overruled or order.repeat is not None or order.is_by_design:
        return None
    sheet = settings.sheets.get(wishes.sheet or card.sheet)
    asks_first = wishes.approve_for(card) and not order.accepted
    if sheet is None or not sheet.gang or card.paper_edge is not PaperEdge.NO or asks_first:
        return None
    if wishes.cards_with_overs > MOST_CARDS_SHARED:
        return None
    # one page of instructions names one envelope
    return Kind(sheet=sheet.name, key=(gang_key(card, sheet, settings.printer_for(sheet)), card.envelope))


def gang_key(card: CardSettings, sheet: SheetSettings, printer: PrinterSettings) -> Hashable:
    """Give what orders must have in common to share a sheet: the sheet and its printer, and all that the cutter sees.

    The printer stands for the colour: its sheets go out under one profile.
    """
    finished = (card.trim, card.fold, card.corner, card.bleed, card.least_bleed, card.sides, card.backs)
    return (*finished, sheet.name, printer.name)
