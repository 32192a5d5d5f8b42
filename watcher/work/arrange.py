"""The layout of an order, from its settings and wishes, and the count of its sheets."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from watcher.errors import NoCardFits
from watcher.layout.gang.choice import choose_gang
from watcher.layout.gang.model import GangChoice
from watcher.layout.geometry import Margins
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Layout, LayoutRequest, WhiteEdges
from watcher.layout.sequence import DesignForm, sequence_designs
from watcher.orders.quantity import SheetCount, count_sheets
from watcher.orders.wishes import Wishes
from watcher.settings.amounts import NO_OVERS, OversKind
from watcher.settings.to_toml import SheetSetup


@dataclass(frozen=True, kw_only=True)
class Arranged:
    """An order laid out: where the cards lie, how many sheets there are, and which design lies where."""

    layout: Layout
    count: SheetCount
    forms: tuple[DesignForm, ...]


def arrange_designs(settings: SheetSetup, wishes: Wishes, designs: int) -> Arranged:
    """Lay out an order of several designs, or of one of them alone.

    Args:
        settings: it is made with these.
        wishes: quantity, overs and sequence.
        designs: how many there are.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    quantity, spare = wishes.quantity, wishes.spare
    rounds = int(spare.amount) if spare.kind is OversKind.SHEETS else 0
    cards = quantity + (0 if rounds else spare.cards_for(quantity, 1))
    layout = lay_out(layout_request(settings, designs * cards))
    sequencing = wishes.sequence_for(settings.card)
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
    settings: SheetSetup, wishes: Wishes, sheets_only: int | None = None, bare: WhiteEdges | None = None
) -> Arranged:
    """Lay out an order of one design, which lies at every place; arguments and errors as of `lay_out_order`."""
    layout, count = lay_out_order(settings, wishes, sheets_only, bare)
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


def lay_out_order(
    settings: SheetSetup, wishes: Wishes, sheets_only: int | None = None, bare: WhiteEdges | None = None
) -> tuple[Layout, SheetCount]:
    """Lay out the cards of an order, and count its sheets.

    Args:
        settings: it is made with these.
        wishes: quantity and overs.
        sheets_only: so many sheets are made, without overs; the cards lie as for the quantity.
        bare: how wide the art is bare along its edges, where that may bring cards into the rim; else None.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    layout = _best_layout(settings, wishes.cards_with_overs, bare)
    if sheets_only is not None:
        return layout, count_sheets(sheets_only * layout.up, NO_OVERS, layout.up)
    return layout, count_sheets(wishes.quantity, wishes.spare, layout.up)


def _best_layout(settings: SheetSetup, wanted: int, bare: WhiteEdges | None) -> Layout:
    """The layout between the rims, or one that reaches into them where that gains a card."""
    usual = layout_request(settings, wanted)
    if bare is None:
        return lay_out(usual)
    reaching = layout_request(settings, wanted, bare)
    try:
        within = lay_out(usual)
    except NoCardFits:
        return lay_out(reaching)
    found = lay_out(reaching)
    return found if found.in_rim and found.up > within.up else within


def layout_request(settings: SheetSetup, cards_wanted: int, bare: WhiteEdges | None = None) -> LayoutRequest:
    """Give what the settings ask of the layout. Folded cards lie on the sheet opened out, and all the same way.

    Art that is bare all round for as far as its bleed would reach wants no bleed, and no lane between two cards for it.
    """
    sheet, printer = settings.sheet, settings.printer
    folded, card = settings.card.fold is not None, settings.card.opened_out
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


def choose_gang_orders(settings: SheetSetup, orders: Sequence[Wishes]) -> tuple[Layout, GangChoice]:
    """Choose which of some orders of one `gang_key` to gang, and lay out the sheet that they share.

    Args:
        settings: of any of them.
        orders: quantity and overs of each; overs in cards or percent count as cards, the most whole sheets that any of
            them asks for count for all.

    Raises:
        NoCardFits: the card is too large for the sheet.
    """
    overs = [wishes.spare for wishes in orders]
    in_sheets = [int(spare.amount) for spare in overs if spare.kind is OversKind.SHEETS]
    wanted = [wishes.cards_with_overs for wishes in orders]
    layout = lay_out(layout_request(settings, sum(wanted)))
    forms = settings.sheet.gang_layouts
    return layout, choose_gang(wanted, layout.up, forms, spare_sheets=max(in_sheets, default=0))


ALL_BARE = Margins.all_round(Fraction(10_000))  # more than any card: nothing of the art keeps it from the paper's edge


def ideal_layout(settings: SheetSetup, wanted: int) -> Layout:
    """Give the layout that art would have which leaves every edge bare."""
    bare = WhiteEdges(front=ALL_BARE, back=ALL_BARE if settings.card.sides == 2 else None)
    return _best_layout(settings, wanted, bare)


def _needs_no_bleed(bare: WhiteEdges, bleed: Fraction) -> bool:
    sides = [bare.front, *([bare.back] if bare.back else [])]
    return all(width >= bleed for side in sides for width in vars(side).values())
