"""Annotations that are printed. Which are: ISO 32000-1 12.5.3, Table 165; how they look: ghostscript's printout."""

import shutil
import subprocess
from collections.abc import Callable

import numpy as np
import pypdfium2
import pytest
from pikepdf import Array, Dictionary, Name, String
from PIL import Image

from tests.art.pdf.annotated_page import HIDDEN, INVISIBLE, NO_VIEW, PRINT, RECT, Page
from watcher.art.pdf.printed import with_annotations_drawn

MIDDLE = (80, 120)
GHOSTSCRIPT = shutil.which("gs")


@pytest.fixture
def drawn(opened) -> Callable[[Page], np.ndarray]:
    """What of a page lands on the card, RGB, one pixel a point, its lower left first; drawn by pdfium."""

    def draw(page: Page) -> np.ndarray:
        pdf = opened(page.saved(), "pdf", shown="x.pdf").content.pdf
        with pypdfium2.PdfDocument(pdf) as document:
            bitmap = document[0].render(may_draw_forms=False, draw_annots=False, rev_byteorder=True)
            return np.array(bitmap.to_numpy()[::-1, :, :3])

    return draw


def at(pixels: np.ndarray, point: tuple[int, int] = MIDDLE) -> list[int]:
    return pixels[point[1], point[0]].tolist()


RED, GROUND = [255, 0, 0], [230, 230, 255]


@pytest.mark.parametrize(
    ("flags", "colour"),
    [
        (PRINT, RED),
        (PRINT | NO_VIEW, RED),  # NoView is about the screen
        (PRINT | INVISIBLE, RED),  # Invisible is about kinds of which the standard knows nothing
        (PRINT | HIDDEN, GROUND),
        (0, GROUND),
        (NO_VIEW, GROUND),
    ],
)
def test_the_flags_decide_what_is_printed(drawn, flags, colour):
    page = Page()
    page.add("Stamp", flags, AP=page.look())
    assert at(drawn(page)) == colour


@pytest.mark.parametrize(("flags", "colour"), [(PRINT | INVISIBLE, GROUND), (PRINT, RED)])
def test_an_unknown_kind_is_printed_unless_it_is_invisible(drawn, flags, colour):
    page = Page()
    page.add("Ornament", flags, AP=page.look())
    assert at(drawn(page)) == colour


def test_one_on_a_layer_that_is_off_is_not_printed(drawn):
    page = Page()
    layer = page.file.make_indirect(Dictionary(Type=Name.OCG, Name=String("notes")))
    page.file.Root.OCProperties = Dictionary(OCGs=Array([layer]), D=Dictionary(OFF=Array([layer])))
    page.add("Stamp", AP=page.look(), OC=layer)
    assert at(drawn(page)) == GROUND


def test_what_the_page_leaves_behind_does_not_move_it(drawn):
    """Contents may end within a scaled system of axes; an annotation lies in the page's own (12.5.5)."""
    page = Page(b"0.5 0 0 0.5 0 0 cm 0.9 0.9 1 rg 0 0 999 999 re f q 3 0 0 3 9 9 cm")
    page.add("Stamp", AP=page.look())
    pixels = drawn(page)
    assert at(pixels) == RED
    assert at(pixels, (30, 60)) == GROUND


def test_a_look_is_turned_by_its_matrix_and_fills_the_rectangle(drawn):
    """12.5.5: the box of the look, turned a quarter to the left, its lower left corner then at the lower right."""
    page = Page()
    corner = b"1 0 0 rg 0 0 40 40 re f 0 1 0 rg 0 0 10 10 re f"
    page.add("Stamp", AP=page.look(corner, Matrix=[0, 1, -1, 0, 40, 0]))
    pixels = drawn(page)
    assert at(pixels, (115, 103)) == [0, 255, 0]
    assert [at(pixels, (x, y)) for x, y in ((43, 103), (43, 137), (115, 137))] == [RED] * 3


def test_of_a_ticked_box_the_state_it_is_in_is_printed(drawn):
    page = Page()
    states = Dictionary(Yes=page.look().N, Off=page.look(b"0 0 1 rg 0 0 40 40 re f").N)
    page.field("Yes", kind="Btn", AS=Name.Yes, AP=Dictionary(N=states))
    assert at(drawn(page)) == RED


def test_what_must_not_turn_with_its_page_keeps_its_upper_left_corner(drawn):
    """Flag NoRotate, Table 165 and 12.5.3: on a page turned by 90 degrees the corner that was upper left stays."""
    page = Page()
    page.page.Rotate = 90
    page.add("Stamp", PRINT | 16, AP=page.look())
    pdf_axes = np.rot90(drawn(page)[::-1])[::-1]  # the page as it was before it was turned
    assert at(pdf_axes, (60, 160)) == RED
    assert at(pdf_axes, (60, 120)) == GROUND


