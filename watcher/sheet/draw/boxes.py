"""The page boxes of a sheet, all of them the paper itself; marks and ticket say where cards end.

Print software takes the TrimBox for the page. One that is smaller than the paper is centred on it, turned, or enlarged
to fill it (measured with pdftopdf of cups-filters 1.28: tests/sheet/test_print_path.py). ISO 32000-1 14.11.2 leaves
open what the boxes of a whole sheet are. A file for a press must have a TrimBox (ISO 15930-7, from memory) inside the
BleedBox inside the MediaBox; equal boxes are that too.
"""

from pypdf.generic import FloatObject, NameObject, RectangleObject

from watcher.layout.geometry import Box, Size
from watcher.layout.printable import whole_page
from watcher.sheet.matrix import box_in_points

_NAMES = ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox")


def page_boxes(sheet: Size) -> dict[NameObject, RectangleObject]:
    """The entries of a page dictionary for a sheet of this size, mm."""
    return {NameObject(name): rectangle(whole_page(sheet)) for name in _NAMES}


def rectangle(box: Box) -> RectangleObject:
    """A box in mm as a PDF rectangle in points."""
    left, bottom, right, top = (FloatObject(float(value)) for value in box_in_points(box))
    return RectangleObject((left, bottom, right, top))
