"""The findings on how art fits its card, each with the numbers and the way out, for a shop owner."""

from collections.abc import Sequence
from fractions import Fraction

from watcher.art.model import Art
from watcher.layout.geometry import Box, Size
from watcher.settings.card import CardSettings
from watcher.terms import Finding, Level, MakeBleed, Quarter, Side, Turn
from watcher.units import pixels_needed, pixels_per_inch, show_length, show_mm, show_size

# Codes of holds whose acceptance cuts art off or brings it to another size.
HELD_FOR_FIT = frozenset({"shape-mismatch", "trim-mismatch", "bleed-unclear"})
# Codes of what is no reason to hold art, but tells that it is cut or brought to another size: said with every hold.
CHANGES_ART = frozenset(
    {"shape-adjusted", "shape-cropped", "shape-padded", "bleed-left-out", "placed-by-trim", "small-page"}
)
_SAME_SCALE = Fraction(5, 1000)  # rounding of sizes in files (our own choice)
GOOD_PPI = 300  # what printers advise to export at (gsmmagazine.co, colorfxweb.com)


def show_extent(art: Art) -> str:
    """The art's size as people know it: pixels, or millimetres for a PDF page."""
    if art.width_px is None:
        return show_size(art.extent.width, art.extent.height)
    return f"{art.width_px} x {art.height_px} px"


def show_shape(size: Size) -> str:
    """Width to height with the shorter side as 1: `1 : 1.4`, `1.75 : 1`."""
    if size.width <= size.height:
        return f"1 : {_short(size.height / size.width)}"
    return f"{_short(size.width / size.height)} : 1"


def _short(ratio: Fraction) -> str:
    return f"{float(ratio):.3f}".rstrip("0").rstrip(".")


def good_pixels(size: Size) -> str:
    """Pixels for a size at the advised resolution: `1575 x 2175 px`."""
    return f"{pixels_needed(size.width, GOOD_PPI)} x {pixels_needed(size.height, GOOD_PPI)} px"


def mismatch(art: Art, card: CardSettings, box: Box, target: Box) -> Finding:
    """The reason to hold an order: its art has another shape than the card."""
    said = (
        f"{art.file} is {show_extent(art)} (shape {show_shape(art.extent)}), but {_card_shapes(card)}. "
        f'{_export_at(art, card)}, or set shape_mismatch = "crop" or "pad" for this card. '
        f"{_anyway(_own_scale(art, box), box, target)}"
    )
    return _finding(Level.HOLD, "shape-mismatch", said, art)


def lies_on_its_side(art: Art, card: CardSettings, size: Size, box: Box, target: Box) -> Finding:
    """The reason to hold an order: its art would fit turned by a quarter, but the other side does not lie likewise.

    Args:
        art: the side.
        card: what it is for.
        size: what lies on its side, the art or its trim.
        box: where that lies on the card when it is printed anyway.
        target: what of it is kept then.
    """
    which = "its trim" if size != art.extent else "it"
    shown = show_extent(art) if size == art.extent else show_size(*_pair(size))
    said = f"{art.file} is lying on its side: {which} is {shown} (shape {show_shape(size)}), but {_card_shapes(card)}. "
    if art.side is Side.BACK:
        said += (
            "Turn it a quarter to the left (its top comes to the left edge of the card) or to the right, or let this "
            'card do so: set back_quarter = "left" or "right". '
        )
    else:
        said += "Turn it a quarter. "
    scale = _own_scale(art, box) if size == art.extent else box.width / size.width
    upright = size.turned(Turn.LEFT)
    if scale is None:  # beside the size at which it would fill the card upright
        fills = max(target.width / upright.width, target.height / upright.height)
        scale = box.width / size.width / fills
    return _finding(Level.HOLD, "shape-mismatch", f"{said}{_export_at(art, card)}. {_anyway(scale, box, target)}", art)


def read_on_its_side(arts: Sequence[Art], card: CardSettings) -> Finding:
    """The note that all art is landscape for a portrait card, or the reverse, and is made as that card.

    Args:
        arts: the sides of one design.
        card: as the settings have it.
    """
    names = " and ".join(dict.fromkeys(art.file for art in arts))
    lying = card.on_its_side
    said = (
        f"{names} {'lies' if len(arts) == 1 else 'lie'} on {'its' if len(arts) == 1 else 'their'} side for a card of "
        f"{show_size(*_pair(card.trim))}; it is made as a card of {show_size(*_pair(lying.trim))}, upright as it is "
        f"read{'' if len(arts) == 1 else f', with the back {lying.backs} to the front'}."
    )
    return Finding(level=Level.NOTE, code="card-on-its-side", message=said)


