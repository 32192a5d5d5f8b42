"""Annotations that are printed. Which are: ISO 32000-1 12.5.3, Table 165; how they look: ghostscript's printout."""

import io
import shutil
import subprocess
from collections.abc import Callable

import numpy as np
import pikepdf
import pypdfium2
import pytest
from pikepdf import Array, Dictionary, Name, String
from PIL import Image

from watcher.art.pdf.printed import with_annotations_drawn
from watcher.terms import Level

WIDTH, HEIGHT = 187.09, 255.12
RECT = (40, 100, 120, 140)
MIDDLE = (80, 120)
GHOSTSCRIPT = shutil.which("gs")
PRINT, HIDDEN, INVISIBLE, NO_VIEW = 4, 2, 1, 32


class Page:
    """A page of 66 x 90 mm, pale blue, to put annotations on."""

    def __init__(self, contents: bytes = b"0.9 0.9 1 rg -999 -999 9999 9999 re f", *, form: bool = True) -> None:
        self.file = pikepdf.new()
        self.page = self.file.add_blank_page(page_size=(WIDTH, HEIGHT))
        self.page.Contents = self.file.make_stream(contents)
        self.page.Annots = Array([])
        if form:
            helv = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
            fonts = Dictionary(Font=Dictionary(Helv=helv))
            self.file.Root.AcroForm = Dictionary(Fields=Array([]), DR=fonts, DA=String("/Helv 12 Tf 0 g"))

    def add(self, kind: str, flags: int = PRINT, **said: object) -> Dictionary:
        said = {"Subtype": Name(f"/{kind}"), "Rect": list(RECT), "F": flags} | said
        annotation = self.file.make_indirect(Dictionary(Type=Name.Annot, **said))
        self.page.Annots.append(annotation)
        return annotation

    def field(self, value: str, flags: int = PRINT, kind: str = "Tx", **said: object) -> Dictionary:
        look = {"FT": Name(f"/{kind}"), "T": String("name"), "V": String(value), "DA": String("/Helv 18 Tf 0 g")}
        field = self.add("Widget", flags, **look, **said)
        self.file.Root.AcroForm.Fields.append(field)
        return field

    def look(self, contents: bytes = b"1 0 0 rg 0 0 40 40 re f", **said: object) -> Dictionary:
        stream = self.file.make_stream(contents, Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 40, 40], **said)
        return Dictionary(N=stream)

    def saved(self) -> bytes:
        finished = io.BytesIO()
        self.file.save(finished, deterministic_id=True)
        return finished.getvalue()


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


# -- what is said ------------------------------------------------------------------------------------------------------


def test_drawn_comments_are_warned_of_and_drawn_fields_noted(opened, said, small):
    page = Page()
    page.add("Stamp", AP=page.look())
    page.field("Lena")
    found = said(opened(page.saved(), "pdf", shown="x.pdf"), small)
    assert found["comments-printed"].level is Level.WARN
    assert "x.pdf has 1 stamp or other comment" in found["comments-printed"].message
    assert found["fields-printed"].level is Level.NOTE
    assert "1 form field to be printed" in found["fields-printed"].message


@pytest.mark.parametrize("kind", ["Line", "Polygon", "Link", "Stamp"])
def test_what_is_printed_but_looks_like_nobody_knows_what_is_held(opened, said, small, kind):
    """A link has a frame of one point where nothing is said of it (Table 173)."""
    page = Page()
    page.add(kind)
    finding = said(opened(page.saved(), "pdf"), small)["printed-thing-missing"]
    assert finding.level is Level.HOLD
    assert f"1 thing on its page to be printed ({kind})" in finding.message


@pytest.mark.parametrize(("words", "letters"), [("Lena 你好", "你好"), ("Zoë 😀", "😀"), ("Привет", "Привет")])
def test_letters_that_the_typeface_of_a_form_lacks_are_held(opened, said, small, words, letters):
    """Pdfium leaves those out that no typeface on the machine has, and says nothing (seen with it)."""
    page = Page()
    page.field(words)
    finding = said(opened(page.saved(), "pdf"), small)["letters-missing"]
    assert finding.level is Level.HOLD
    assert f"({letters})" in finding.message


@pytest.mark.parametrize("words", ["Zoë & Müller – 20 €", "Smörgås, “très” bon…"])
def test_letters_of_western_languages_are_no_news(opened, said, small, words):
    page = Page()
    page.field(words)
    page.field("你好", AP=page.look())  # has a look of its own
    assert "letters-missing" not in said(opened(page.saved(), "pdf"), small)


@pytest.mark.parametrize("frame", [{"Border": Array([0, 0, 0])}, {"BS": Dictionary(W=0)}])
def test_a_link_without_a_frame_is_no_news(opened, said, small, frame):
    page = Page()
    page.add("Link", **frame)
    assert said(opened(page.saved(), "pdf"), small).keys() == {"one-colour-side"}


def test_a_field_without_a_word_in_it_is_no_news(opened, said, small):
    page = Page()
    page.field("")
    page.field("Off", kind="Btn", AS=Name.Off, AP=Dictionary(N=Dictionary(Yes=page.look().N)))
    assert said(opened(page.saved(), "pdf"), small).keys() == {"one-colour-side"}


def test_a_note_for_readers_that_would_be_printed_is_held(opened, said, small):
    page = Page()
    page.add("Text", Contents=String("larger, please"))
    assert said(opened(page.saved(), "pdf"), small)["remarks-printed"].level is Level.HOLD


def test_what_a_viewer_shows_but_is_not_printed_is_told(opened, said, small):
    page = Page()
    page.add("Stamp", 0, AP=page.look())
    page.field("Lena", 0)
    page.add("Stamp", HIDDEN, AP=page.look())
    page.add("Link", 0)
    finding = said(opened(page.saved(), "pdf"), small)["notes-left-out"]
    assert finding.level is Level.WARN
    assert "has 2 comments or form fields" in finding.message
