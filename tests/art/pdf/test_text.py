"""Text of PDF art near the cut: the truth is known, for the letters are set here at measured places.

The box of a letter is that of its outline: the H of Helvetica stands on the baseline, is 0.718 of the type size high
and has 0.077 of it before its stem (Adobe's font metrics for Helvetica: `C 72 ; WX 722 ; N H ; B 77 0 646 718`).
"""

import io
import re
from fractions import Fraction

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from tests.ready import prepare_faces
from watcher.art.decode import open_art
from watcher.settings.card import CardSettings
from watcher.terms import Side, Turn

MM = 72 / 25.4
CARD = CardSettings(name="c", trim="85 x 55 mm", bleed="3 mm", safe="3 mm", sheet="s", warn_ppi=60, hold_ppi=40)
SIZE = 7  # points
BEARING, CAP = 0.077 * SIZE, 0.718 * SIZE


def photo(width=350, height=235):
    small = np.random.default_rng(3).random((30, 45, 3)) * 255
    return Image.fromarray(small.astype(np.uint8)).resize((width, height), Image.Resampling.BICUBIC)


def page(write, *, bleed=3.0, ground=None, around=0.0, rotate=0, boxes=None):
    """A page of 85 x 55 mm and its bleed, `around` mm larger each side; `write` draws, origin at the trim's corner."""
    saved, off = io.BytesIO(), bleed + around
    canvas = Canvas(saved, pagesize=((85 + 2 * off) * MM, (55 + 2 * off) * MM), invariant=1)
    canvas.translate(off * MM, off * MM)
    if ground is not None:
        canvas.drawImage(ImageReader(ground), -off * MM, -off * MM, (85 + 2 * off) * MM, (55 + 2 * off) * MM)
    canvas.setFont("Helvetica", SIZE)
    write(canvas)
    canvas.save()
    with pikepdf.open(saved) as document:
        (only,) = document.pages
        if rotate:
            only.rotate(rotate, relative=False)
        if around:
            whole = [float(edge) for edge in only.mediabox]
            grown = [around * MM, around * MM, whole[2] - around * MM, whole[3] - around * MM]
            only.BleedBox = pikepdf.Array(grown)
            only.TrimBox = pikepdf.Array([off * MM, off * MM, whole[2] - off * MM, whole[3] - off * MM])
        finished = io.BytesIO()
        document.save(finished)
    return finished.getvalue()


def said(data, card=CARD):
    art = open_art(Side.FRONT, "front.pdf", "0" * 64, data, "pdf", 0)
    _, findings = prepare_faces([art], card)
    return {one.code: one.message for one in findings if one.code in ("safe-zone", "across-the-cut")}


def h_at_left(mm, text="HHH", **said_of_it):
    """Words whose first stem begins so many mm inside the left edge."""

    def write(canvas):
        for name, value in said_of_it.items():
            getattr(canvas, name)(*value)
        canvas.drawString(mm * MM - BEARING, 25 * MM, text)

    return write


GROUNDS = {"nothing": None, "a photo": photo(), "one colour": Image.new("RGB", (60, 40), (200, 220, 190))}


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("bleed", [3.0, 0.0])
def test_text_near_the_cut_is_told_with_its_figure_whatever_lies_behind_it(ground, bleed):
    found = said(page(h_at_left(1.5), bleed=bleed, ground=GROUNDS[ground]))
    assert "about 1.5 mm at the left; 3 mm are wanted" in found["safe-zone"]
    assert list(found) == ["safe-zone"]


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("inside", [3.0, 3.2, 9.0])
def test_text_wholly_inside_is_not_told_of(ground, inside):
    assert not said(page(h_at_left(inside), ground=GROUNDS[ground]))


@pytest.mark.parametrize(("rotate", "edge"), [(90, "top"), (180, "right"), (270, "bottom")])
def test_a_turned_page_names_the_edge_as_it_is_read(rotate, edge):
    card = CARD if rotate == 180 else CARD.model_copy(update={"trim": CARD.trim.turned(Turn.LEFT)})
    found = said(page(h_at_left(1.5), ground=GROUNDS["a photo"], rotate=rotate), card)
    assert f"about 1.5 mm at the {edge};" in found["safe-zone"]


def test_a_page_larger_than_its_bleed_is_measured_from_its_trim():
    found = said(page(h_at_left(1.5), ground=GROUNDS["a photo"], around=8))
    assert "about 1.5 mm at the left;" in found["safe-zone"]