def turned_upright(art: Art, way: Quarter) -> Finding:
    """The note that a back that lay on its side was turned as the settings say."""
    said = f"{art.file} is lying on its side; it is turned a quarter to the {way}, as the settings of this card say."
    return _finding(Level.NOTE, "back-turned", said, art)


def trim_mismatch(art: Art, card: CardSettings, size: Size, scale: Fraction, box: Box) -> Finding:
    """The reason to hold an order: the file says a trim that is not the card's."""
    trim = Box.at(Fraction(0), Fraction(0), card.trim)
    said = (
        f"{art.file} says that its trim is {show_size(*_pair(size))}, but the card is "
        f"{show_size(*_pair(card.trim))}. Put it into the folder of its own card, export it with the card's size, or "
        f'set shape_mismatch = "crop" or "pad" for this card. {_anyway(scale, box, trim)}'
    )
    return _finding(Level.HOLD, "trim-mismatch", said, art)


def placed_by_trim(art: Art, said: Box) -> Finding:
    """The note that where the card lies on the page comes from the file itself."""
    words = (
        f"{art.file} says where its trim is ({show_size(*_pair(said.size))} of the {show_extent(art)} shown); it is "
        "placed by that, and what lies beyond the bleed is left out."
    )
    return _finding(Level.NOTE, "placed-by-trim", words, art)


def bleed_left_out(art: Art, card: CardSettings, brought: Fraction) -> Finding:
    """The note that there is more bleed than the card wants."""
    said = (
        f"{art.file} brings {show_length(brought, card.bleed)} of bleed; {show_length(card.bleed)} are used and the "
        "rest is left out."
    )
    return _finding(Level.NOTE, "bleed-left-out", said, art)


def unclear_before_art(card: CardSettings) -> str:
    """The warning of a card whose art will not tell whether it brings bleed, before any has come."""
    bleed = show_length(card.bleed)
    return (
        f"{show_size(*_pair(card.trim))} and {show_size(*_pair(card.trim.grown(card.bleed)))} with bleed have the same "
        f'shape, so art in pixels will not tell which it is. Set art_bleed = "{bleed}" for this card when its art '
        'brings bleed, "0 mm" when not; until then such orders are held.'
    )


def bleed_unclear(art: Art, card: CardSettings, taken: Fraction, box: Box) -> Finding:
    """The reason to hold an order: its shape fits both trim and trim with bleed. `taken`: the bleed it is made with."""
    bleed = show_length(card.bleed)
    if taken:
        anyway = f"as having {show_length(taken, card.bleed)} of bleed, and that much at each edge is cut off"
    else:
        none = card.make_bleed is MakeBleed.NONE
        anyway = f"as having no bleed, and {'none' if none else 'its bleed'} is made"
    scale = _own_scale(art, box)
    change = f", and it is {_change(scale)}" if scale is not None and abs(scale - 1) > _SAME_SCALE else ""
    said = (
        f"{art.file} ({show_extent(art)}) fits {_reading(art, card.trim)} without bleed as well as "
        f"{_reading(art, card.trim.grown(card.bleed))} with bleed. "
        f'Set art_bleed = "{bleed}" for this card when its art brings bleed, "0 mm" when not. '
        f"Printed anyway, it is taken {anyway}{change}."
    )
    return _finding(Level.HOLD, "bleed-unclear", said, art)


def trimmed_to_shape(art: Art, off: Fraction, box: Box, target: Box) -> Finding:
    """The note that the shape is a trifle off, and what stands over is cut off."""
    said = f"{art.file} is {float(100 * off):.2f} % off the card's shape; {_over(box, target)} cut off."
    return _finding(Level.NOTE, "shape-adjusted", said, art)


def cropped(art: Art, box: Box, target: Box, bleed: Fraction) -> Finding:
    """The warning that the art fills the card and loses its ends."""
    fills = "the card and its bleed" if bleed else "the card"
    said = f"{art.file} has another shape than the card; it fills {fills}, and {_over(box, target)} cut off."
    return _finding(Level.WARN, "shape-cropped", said, art)


