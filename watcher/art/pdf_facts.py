"""What a page of a PDF uses: typefaces, inks, pictures and their resolution, notes that lie on it.

Contents are not interpreted but read for the few operators that matter here; forms and patterns are followed.
Sources: ISO 32000-1 Annex A (operators), 8.6 (colour spaces), 8.10 (forms), 9.6 to 9.9 (fonts), 12.5 (annotations).
"""

import math
import re
from collections.abc import Iterator
from fractions import Fraction

from pypdf import PageObject
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, PdfObject, StreamObject

from watcher.art.model import PageFacts, PagePicture
from watcher.layout.geometry import Size
from watcher.units import pixels_per_inch, points_to_mm

MOST_STEPS = 200_000  # operators looked at in all; honest cards have a few thousand (our own choice)
DEEPEST = 12  # forms within forms that are followed
MOST_TOLD = 20  # typefaces, inks

_NUMBER = rb"[-+]?(?:\d+\.?\d*|\.\d+)"
_STEPS = re.compile(
    rb"/([^\s/<>\[\](){}%]+)\s+(?:(Do|cs|CS|sh|scn|SCN)|" + _NUMBER + rb"\s+(Tf))\b"
    rb"|((?:" + _NUMBER + rb"\s+){6})cm\b|((?:" + _NUMBER + rb"\s+){4})[kK]\b|(?<![^\s\]>)])([qQ])(?![^\s\[</(])"
)
_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
_SUBSET = re.compile(r"^[A-Z]{6}\+")  # ISO 32000-1 9.6.4
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
_PROCESS_COLOURS = frozenset({"/Cyan", "/Magenta", "/Yellow", "/Black"})
_NO_INK = frozenset({"/All", "/None"})  # all plates, as crop marks have it, and no plate
_CMYK = "CMYK"
_UNSEEN = 2 | 32  # annotation flags Hidden, NoView (Table 165)
_NO_PART_OF_THE_LOOK = frozenset({"/Link", "/Popup", "/PrinterMark", "/TrapNet"})
_Matrix = tuple[float, float, float, float, float, float]
_IDENTITY: _Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def page_facts(page: PageObject, view: Size, unit: Fraction) -> PageFacts:
    """What a page uses.

    Args:
        page: whose drawing is known to come to an end (`pdf_draws.count_drawn`).
        view: what of it is drawn, in its own units.
        unit: points per unit.
    """
    walk = _Walk(view, unit)
    contents = page.get_contents()
    walk.read(b"" if contents is None else contents.get_data(), _entry(page, "/Resources"), _IDENTITY, 0)
    return PageFacts(
        loose_fonts=tuple(sorted(walk.loose_fonts)[:MOST_TOLD]),
        inks=tuple(sorted(walk.inks)[:MOST_TOLD]),
        most_ink=walk.most_ink,
        pictures=tuple(walk.pictures),
        notes=_notes(page),
    )


