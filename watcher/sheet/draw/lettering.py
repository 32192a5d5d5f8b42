"""Set small print in an embedded font, as a PDF of small pages that the sheet includes as forms."""

import io
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from watcher.units import mm_to_points

FONT = "PrintFolderSans"
_FONT_FILE = Path(__file__).parents[1] / "fonts" / "DejaVuSans.ttf"
_UNKNOWN = "\ufffd"
_BASELINE = Fraction(28, 100)  # of the type size above the lower edge of the line: room for descenders


@dataclass(frozen=True, kw_only=True)
class Strip:
    """One small page: its size in mm and what is drawn on it (points, lower left 0, 0)."""

    length_mm: Fraction
    thickness_mm: Fraction
    draw: Callable[[Canvas], None]


@lru_cache(maxsize=1)
def small_font() -> TTFont:
    """The font, read once in a process."""
    return register_font(FONT, _FONT_FILE)


def register_font(name: str, file: Path, *, ascii_whole: bool = False) -> TTFont:
    """Register a typeface for drawing, so that only the letters in use go into a PDF.

    Left out are the other letters of ASCII and the table of names (ISO 32000-1 9.9 needs none), which holds the whole
    licence: together three quarters of the size of a line of small print.

    Args:
        name: unlike that of any other.
        file: TrueType.
        ascii_whole: whether all of ASCII goes into every PDF, with its own codes.
    """
    font = TTFont(name, str(file), asciiReadable=int(ascii_whole))
    font.face.table.pop("name", None)
    if ascii_whole:
        # typefaces of one name would share the codes of the first
        font.face.name += b"-" + name.encode("ascii")
        font.face.makeSubset = _made_once(font.face.makeSubset)
    pdfmetrics.registerFont(font)
    return font


def _made_once(make: Callable[[Sequence[int]], bytes]) -> Callable[[Sequence[int]], bytes]:
    """Cache a font subset by its letters, since most documents have the same ones."""
    kept = lru_cache(maxsize=8)(make)
    return lambda letters: kept(tuple(letters))


def printable_text(text: str) -> str:
    """The text with each character that the font lacks as the replacement character."""
    known = small_font().face.charToGlyph
    return "".join(letter if letter.isprintable() and ord(letter) in known else _UNKNOWN for letter in text)


def text_width(text: str, type_pt: Fraction) -> Fraction:
    """Width of a line in points."""
    return Fraction(small_font().stringWidth(text, float(type_pt))).limit_denominator(10_000)


@lru_cache(maxsize=64)  # so that strips alike are the same: the preview is drawn from them too
def text_strip(text: str, type_pt: Fraction, length_mm: Fraction, thickness_mm: Fraction) -> Strip:
    """A line of text in the middle of a strip."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont(FONT, float(type_pt))
        canvas.drawCentredString(float(mm_to_points(length_mm)) / 2, float(type_pt * _BASELINE), text)

    return Strip(length_mm=length_mm, thickness_mm=thickness_mm, draw=draw)


@lru_cache(maxsize=4)
def set_strips(strips: tuple[Strip, ...]) -> bytes:
    """A PDF of one page a strip, the font embedded once, the same bytes for the same strips."""
    small_font()
    finished = io.BytesIO()
    # Without a first font of ours each page would name Helvetica, which is not embedded.
    canvas = Canvas(finished, invariant=1, initialFontName=FONT)
    for strip in strips:
        canvas.setPageSize((float(mm_to_points(strip.length_mm)), float(mm_to_points(strip.thickness_mm))))
        canvas.setFillGray(0)
        canvas.setStrokeGray(0)
        strip.draw(canvas)
        canvas.showPage()
    with binary_streams():
        canvas.save()
    return finished.getvalue()


_BINARY = threading.Lock()
_INSIDE: list[int] = []  # for each that is inside; the first one is what was set before


@contextmanager
def binary_streams() -> Iterator[None]:
    """Write streams without ASCII encoding inside this block; for pictures the encoding took 4/5 of the time."""
    with _BINARY:  # threads may be inside together: the first changes it, the last puts it back
        if not _INSIDE:
            _INSIDE.append(rl_config.useA85)
            rl_config.useA85 = 0
        else:
            _INSIDE.append(0)
    try:
        yield
    finally:
        with _BINARY:
            if len(_INSIDE) == 1:
                rl_config.useA85 = _INSIDE[0]
            _INSIDE.pop()
