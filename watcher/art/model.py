"""The records of art: opened art, how it lies on its card, and its thumbnail."""

from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from watcher.layout.geometry import Box, Size
from watcher.terms import Finding, MakeBleed, Side, Turn


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
class PagePicture:
    """A picture on a page of a PDF.

    Attributes:
        width_px, height_px: as stored.
        ppi: resolution on the page, the smaller axis.
        share: how much of the page's area it covers.
        fades: whether it is see-through in places: shadows and glows are, and need no sharpness.
    """

    width_px: int
    height_px: int
    ppi: Fraction
    share: float
    fades: bool


@dataclass(frozen=True, kw_only=True)
class PageAnnotations:
    """What lies on a page of a PDF beside its contents.

    Attributes:
        fields: form fields that are printed, and so are drawn.
        comments: stamps, text boxes, lines, highlights that are printed, and so are drawn.
        remarks: notes for readers, each shown by a sign, that the file says are printed, and so are drawn.
        without_look: kinds of what is to be printed, but of which nothing says what it looks like.
        odd_letters: what is filled in where a look had to be made, beyond the letters that every typeface has.
        left_out: how many others a viewer shows that are not printed.
    """

    fields: int = 0
    comments: int = 0
    remarks: int = 0
    without_look: tuple[str, ...] = ()
    odd_letters: str = ""
    left_out: int = 0


@dataclass(frozen=True, kw_only=True)
class PageFacts:
    """What a page of a PDF uses, as far as the checks ask.

    Attributes:
        loose_fonts: typefaces in use that are not in the file, by name.
        inks: what of its colours is no RGB and no grey, in plain words ("CMYK", the name of a spot colour).
        most_ink: the most ink of all four colours that one of its CMYK colours asks for, percent; 0 without any.
        pictures: on the page and in what it draws.
        annotations: comments and form fields that lie on the page.
    """

    loose_fonts: tuple[str, ...] = ()
    inks: tuple[str, ...] = ()
    most_ink: Fraction = Fraction(0)
    pictures: tuple[PagePicture, ...] = ()
    annotations: PageAnnotations = PageAnnotations()


@dataclass(frozen=True, kw_only=True)
class VectorPage:
    """A page of a PDF, kept vector.

    Attributes:
        pdf: the whole file.
        page: index from 0.
        view: the part of the page that is drawn, in the page's own unturned points: the bleed box where the file says
            one, else the crop box.
        turn: how far the page must be turned, counter-clockwise, to be read (/Rotate is clockwise).
        unit: points per unit of the page's user space (/UserUnit).
        trim: where the file says that the card ends, in the same points, when that is not all that is seen; else None.
        facts: what the page uses.
    """

    pdf: bytes
    page: int
    view: Box
    turn: Turn
    unit: Fraction
    trim: Box | None = None
    facts: PageFacts = PageFacts()


@dataclass(frozen=True, kw_only=True, eq=False)
class Thumbnail:
    """Art as a small picture, upright, on white: for the checks, which need no sharpness.

    Attributes:
        picture: RGB, height x width x 3, 8 bits; at most 1600 px a side, all of the art's extent.
        ink: the ink of all four colours together, percent, height x width; None for art that is not CMYK.
        clear: how much of the area was see-through before it was set on white, 0 to 1.
    """

    picture: NDArray[np.uint8]
    ink: NDArray[np.uint16] | None = None
    clear: float = 0.0


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
        real_size: what the file itself says it measures, mm, where that can be believed: a PDF page, or pixels with a
            sound density; else None.
        thumbnail: the art as a small picture; None where no checks of pixels are wanted or possible.
    """

    side: Side
    file: str
    sha256: str
    extent: Size
    width_px: int | None
    height_px: int | None
    content: Raster | VectorPage
    findings: tuple[Finding, ...] = ()
    real_size: Size | None = None
    thumbnail: Thumbnail | None = field(default=None, compare=False, repr=False)


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
    """One side of the card, ready for the sheet.

    Attributes:
        art: what is drawn.
        fit: where on the card.
        edge_colour: the one colour that the art has along all edges of the card, RGB; None where it has several there,
            or where that is not known.
    """

    art: Art
    fit: Fit
    edge_colour: tuple[int, int, int] | None = None
