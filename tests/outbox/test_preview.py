from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from watcher.outbox.preview import LONGEST_PX, render_preview
from watcher.terms import Side

LETTER = (612.0, 792.0)
RED, BLUE = (255, 0, 0), (0, 0, 255)
BOTH = (Side.FRONT, Side.BACK)


def sheet_pdf(*colours: tuple[int, int, int], size: tuple[float, float] = LETTER) -> bytes:
    """A page for each colour, with a block of it in the upper left quarter."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=size, invariant=1)
    for colour in colours:
        canvas.setFillColorRGB(*(band / 255 for band in colour))
        canvas.rect(0, size[1] / 2, size[0] / 2, size[1] / 2, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def pixels(png: bytes) -> np.ndarray:
    with Image.open(BytesIO(png)) as picture:
        assert picture.mode == "RGB"
        return np.asarray(picture)


def middle_of(picture: np.ndarray, colour: tuple[int, int, int]) -> tuple[float, float, int]:
    """Column and row of the middle of everything in that colour, and how many pixels."""
    rows, columns = np.nonzero((picture == colour).all(axis=-1))
    return float(columns.mean()), float(rows.mean()), len(rows)


def test_front_is_left_and_back_is_right() -> None:
    picture = pixels(render_preview([sheet_pdf(RED, BLUE)], [BOTH]))
    red, blue = middle_of(picture, RED), middle_of(picture, BLUE)
    assert red[0] < picture.shape[1] / 2 < blue[0]
    assert red[1] == pytest.approx(blue[1], abs=0.5)


def test_a_page_keeps_its_scale_and_is_not_mirrored() -> None:
    """72 ppi: a point is a pixel (1 pt = 1/72 in), so the block is 306 x 396 pixels, in the upper left."""
    picture = pixels(render_preview([sheet_pdf(RED)], [(Side.FRONT,)]))
    rows, columns = np.nonzero((picture == RED).all(axis=-1))
    assert (np.ptp(columns) + 1, np.ptp(rows) + 1) == pytest.approx((306, 396), abs=1)
    assert columns.mean() < picture.shape[1] / 2
    assert rows.mean() < picture.shape[0] / 2


def test_two_files_are_shown_as_front_and_back() -> None:
    """Manual duplex: fronts and backs in two files, whatever their order."""
    fronts, backs = sheet_pdf(RED), sheet_pdf(BLUE)
    assert render_preview([fronts, backs], [(Side.FRONT,), (Side.BACK,)]) == render_preview(
        [backs, fronts], [(Side.BACK,), (Side.FRONT,)]
    )
    assert render_preview([fronts, backs], [(Side.FRONT,), (Side.BACK,)]) == render_preview(
        [sheet_pdf(RED, BLUE)], [BOTH]
    )


def test_repeated_pages_are_shown_once() -> None:
    once = render_preview([sheet_pdf(RED, BLUE)], [BOTH])
    assert render_preview([sheet_pdf(RED, BLUE, RED, BLUE)], [BOTH * 2]) == once


def test_one_sided_shows_one_page() -> None:
    one = pixels(render_preview([sheet_pdf(RED)], [(Side.FRONT,)]))
    two = pixels(render_preview([sheet_pdf(RED, BLUE)], [BOTH]))
    assert one.shape[0] == two.shape[0]
    assert 600 < one.shape[1] < two.shape[1] / 1.8


def test_a_large_sheet_is_shown_at_a_bounded_size() -> None:
    """4 m long: 11,339 pixels at 72 ppi."""
    picture = pixels(render_preview([sheet_pdf(RED, size=(900.0, 11339.0))], [(Side.FRONT,)]))
    assert LONGEST_PX < picture.shape[0] < 1.2 * LONGEST_PX


def test_each_page_has_a_border_on_white() -> None:
    picture = pixels(render_preview([sheet_pdf(RED, BLUE)], [BOTH]))
    assert (picture[[0, -1]] == 255).all()
    assert (picture[:, [0, -1]] == 255).all()
    last_row = picture[-picture.shape[0] // 20 :]
    assert ((last_row < 200).all(axis=-1).sum(axis=1) >= 2 * 612).any()


def test_the_same_sheets_give_the_same_bytes() -> None:
    assert render_preview([sheet_pdf(RED, BLUE)], [BOTH]) == render_preview([sheet_pdf(RED, BLUE)], [BOTH])


def test_no_page_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="no page"):
        render_preview([], [])
