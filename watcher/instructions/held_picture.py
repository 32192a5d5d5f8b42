"""The picture beside `why.txt`: a held order's art as it lies on its card, each spot in question marked and numbered.

Comes in: the faces, and what was found of them. Goes out: the bytes of a small PNG; the same for the same art.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO

from PIL import Image, ImageDraw

from watcher.art.checks.spots import Mark, Spot, spots_of
from watcher.art.model import CardFace
from watcher.art.reading import trim_box
from watcher.instructions.preview import CAPTION, caption_font
from watcher.layout.geometry import Box
from watcher.orders.both_sides import SaidOfSides
from watcher.settings.card import CardSettings

MOST_DESIGNS = 3  # shown of an order of many
_TABLE, _PAPER, _INK = (236, 234, 230), (255, 255, 255), (32, 30, 28)
_RED, _CUT = (196, 30, 22), (20, 90, 170)
_TALLEST_PX, _WIDEST_PX = 440, 560  # of one side
_GAP_PX, _LETTERS_PX, _NARROWEST_PX = 20, 19, 640
_AROUND_MM, _ROUND_SPOT_MM = Fraction(4), Fraction(3)
_COLOURS = (128, 48, 20)
MOST_BYTES = 90_000
_VEIL = 0.6  # how much what is cut off fades
_TOGETHER_MM = Fraction(8)  # things less far apart get one ring
_SMALLEST_RING_MM = Fraction(12)
_MOST_SPOTS = 6  # rings of one finding on one side
_DASHED = "Dashed: the cut. Hatched: what would be cut off, or stay bare, if it is printed as it is."


@dataclass(frozen=True, kw_only=True)
class ShownDesign:
    """The faces of one design; `caption` stands before the side's name, empty where there is one design."""

    faces: tuple[CardFace, ...]
    caption: str = ""


@dataclass(frozen=True, kw_only=True)
class _Pane:
    """One side on its canvas: `area` in mm on the card, and pixels a millimetre."""

    area: Box
    scale: float

    @property
    def size_px(self) -> tuple[int, int]:
        return max(1, round(float(self.area.width) * self.scale)), max(1, round(float(self.area.height) * self.scale))

    def rectangle(self, box: Box) -> tuple[int, int, int, int]:
        """A box in pixels from the upper left."""
        left, right = (round(float(x - self.area.left) * self.scale) for x in (box.left, box.right))
        top, bottom = (round(float(self.area.top - y) * self.scale) for y in (box.top, box.bottom))
        return left, top, max(right, left), max(bottom, top)