WRITTEN = {
    "a field of a form that asks for looks": lambda page: page.field("Lena"),
    "several lines": lambda page: page.field("Lena and Jonas invite you", Ff=1 << 12),
    "a choice": lambda page: page.field("b", kind="Ch", Ff=1 << 17, Opt=Array([Array([String("b"), String("Fish")])])),
    "a text box": lambda page: page.add("FreeText", DA=String("/Helv 18 Tf 0 g"), Contents=String("Lena")),
    "a frame": lambda page: page.add("Square", C=Array([1, 0, 1]), IC=Array([0, 0, 1])),
}


@pytest.mark.parametrize("needs", [True, False])
@pytest.mark.parametrize("kind", WRITTEN)
def test_what_has_no_look_gets_the_one_of_a_printout(drawn, said, opened, small, kind, needs):
    page = Page(form=kind not in ("a text box", "a frame"))
    if "AcroForm" in page.file.Root:
        page.file.Root.AcroForm.NeedAppearances = needs
    WRITTEN[kind](page)
    inside = drawn(page)[RECT[1] : RECT[3], RECT[0] : RECT[2]]
    assert np.count_nonzero(np.abs(inside.astype(int) - GROUND).max(axis=2) > 100) > 40
    assert "printed-thing-missing" not in said(opened(page.saved(), "pdf"), small)


@pytest.mark.skipif(GHOSTSCRIPT is None, reason="ghostscript is not on this machine")
def test_pages_look_as_ghostscript_prints_them(drawn, tmp_path):
    page = Page()
    page.add("Stamp", AP=page.look(Matrix=[0, 1, -1, 0, 40, 0]), Rect=[10, 10, 60, 40])
    page.add("Stamp", HIDDEN | PRINT, AP=page.look(), Rect=[70, 10, 120, 40])
    page.add("Stamp", NO_VIEW | PRINT, AP=page.look(b"0 0.6 0 rg 5 5 30 30 re f"), Rect=[130, 10, 180, 40])
    page.add("Stamp", 0, AP=page.look(), Rect=[10, 60, 60, 90])
    page.add("Square", IC=Array([0, 0, 1]), C=Array([0, 0, 1]), Rect=[70, 60, 120, 90])
    (tmp_path / "x.pdf").write_bytes(page.saved())
    options = ["-q", "-dBATCH", "-dNOPAUSE", "-dSAFER", "-dPrinted", "-sDEVICE=png16m", "-r72"]
    subprocess.run([GHOSTSCRIPT, *options, "-o", tmp_path / "x.png", tmp_path / "x.pdf"], check=True)
    printout = np.asarray(Image.open(tmp_path / "x.png").convert("RGB"))[::-1].astype(int)
    ours = drawn(page)[: printout.shape[0], : printout.shape[1]].astype(int)
    far = np.abs(ours - printout[: ours.shape[0], : ours.shape[1]]).max(axis=2) > 60
    assert np.count_nonzero(far) < 350  # a line of pixels round each of the three


def test_a_look_that_is_out_of_date_is_made_anew_where_the_form_says_so(drawn):
    """NeedAppearances (12.7.2, Table 218): looks are to be made for all fields."""
    page = Page()
    page.file.Root.AcroForm.NeedAppearances = True
    page.field("Lena", AP=page.look())
    assert RED not in drawn(page).reshape(-1, 3).tolist()


def test_a_choice_has_no_button_on_paper(drawn):
    page = Page()
    WRITTEN["a choice"](page)
    right = drawn(page)[RECT[1] : RECT[3], RECT[2] - 20 : RECT[2]]
    assert (right == GROUND).all()


def test_the_words_stay_type(opened):
    page = Page()
    page.field("Lena")
    with pypdfium2.PdfDocument(opened(page.saved(), "pdf").content.pdf) as document:
        assert "Lena" in document[0].get_textpage().get_text_bounded()


def test_the_same_file_gives_the_same_bytes():
    page = Page()
    page.field("Lena")
    one = with_annotations_drawn(page.saved()).data
    with_annotations_drawn.cache_clear()
    assert with_annotations_drawn(page.saved()).data == one


def test_the_boxes_of_the_page_stay(opened):
    page = Page()
    page.page.CropBox, page.page.TrimBox = [10, 10, 170, 240], [14, 14, 166, 236]
    page.page.BleedBox = [5, 5, 175, 245]
    plain = opened(page.saved(), "pdf").content
    page.add("Stamp", AP=page.look())
    stamped = opened(page.saved(), "pdf").content
    assert (stamped.view, stamped.trim) == (plain.view, plain.trim)


def test_of_a_look_that_draws_without_end_nothing_is_drawn(refusal):
    page = Page()
    look = page.look(b"/Me Do /Me Do")
    look.N.Resources = Dictionary(XObject=Dictionary(Me=look.N))
    page.add("Stamp", AP=look)
    assert "without end" in refusal(page.saved(), "pdf")
