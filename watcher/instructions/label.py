"""`ORDER_label.pdf`: a label for each bundle of finished cards, one a page."""

from dataclasses import dataclass
from io import BytesIO

from PIL import Image
from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepInFrame, Paragraph, Table
from reportlab.platypus import Image as Picture

from watcher.instructions import words
from watcher.instructions.card_words import CardWords
from watcher.instructions.style import BARE, BOLD, SANS, height_of, printable, register_fonts
from watcher.layout.geometry import Size
from watcher.orders.quantity import counted
from watcher.sheet.check.render import Rendered
from watcher.sheet.draw.lettering import binary_streams
from watcher.units import mm_to_points

LABEL_SUFFIX = "_label.pdf"
_USUAL_SIDE = 288.0  # points, 4 in: the shorter side of a usual label, for which the sizes of type are meant
_BESIDE = 0.4  # of the width, for a picture beside the words
_LEAST_BELOW, _MOST_BELOW = 0.3, 0.45  # of the height, for one below them
_LONGEST_PX = 500


@dataclass(frozen=True, kw_only=True)
class Bundles:
    """What is written on the labels of an order.

    Attributes:
        about: name, size, paper and day, as on the customer's picture.
        cards: finished cards of the whole order.
        bundle: at most so many lie in one bundle.
        note: text for the person who packs, or None.
    """

    about: CardWords
    cards: int
    bundle: int
    note: str | None = None

    @property
    def sizes(self) -> tuple[int, ...]:
        """How many cards lie in each bundle; what is left lies in the last one."""
        whole, rest = divmod(self.cards, self.bundle)
        return (self.bundle,) * whole + ((rest,) if rest else ())


def label_pdf(bundles: Bundles, size: Size, card: Rendered | None) -> bytes:
    """Write the labels as a PDF; the same bytes for the same bundles.

    Args:
        bundles: what they say.
        size: of a label, mm.
        card: the side of the card that is shown; None for none.
    """
    register_fonts()
    page = float(mm_to_points(size.width)), float(mm_to_points(size.height))
    scale = min(page) / _USUAL_SIDE
    edge, out = 16 * scale, BytesIO()
    room = page[0] - 2 * edge, page[1] - 2 * edge
    shown = None if card is None else _jpeg(card)
    with binary_streams():
        canvas = Canvas(out, pagesize=page, invariant=1, initialFontName=SANS)
        canvas.setTitle(printable(bundles.about.name, SANS))
        for number in range(len(bundles.sizes)):
            frame = KeepInFrame(*room, _parts(bundles, number, shown, room, scale), mode="shrink")
            _, high = frame.wrapOn(canvas, *room)
            frame.drawOn(canvas, edge, page[1] - edge - high)
            canvas.showPage()
        canvas.save()
    return out.getvalue()


def _parts(
    bundles: Bundles, number: int, shown: bytes | None, room: tuple[float, float], scale: float
) -> list[Flowable]:
    cards, of = bundles.sizes[number], len(bundles.sizes)
    parts: list[Flowable] = [
        _said(bundles.about.name, 24 * scale, bold=True),
        _said(counted(cards, "card"), 30 * scale, bold=True),
        _said(f"bundle {number + 1} of {of}; {counted(bundles.cards, 'card')} in all", 15 * scale),
    ]
    lines: list[Flowable] = [_said(line, 13 * scale) for line in bundles.about.lines]
    if bundles.note:
        lines.append(_said(f"Note: {bundles.note}", 13 * scale, bold=True))
    if shown is None:
        return [*parts, *lines]
    gap, (wide, high) = 10 * scale, room
    below = high - height_of([*parts, *lines], wide) - 2 * gap
    if below > _LEAST_BELOW * high:
        picture = _fitted(shown, wide, min(below, _MOST_BELOW * high))
        picture.spaceBefore = gap
        return [*parts, *lines, picture]
    picture = _fitted(shown, _BESIDE * wide, 0.5 * high)
    style = [*BARE, ("TOPPADDING", (0, 0), (-1, -1), gap), ("RIGHTPADDING", (0, 0), (0, 0), gap)]
    left = picture.drawWidth + gap
    return [*parts, Table([[picture, lines]], colWidths=[left, wide - left], style=style, hAlign="LEFT")]


def _said(text: str, size: float, *, bold: bool = False) -> Paragraph:
    font = BOLD if bold else SANS
    style = ParagraphStyle("label", fontName=font, fontSize=size, leading=1.22 * size, textColor=black)
    return Paragraph(printable(words.plain(text), font), style)


def _jpeg(card: Rendered) -> bytes:
    picture, out = Image.fromarray(card.pixels), BytesIO()
    picture.thumbnail((_LONGEST_PX, _LONGEST_PX))
    picture.save(out, "JPEG", quality=90, subsampling=0)
    return out.getvalue()


def _fitted(jpeg: bytes, wide: float, high: float) -> Picture:
    """The picture as large as the room allows."""
    width, height = ImageReader(BytesIO(jpeg)).getSize()
    scale = min(wide / width, high / height)
    picture = Picture(BytesIO(jpeg), width * scale, height * scale)
    picture.hAlign = "LEFT"
    return picture
