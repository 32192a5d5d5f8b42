"""From settings and quantities to a layout and counts of sheets: what `make`, `check` and gang runs share."""

from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from watcher.errors import NoCardFits
from watcher.layout.gang.choice import choose_gang
from watcher.layout.gang.model import GangChoice
from watcher.layout.geometry import Margins
from watcher.layout.lay_out import lay_out
from watcher.layout.model import BarePaper, Layout, LayoutRequest
from watcher.layout.sequence import DesignForm, sequence_designs
from watcher.orders.quantity import SheetCount, count_sheets
from watcher.settings.model import CardSettings, PrinterSettings, SheetSettings
from watcher.settings.values import NO_OVERS, Overs, OversKind, parse_overs
from watcher.terms import Sequencing


@dataclass(frozen=True, kw_only=True)
class Arranged:
    """An order on its sheets: where the cards lie, how many sheets there are, and which design lies where."""

    layout: Layout
    count: SheetCount
    forms: tuple[DesignForm, ...]


def arrange_designs(
    card: CardSettings,
    sheet: SheetSettings,
    printer: PrinterSettings,
    quantity: int,
    overs: str,
    designs: int,
    sequencing: Sequencing,
) -> Arranged:
    """The sheets of an order of several designs (or of one of them alone).

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    spare = _overs(overs)
    rounds = int(spare.amount) if spare.kind is OversKind.SHEETS else 0
    cards = quantity + (0 if rounds else spare.cards_for(quantity, 1))
    layout = lay_out(layout_request(card, sheet, printer, designs * cards))
    forms = sequence_designs(designs=designs, cards=cards, up=layout.up, sequencing=sequencing)
    forms = tuple(replace(form, sheets=form.sheets + rounds) for form in forms)
    base = -(-designs * quantity // layout.up)
    count = SheetCount(
        quantity=quantity,
        overs_cards=_fewest(forms) - quantity if rounds else cards - quantity,
        up=layout.up,
        base=base,
        spare=sum(form.sheets for form in forms) - base,
        designs=designs,
    )
    return Arranged(layout=layout, count=count, forms=forms)


def arrange_one(
    card: CardSettings,
    sheet: SheetSettings,
    printer: PrinterSettings,
    quantity: int,
    overs: str,
    sheets_only: int | None = None,
    bare: BarePaper | None = None,
) -> Arranged:
    """The sheets of an order of one design, which lies at every place; raises as `arrange_designs`."""
    layout, count = lay_out_order(card, sheet, printer, quantity, overs, sheets_only, bare)
    form = DesignForm(designs=(0,) * layout.up, sheets=count.total)
    return Arranged(layout=layout, count=count, forms=(form,))


def _fewest(forms: Sequence[DesignForm]) -> int:
    """How many cards there are of the design of which there are the fewest."""
    made: Counter[int] = Counter()
    for form in forms:
        for design in form.designs:
            if design is not None:
                made[design] += form.sheets
    return min(made.values())


def _overs(overs: str) -> Overs:
    return parse_overs(int(overs) if overs.isdecimal() else overs)


def lay_out_order(
    card: CardSettings,
    sheet: SheetSettings,
    printer: PrinterSettings,
    quantity: int,
    overs: str,
    sheets_only: int | None = None,
    bare: BarePaper | None = None,
) -> tuple[Layout, SheetCount]:
    """Where the cards lie, and how many sheets that makes.

    Args:
        card: the card.
        sheet: what it is printed on.
        printer: by what.
        quantity: cards wanted.
        overs: spare ones, as people write it.
        sheets_only: so many sheets are made, without overs; the cards lie as for the quantity.
        bare: how wide the art is bare along its edges, where that may bring cards into the rim; else None.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    spare = _overs(overs)
    spare_cards = 0 if spare.kind is OversKind.SHEETS else spare.cards_for(quantity, 1)  # a sheet more costs all alike
    layout = _best_layout(card, sheet, printer, quantity + spare_cards, bare)
    if sheets_only is not None:
        return layout, count_sheets(sheets_only * layout.up, NO_OVERS, layout.up)
    return layout, count_sheets(quantity, spare, layout.up)


