"""Draw the word beside the dashed marks of a fold, on a white patch, since a mark may lie on dark bleed."""

from fractions import Fraction
from functools import lru_cache

from reportlab.pdfgen.canvas import Canvas

from watcher.sheet.draw.lettering import Strip, text_strip, text_width
from watcher.units import mm_to_points, points_to_mm

SCORE_WORD = "fold"
_TYPE_PT = Fraction(5)
_HEIGHT = Fraction(12, 10)  # of the type size
_ROUND_MM = Fraction(1, 10)


def score_word_size() -> tuple[Fraction, Fraction]:
    """Length and height of the word, mm, rounded up."""
    length, height = points_to_mm(text_width(SCORE_WORD, _TYPE_PT)), points_to_mm(_TYPE_PT * _HEIGHT)
    return -(-length // _ROUND_MM) * _ROUND_MM, -(-height // _ROUND_MM) * _ROUND_MM


@lru_cache(maxsize=1)
def score_word() -> Strip:
    """The word as a small page of its own."""
    length, height = score_word_size()
    letters = text_strip(SCORE_WORD, _TYPE_PT, length, height)

    def draw(canvas: Canvas) -> None:
        canvas.saveState()
        canvas.setFillGray(1)
        canvas.rect(0, 0, float(mm_to_points(length)), float(mm_to_points(height)), stroke=0, fill=1)
        canvas.restoreState()
        letters.draw(canvas)

    return Strip(length_mm=length, thickness_mm=height, draw=draw)
