"""The check by sight over PDF art with patterns: silent where the sheet is right, and no fault slips through for that.

The patterns are written here in the forms in which cairo, librsvg and Inkscape write them (seen in their files: tiles
that touch, a matrix that scales and turns y over, a form within the tile), and in others that ISO 32000-1 8.7.3 allows.
Measured beside this with 89 files, 47 of them by cairo 1.16 and librsvg 2.54: no alarm in four layouts each.
"""

import io
from fractions import Fraction

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name

from tests.long_form import LONG, in_long_form
from tests.ready import prepare_faces
from watcher.art.decode import open_art
from watcher.layout.geometry import Margins, Point, Size
from watcher.layout.register.alignment import Correction
from watcher.settings.card import CardSettings
from watcher.sheet.check.by_sight import LooksWrong, check_by_sight, wrong_places
from watcher.sheet.check.render import SheetRenderer
from watcher.sheet.draw import sheet_pdf as draw
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.sheet.matrix import moved, scaled, turned
from watcher.terms import MakeBleed, Side, Turn
from watcher.units import mm_to_points

MM = 72 / 25.4
WIDTH, HEIGHT = 91 * MM, 61 * MM
A5 = Size(Fraction(148), Fraction(210))
FOR_ONE = Size(Fraction(120), Fraction(90))  # with room for one card, upright
FOR_TWO = Size(Fraction(125), Fraction(160))  # with room for two cards
CORRECTION = Correction(
    shift=Point(Fraction("-0.4"), Fraction("0.3")), turn_degrees=0.13, scale_x=1.0012, scale_y=0.9988
)

DOTS = "1 0.96 0.88 rg 0 0 20 20 re f 0.75 0.13 0.13 rg 4 4 12 12 re f"
CHECKS = "0 g 0 0 10 10 re 10 10 10 10 re f"
STRIPES = "0.1 0.5 0.2 rg 0 0 9 20 re f"
# contents of a tile of 20 x 20 units, the matrix of the pattern, XStep and YStep
PATTERNS = {
    "dots": (DOTS, [0.326, 0, 0, -0.326, 0, HEIGHT], 20),
    "fine dots": (DOTS, [0.11, 0, 0, -0.11, 0, HEIGHT], 20),
    "large dots": (DOTS, [1.0276, 0, 0, -1.0276, 0, HEIGHT], 20),
    "checks": (CHECKS, [0.2268, 0, 0, -0.2268, 0, HEIGHT], 20),
    "large checks": (CHECKS, [0.643, 0, 0, -0.643, 0, HEIGHT], 20),
    "stripes": (STRIPES, [0.165, 0, 0, 0.165, 0, 0], 20),
    "turned stripes": (STRIPES, [0.28, -0.16, -0.16, -0.28, 0, HEIGHT], 20),
    "with gaps": (DOTS, [0.255, 0, 0, 0.255, 0, 0], 27),
}
LAYOUTS = {
    "with bleed": ("85 x 55 mm", None, MakeBleed.MIRROR),
    "mirrored and corrected": ("91 x 61 mm", CORRECTION, MakeBleed.MIRROR),
    "run out": ("91 x 61 mm", None, MakeBleed.EXTEND),
    "made smaller": ("60 x 38.82 mm", CORRECTION, MakeBleed.MIRROR),
}


def patterned(contents, matrix, step, side):
    """A page all over a pattern, with a dark block to tell its sides and directions apart."""
    document, saved = pikepdf.new(), io.BytesIO()
    page = document.add_blank_page(page_size=(WIDTH, HEIGHT))
    drawn = document.make_stream(contents.encode())
    drawn.update(Dictionary(Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 20, 20])))
    tile = document.make_stream(b"/x5 Do")
    tile.update(
        Dictionary(
            PatternType=1, PaintType=1, TilingType=1, BBox=Array([0, 0, 20, 20]), XStep=step, YStep=step,
            Matrix=Array(matrix), Resources=Dictionary(XObject=Dictionary(x5=drawn)),
        )
    )  # fmt: skip
    page.Resources = Dictionary(Pattern=Dictionary(x7=tile))
    block = f"0.1 0.1 0.4 rg 40 {30 + 60 * side} 70 24 re f 150 20 20 20 re f"
    page.Contents = document.make_stream(f"/Pattern cs /x7 scn 0 0 {WIDTH} {HEIGHT} re f {block}".encode())
    document.save(saved)
    return saved.getvalue()