def padded(art: Art, box: Box, trim: Box) -> Finding:
    """The warning that all of the art is shown and paper beside it."""
    each, sides = _ends(trim, box)
    said = f"{art.file} has another shape than the card; it is shown whole, and {each} mm of paper show at {sides}."
    return _finding(Level.WARN, "shape-padded", said, art)


def bleed_made(art: Art, card: CardSettings, missing: Fraction) -> Finding:
    """The note that bleed is made from the art's edge."""
    how = "its edge is mirrored" if card.make_bleed is MakeBleed.MIRROR else "its outermost colours run out"
    said = f"{_lack(art, card, missing)}; {how} to make {show_length(missing, card.bleed)}."
    return _finding(Level.NOTE, "bleed-made", said, art)


def bleed_missing(art: Art, card: CardSettings, missing: Fraction) -> Finding:
    """The warning that white may show where a cut is off."""
    said = (
        f"{_lack(art, card, missing)}, and none is made: a cut that is off shows white. Export it at "
        f'{show_size(*_pair(card.trim.grown(card.bleed)))}, or set make_bleed = "mirror" for this card.'
    )
    return _finding(Level.WARN, "bleed-missing", said, art)


def _lack(art: Art, card: CardSettings, missing: Fraction) -> str:
    if missing >= card.bleed:
        return f"{art.file} has no bleed"
    has = show_length(card.bleed - missing, card.bleed)
    return f"{art.file} has {has} of the {show_length(card.bleed)} bleed"


def _card_shapes(card: CardSettings) -> str:
    trim = f"the card is {show_size(*_pair(card.trim))} ({show_shape(card.trim)})"
    wide = card.trim.grown(card.bleed)
    return f"{trim}, {show_size(*_pair(wide))} with bleed ({show_shape(wide)})" if card.bleed else trim


def _export_at(art: Art, card: CardSettings) -> str:
    wide = card.trim.grown(card.bleed)
    if art.width_px is None:
        sizes = show_size(*_pair(wide)), show_size(*_pair(card.trim))
    else:
        sizes = good_pixels(wide), good_pixels(card.trim)
    at = f" ({GOOD_PPI} ppi)" if art.width_px else ""
    return (
        f"Export it at {sizes[0]} with bleed or {sizes[1]} without{at}"
        if card.bleed
        else f"Export it at {sizes[1]}{at}"
    )


def _reading(art: Art, size: Size) -> str:
    mm = show_size(*_pair(size))
    if art.width_px is None or art.height_px is None:
        return mm
    ppi = min(pixels_per_inch(art.width_px, size.width), pixels_per_inch(art.height_px, size.height))
    return f"{mm} ({float(ppi):.0f} ppi)"


def _own_scale(art: Art, box: Box) -> Fraction | None:
    """How many times its own size the art is shown; None where it does not say what it measures."""
    return box.width / art.real_size.width if art.real_size else None


def _change(scale: Fraction) -> str:
    return f"{'enlarged' if scale > 1 else 'reduced'} to {float(100 * scale):.0f} %"


def _anyway(scale: Fraction | None, box: Box, target: Box) -> str:
    """What an acceptance does to the art: by how much it is enlarged, and what of it is lost."""
    changes = []
    if scale is not None:
        changes.append(f"it is {_change(scale) if abs(scale - 1) > _SAME_SCALE else 'as large as it says it is'}")
    if box.width > target.width or box.height > target.height:
        lost = 1 - target.width * target.height / (box.width * box.height)
        changes.append(f"{_over(box, target)} cut off ({float(100 * lost):.0f} % of it)")
    return f"Printed anyway, {' and '.join(changes or ['it fills the card'])}."


def _over(box: Box, target: Box) -> str:
    each, sides = _ends(box, target)
    return f"{each} mm at {sides} {'is' if each == '1' else 'are'}"


def _ends(outer: Box, inner: Box) -> tuple[str, str]:
    """How far `outer` stands over `inner` at each end, and at which ends."""
    across, along = outer.width - inner.width, outer.height - inner.height
    if across >= along:
        return show_mm(across / 2), "the left and the right"
    return show_mm(along / 2), "the top and the bottom"


def _pair(size: Size) -> tuple[Fraction, Fraction]:
    return size.width, size.height


def _finding(level: Level, code: str, said: str, art: Art) -> Finding:
    return Finding(level=level, code=code, message=said, side=art.side)
