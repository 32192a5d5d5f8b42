"""The records of the art stage."""

from dataclasses import dataclass
from fractions import Fraction

from watcher.layout.geometry import Box, Size
from watcher.terms import Level, MakeBleed, Side, Turn


@dataclass(frozen=True, kw_only=True)
class Finding:
    """Something a good prepress hand would say about an order.

    Attributes:
        level: how grave.
        code: stable word for machines, kebab-case ("low-resolution").
        message: one plain sentence with both numbers and the way out.
        side: the side it is about, or None for the order.
    """

    level: Level
    code: str
    message: str
    side: Side | None = None


@dataclass(frozen=True, kw_only=True)
class ImageStream:
    """A raster as a PDF image stream: the file's own compressed data wherever its form allows.

    Attributes:
        data: the stream, already compressed as `filter` says.
        filter: PDF name, `/FlateDecode` or `/DCTDecode`.
        predictor: 15 for PNG rows, None for none.
        width_px, height_px: of the stored pixels, before `Raster.turn`.
        bits: per component.
        colours: components per pixel: 1 grey, 3 RGB, 4 CMYK (1 for a palette).
        palette: RGB triples of an indexed image, or None.
        inverted: CMYK stored with ink = 0 (`/Decode [1 0 ...]`).
        icc: the embedded profile, or None.
    """

    data: bytes
    filter: str
    predictor: int | None
    width_px: int
    height_px: int
    bits: int
    colours: int
    palette: bytes | None = None
    inverted: bool = False
    icc: bytes | None = None


@dataclass(frozen=True, kw_only=True)
class Raster:
    """Pixel art. `mirrored` then `turn` bring the stored pixels upright (EXIF orientation)."""

    stream: ImageStream
    turn: Turn = Turn.NONE
    mirrored: bool = False


@dataclass(frozen=True, kw_only=True)
class VectorPage:
    """A page of a PDF, kept vector.

    Attributes:
        pdf: the whole file.
        page: index from 0.
        view: the part of the page that is seen (crop box), in the page's own unturned points.
        turn: how far the page must be turned, counter-clockwise, to be read (/Rotate is clockwise).
        unit: points per unit of the page's user space (/UserUnit).
    """

    pdf: bytes
    page: int
    view: Box
    turn: Turn
    unit: Fraction


@dataclass(frozen=True, kw_only=True)
class Art:
    """One side's art, opened and upright.

    Attributes:
        side: which face it is for.
        file: the name people know it by.
        sha256: of the file dropped in.
        extent: width and height as read: pixels for a raster, millimetres for a PDF page.
        width_px, height_px: as read; None for a PDF page.
        content: what the sheet draws.
        findings: what opening it already showed (transparency flattened, ...).
    """

    side: Side
    file: str
    sha256: str
    extent: Size
    width_px: int | None
    height_px: int | None
    content: Raster | VectorPage
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Fit:
    """How art lies on its card; mm, origin at the lower left of the card's trim.

    Attributes:
        box: where the whole of the art lies; may reach past the trim (bleed) or, when padded, stay inside it.
        bleed: how far ink is wanted past the trim on every side.
        make_bleed: how what `box` does not cover of trim + bleed is filled (NONE: paper).
        ppi: effective resolution, the smaller axis; None for a PDF page.
    """

    box: Box
    bleed: Fraction
    make_bleed: MakeBleed
    ppi: Fraction | None


@dataclass(frozen=True, kw_only=True)
class CardFace:
    """One side of the card, ready for the sheet."""

    art: Art
    fit: Fit
