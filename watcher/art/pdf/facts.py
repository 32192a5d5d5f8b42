"""Read what a page of a PDF uses: typefaces, inks, pictures and their resolution.

Contents are not interpreted but read for the few operators that matter here; forms and patterns are followed.
Sources: ISO 32000-1 Annex A (operators), 8.6 (colour spaces), 8.10 (forms), 9.6 to 9.9 (fonts).
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from pypdf import PageObject
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, PdfObject, StreamObject

from watcher.art.model import PageFacts, PagePicture
from watcher.layout.affine import IDENTITY, Floats, product
from watcher.layout.geometry import Size
from watcher.units import pixels_per_inch, points_to_mm

MOST_STEPS = 200_000  # operators looked at in all; honest cards have a few thousand (our own choice)
MOST_READ = 40_000_000  # bytes of contents in all, a form that is drawn again counted again
DEEPEST = 12  # forms within forms that are followed
MOST_TOLD = 20  # typefaces, inks

_OPERATOR = re.compile(rb"(?<![^\s\])>}])(q|Q|cm|k|K|Do|cs|CS|scn|SCN|sh|Tf|Tr|Tj|TJ|'|\")(?![^\s/\[(<{])")
_OPERANDS = 240  # bytes before an operator in which what belongs to it stands: six numbers, a name
_INVISIBLE = "3"  # text rendering mode of the words behind a scan (9.3.6)
_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
_SUBSET = re.compile(r"^[A-Z]{6}\+")  # ISO 32000-1 9.6.4
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
_PROCESS_COLOURS = frozenset({"/Cyan", "/Magenta", "/Yellow", "/Black"})
_NO_INK = frozenset({"/All", "/None"})  # all plates, as crop marks have it, and no plate
_CMYK = "CMYK"
_SHOWS_TEXT = frozenset({b"Tj", b"TJ", b"'", b'"'})


def page_facts(page: PageObject, view: Size, unit: Fraction) -> PageFacts:
    """What a page uses; of its annotations nothing.

    Args:
        page: whose drawing is known to come to an end (`draws.count_drawn`).
        view: what of it is drawn, in its own units.
        unit: points per unit.
    """
    walk = _Walk(view, unit)
    contents = page.get_contents()
    walk.read(b"" if contents is None else contents.get_data(), _entry(page, "/Resources"), IDENTITY, 0)
    return PageFacts(
        loose_fonts=tuple(sorted(walk.loose_fonts)[:MOST_TOLD]),
        inks=tuple(sorted(walk.inks)[:MOST_TOLD]),
        most_ink=walk.most_ink,
        pictures=tuple(walk.pictures),
    )


@dataclass(frozen=True, kw_only=True)
class _State:
    """What of the graphics state matters here: where user space lies, which typeface is chosen and how it shows."""

    matrix: Floats
    font: PdfObject | None = None
    mode: str = "0"


class _Walk:
    """One walk over what a page draws."""

    def __init__(self, view: Size, unit: Fraction) -> None:
        self._view, self._unit, self._steps, self._read = view, unit, 0, 0
        self.loose_fonts: set[str] = set()
        self.inks: set[str] = set()
        self.most_ink = Fraction(0)
        self.pictures: list[PagePicture] = []

    def read(self, contents: bytes, resources: PdfObject | None, matrix: Floats, depth: int) -> None:
        """Reads contents whose user space `matrix` brings to the page's."""
        state, kept = _State(matrix=matrix), list[_State]()
        self._read += len(contents)
        if self._read > MOST_READ:
            return
        for found in _OPERATOR.finditer(contents):
            self._steps += 1
            if self._steps > MOST_STEPS:
                return
            if found[1] == b"q":
                kept.append(state)
            elif found[1] == b"Q":
                state = kept.pop() if kept else state
            else:
                before = contents[max(0, found.start() - _OPERANDS) : found.start()].split()
                state = self._step(found[1], before, resources, state, depth)

    def _step(
        self, operator: bytes, before: Sequence[bytes], resources: PdfObject | None, state: _State, depth: int
    ) -> _State:
        """What one operator does; gives the state after it."""
        if operator == b"cm":
            return replace(state, matrix=product(_six(before), state.matrix))
        if operator == b"Tf":
            return replace(state, font=_find(resources, "/Font", _name(before[-2:-1])))
        if operator == b"Tr":
            return replace(state, mode=before[-1].decode("latin-1") if before else "0")
        if operator in _SHOWS_TEXT:
            if state.mode != _INVISIBLE:
                self._note_font(state.font)
        elif operator in (b"k", b"K"):
            self._note_ink(before[-4:])
        else:
            self._named(_name(before[-1:]), operator, resources, state.matrix, depth)
        return state

    def _named(self, name: bytes, operator: bytes, resources: PdfObject | None, matrix: Floats, depth: int) -> None:
        """An operator that names a resource (or, with scn, may)."""
        if not name:
            return
        if operator in (b"cs", b"CS"):
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
        self, thing: PdfObject | None, around: PdfObject | None, matrix: Floats, depth: int, *, is_tile: bool = False
    ) -> None:
        if not isinstance(thing, StreamObject):
            return
        if str(_entry(thing, "/Subtype")) == "/Image":
            self._note_picture(thing, matrix)
        elif depth < DEEPEST:
            own = _entry(thing, "/Matrix")
            inner = product(_six_of(own), IDENTITY if is_tile else matrix) if own is not None else matrix
            self.read(thing.get_data(), _entry(thing, "/Resources") or around, inner, depth + 1)

    def _note_picture(self, image: StreamObject, matrix: Floats) -> None:
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

    def _note_ink(self, before: Sequence[bytes]) -> None:
        inks = [number for part in before if (number := _number(part)) is not None]
        if len(inks) == 4:
            self.inks.add(_CMYK)
            total = sum(min(max(ink, 0.0), 1.0) for ink in inks)
            self.most_ink = max(self.most_ink, 100 * Fraction(total).limit_denominator(10_000))

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


def _find(resources: PdfObject | None, category: str, name: bytes) -> PdfObject | None:
    plain = _ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), name)
    return _entry(_entry(resources, category), "/" + plain.decode("utf-8", "replace"))


def _entry(owner: PdfObject | None, key: str) -> PdfObject | None:
    """The value of a key, whether it stands there or is referred to; None without one. Inherited ones of pages too."""
    if not isinstance(owner, DictionaryObject) or key not in owner:
        return None
    value = owner.raw_get(key)
    return value.get_object() if value is not None else None


def _name(before: Sequence[bytes]) -> bytes:
    """The name that stands last before an operator, without its slash; empty for none."""
    return before[0].rpartition(b"/")[2] if before and b"/" in before[0] else b""


def _number(part: bytes) -> float | None:
    try:
        return float(part.rpartition(b"[")[2])
    except ValueError:
        return None


def _six(before: Sequence[bytes]) -> Floats:
    numbers = [_number(part) for part in before[-6:]]
    a, b, c, d, e, f = (number or 0.0 for number in numbers) if len(numbers) == 6 else IDENTITY
    return a, b, c, d, e, f


def _six_of(array: PdfObject) -> Floats:
    numbers = [float(value) for value in _numbers(array)]
    return (numbers[0], numbers[1], numbers[2], numbers[3], numbers[4], numbers[5]) if len(numbers) == 6 else IDENTITY


def _numbers(array: PdfObject) -> Iterator[float]:
    for value in array if isinstance(array, ArrayObject) else ():
        plain = value.get_object()
        if isinstance(plain, (int, float)):
            yield float(plain)
