"""Count what a page draws, nested forms included, so that a small file cannot cost hours and gigabytes.

A form that draws itself, or a handful of forms that draw each other by doublings, makes a reader run without end
(measured with pdfium: 576 bytes took 24 GB). Forms, tiling patterns, soft masks and drawn letters can all hold further
drawing (ISO 32000-1 8.10, 8.7.3, 11.6.5.3, 9.6.5), so all four are followed. What costs much in another way (a line
of endless dashes) meets the limits of the worker process.
"""

import re
from dataclasses import dataclass, replace

from pypdf import PageObject
from pypdf.generic import ArrayObject, DictionaryObject, PdfObject, StreamObject

from watcher.art.formats.headers import size_fault

MOST_DRAWN = 100_000  # things drawn by one page in all; honest pages stay below a few thousand (our own choice)
MOST_TILES = 1_000_000  # of one pattern on a page; a hatch of one point a tile on A4 has half as many
DEEPEST = 30  # things within things; renderers give up between 30 and 100 and leave the rest out (from memory)

# Source of the signs: ISO 32000-1 7.2.2 (white space, delimiters), 7.3.5 (names), Annex A (operators).
_GAP = rb"(?:[\0\t\n\f\r ]|%[^\r\n]*+[\r\n])++"
_NAME = rb"/([^\0\t\n\f\r /<>\[\](){}%]*+)"
_END = rb"(?![^\0\t\n\f\r /<>\[\](){}%])"
_STEPS = re.compile(
    _NAME + _GAP + rb"(?:(Do|scn|SCN|gs)|[-+.0-9]++" + _GAP + rb"(Tf))" + _END
    + rb"|(?<![^\0\t\n\f\r />\[\](){}%])(f\*?|F|[Bb]\*?|S|s|sh|Tj|TJ|'|\"|q|Q)" + _END
)  # fmt: skip
_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
_SHOWS_TEXT = frozenset({b"Tj", b"TJ", b"'", b'"'})
_INLINE_IMAGE = re.compile(rb"\bBI\b(.{1,400}?)\bID\b", re.DOTALL)
_WIDTH_OF = re.compile(rb"/W(?:idth)?\s+([0-9]{1,12})")
_HEIGHT_OF = re.compile(rb"/H(?:eight)?\s+([0-9]{1,12})")


class TooMuchDrawn(Exception):
    """The page asks for more than any card does; the message says of what, to follow the file's name."""


@dataclass(frozen=True, kw_only=True)
class _Cost:
    """What contents ask for: things drawn in all, and strokes of the pen (each of which a pattern or mask repeats)."""

    drawn: int = 0
    strokes: int = 0


@dataclass(frozen=True, kw_only=True)
class _Pen:
    """What every stroke draws besides itself now: things in the pattern, in the mask, in a letter."""

    pattern: int = 0
    mask: int = 0
    letter: int = 0


def count_drawn(page: PageObject) -> int:
    """How many images and forms the page draws, those within forms, patterns, masks and letters included.

    Raises:
        TooMuchDrawn: more than `MOST_DRAWN`, deeper than `DEEPEST`, a thing within itself, or an image larger than
            pictures may be.
    """
    contents, own = page.get_contents(), _Resources.of(page, _NOTHING)
    area = float(page.mediabox.width) * float(page.mediabox.height)
    return _Walk(area, own).cost(b"" if contents is None else contents.get_data(), own, ()).drawn


class _Resources:
    """What contents may name, by category."""

    def __init__(self, tables: DictionaryObject) -> None:
        self._tables = tables
        self.key = id(tables)

    @classmethod
    def of(cls, owner: DictionaryObject, around: "_Resources") -> "_Resources":
        """The owner's own; without any, those around it."""
        own = _entry(owner, "/Resources")
        return cls(own) if isinstance(own, DictionaryObject) else around

    def find(self, category: str, name: bytes) -> PdfObject | None:
        plain = _ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), name)
        return _entry(_entry(self._tables, category), "/" + plain.decode("utf-8", "replace"))


_NOTHING = _Resources(DictionaryObject())