def _best_layout(
    card: CardSettings, sheet: SheetSettings, printer: PrinterSettings, wanted: int, bare: BarePaper | None
) -> Layout:
    """The layout between the rims, or one that reaches into them where that gains a card."""
    usual = layout_request(card, sheet, printer, wanted)
    if bare is None:
        return lay_out(usual)
    reaching = layout_request(card, sheet, printer, wanted, bare)
    try:
        within = lay_out(usual)
    except NoCardFits:
        return lay_out(reaching)
    found = lay_out(reaching)
    return found if found.in_rim and found.up > within.up else within


def layout_request(
    card: CardSettings,
    sheet: SheetSettings,
    printer: PrinterSettings,
    cards_wanted: int,
    bare: BarePaper | None = None,
) -> LayoutRequest:
    """What the settings ask of the layout stage. Folded cards lie on the sheet opened out, and all the same way.

    Art that is bare all round for as far as its bleed would reach wants no bleed, and no lane between two cards for it.
    """
    folded, card = card.fold is not None, card.opened_out
    if bare is not None and _needs_no_bleed(bare, card.bleed):
        card = card.model_copy(update={"bleed": Fraction(0), "least_bleed": Fraction(0)})
    return LayoutRequest(
        sheet=sheet.size,
        trim=card.trim,
        bleed=card.bleed,
        least_bleed=card.least_bleed,
        gutter=sheet.gutter_for(card),
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
        bare=bare,
    )


def gang_key(card: CardSettings, sheet: SheetSettings, printer: PrinterSettings) -> Hashable:
    """What orders must have in common to share a sheet: the sheet and its printer, and all that the cutter sees.

    The printer stands for the colour: its sheets go out under one profile.
    """
    finished = (card.trim, card.fold, card.corner, card.bleed, card.least_bleed, card.sides, card.backs)
    return (*finished, sheet.name, printer.name)


def choose_gang_orders(
    card: CardSettings,
    sheet: SheetSettings,
    printer: PrinterSettings,
    orders: Sequence[tuple[int, str]],
    forms: int,
) -> tuple[Layout, GangChoice]:
    """The layout that orders of one `gang_key` share, and which of them to gang.

    Args:
        card: of any of them.
        sheet: that they are printed on.
        printer: that prints it.
        orders: quantity and overs of each; overs in cards or percent count as cards, the most whole sheets that any of
            them asks for count for all.
        forms: at most so many different sheets in the run.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    overs = [parse_overs(int(text) if text.isdecimal() else text) for _, text in orders]
    in_sheets = [int(spare.amount) for spare in overs if spare.kind is OversKind.SHEETS]
    wanted = [
        quantity + (0 if spare.kind is OversKind.SHEETS else spare.cards_for(quantity, 1))
        for (quantity, _), spare in zip(orders, overs, strict=True)
    ]
    layout = lay_out(layout_request(card, sheet, printer, sum(wanted)))
    return layout, choose_gang(wanted, layout.up, forms, spare_sheets=max(in_sheets, default=0))


ALL_BARE = Margins.all_round(Fraction(10_000))  # more than any card: nothing of the art keeps it from the paper's edge


def ideal_layout(card: CardSettings, sheet: SheetSettings, printer: PrinterSettings, wanted: int) -> Layout:
    """The layout that art would have which leaves every edge bare."""
    bare = BarePaper(front=ALL_BARE, back=ALL_BARE if card.sides == 2 else None)
    return _best_layout(card, sheet, printer, wanted, bare)


def _needs_no_bleed(bare: BarePaper, bleed: Fraction) -> bool:
    sides = [bare.front, *([bare.back] if bare.back else [])]
    return all(width >= bleed for side in sides for width in vars(side).values())
