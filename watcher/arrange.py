"""From settings and a quantity to a layout and a count of sheets: what `make` and `check` share."""

from watcher.layout.lay_out import lay_out
from watcher.layout.model import Layout, LayoutRequest
from watcher.orders.quantity import SheetCount, count_sheets
from watcher.settings.model import CardSettings, PrinterSettings, SheetSettings
from watcher.settings.values import OversKind, parse_overs


def lay_out_order(
    card: CardSettings, sheet: SheetSettings, printer: PrinterSettings, quantity: int, overs: str
) -> tuple[Layout, SheetCount]:
    """Where the cards lie, and how many sheets that makes.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    spare = parse_overs(int(overs) if overs.isdecimal() else overs)
    spare_cards = 0 if spare.kind is OversKind.SHEETS else spare.cards_for(quantity, 1)  # a sheet more costs all alike
    layout = lay_out(layout_request(card, sheet, printer, quantity + spare_cards))
    return layout, count_sheets(quantity, spare, layout.up)


def layout_request(
    card: CardSettings, sheet: SheetSettings, printer: PrinterSettings, cards_wanted: int
) -> LayoutRequest:
    """What the settings ask of the layout stage. Folded cards lie on the sheet opened out, and all the same way."""
    folded, card = card.fold is not None, card.opened_out
    return LayoutRequest(
        sheet=sheet.size,
        trim=card.trim,
        bleed=card.bleed,
        least_bleed=card.least_bleed,
        gutter=2 * card.bleed if sheet.gutter is None else sheet.gutter,
        unprintable=sheet.unprintable,
        unprintable_back=sheet.unprintable_back,
        two_sided=card.sides == 2,
        flip=printer.flip if card.sides == 2 else None,
        duplex=printer.duplex,
        feed=printer.feed,
        backs=card.backs,
        mixed_turns=sheet.mixed_turns and not folded,
        prefer=sheet.prefer,
        cards_wanted=cards_wanted,
    )
