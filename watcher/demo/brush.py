"""Paint shapes, light and lettering on a card, in millimetres, at 300 ppi."""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from io import BytesIO
from math import hypot
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from watcher.layout.geometry import Size
from watcher.units import MM_PER_INCH, pixels_needed

PPI = 300
PX_PER_MM = float(PPI / MM_PER_INCH)
SMOOTH = 3  # shapes are drawn so many times larger and reduced: clean edges
FONTS = Path(__file__).parent.parent / "sheet" / "fonts"

Colour = tuple[int, int, int]
Spot = tuple[float, float]


class Brush:
    """Paints one side of a card.

    Places are millimetres from the upper left corner of the trim, y down; the bleed lies at negative places and past
    the trim's far edges (`left`, `top`, `right`, `bottom` are the outermost).

    Args:
        trim: the finished card, mm.
        bleed: how far the art reaches past it, mm.
        paper: colour of the ground.
    """

    def __init__(self, trim: Size, bleed: Fraction, paper: Colour) -> None:
        self.width, self.height, self.bleed = float(trim.width), float(trim.height), float(bleed)
        self.left = self.top = -self.bleed
        self.right, self.bottom = self.width + self.bleed, self.height + self.bleed
        with_bleed = trim.grown(bleed)
        size_px = pixels_needed(with_bleed.width, PPI), pixels_needed(with_bleed.height, PPI)
        self.image = Image.new("RGB", size_px, paper)

    def png(self) -> bytes:
        """The finished art as an editor would export it."""
        out = BytesIO()
        self.image.save(out, "PNG", compress_level=3, dpi=(PPI, PPI))
        return out.getvalue()

    def sky(self, stops: Sequence[tuple[float, Colour]]) -> None:
        """Fill the whole card with colours that run from top to bottom; each stop is a height in mm and a colour."""
        rows = (np.arange(self.image.height) + 0.5) / PX_PER_MM - self.bleed
        heights = [height for height, _ in stops]
        bands = [np.interp(rows, heights, [colour[band] for _, colour in stops]) for band in range(3)]
        column = np.stack(bands, axis=-1).round().astype(np.uint8)
        self.image.paste(Image.fromarray(column[:, np.newaxis, :]).resize(self.image.size, Image.Resampling.NEAREST))

    def shape(self, corners: Sequence[Spot], colour: Colour, opacity: float = 1.0) -> None:
        """Fill an outline."""
        reach = self._reach(corners, 0)
        if reach is None:
            return
        mask, draw = _mask(reach)
        draw.polygon([self._fine(corner, reach) for corner in corners], fill=255)
        self._lay(mask, reach, colour, opacity)

    def disc(self, centre: Spot, radius: float, colour: Colour, opacity: float = 1.0) -> None:
        """Fill a circle."""
        self._round(centre, radius, colour, opacity, line=None)

    def ring(self, centre: Spot, radius: float, line: float, colour: Colour, opacity: float = 1.0) -> None:
        """Draw a circle's line; `radius` is its outside."""
        self._round(centre, radius, colour, opacity, line=line)

    def line(self, spots: Sequence[Spot], thick: float, colour: Colour, opacity: float = 1.0) -> None:
        """Draw a line through all spots, with round joints."""
        reach = self._reach(spots, thick)
        if reach is None:
            return
        mask, draw = _mask(reach)
        width = max(1, round(thick * PX_PER_MM * SMOOTH))
        draw.line([self._fine(spot, reach) for spot in spots], fill=255, width=width, joint="curve")
        self._lay(mask, reach, colour, opacity)

    def frame(self, inset: float, thick: float, colour: Colour, opacity: float = 1.0) -> None:
        """Draw a thin frame inside the trim: it shows at once when a card is cut off-centre."""
        left, top, right, bottom = inset, inset, self.width - inset, self.height - inset
        corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
        for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
            self.line([start, end], thick, colour, opacity)

    def beam(self, lamp: Spot, towards: Spot, spread: float, colour: Colour, strength: float) -> None:
        """Lay a ray of light that widens from the lamp and fades; `spread` is its half width per length."""
        across, along, reach = self._along(lamp, towards)
        ray = np.clip(1 - across / (np.maximum(along, 1e-3) * spread), 0, 1) * (along > 0)
        self._light(ray**0.7 * np.exp(-np.maximum(along, 0) / reach), colour, strength)

    def glow(self, centre: Spot, radius: float, colour: Colour, strength: float) -> None:
        """Lay a round light that fades to nothing at `radius`."""
        x, y = self._grid()
        away = np.hypot(x - centre[0], y - centre[1]) / radius
        self._light(np.clip(1 - away, 0, 1) ** 2, colour, strength)

    def write(
        self,
        at: Spot,
        text: str,
        size: float,
        colour: Colour,
        *,
        bold: bool = False,
        anchor: str = "ls",
        gap: float = 0,
    ) -> None:
        """Write a line of text; `size` in mm, `anchor` as Pillow names it, `gap` mm more between letters."""
        font, draw = _font(bold, round(size * PX_PER_MM)), ImageDraw.Draw(self.image)
        x, y = self._px(at)
        if not gap:
            draw.text((x, y), text, fill=colour, font=font, anchor=anchor)
            return
        steps = [font.getlength(letter) + gap * PX_PER_MM for letter in text]
        x -= {"l": 0.0, "m": (sum(steps) - gap * PX_PER_MM) / 2, "r": sum(steps) - gap * PX_PER_MM}[anchor[0]]
        for letter, step in zip(text, steps, strict=True):
            draw.text((x, y), letter, fill=colour, font=font, anchor="l" + anchor[1])
            x += step

    def _round(self, centre: Spot, radius: float, colour: Colour, opacity: float, line: float | None) -> None:
        (x, y), out = centre, radius
        reach = self._reach([(x - out, y - out), (x + out, y + out)], 0)
        if reach is None:
            return
        mask, draw = _mask(reach)
        box = [*self._fine((x - out, y - out), reach), *self._fine((x + out, y + out), reach)]
        if line is None:
            draw.ellipse(box, fill=255)
        else:
            draw.ellipse(box, outline=255, width=max(1, round(line * PX_PER_MM * SMOOTH)))
        self._lay(mask, reach, colour, opacity)

    def _px(self, spot: Spot) -> Spot:
        return (spot[0] + self.bleed) * PX_PER_MM, (spot[1] + self.bleed) * PX_PER_MM

    def _fine(self, spot: Spot, reach: tuple[int, int, int, int]) -> Spot:
        x, y = self._px(spot)
        return (x - reach[0]) * SMOOTH, (y - reach[1]) * SMOOTH

    def _reach(self, spots: Sequence[Spot], thick: float) -> tuple[int, int, int, int] | None:
        """The part of the image that a shape touches, in pixels; None when it lies outside."""
        xs, ys = zip(*(self._px(spot) for spot in spots), strict=True)
        more = thick * PX_PER_MM / 2 + 2
        left, top = max(0, int(min(xs) - more)), max(0, int(min(ys) - more))
        right = min(self.image.width, int(max(xs) + more) + 1)
        bottom = min(self.image.height, int(max(ys) + more) + 1)
        return (left, top, right, bottom) if left < right and top < bottom else None

    def _lay(self, mask: Image.Image, reach: tuple[int, int, int, int], colour: Colour, opacity: float) -> None:
        smooth = mask.reduce(SMOOTH)
        if opacity < 1:
            smooth = smooth.point([round(value * opacity) for value in range(256)])
        self.image.paste(colour, reach, smooth)

    def _grid(self) -> tuple[np.ndarray, np.ndarray]:
        """The place of every pixel, mm: a row of x and a column of y."""
        x = (np.arange(self.image.width, dtype=np.float32) + 0.5) / PX_PER_MM - self.bleed
        y = (np.arange(self.image.height, dtype=np.float32) + 0.5) / PX_PER_MM - self.bleed
        return x[np.newaxis, :].astype(np.float32), y[:, np.newaxis].astype(np.float32)

    def _along(self, lamp: Spot, towards: Spot) -> tuple[np.ndarray, np.ndarray, float]:
        """For every pixel its distance from the ray's middle and along it, and the ray's length; mm."""
        x, y = self._grid()
        length = hypot(towards[0] - lamp[0], towards[1] - lamp[1])
        step_x, step_y = (towards[0] - lamp[0]) / length, (towards[1] - lamp[1]) / length
        along = (x - lamp[0]) * step_x + (y - lamp[1]) * step_y
        across = np.abs((y - lamp[1]) * step_x - (x - lamp[0]) * step_y)
        return across, along, length

    def _light(self, amount: np.ndarray, colour: Colour, strength: float) -> None:
        mask = Image.fromarray((amount * (255 * strength)).round().astype(np.uint8))
        self.image.paste(colour, (0, 0), mask)


def _mask(reach: tuple[int, int, int, int]) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    mask = Image.new("L", ((reach[2] - reach[0]) * SMOOTH, (reach[3] - reach[1]) * SMOOTH))
    return mask, ImageDraw.Draw(mask)


@lru_cache(maxsize=64)
def _font(bold: bool, size_px: int) -> ImageFont.FreeTypeFont:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(FONTS / name, size_px, layout_engine=ImageFont.Layout.BASIC)