def why_png(designs: Sequence[ShownDesign], findings: Sequence[SaidOfSides], card: CardSettings) -> bytes:
    """Draw every side with the spots that the findings are about, and the findings below it.

    Args:
        designs: the sides, with their thumbnails.
        findings: what the picture is to tell, numbered in this order.
        card: as it is opened out.

    Raises:
        ValueError: no side has a thumbnail.
    """
    panes = [
        (f"{design.caption} {face.art.side}".strip(), _side_picture(face, findings, card))
        for design in designs
        for face in design.faces
        if face.art.thumbnail is not None
    ]
    if not panes:
        raise ValueError("there is no side to show")
    font = caption_font(_LETTERS_PX)
    wide = max(_NARROWEST_PX, sum(picture.width + _GAP_PX for _, picture in panes) + _GAP_PX)
    words = list(_legend(findings, wide - 2 * _GAP_PX))
    line = _LETTERS_PX * 4 // 3
    tall = max(picture.height for _, picture in panes) + 2 * line + _GAP_PX
    canvas = Image.new("RGB", (wide, tall + line * len(words) + _GAP_PX), _TABLE)
    draw, left = ImageDraw.Draw(canvas), _GAP_PX
    for caption, picture in panes:
        draw.text((left, line // 2), caption, fill=CAPTION, font=font)
        canvas.paste(picture, (left, 2 * line))
        left += picture.width + _GAP_PX
    for number, said in enumerate(words):
        draw.text((_GAP_PX, tall + number * line), said, fill=_INK, font=font)
    return _small_png(canvas)


def _small_png(picture: Image.Image) -> bytes:
    """As small as a page can carry; a photo loses colours for it, and the wildest one is drawn smaller as well."""
    for colours in _COLOURS:
        if len(packed := _packed(picture, colours)) <= MOST_BYTES:
            return packed
    half = picture.resize((picture.width // 2, picture.height // 2), Image.Resampling.BOX)
    return _packed(half, _COLOURS[-1])


def _packed(picture: Image.Image, colours: int) -> bytes:
    packed = BytesIO()
    picture.quantize(colours, dither=Image.Dither.NONE).save(packed, "PNG", optimize=True)
    return packed.getvalue()


def _legend(findings: Sequence[SaidOfSides], wide: int) -> Iterator[str]:
    for number, told in enumerate(findings, 1):
        yield from _wrapped(f"{number} {told.finding.message}", wide)
    yield from _wrapped(_DASHED, wide)


def _wrapped(said: str, wide: int) -> Iterator[str]:
    font, line = caption_font(_LETTERS_PX), ""
    for word in said.encode("utf-8", "backslashreplace").decode("utf-8").split():
        if line and font.getlength(f"{line} {word}") > wide:
            yield line
            line = "   " + word
        else:
            line = f"{line} {word}" if line else word
    yield line


def _side_picture(face: CardFace, findings: Sequence[SaidOfSides], card: CardSettings) -> Image.Image:
    trim, box = trim_box(card), face.fit.box
    area = Box.around([box, trim.grown(card.bleed)]).grown(_AROUND_MM)
    scale = min(_TALLEST_PX / float(area.height), _WIDEST_PX / float(area.width))
    pane = _Pane(area=area, scale=scale)
    canvas = Image.new("RGB", pane.size_px, _TABLE)
    canvas.paste(_PAPER, pane.rectangle(trim))
    _paste_art(canvas, face, pane)
    _veil_outside(canvas, pane.rectangle(trim))
    draw = ImageDraw.Draw(canvas)
    _dashed(draw, pane.rectangle(trim))
    for number, told in enumerate(findings, 1):
        if not told.sides or face.art.side in told.sides:
            for spot in _joined(spots_of(told.finding.code, face, card))[:_MOST_SPOTS]:
                _mark(draw, spot, pane, number)
    return canvas


def _joined(spots: Sequence[Spot]) -> list[Spot]:
    """The spots, those to be ringed joined where they lie side by side: letters are one word."""
    joined: list[Spot] = []
    for spot in spots:
        near = next(
            (one for one in joined if one.mark is spot.mark is Mark.RING and _are_near(one.box, spot.box)), None
        )
        if near is None:
            joined.append(spot)
        else:
            joined[joined.index(near)] = Spot(mark=Mark.RING, box=Box.around([near.box, spot.box]))
    return joined


def _are_near(one: Box, other: Box) -> bool:
    along_x = one.bottom == other.bottom and one.grown(_TOGETHER_MM).overlaps(other)
    return along_x or (one.left == other.left and one.grown(_TOGETHER_MM).overlaps(other))


def _ring(box: Box) -> Box:
    """What a ring goes around: the spot with some room, and never so little that it cannot be seen."""
    wide, high = (max(Fraction(0), _SMALLEST_RING_MM - side) / 2 for side in (box.width, box.height))
    wide, high = max(wide, _ROUND_SPOT_MM), max(high, _ROUND_SPOT_MM)
    return Box(box.left - wide, box.bottom - high, box.right + wide, box.top + high)


def _paste_art(canvas: Image.Image, face: CardFace, pane: _Pane) -> None:
    if face.art.thumbnail is not None:
        left, top, right, bottom = pane.rectangle(face.fit.box)
        size = max(1, right - left), max(1, bottom - top)
        canvas.paste(Image.fromarray(face.art.thumbnail.picture).resize(size, Image.Resampling.BOX), (left, top))


def _veil_outside(canvas: Image.Image, kept: tuple[int, int, int, int]) -> None:
    inside = canvas.crop(kept)
    canvas.paste(Image.blend(canvas, Image.new("RGB", canvas.size, _TABLE), _VEIL))
    canvas.paste(inside, kept[:2])


def _dashed(draw: ImageDraw.ImageDraw, around: tuple[int, int, int, int]) -> None:
    left, top, right, bottom = around
    for x in range(left, right, 12):
        for y in (top, bottom):
            draw.line((x, y, min(x + 7, right), y), fill=_CUT, width=2)
    for y in range(top, bottom, 12):
        for x in (left, right):
            draw.line((x, y, x, min(y + 7, bottom)), fill=_CUT, width=2)


def _mark(draw: ImageDraw.ImageDraw, spot: Spot, pane: _Pane, number: int) -> None:
    around = pane.rectangle(_ring(spot.box) if spot.mark is Mark.RING else spot.box)
    if spot.mark is Mark.RING:
        draw.ellipse(around, outline=_PAPER, width=7)
        draw.ellipse(around, outline=_RED, width=4)
    else:
        if spot.mark is not Mark.FRAME:
            _hatch(draw, around)
        draw.rectangle(around, outline=_RED, width=4)
    _disc(draw, around, pane, number)


def _hatch(draw: ImageDraw.ImageDraw, around: tuple[int, int, int, int]) -> None:
    left, top, right, bottom = around
    for start in range(left - (bottom - top), right, 10):
        begin, end = max(left, start), min(right, start + bottom - top)
        draw.line((begin, top + begin - start, end, top + end - start), fill=_RED, width=1)


def _disc(draw: ImageDraw.ImageDraw, around: tuple[int, int, int, int], pane: _Pane, number: int) -> None:
    """The number, in a disc at the upper edge of the spot, wholly on the canvas; of a wide one not over another's."""
    radius, (wide, tall) = _LETTERS_PX * 3 // 4, pane.size_px
    left, top, right, _ = around
    step = (3 * radius * (number - 1)) % max(1, right - left - 2 * radius)
    x = left + radius + step if right - left > 6 * radius else right
    x, y = min(max(x, radius), wide - radius - 1), min(max(top, radius), tall - radius - 1)
    draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=_RED, outline=_PAPER, width=2)
    draw.text((x, y), str(number), fill=_PAPER, font=caption_font(_LETTERS_PX - 2), anchor="mm")