class _Walk:
    """One walk over everything that a page draws; each thing is counted once and remembered."""

    def __init__(self, area: float, of_page: _Resources) -> None:
        self._area = area  # of the page, in its own units
        self._of_page = of_page
        self._known: dict[tuple[int, int], _Cost] = {}
        self._kept: list[PdfObject] = []  # so that no identity is given to another object meanwhile

    def cost(self, contents: bytes, resources: _Resources, within: tuple[int, ...]) -> _Cost:
        """What contents come to."""
        _refuse_large_inline_images(contents)
        pen, stack = _Pen(), [_Pen()]
        drawn = strokes = last = 0
        for found in _STEPS.finditer(contents):
            word = found[2] or found[3] or found[4]
            if word == b"q":
                stack.append(pen)
            elif word == b"Q":
                pen = stack.pop() if len(stack) > 1 else stack[0]
            elif word == b"Do":
                inner = self._thing(self._drawn(found[1], resources), resources, within)
                drawn += 1 + inner.drawn + inner.strokes * (pen.pattern + pen.mask)
                strokes += inner.strokes + 1
            elif found[1] is not None:
                pen = self._dipped(pen, word, found[1], resources, within)
            else:
                strokes += 1
                letters = (found.start() - last) * pen.letter if word in _SHOWS_TEXT else 0
                drawn += pen.pattern + pen.mask + letters
            last = found.end()
            if drawn > MOST_DRAWN:
                raise TooMuchDrawn("draws things within things without end")
        return _Cost(drawn=drawn, strokes=strokes)

    def _find(self, category: str, name: bytes, resources: _Resources) -> PdfObject | None:
        """What a name means. Renderers look among the page's own resources for what a form lacks."""
        found = resources.find(category, name)
        return self._of_page.find(category, name) if found is None else found

    def _drawn(self, name: bytes, resources: _Resources) -> PdfObject:
        """What is drawn under a name.

        The page becomes a form in a sheet of ours: a name that means nothing here could mean something there.
        """
        thing = self._find("/XObject", name, resources)
        if thing is None:
            raise TooMuchDrawn("draws something that is not in the file")
        return thing

    def _dipped(self, pen: _Pen, word: bytes, name: bytes, resources: _Resources, within: tuple[int, ...]) -> _Pen:
        """The pen after a pattern, a graphics state or a font has been chosen."""
        if word == b"Tf":
            return replace(pen, letter=self._letter(self._find("/Font", name, resources), resources, within))
        if word == b"gs":
            mask = _entry(self._find("/ExtGState", name, resources), "/SMask")
            if mask is None:
                return pen  # the mask in force stays
            return replace(pen, mask=self._repeated(_entry(mask, "/G"), resources, within))
        return replace(pen, pattern=self._repeated(self._find("/Pattern", name, resources), resources, within))

    def _repeated(self, thing: PdfObject | None, around: _Resources, within: tuple[int, ...]) -> int:
        """What each stroke draws with this pattern or mask. One that only paints counts where it is itself repeated."""
        if not isinstance(thing, StreamObject):
            return 0
        if str(_entry(thing, "/PatternType")) == "1" and self._area > MOST_TILES * _tile_area(thing):
            raise TooMuchDrawn("is filled with a pattern of countless tiles")
        return self._thing(thing, around, within).drawn + (1 if within else 0)

    def _letter(self, font: PdfObject | None, resources: _Resources, within: tuple[int, ...]) -> int:
        """The most that a letter of a drawn font (Type 3) draws besides itself."""
        glyphs = _entry(font, "/CharProcs")
        if not isinstance(font, DictionaryObject) or not isinstance(glyphs, DictionaryObject):
            return 0
        own = _Resources.of(font, resources)
        return max((self._contents(_entry(glyphs, name), own, within).drawn for name in glyphs), default=0)

    def _thing(self, thing: PdfObject | None, around: _Resources, within: tuple[int, ...]) -> _Cost:
        """What an image, a form, a tiling pattern or a mask's group comes to; other patterns draw nothing."""
        if not isinstance(thing, StreamObject):
            return _Cost()
        if str(_entry(thing, "/Subtype")) == "/Image":
            _refuse_large_image(thing)
            return _Cost()
        return self._contents(thing, _Resources.of(thing, around), within)

    def _contents(self, thing: PdfObject | None, resources: _Resources, within: tuple[int, ...]) -> _Cost:
        if not isinstance(thing, StreamObject):
            return _Cost()
        own = id(thing)
        if own in within:
            raise TooMuchDrawn("draws things within themselves without end")
        if len(within) >= DEEPEST:
            raise TooMuchDrawn(f"draws things within things more than {DEEPEST} deep")
        key = own, resources.key
        if key not in self._known:
            self._kept.append(thing)
            self._known[key] = self.cost(thing.get_data(), resources, (*within, own))
        return self._known[key]


def _entry(owner: PdfObject | None, key: str) -> PdfObject | None:
    """The value of a key, whether it stands there or is referred to; None without one."""
    value = owner.raw_get(key) if isinstance(owner, DictionaryObject) and key in owner else None
    return value.get_object() if value is not None else None


def _tile_area(pattern: DictionaryObject) -> float:
    """Page units that each tile of a pattern takes up (8.7.3.1), as far as the pattern itself tells."""
    matrix = _entry(pattern, "/Matrix")
    a, b, c, d = (float(value) for value in matrix[:4]) if isinstance(matrix, ArrayObject) else (1.0, 0.0, 0.0, 1.0)
    steps = [_entry(pattern, key) for key in ("/XStep", "/YStep")]
    across, up = (float(step) if isinstance(step, int | float) else 0.0 for step in steps)
    return abs(across * up * (a * d - b * c))


def _refuse_large_image(image: PdfObject) -> None:
    for one in (image, _entry(image, "/SMask"), _entry(image, "/Mask")):
        _refuse_size(_entry(one, "/Width"), _entry(one, "/Height"))


def _refuse_large_inline_images(contents: bytes) -> None:
    for found in _INLINE_IMAGE.finditer(contents):
        width, height = _WIDTH_OF.search(found[1]), _HEIGHT_OF.search(found[1])
        if width and height:
            _refuse_size(int(width[1]), int(height[1]))


def _refuse_size(width: object, height: object) -> None:
    if isinstance(width, int) and isinstance(height, int) and (fault := size_fault(width, height)) and "most" in fault:
        raise TooMuchDrawn(f"shows a picture that {fault}")