class _Walk:
    """One walk over what a page draws."""

    def __init__(self, view: Size, unit: Fraction) -> None:
        self._view, self._unit, self._steps = view, unit, 0
        self.loose_fonts: set[str] = set()
        self.inks: set[str] = set()
        self.most_ink = Fraction(0)
        self.pictures: list[PagePicture] = []

    def read(self, contents: bytes, resources: PdfObject | None, matrix: _Matrix, depth: int) -> None:
        """Reads contents whose user space `matrix` brings to the page's."""
        kept: list[_Matrix] = []
        for found in _STEPS.finditer(contents):
            self._steps += 1
            if self._steps > MOST_STEPS:
                return
            if found[6] == b"q":
                kept.append(matrix)
            elif found[6] == b"Q":
                matrix = kept.pop() if kept else matrix
            elif found[4]:
                matrix = _product(_six(found[4]), matrix)
            elif found[5]:
                self._note_ink(found[5])
            else:
                self._named(found[1], found[2] or found[3], resources, matrix, depth)

    def _named(self, name: bytes, operator: bytes, resources: PdfObject | None, matrix: _Matrix, depth: int) -> None:
        """An operator that names a resource."""
        if operator == b"Tf":
            self._note_font(_find(resources, "/Font", name))
        elif operator in (b"cs", b"CS"):
            self._note_space(_find(resources, "/ColorSpace", name) or NameObject("/" + name.decode("latin-1")))
        elif operator == b"sh":
            self._note_space(_entry(_find(resources, "/Shading", name), "/ColorSpace"))
        elif operator == b"Do":
            self._draw(_find(resources, "/XObject", name), resources, matrix, depth)
        else:
            pattern = _find(resources, "/Pattern", name)
            self._note_space(_entry(_entry(pattern, "/Shading"), "/ColorSpace"))
            self._draw(pattern, resources, matrix, depth, is_tile=True)

    def _draw(
        self, thing: PdfObject | None, around: PdfObject | None, matrix: _Matrix, depth: int, *, is_tile: bool = False
    ) -> None:
        if not isinstance(thing, StreamObject):
            return
        if str(_entry(thing, "/Subtype")) == "/Image":
            self._note_picture(thing, matrix)
        elif depth < DEEPEST:
            own = _entry(thing, "/Matrix")
            inner = _product(_six_of(own), _IDENTITY if is_tile else matrix) if own is not None else matrix
            self.read(thing.get_data(), _entry(thing, "/Resources") or around, inner, depth + 1)

    def _note_picture(self, image: StreamObject, matrix: _Matrix) -> None:
        is_stencil = bool(_entry(image, "/ImageMask"))
        if not is_stencil:
            self._note_space(_entry(image, "/ColorSpace"))
        width, height = _entry(image, "/Width"), _entry(image, "/Height")
        across, upwards = math.hypot(matrix[0], matrix[1]), math.hypot(matrix[2], matrix[3])
        if not isinstance(width, int) or not isinstance(height, int) or min(across, upwards) <= 0:
            return
        to_mm = points_to_mm(self._unit)
        ppi = min(
            pixels_per_inch(pixels, Fraction(length).limit_denominator(10**6) * to_mm or Fraction(1, 10**6))
            for pixels, length in ((width, across), (height, upwards))
        )
        share = abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) / float(self._view.width * self._view.height)
        fades = is_stencil or _entry(image, "/SMask") is not None or _entry(image, "/Mask") is not None
        self.pictures.append(PagePicture(width_px=width, height_px=height, ppi=ppi, share=share, fades=fades))

    def _note_ink(self, numbers: bytes) -> None:
        self.inks.add(_CMYK)
        inks = [min(max(Fraction(number.decode()), Fraction(0)), Fraction(1)) for number in numbers.split()]
        self.most_ink = max(self.most_ink, 100 * sum(inks, Fraction(0)))

    def _note_space(self, space: PdfObject | None) -> None:
        """The inks of a colour space that is no RGB and no grey."""
        parts = list(space) if isinstance(space, ArrayObject) else [space]
        kind, *rest = [part.get_object() if part is not None else None for part in parts]
        if kind in ("/DeviceCMYK", "/CalCMYK") or (kind == "/ICCBased" and rest and str(_entry(rest[0], "/N")) == "4"):
            self.inks.add(_CMYK)
        elif kind in ("/Indexed", "/Pattern") and rest:
            self._note_space(rest[0])
        elif kind in ("/Separation", "/DeviceN") and rest:
            names = {str(name) for name in (rest[0] if isinstance(rest[0], ArrayObject) else [rest[0]])} - _NO_INK
            spots = names - _PROCESS_COLOURS
            self.inks.update(spot[1:] for spot in spots)
            if names & _PROCESS_COLOURS:
                self.inks.add(_CMYK)

    def _note_font(self, font: PdfObject | None) -> None:
        if not isinstance(font, DictionaryObject) or str(_entry(font, "/Subtype")) == "/Type3":
            return
        inner = _entry(font, "/DescendantFonts")
        described = _entry(
            inner[0].get_object() if isinstance(inner, ArrayObject) and inner else font, "/FontDescriptor"
        )
        if not any(isinstance(_entry(described, key), StreamObject) for key in _FONT_FILES):
            self.loose_fonts.add(_SUBSET.sub("", str(_entry(font, "/BaseFont") or "/unnamed")[1:]))


def _notes(page: PageObject) -> int:
    """How many annotations show something on the page that is not part of its contents."""
    listed = _entry(page, "/Annots")
    return sum(_shows(one.get_object()) for one in listed) if isinstance(listed, ArrayObject) else 0


def _shows(annotation: PdfObject | None) -> bool:
    if not isinstance(annotation, DictionaryObject) or str(_entry(annotation, "/Subtype")) in _NO_PART_OF_THE_LOOK:
        return False
    flags = _entry(annotation, "/F")
    return _entry(annotation, "/AP") is not None and not (isinstance(flags, int) and flags & _UNSEEN)


def _find(resources: PdfObject | None, category: str, name: bytes) -> PdfObject | None:
    plain = _ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), name)
    return _entry(_entry(resources, category), "/" + plain.decode("utf-8", "replace"))


def _entry(owner: PdfObject | None, key: str) -> PdfObject | None:
    """The value of a key, whether it stands there or is referred to; None without one. Inherited ones of pages too."""
    if not isinstance(owner, DictionaryObject) or key not in owner:
        return None
    value = owner.raw_get(key)
    return value.get_object() if value is not None else None


def _six(numbers: bytes) -> _Matrix:
    a, b, c, d, e, f = (float(number) for number in numbers.split())
    return a, b, c, d, e, f


def _six_of(array: PdfObject) -> _Matrix:
    numbers = [float(value) for value in _numbers(array)]
    return (numbers[0], numbers[1], numbers[2], numbers[3], numbers[4], numbers[5]) if len(numbers) == 6 else _IDENTITY


def _numbers(array: PdfObject) -> Iterator[float]:
    for value in array if isinstance(array, ArrayObject) else ():
        plain = value.get_object()
        if isinstance(plain, (int, float)):
            yield float(plain)


def _product(first: _Matrix, then: _Matrix) -> _Matrix:
    a, b, c, d, e, f = first
    return (
        a * then[0] + b * then[2],
        a * then[1] + b * then[3],
        c * then[0] + d * then[2],
        c * then[1] + d * then[3],
        e * then[0] + f * then[2] + then[4],
        e * then[1] + f * then[3] + then[5],
    )