def test_text_within_a_form_is_measured_where_the_form_lies():
    def write(canvas):
        canvas.beginForm("words")
        canvas.setFont("Helvetica", SIZE)
        canvas.drawString(-BEARING, 0, "HHH")
        canvas.endForm()
        canvas.saveState()
        canvas.translate(20 * MM, 2 * MM)
        canvas.scale(2, 2)
        canvas.doForm("words")
        canvas.restoreState()

    assert "about 2 mm at the bottom;" in said(page(write, ground=GROUNDS["a photo"]))["safe-zone"]


def test_text_at_the_top_is_measured_to_the_top_of_its_letters():
    found = said(page(lambda canvas: canvas.drawString(30 * MM, 53 * MM - CAP, "HHH"), ground=GROUNDS["a photo"]))
    assert "about 2 mm at the top;" in found["safe-zone"]


def test_text_across_the_cut_is_told_of():
    assert "across the cut at the left" in said(page(h_at_left(-1), ground=GROUNDS["a photo"]))["across-the-cut"]


def test_text_that_runs_out_over_the_edge_is_meant():
    assert not said(page(h_at_left(-4, "HHHHHHHHH"), ground=GROUNDS["a photo"]))


def _hidden(canvas):
    text = canvas.beginText(1 * MM, 20 * MM)
    text.setTextRenderMode(3)
    text.textOut("scanned words")
    canvas.drawText(text)


def _covered(canvas):
    canvas.drawString(1 * MM, 20 * MM, "covered")
    canvas.drawImage(ImageReader(GROUNDS["a photo"]), -3 * MM, -3 * MM, 91 * MM, 61 * MM)


def _clear(canvas):
    canvas.setFillAlpha(0)
    canvas.drawString(1 * MM, 20 * MM, "HHH")


def _white(canvas):
    canvas.setFillColorRGB(1, 1, 1)
    canvas.drawString(1 * MM, 20 * MM, "HHH")


UNSEEN = {
    "invisible": _hidden,
    "under a picture": _covered,
    "see-through": _clear,
    "white on white": _white,
    "spaces": lambda canvas: canvas.drawString(0.2 * MM, 20 * MM, "      HHH".replace("H", " ") + 12 * " " + "HHH"),
    "in the bleed": lambda canvas: canvas.drawString(20 * MM, -2.9 * MM, "slug"),
}


@pytest.mark.parametrize("what", UNSEEN)
def test_text_that_nobody_sees_on_the_card_is_not_told_of(what):
    assert not said(page(UNSEEN[what]))


def test_white_text_on_a_dark_ground_is_seen():
    def write(canvas):
        canvas.setFillColorRGB(1, 1, 1)
        canvas.drawString(1.5 * MM - BEARING, 20 * MM, "HHH")

    found = said(page(write, ground=Image.new("RGB", (60, 40), (30, 30, 60))))
    assert "about 1.5 mm at the left;" in found["safe-zone"]


def test_the_figure_is_that_of_the_same_card_as_a_picture():
    """Rendered by pdfium at 300 ppi, on a plain ground, where the check of pictures sees the letters too."""
    data = page(h_at_left(1.5), ground=GROUNDS["one colour"])
    with pypdfium2.PdfDocument(data) as document:
        picture = document[0].render(scale=300 / 72).to_pil().convert("RGB")
    saved = io.BytesIO()
    picture.save(saved, "PNG")
    art = open_art(Side.FRONT, "front.pdf", "0" * 64, saved.getvalue(), "png")
    _, findings = prepare_faces([art], CARD)
    of_picture = next(one.message for one in findings if one.code == "safe-zone")
    figures = [
        float(re.search(r"about ([\d.]+) mm at the left;", one)[1]) for one in (of_picture, said(data)["safe-zone"])
    ]
    assert figures[1] == 1.5
    assert abs(figures[0] - figures[1]) <= 0.11  # a pixel of the picture's own smoothing


def test_what_is_no_text_is_found_on_the_picture_still():
    def write(canvas):
        canvas.rect(1.5 * MM, 20 * MM, 8 * MM, 6 * MM, stroke=0, fill=1)
        canvas.drawString(40 * MM, 53 * MM - CAP, "HHH")

    found = said(page(write))["safe-zone"]
    assert "2 mm at the top" in found
    assert "1.5 mm at the left" in found or "1.4 mm at the left" in found


def test_letters_that_run_out_on_all_sides_are_a_pattern():
    def write(canvas):
        for row in range(-4, 64, 4):
            canvas.drawString(-5 * MM, row * MM, "HOHOHO " * 40)

    assert not said(page(write, ground=GROUNDS["one colour"]))


def test_the_safe_zone_of_the_card_decides():
    tight = CARD.model_copy(update={"safe": Fraction(1)})
    assert not said(page(h_at_left(1.5), ground=GROUNDS["a photo"]), tight)
