"""A PDF exported with crop marks and bleed on the sheet: its trim on the trim, its bleed and nothing beyond."""

import io
from fractions import Fraction

import numpy as np
import pikepdf
import pytest

from watcher.art.prepare import prepare_face
from watcher.layout.geometry import Size
from watcher.settings.card import CardSettings
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Side, Turn
from watcher.units import points_to_mm

WIDTH, HEIGHT, AROUND = 90, 120, 40  # points; the page has 40 all round the trim
TRIM = Size(points_to_mm(Fraction(WIDTH)), points_to_mm(Fraction(HEIGHT)))
BLEED = 9
MARKS = b"0 0 1 RG 2 w " + b" ".join(
    b"%d %d m %d %d l S" % line
    for x in (AROUND, AROUND + WIDTH)
    for y in (AROUND, AROUND + HEIGHT)
    for line in (
        (x, 2, x, AROUND - 12),
        (x, AROUND + HEIGHT + 12, x, HEIGHT + 2 * AROUND - 2),
        (2, y, AROUND - 12, y),
        (AROUND + WIDTH + 12, y, WIDTH + 2 * AROUND - 2, y),
    )
)


@pytest.fixture
def exported():
    """A page with crop marks in blue, red bleed of 9 points and a green card with a black corner at its lower left."""

    def make(bleed=BLEED, marks=MARKS, **entries):
        size = WIDTH + 2 * AROUND, HEIGHT + 2 * AROUND
        red = (AROUND - BLEED, AROUND - BLEED, WIDTH + 2 * BLEED, HEIGHT + 2 * BLEED)
        content = b"1 0 0 rg %d %d %d %d re f 0 0.6 0 rg %d %d %d %d re f 0 g %d %d 20 20 re f " % (
            *red, AROUND, AROUND, WIDTH, HEIGHT, AROUND, AROUND
        )  # fmt: skip
        document = pikepdf.new()
        page = document.add_blank_page(page_size=size)
        page.Contents = document.make_stream(content + marks)
        page.obj["/TrimBox"] = [AROUND, AROUND, AROUND + WIDTH, AROUND + HEIGHT]
        if bleed is not None:
            page.obj["/BleedBox"] = [AROUND - bleed, AROUND - bleed, AROUND + WIDTH + bleed, AROUND + HEIGHT + bleed]
        for key, value in entries.items():
            page.obj[f"/{key}"] = value
        finished = io.BytesIO()
        document.save(finished)
        return finished.getvalue()

    return make


@pytest.fixture
def shown(opened, one_place, planned, render):
    """The sheet around the card, one pixel a point, 20 points on each side of the trim; read back by the way."""

    def make(data, turn=Turn.NONE, side=Side.FRONT, **said):
        usual = {"trim": TRIM, "bleed": points_to_mm(Fraction(BLEED)), "sheet": "s", "safe": Fraction(1)}
        face, _ = prepare_face(opened(data, "pdf", side=side), CardSettings(name="c", **(usual | said)))
        at = points_to_mm(Fraction(60))
        sheet = Size(points_to_mm(Fraction(300)), points_to_mm(Fraction(300)))
        trim = said.get("trim", TRIM)
        layout = one_place(trim, sheet=sheet, x=at, y=at, turn=turn, bleed=points_to_mm(Fraction(BLEED)))
        plan = planned(layout, face)
        files = draw_sheets(plan)
        read_back(files, plan)
        wide, high = (HEIGHT, WIDTH) if turn.swaps_sides or trim != TRIM else (WIDTH, HEIGHT)
        return render(files[0].pdf, ppi=72)[300 - 60 - high - 20 : 300 - 60 + 20, 40 : 40 + wide + 40].astype(int)

    return make


def colours(pixels) -> dict[str, int]:
    """How many pixels are of each colour, mixed ones at edges aside."""
    names = {
        "white": (255, 255, 255),
        "red": (255, 0, 0),
        "green": (0, 153, 0),
        "blue": (0, 0, 255),
        "black": (0, 0, 0),
    }
    return {name: int((np.abs(pixels - colour).max(axis=2) <= 3).sum()) for name, colour in names.items()}


def test_trim_lies_on_trim_with_its_bleed_and_no_crop_mark_shows(shown, exported):
    found = colours(shown(exported()))
    assert found["blue"] == 0
    assert found["black"] == 20 * 20
    assert found["green"] == WIDTH * HEIGHT - 20 * 20
    assert found["red"] == (WIDTH + 18) * (HEIGHT + 18) - WIDTH * HEIGHT


def test_the_corner_lies_where_it_lay(shown, exported):
    page = shown(exported())
    assert page[-20 - 10, 20 + 10].max() == 0
    assert page[20 + 10, 20 + 10].tolist() == [0, 153, 0]


@pytest.mark.parametrize("turn", [Turn.LEFT, Turn.HALF])
def test_so_it_does_on_a_turned_card(shown, exported, turn):
    upright = np.rot90(shown(exported()), turn // 90)
    assert np.array_equal(shown(exported(), turn)[22:-22, 22:-22], upright[22:-22, 22:-22])


def test_without_a_bleed_box_the_cards_bleed_cuts(shown, exported):
    found = colours(shown(exported(bleed=None)))
    assert (found["blue"], found["red"]) == (0, (WIDTH + 18) * (HEIGHT + 18) - WIDTH * HEIGHT)


def test_marks_that_stand_within_the_cards_bleed_are_left_out_with_the_files_own(shown, exported):
    """The file has 4 points of bleed and marks 5 points from the trim; the card wants 9: the rest is made."""
    near = b" 0 0 1 RG 2 w %d %d m %d %d l S" % (2, AROUND + 60, AROUND - 5, AROUND + 60)
    found = colours(shown(exported(bleed=4, marks=near)))
    assert found["blue"] == 0
    assert found["white"] == (WIDTH + 40) * (HEIGHT + 40) - (WIDTH + 18) * (HEIGHT + 18)


def test_bleed_beyond_the_crop_box_is_drawn(shown, exported):
    """As from writers that crop the page to its trim."""
    cropped = exported(CropBox=[AROUND, AROUND, AROUND + WIDTH, AROUND + HEIGHT])
    assert colours(shown(cropped)) == colours(shown(exported()))


@pytest.mark.parametrize("way", ["left", "right"])
def test_a_back_on_its_side_is_turned_by_its_matrix(shown, exported, way):
    """Turned left, what was the top lies at the left: the lower left corner comes to the lower right."""
    trim = Size(TRIM.height, TRIM.width)
    page = shown(exported(), side=Side.BACK, trim=trim, back_quarter=way)
    down, right = np.argwhere(page.max(axis=2) == 0).mean(axis=0)
    assert (down > WIDTH / 2, right > HEIGHT / 2) == ((True, True) if way == "left" else (False, False))