@pytest.fixture(autouse=True)
def places_drawn_anew(monkeypatch):
    """What the writer keeps of a layout would hide the faults that are made here."""
    monkeypatch.setattr(draw, "_places", draw._places.__wrapped__)


@pytest.fixture
def plan_of(laid_out, planned):
    def make(pattern, layout, sheet=A5):
        trim, correction, make_bleed = LAYOUTS[layout]
        card = CardSettings(
            name="c", trim=trim, bleed="3 mm", sheet="s", warn_ppi=60, hold_ppi=40, make_bleed=make_bleed,
            shape_mismatch="crop",
        )  # fmt: skip
        arts = [
            open_art(side, f"{side}.pdf", "0" * 64, patterned(*PATTERNS[pattern], side is Side.BACK), "pdf", 0)
            for side in Side
        ]
        faces, _ = prepare_faces(arts, card)
        lying = laid_out(sheet, card.trim, unprintable=Margins.all_round(Fraction(6)))
        return planned(lying, *faces, marks=True, correction=correction)

    return make


def looked_at(plan):
    files = draw_sheets(plan)
    check_by_sight(SheetRenderer(files, plan).pages(), files=files, plan=plan)


CASES = [
    (pattern, list(LAYOUTS)[(at + more) % 4]) for at, pattern in enumerate(PATTERNS) for more in [0, *in_long_form(1)]
]


def test_an_extended_edge_that_shows_through_a_page_without_a_ground_raises_no_alarm(plan_of):
    """It reaches 0.2 mm under the art, and between the dark squares lies nothing that hides it."""
    plan = plan_of("checks", "run out", FOR_ONE)
    files = draw_sheets(plan)
    assert wrong_places(SheetRenderer(files, plan, ppi=211, once=False).pages(), plan, in_place=True) == []


@pytest.mark.parametrize(("pattern", "layout"), CASES)
def test_a_pattern_raises_no_alarm(plan_of, pattern, layout):
    looked_at(plan_of(pattern, layout))


def test_art_that_runs_out_dark_at_one_side_alone_raises_no_alarm(plan_of, monkeypatch):
    """Its own file shows no bleed, so at that side alone the sheet is darker than it; nothing is moved for that."""
    half_dark = ("0.05 0.05 0.3 rg 0 0 10 20 re f", [WIDTH / 20, 0, 0, HEIGHT / 20, 0, 0], 20)
    monkeypatch.setitem(PATTERNS, "half dark", half_dark)
    plan = plan_of("half dark", "run out", FOR_ONE)
    files = draw_sheets(plan)
    assert wrong_places(SheetRenderer(files, plan, ppi=211, once=False).pages(), plan, in_place=True) == []


MOVED = mm_to_points(Fraction(1))
FAULTS = {
    "1 mm to the right": moved(MOVED, Fraction(0)),
    "mirrored": scaled(Fraction(-1), Fraction(1)),
    "on its head": turned(Turn.HALF),
}


SEEN = [("dots", "with bleed", FOR_TWO, fault) for fault in FAULTS]
SEEN += [("checks", "mirrored and corrected", FOR_ONE, "1 mm to the right")]
SEEN += [("checks", "mirrored and corrected", A5, fault) for fault in FAULTS if LONG or fault == "1 mm to the right"]


@pytest.mark.parametrize(("pattern", "layout", "sheet", "fault"), SEEN)
def test_a_fault_of_the_writer_is_seen_through_a_pattern(plan_of, monkeypatch, pattern, layout, sheet, fault):
    right = draw.turned_into

    def wrong(box, turn):
        size = box.size.turned(turn)
        x, y = mm_to_points(size.width) / 2, mm_to_points(size.height) / 2
        return moved(-x, -y).then(FAULTS[fault]).then(moved(x, y)).then(right(box, turn))

    plan = plan_of(pattern, layout, sheet)
    monkeypatch.setattr(draw, "turned_into", wrong)
    with pytest.raises(LooksWrong):
        looked_at(plan)


def test_a_card_that_is_missing_is_seen_among_patterns(plan_of, monkeypatch):
    right = draw.face_at
    plan = plan_of("dots", "with bleed", FOR_TWO)
    monkeypatch.setattr(draw, "face_at", lambda *said: None if said[2].number == 2 else right(*said))
    with pytest.raises(LooksWrong, match="card 2 on the front page is missing"):
        looked_at(plan)
