"""The drawing of a shared sheet: whose name stands at which place, and what is drawn where nobody's card lies."""

import io

from reportlab.pdfgen.canvas import Canvas

from tests.instructions.an_order import two_up
from watcher.instructions.gang_sketch import LARGEST, SMALLEST, GangDrawing
from watcher.instructions.sheet_sketch import RIM
from watcher.instructions.style import BOLD, NO_GLYPH, SANS, register_fonts
from watcher.layout.gang.places import OrderPlaces


class Heard(Canvas):
    """A canvas that remembers its words, with their size and where they stand, and its lines."""

    def __init__(self):
        super().__init__(io.BytesIO())
        self.words, self.lines_drawn = {}, []

    def drawCentredString(self, x, y, text, *args, **more):
        self.words[text] = (self._fontsize, self.absolutePosition(x, y))
        super().drawCentredString(x, y, text, *args, **more)

    def line(self, *ends):
        self.lines_drawn.append(ends)
        super().line(*ends)


def drawn(*names, places=(1,)):
    register_fonts()
    owned = [OrderPlaces(order=number, places=(place,), apart_after=0, pieces=1) for number, place in enumerate(places)]
    drawing = GangDrawing(two_up(), owned, names, (300.0, 400.0), (SANS, BOLD))
    canvas = Heard()
    drawing.drawOn(canvas, 0, 0)
    return drawing, canvas


def test_a_name_stands_within_the_place_of_its_order():
    drawing, canvas = drawn("fox", "owl", places=(1, 2))
    for name, place in zip(("fox", "owl"), two_up().places, strict=True):
        size, (x, y) = canvas.words[name]
        middle = place.front.trim.centre
        assert abs(x - RIM - float(middle.x) * drawing.scale) < 1
        assert abs(y - RIM - float(middle.y) * drawing.scale) < size


def test_a_place_of_nobody_is_crossed_out():
    assert len(drawn("fox")[1].lines_drawn) == 2
    assert len(drawn("fox", "owl", places=(1, 2))[1].lines_drawn) == 0


def test_a_name_becomes_smaller_before_it_is_shortened():
    short = drawn("fox")[1].words["fox"][0]
    longer = drawn("fox " * 10)[1].words["fox " * 10][0]
    (shown,) = [text for text in drawn("fox " * 60)[1].words if text.startswith("fox")]
    assert short == LARGEST > longer > SMALLEST
    assert shown.endswith("\N{HORIZONTAL ELLIPSIS}")
    assert shown[:-1] in "fox " * 60


def test_orders_side_by_side_have_other_shades():
    drawing, _ = drawn("fox", "owl", places=(1, 2))
    assert drawing.shades[0] != drawing.shades[1]


def test_letters_that_the_typeface_lacks_are_shown_as_lacking():
    assert f"fox {NO_GLYPH}" in drawn("fox \U0001f98a")[1].words
