"""How the stack goes back in: read from the words of the turn test, and drawn."""

import io

import pytest
from reportlab.pdfgen.canvas import Canvas

from tests.instructions.an_order import LETTER
from watcher.instructions.style import BOLD, SANS, register_fonts
from watcher.instructions.turning_sketch import Reload, Turning, TurningDrawing, read_reload
from watcher.layout.geometry import Size
from watcher.terms import Edge, Flip

HEIGHTS = {}


class Heard(Canvas):
    """A canvas that remembers its words, and which ways right and up are where they stand."""

    def __init__(self):
        super().__init__(io.BytesIO())
        self.words = {}

    def drawCentredString(self, x, y, text, *args, **more):
        origin, right, up = (self.absolutePosition(*point) for point in ((0, 0), (1, 0), (0, 1)))
        ways = [(round(end[0] - origin[0]), round(end[1] - origin[1])) for end in (right, up)]
        self.words[text] = ways
        HEIGHTS[text] = self.absolutePosition(x, y)[1]
        super().drawCentredString(x, y, text, *args, **more)


def words_of(reload, flip=Flip.LONG_EDGE, sheet=LETTER, *, by_hand=True):
    register_fonts()
    canvas = Heard()
    turning = Turning(flip=flip, by_hand=by_hand, reload=reload)
    TurningDrawing(turning, sheet, (180.0, 160.0), (SANS, BOLD)).drawOn(canvas, 0, 0)
    return canvas.words


@pytest.mark.parametrize(
    ("words", "printed_up", "lead"),
    [
        ("Printed side up, top edge first.", True, Edge.TOP),
        ("printed side DOWN,  left edge\nfirst", False, Edge.LEFT),
    ],
)
def test_the_words_of_the_turn_test_are_read(words, printed_up, lead):
    assert read_reload(words) == Reload(printed_up=printed_up, lead=lead)


@pytest.mark.parametrize("words", [None, "", "face down, top edge first", "printed side up, top edge first, please"])
def test_other_words_are_left_as_they_are(words):
    assert read_reload(words) is None


@pytest.mark.parametrize("lead", list(Edge))
def test_the_front_is_drawn_with_its_leading_edge_towards_the_printer(lead):
    right, up = words_of(Reload(printed_up=True, lead=lead))["FRONT"]
    towards = {Edge.TOP: up, Edge.BOTTOM: (-up[0], -up[1]), Edge.RIGHT: right, Edge.LEFT: (-right[0], -right[1])}
    assert towards[lead] == (0, 1)


def test_of_a_stack_with_its_print_below_only_the_blank_side_is_seen():
    words = words_of(Reload(printed_up=False, lead=Edge.LEFT))
    assert {"printed side DOWN", "blank side", "LEFT edge"} <= words.keys()
    assert words["FRONT"] == [(1, 0), (0, 1)]  # of the printed stack beside it


def test_where_the_way_back_in_is_not_known_the_drawing_says_to_try_it():
    words = words_of(None)
    assert {"PRINTER", "?", "try it first"} <= words.keys()


@pytest.mark.parametrize(
    ("flip", "sheet", "top"),
    [
        (Flip.LONG_EDGE, LETTER, True),
        (Flip.SHORT_EDGE, LETTER, False),
        (Flip.LONG_EDGE, Size(LETTER.height, LETTER.width), False),
        (Flip.SHORT_EDGE, Size(LETTER.height, LETTER.width), True),
    ],
)
def test_a_printer_that_turns_the_sheet_is_drawn_with_the_front_s_top_where_it_comes_to_lie(flip, sheet, top):
    """RFC 8011 5.2.8: turned on the edge along its height a sheet keeps its top, on the other it is upside down."""
    heights = words_of(None, flip, sheet, by_hand=False)
    assert "PRINTER" not in heights
    assert (HEIGHTS["the front's top"] > HEIGHTS["BACK"]) is top
