"""Which orders may share a sheet: all that is the same for the whole sheet must be the same for them."""

from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Size
from watcher.orders.model import Order
from watcher.settings.model import CardSettings, Settings
from watcher.terms import Backs, Fold, PaperEdge


@dataclass(frozen=True, kw_only=True)
class Kind:
    """What orders must have in common. Printer, cutter and colour go with the sheet, and sides with the rest.

    Attributes:
        sheet: its name in the settings.
        trim: of the card as it is cut, mm.
        Others as in `settings.model.CardSettings`.
    """

    sheet: str
    trim: Size
    bleed: Fraction
    least_bleed: Fraction
    sides: int
    backs: Backs
    fold: Fold | None
    corner: Fraction
    envelope: Size | None


def kind_of(order: Order, settings: Settings) -> Kind | None:
    """What the order must have in common with others; None when it shares its sheets with none.

    A repeat is made singly, for it is to be the same sheet as the first time; so is a card whose place on the sheet
    depends on its art, and one that the customer is to see first.
    """
    card = settings.cards.get(order.card)
    if card is None or order.fault or order.repeat is not None:
        return None
    sheet = settings.sheets.get(order.sheet or card.sheet)
    asks_first = (card.approve if order.approve is None else order.approve) and not order.accepted
    if sheet is None or not sheet.gang or card.paper_edge is not PaperEdge.NO or asks_first:
        return None
    return _kind(card, sheet.name)


def _kind(card: CardSettings, sheet: str) -> Kind:
    return Kind(
        sheet=sheet,
        trim=card.flat,
        bleed=card.bleed,
        least_bleed=card.least_bleed,
        sides=card.sides,
        backs=card.backs,
        fold=card.fold,
        corner=card.corner,
        envelope=card.envelope,
    )
