"""Draw one face of a card as a form, which is placed everywhere it lies: the art at its fit, over its made bleed.

The form's axes are the card's: origin at the lower left of the trim, art upright, points. Its BBox is the trim and the
bleed. Inside the trim nothing is drawn but the art, and what reaches under its edge.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pypdf.generic import IndirectObject

from watcher.art.model import CardFace, Fit, Raster, VectorPage
from watcher.layout.geometry import Box, Size
from watcher.sheet.draw.bleed import End, MadeBleed, SeamUnderlay, made_bleed, reflection, seam_underlay, stretch
from watcher.sheet.matrix import Matrix, box_in_points, clip_between, clip_to, moved, scaled, turned
from watcher.terms import MakeBleed, Turn

_HALF = Fraction(1, 2)
# The outermost strip of a PDF page that runs out under make_bleed = "extend": thin, but not so thin that readers fail
# at the size to which they must enlarge the pictures in it (our own choice).
_PAGE_STRIP_MM = Fraction(5, 10)


@dataclass(frozen=True, kw_only=True)
class DrawnArt:
    """Art that is in the file.

    Attributes:
        ref: the image or form.
        upright: brings what the reference draws onto the unit square, upright.
    """

    ref: IndirectObject
    upright: Matrix


def upright_raster(raster: Raster) -> Matrix:
    """The matrix that brings stored pixels upright in the unit square: mirrored left to right, then turned."""
    mirror = scaled(Fraction(-1), Fraction(1)) if raster.mirrored else scaled(Fraction(1), Fraction(1))
    return moved(-_HALF, -_HALF).then(mirror).then(turned(raster.turn)).then(moved(_HALF, _HALF))


def upright_page(page: VectorPage) -> Matrix:
    """The form matrix of a page: its view turned upright with its lower left at the origin, in points.

    Source: ISO 32000-1 8.10.1 (a form's Matrix), Table 30 (/Rotate); the four cases were drawn and compared by us.
    """
    view = page.view
    corner = {
        Turn.NONE: (-view.left, -view.bottom),
        Turn.LEFT: (view.top, -view.left),
        Turn.HALF: (view.right, view.top),
        Turn.RIGHT: (-view.bottom, view.right),
    }[page.turn]
    return turned(page.turn).then(moved(*corner)).then(scaled(page.unit, page.unit))


def page_size(page: VectorPage) -> Size:
    """The size of the upright page in points."""
    size = page.view.size.turned(page.turn)
    return Size(size.width * page.unit, size.height * page.unit)


def card_content(face: CardFace, trim: Size, drawn: DrawnArt, edges: Mapping[tuple[End, End], str]) -> bytes:
    """The operators that draw one face of the card.

    Args:
        face: the face.
        trim: the card.
        drawn: the art, which is called /A.
        edges: the names of the edge images that run out into the bleed; empty where the art itself is drawn again.
    """
    fit = face.fit
    place = drawn.upright.then(_onto(fit.box))
    underlay = seam_underlay(fit, trim)
    lines = [_seam(underlay, place)] if underlay else []
    lines += [_bleed(made, fit, place, edges) for made in made_bleed(fit, trim)]
    return "\n".join([*lines, f"q {place.operator} /A Do Q"]).encode("ascii")


def wanted_edges(face: CardFace, trim: Size) -> tuple[tuple[End, End], ...]:
    """The edges and corners of a picture that are extended into the bleed, one for each piece of bleed."""
    if face.fit.make_bleed is not MakeBleed.EXTEND or not isinstance(face.art.content, Raster):
        return ()
    return tuple((made.across, made.upwards) for made in made_bleed(face.fit, trim))


def _bleed(made: MadeBleed, fit: Fit, place: Matrix, edges: Mapping[tuple[End, End], str]) -> str:
    """The operators that draw one piece of made bleed."""
    if (made.across, made.upwards) in edges:
        return f"q {_onto(made.box).operator} {edges[made.across, made.upwards]} Do Q"
    mirrored = fit.make_bleed is MakeBleed.MIRROR
    copy = reflection(made, fit.box) if mirrored else stretch(made, fit.box, _PAGE_STRIP_MM)
    return f"q {clip_to(made.box)} {place.then(copy).operator} /A Do Q"


def _seam(underlay: SeamUnderlay, place: Matrix) -> str:
    """The operators that fill the frame around the art's edge."""
    return f"q {clip_between(underlay.outer, underlay.inner)} {place.then(underlay.larger).operator} /A Do Q"


def card_box(face: CardFace, trim: Size) -> Box:
    """The form's BBox, mm: the trim and the bleed."""
    return Box.at(Fraction(0), Fraction(0), trim).grown(face.fit.bleed)


def _onto(box: Box) -> Matrix:
    """The matrix from the unit square to a box in mm."""
    left, bottom, right, top = box_in_points(box)
    return scaled(right - left, top - bottom).then(moved(left, bottom))
