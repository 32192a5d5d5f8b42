"""The drawing of the sheet: where its places, cuts, numbers and names come to lie."""

import io

import pytest
from reportlab.pdfgen.canvas import Canvas

from tests.instructions.an_order import finishing, two_up
from watcher.instructions.sheet_sketch import CUT_WIDTH, RIM, SheetDrawing, SheetSketch, sketch_scale
from watcher.instructions.style import BOLD, SANS, register_fonts
from watcher.terms import Edge, Fold

ROOM = (300.0, 400.0)


class Heard(Canvas):
    """A canvas that remembers its words, where they stand and their colours, its lines with their width, its dashes."""

    def __init__(self):
        super().__init__(io.BytesIO())
        self.words, self.lines_drawn, self.dashed, self.inks = [], [], [], set()
        self._dashes = False

    def drawCentredString(self, x, y, text, *args, **more):
        self.words.append((text, self.absolutePosition(x, y)))
        self.inks.add(self._fillColorObj.hexval())
        super().drawCentredString(x, y, text, *args, **more)

    def setDash(self, *dashes):
        self._dashes = bool(dashes)
        super().setDash(*dashes)

    def line(self, x1, y1, x2, y2):
        ends = (self.absolutePosition(x1, y1), self.absolutePosition(x2, y2))
        (self.dashed if self._dashes else self.lines_drawn).append((self._lineWidth, ends))
        super().line(x1, y1, x2, y2)


def drawn(strokes=(), fold=None):
    register_fonts()
    drawing = SheetDrawing(two_up(), strokes, fold, ROOM, (SANS, BOLD))
    canvas = Heard()
    drawing.drawOn(canvas, 0, 0)
    return drawing, canvas


@pytest.mark.parametrize("room", [(300.0, 1000.0), (1000.0, 300.0)])
def test_the_sketch_is_as_large_as_its_room_allows(room):
    drawing = SheetDrawing(two_up(), (), None, room, (SANS, BOLD))
    assert min(room[0] - drawing.width, room[1] - drawing.height) == pytest.approx(0)
    assert drawing.wrap(0, 0) == (drawing.width, drawing.height)
    assert drawing.width - 2 * RIM == pytest.approx(215.9 * sketch_scale(two_up(), room))


def test_each_cut_is_drawn_where_the_knife_goes():
    strokes = finishing(two_up()).plan.strokes
    drawing, canvas = drawn(strokes)
    cuts = [ends for width, ends in canvas.lines_drawn if width == CUT_WIDTH]
    wanted = [stroke for stroke in strokes for _ in stroke.pieces]
    for stroke, (one, other) in zip(wanted, cuts, strict=True):
        axis = 0 if stroke.is_upright else 1
        assert one[axis] == other[axis] == pytest.approx(RIM + float(stroke.line) * drawing.scale)


def test_each_cut_has_one_number_and_none_stand_on_each_other():
    strokes = finishing(two_up()).plan.strokes
    register_fonts()
    sketch = SheetSketch(Heard(), two_up(), sketch_scale(two_up(), ROOM), (SANS, BOLD))
    sketch.draw(strokes, None)
    boxes = sketch.taken
    assert len(boxes) == len(strokes) + len(two_up().places) + len(Edge)
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_no_number_or_name_is_white_on_white():
    _, canvas = drawn(finishing(two_up()).plan.strokes)
    assert "0xffffff" not in canvas.inks


def test_the_edges_are_named_outside_of_the_sheet():
    drawing, canvas = drawn()
    places = dict(canvas.words)
    assert {edge.upper() for edge in Edge} <= places.keys()
    assert places["TOP"][1] > drawing.height - RIM > RIM > places["BOTTOM"][1]
    assert places["RIGHT"][0] > drawing.width - RIM > RIM > places["LEFT"][0]


@pytest.mark.parametrize(("fold", "is_upright"), [(Fold.LEFT, False), (Fold.TOP, True)])
def test_a_fold_goes_through_the_middle_of_each_card_as_it_lies(fold, is_upright):
    """The cards lie turned by a quarter, so a fold along their height is level on the sheet."""
    drawing, canvas = drawn(fold=fold)
    for place, (_, (one, other)) in zip(two_up().places, canvas.dashed, strict=True):
        middle = place.front.trim.centre
        at = (float(middle.x), float(middle.y))[0 if is_upright else 1] * drawing.scale + RIM
        axis = 0 if is_upright else 1
        assert one[axis] == pytest.approx(at)
        assert other[axis] == pytest.approx(at)
    assert drawn()[1].dashed == []
