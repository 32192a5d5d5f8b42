"""The page boxes of a sheet: explicit and nested. Source: ISO 32000-1 14.11.2; the choice is design.md section 8.

Media and Crop are the whole sheet, Trim the outline of all trims, Bleed that plus the bleed, never past the sheet.
"""

from dataclasses import dataclass
from fractions import Fraction

from pypdf.generic import FloatObject, NameObject, RectangleObject

from watcher.layout.backs import box_behind
from watcher.layout.geometry import Box
from watcher.layout.model import Layout
from watcher.sheet.matrix import box_in_points
from watcher.terms import Side


@dataclass(frozen=True, kw_only=True)
class PageBoxes:
    """The boxes of one page, mm, in the axes of that page."""

    media: Box
    bleed: Box
    trim: Box

    def as_entries(self) -> dict[NameObject, RectangleObject]:
        """The entries of the page dictionary."""
        return {
            NameObject("/MediaBox"): rectangle(self.media),
            NameObject("/CropBox"): rectangle(self.media),
            NameObject("/BleedBox"): rectangle(self.bleed),
            NameObject("/TrimBox"): rectangle(self.trim),
        }


def page_boxes(layout: Layout, side: Side) -> PageBoxes:
    """The boxes of the front page, or of the back page as it is read after the flip."""
    media = Box.at(Fraction(0), Fraction(0), layout.sheet)
    trim = Box.around([place.front.trim for place in layout.places])
    bleed = trim.grown(layout.bleed).meet(media)
    if side is Side.BACK and layout.flip is not None:
        trim, bleed = (box_behind(box, layout.sheet, layout.flip) for box in (trim, bleed))
    return PageBoxes(media=media, bleed=bleed, trim=trim)


def rectangle(box: Box) -> RectangleObject:
    """A box in mm as a PDF rectangle in points."""
    left, bottom, right, top = (FloatObject(float(value)) for value in box_in_points(box))
    return RectangleObject((left, bottom, right, top))
