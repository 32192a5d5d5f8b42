"""Measure what a content stream of a PDF draws: where its corners come to lie, in millimetres.

Source: ISO 32000-1 8.4.2 (the stack of graphics states), 8.3.4 (cm), 8.10.1 (Do and a form's Matrix).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from pypdf.generic import ContentStream, DecodedStreamObject, DictionaryObject, PdfObject, StreamObject

from watcher.sheet.frames import Frame
from watcher.units import mm_to_points

Corners = list[tuple[float, float]]  # lower left, lower right, upper right, upper left

_PLACING = frozenset({b"q", b"Q", b"cm", b"Do"})
_IDENTITY = Frame((1.0, 0.0, 0.0, 1.0, 0.0, 0.0))
_POINTS_IN_MM = float(mm_to_points(Fraction(1)))


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """An image or form that a content stream draws, and the matrix that applies to it; points."""

    form: DictionaryObject
    matrix: Frame

    @property
    def inside(self) -> DictionaryObject:
        """The images and forms that a form draws in turn, by name."""
        return _xobjects(self.form)

    def corners(self, box: Sequence[float]) -> Corners:
        """The corners of a box on the page, mm. The box is in mm in the form's axes, or 0 0 1 1 for an image."""
        factor = 1.0 if self.form.get("/Subtype") == "/Image" else _POINTS_IN_MM
        return _corners_in_mm([value * factor for value in box], self.matrix)

    def form_corners(self) -> Corners:
        """The corners of a form's own BBox on the page, mm."""
        own = _frame(self.form["/Matrix"]) if "/Matrix" in self.form else _IDENTITY
        return _corners_in_mm(numbers(self.form["/BBox"]), self.matrix.after(own))


def drawn_on(page: DictionaryObject) -> list[Drawn]:
    """Everything that a page, or a form, draws by `Do`, in order."""
    named = _xobjects(page)
    drawn: list[Drawn] = []
    matrix, saved = _IDENTITY, list[Frame]()
    for operands, operator in _operations(_contents(page)):
        if operator == b"q":
            saved.append(matrix)
        elif operator == b"Q":
            matrix = saved.pop()
        elif operator == b"cm":
            matrix = matrix.after(_frame(operands))
        elif operator == b"Do":
            form = named[operands[0]].get_object()
            if isinstance(form, DictionaryObject):
                drawn.append(Drawn(form=form, matrix=matrix))
    return drawn


def corners_of(box: Sequence[float]) -> Corners:
    """The corners of a box counter-clockwise from its lower left."""
    left, bottom, right, top = box
    return [(left, bottom), (right, bottom), (right, top), (left, top)]


def numbers(values: object) -> list[float]:
    """The numbers of a PDF array, or of an operator's operands."""
    return [float(value) for value in values] if isinstance(values, list) else []


def in_mm(points: Sequence[float]) -> list[float]:
    """Points as millimetres."""
    return [value / _POINTS_IN_MM for value in points]


def _contents(page: DictionaryObject) -> bytes:
    stream = page if isinstance(page, StreamObject) else page["/Contents"].get_object()
    if not isinstance(stream, StreamObject):
        raise TypeError("a page without one stream of contents")
    return stream.get_data()


@lru_cache(maxsize=16)  # sheets of one layout say the same, byte for byte, whatever art they show
def _operations(contents: bytes) -> Sequence[tuple[Sequence[PdfObject], bytes]]:
    """The operators of a content stream that place things, with their operands."""
    stream = DecodedStreamObject()
    stream.set_data(contents)
    return tuple(found for found in ContentStream(stream, None).operations if found[1] in _PLACING)


def _xobjects(owner: DictionaryObject) -> DictionaryObject:
    resources = owner["/Resources"] if "/Resources" in owner else DictionaryObject()
    found = resources["/XObject"] if isinstance(resources, DictionaryObject) and "/XObject" in resources else None
    return found if isinstance(found, DictionaryObject) else DictionaryObject()


def _corners_in_mm(box: Sequence[float], matrix: Frame) -> Corners:
    corners = [in_mm(matrix.at(x, y)) for x, y in corners_of(box)]
    return [(x, y) for x, y in corners]


def _frame(values: object) -> Frame:
    a, b, c, d, e, f = numbers(values)
    return Frame((a, b, c, d, e, f))
