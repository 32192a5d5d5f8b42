import io
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image

from watcher.layout.geometry import Size
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Turn
from watcher.units import points_to_mm

WIDTH, HEIGHT = 60, 84
TRIM = Size(points_to_mm(Fraction(WIDTH)), points_to_mm(Fraction(HEIGHT)))
SHEET = Size(points_to_mm(Fraction(200)), points_to_mm(Fraction(300)))
AT = points_to_mm(Fraction(20))  # mm from the left and from below


@pytest.fixture
def shown(one_place, planned, face_of, render):
    """A card on the sheet, read back, as pixels at 72 ppi: one pixel a point."""

    def make(art, trim=TRIM, turn=Turn.NONE, ppi=72):
        plan = planned(one_place(trim, sheet=SHEET, x=AT, y=AT, turn=turn), face_of(art, trim))
        files = draw_sheets(plan)
        read_back(files, plan)
        page = render(files[0].pdf, ppi=ppi)
        size = trim.turned(turn)
        width, height = (round(float(side) / 25.4 * ppi) for side in (size.width, size.height))
        edge = 20 * ppi // 72
        return page[page.shape[0] - edge - height : page.shape[0] - edge, edge : edge + width].astype(int)

    return make


def differs(found, wanted) -> int:
    """The largest difference, a border of one pixel aside."""
    return int(np.abs(found[1:-1, 1:-1] - wanted.astype(int)[1:-1, 1:-1]).max())


@pytest.mark.parametrize("turn", list(Turn))
def test_pixels_lie_upright_at_every_turn_of_the_card(shown, colours, turn):
    assert differs(shown(colours(WIDTH, HEIGHT), turn=turn), np.rot90(colours(WIDTH, HEIGHT), turn // 90)) <= 1


@pytest.mark.parametrize("value", range(1, 9))
def test_every_exif_orientation_shows_upright(shown, colours, saved, opened, value):
    """The stored pixels are worked out backwards from the upright picture (EXIF 2.3 tag 274), as PNG to stay exact."""
    upright = colours(WIDTH, HEIGHT)
    turns = {1: 0, 2: 0, 3: 2, 4: 2, 5: 1, 6: -1, 7: -1, 8: 1}[value]
    stored = np.rot90(upright, -turns)
    stored = np.fliplr(stored) if value in (2, 4, 5, 7) else stored
    exif = Image.Exif()
    exif[0x0112] = value
    assert differs(shown(opened(saved(np.ascontiguousarray(stored), exif=exif))), upright) <= 1


@pytest.fixture
def page_art(opened):
    """Art from a PDF: a page of 60 x 84 points as read, with a red corner at its upper left and a blue edge below.

    It is turned by /Rotate and lies off the origin inside a larger media box.
    """

    def make(rotate, unit=1, offset=(0, 0)):
        from_left, from_below = offset
        width, height = WIDTH / unit, HEIGHT / unit
        across = rotate % 180 != 0
        view = (height, width) if across else (width, height)
        pdf = pikepdf.new()
        page = pdf.add_blank_page(page_size=(view[0] + 2 * from_left, view[1] + 2 * from_below))
        box = [from_left, from_below, from_left + view[0], from_below + view[1]]
        # From the page as it is read (origin lower left, y up) back to its unturned axes.
        back = {
            0: [1, 0, 0, 1, box[0], box[1]],
            90: [0, 1, -1, 0, box[2], box[1]],
            180: [-1, 0, 0, -1, box[2], box[3]],
            270: [0, -1, 1, 0, box[0], box[3]],
        }[rotate]
        drawing = (
            f"0.8 g {' '.join(map(str, back))} cm 0 0 {width} {height} re f "
            f"1 0 0 rg 0 {height * 3 / 4} {width / 3} {height / 4} re f "
            f"0 0 1 rg 0 0 {width} {height / 12} re f"
        )
        outside = "0 1 0 rg -500 -500 2000 2000 re f q "
        page.Contents = pdf.make_stream((outside + drawing + " Q").encode())
        page.CropBox = box
        page.Rotate = rotate
        if unit != 1:
            page.UserUnit = unit
        finished = io.BytesIO()
        pdf.save(finished)
        return opened(finished.getvalue(), "pdf")

    return make


@pytest.fixture
def as_read() -> np.ndarray:
    """How that page looks when it is read, one pixel a point."""
    image = np.full((HEIGHT, WIDTH, 3), 204)
    image[: HEIGHT // 4, : WIDTH // 3] = (255, 0, 0)
    image[HEIGHT - HEIGHT // 12 :] = (0, 0, 255)
    return image


@pytest.mark.parametrize("offset", [(0, 0), (31, 17)])
@pytest.mark.parametrize("rotate", [0, 90, 180, 270])
def test_a_page_shows_its_crop_box_upright_and_whole(shown, page_art, as_read, rotate, offset):
    assert differs(shown(page_art(rotate, offset=offset)), as_read) <= 1


def test_a_page_in_another_unit_has_the_same_size(shown, page_art, as_read):
    assert differs(shown(page_art(90, unit=2, offset=(5, 5))), as_read) <= 1


@pytest.mark.parametrize("turn", list(Turn))
def test_a_page_turns_with_its_card(shown, page_art, as_read, turn):
    assert differs(shown(page_art(0), turn=turn), np.rot90(as_read, turn // 90)) <= 1


def test_a_page_is_scaled_as_a_whole(shown, page_art, as_read):
    doubled = Size(2 * TRIM.width, 2 * TRIM.height)
    assert differs(shown(page_art(0), trim=doubled), as_read.repeat(2, 0).repeat(2, 1)) <= 1


def test_a_page_stays_vector(shown, page_art):
    """At 600 ppi its edges are as sharp as at 72: no more than one row of mixed colour."""
    column = shown(page_art(0), ppi=600)[:, 10]
    mixed = [pixel for pixel in column.tolist() if pixel not in ([255, 0, 0], [204] * 3, [0, 0, 255])]
    assert len(mixed) <= 2 + 2


def test_the_trim_is_placed_to_a_thousandth_of_a_millimetre(one_place, planned, face_of, colours):
    """The numbers in the file, multiplied out: 85 x 55 mm at (19.05, 9.525) mm, as thirds of points never are."""
    trim = Size(Fraction(85), Fraction(55))
    layout = one_place(trim, sheet=Size(Fraction(210), Fraction(297)), x=Fraction("19.05"), y=Fraction("9.525"))
    (file,) = draw_sheets(planned(layout, face_of(colours(), trim)))
    with pikepdf.open(io.BytesIO(file.pdf)) as document:
        operators = pikepdf.parse_content_stream(document.pages[0])
        (placed,) = [[float(number) for number in op.operands] for op in operators if str(op.operator) == "cm"]
        card = next(iter(document.pages[0].Resources.XObject.values()))
        (inside,) = [
            [float(number) for number in op.operands]
            for op in pikepdf.parse_content_stream(card)
            if str(op.operator) == "cm"
        ]
    assert placed[:4] == [1, 0, 0, 1]
    assert np.allclose(np.array(placed[4:]) / 72 * 25.4, [19.05, 9.525], atol=1e-6)
    assert np.allclose(np.array(inside) / 72 * 25.4, [85, 0, 0, 55, 0, 0], atol=1e-6)
