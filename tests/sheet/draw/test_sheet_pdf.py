import io
from dataclasses import replace
from fractions import Fraction

import pikepdf
import pytest

from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import Face, Mark
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.plan import SheetName
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Copies, Duplex, Flip, Side, Turn

A4 = Size(Fraction(210), Fraction(297))
CARD = Size(Fraction(85), Fraction(55))


@pytest.fixture
def drawn(laid_out, planned, face_of, colours):
    """The files of a two-sided job of 85 x 55 mm cards on A4, or of what is said otherwise; read back as well."""

    def make(sheet=A4, flip=Flip.LONG_EDGE, two_sided=True, same_art=False, marks=True, **said):
        layout = laid_out(sheet, CARD, flip=flip if two_sided else None, two_sided=two_sided)
        front = face_of(colours(85, 55), CARD, bleed=Fraction(3))
        back = face_of(colours(85, 55, 0 if same_art else 1), CARD, bleed=Fraction(3), side=Side.BACK)
        plan = planned(layout, front, back if two_sided else None, marks=marks, **said)
        files = draw_sheets(plan)
        read_back(files, plan)
        return files

    return make


def hints(document) -> dict[str, str | int]:
    found = document.Root.ViewerPreferences
    return {key[1:]: str(value)[1:] if isinstance(value, pikepdf.Name) else value for key, value in found.items()}


@pytest.mark.parametrize(
    ("flip", "word"), [(Flip.LONG_EDGE, "DuplexFlipLongEdge"), (Flip.SHORT_EDGE, "DuplexFlipShortEdge")]
)
def test_a_duplex_file_has_front_and_back_and_asks_for_its_flip(drawn, pdf, flip, word):
    """ISO 32000-1 Table 150."""
    (file,) = drawn(flip=flip)
    document = pdf(file.pdf)
    assert (file.suffix, file.sides, len(document.pages)) == ("sheets", (Side.FRONT, Side.BACK), 2)
    assert hints(document) == {"PrintScaling": "None", "Duplex": word, "PickTrayByPDFSize": True}


def test_a_one_sided_file_has_one_page_and_is_simplex(drawn, pdf):
    (file,) = drawn(two_sided=False)
    assert (file.suffix, len(pdf(file.pdf).pages)) == (SheetName.SHEETS, 1)
    assert hints(pdf(file.pdf))["Duplex"] == "Simplex"


def test_turning_by_hand_makes_two_simplex_files(drawn, pdf):
    files = drawn(duplex=Duplex.MANUAL)
    assert [(file.suffix, file.sides) for file in files] == [("1-fronts", (Side.FRONT,)), ("2-backs", (Side.BACK,))]
    assert [(len(pdf(file.pdf).pages), hints(pdf(file.pdf))["Duplex"]) for file in files] == [(1, "Simplex")] * 2


@pytest.mark.parametrize(("sheets", "said"), [(1, None), (2, 2), (5, 5), (6, None), (26, None)])
def test_copies_are_asked_for_only_where_the_standard_allows_the_number(drawn, pdf, sheets, said):
    """NumCopies: 2 to 5, other values are ignored (ISO 32000-1 Table 150)."""
    (file,) = drawn(sheets=sheets)
    assert hints(pdf(file.pdf)).get("NumCopies") == said


def test_repeated_pages_alternate_and_share_everything(drawn, pdf):
    (file,) = drawn(sheets=4, copies=Copies.PAGES)
    document = pdf(file.pdf)
    contents = [page.obj["/Contents"].objgen for page in document.pages]
    assert len(contents) == 8
    assert contents == contents[:2] * 4
    assert "NumCopies" not in hints(document)
    assert len({page.obj["/Resources"].objgen for page in document.pages}) == 2
    (once,) = drawn(sheets=4)
    assert len(file.pdf) < len(once.pdf) + 6 * 400


def test_repeated_pages_of_two_files_stay_apart(drawn, pdf):
    files = drawn(sheets=3, copies=Copies.PAGES, duplex=Duplex.MANUAL)
    assert [len(pdf(file.pdf).pages) for file in files] == [3, 3]


def test_each_art_is_stored_once_however_many_cards(drawn, pdf):
    (file,) = drawn()
    images = [found for found in pdf(file.pdf).objects if isinstance(found, pikepdf.Stream) and "/Width" in found]
    assert len(images) == 2
    for page in pdf(file.pdf).pages:
        assert sum(str(op.operator) == "Do" for op in pikepdf.parse_content_stream(page)) == 9


def test_the_same_art_on_both_sides_is_stored_once(drawn, pdf):
    (file,) = drawn(same_art=True)
    images = [found for found in pdf(file.pdf).objects if isinstance(found, pikepdf.Stream) and "/Width" in found]
    assert len(images) == 1


def test_the_file_is_sound_and_says_nothing_of_when(drawn, pdf):
    """Checked by qpdf. PDF 1.6 is the newest that PDF/X-4 allows (prepressure.com/pdf/basics/pdfx-4)."""
    (file,) = drawn()
    document = pdf(file.pdf)
    assert document.check_pdf_syntax() == []
    assert file.pdf.startswith(b"%PDF-1.6")
    assert dict(document.docinfo) == {"/Producer": "print-folder-watcher"}
    assert document.trailer.ID[0] == document.trailer.ID[1]


@pytest.mark.parametrize("flip", list(Flip))
@pytest.mark.parametrize("sheet", [A4, Size(A4.height, A4.width)], ids=["portrait", "landscape"])
def test_every_box_is_the_paper(drawn, pdf, sheet, flip):
    """Print software takes the TrimBox for the page (test_print_path); an inch is 25.4 mm and 72 points."""
    (file,) = drawn(sheet=sheet, flip=flip)
    paper = [0, 0, float(sheet.width) / 25.4 * 72, float(sheet.height) / 25.4 * 72]
    for page in pdf(file.pdf).pages:
        for name in ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox"):
            assert [float(value) for value in page.obj[name]] == pytest.approx(paper, abs=1e-5)
        assert "/ArtBox" not in page.obj
        assert page.obj.get("/Rotate", 0) == 0


@pytest.fixture
def off_centre(one_place, planned, face_of, colours):
    """A two-sided sheet of 100 x 140 mm, by hand: one card of 40 x 30 mm at (10, 20), one mark, turned on an edge."""

    def make(flip):
        trim, bleed = Size(Fraction(40), Fraction(30)), Fraction(2)
        corner = (50, 20) if flip is Flip.LONG_EDGE else (10, 90)  # 100 - 10 - 40, or 140 - 20 - 30
        box = Box.at(Fraction(corner[0]), Fraction(corner[1]), trim)
        back = Face(trim=box, bleed_box=box.grown(bleed), turn=Turn.NONE if flip is Flip.LONG_EDGE else Turn.HALF)
        layout = one_place(trim, x=10, y=20, bleed=bleed, flip=flip, back=back)
        face = face_of(colours(), trim, bleed=bleed)
        mark = Mark(start=Point(Fraction(1), Fraction(20)), end=Point(Fraction(6), Fraction(20)))
        return replace(planned(layout, face, face), marks=(mark,))

    return make


def in_mm(values) -> list[float]:
    return [float(value) / 72 * 25.4 for value in values]


@pytest.mark.parametrize(
    ("flip", "start", "end"), [(Flip.LONG_EDGE, [99, 20], [94, 20]), (Flip.SHORT_EDGE, [1, 120], [6, 120])]
)
def test_the_marks_of_the_back_are_those_of_the_front_seen_through_the_sheet(off_centre, pdf, flip, start, end):
    (file,) = draw_sheets(off_centre(flip))
    strokes = {
        str(op.operator): in_mm(op.operands)
        for op in pikepdf.parse_content_stream(pdf(file.pdf).pages[1])
        if str(op.operator) in ("m", "l")
    }
    assert strokes["m"] == pytest.approx(start)
    assert strokes["l"] == pytest.approx(end)


def test_marks_are_black_paths_a_quarter_of_a_point_wide_on_a_wider_white_one(drawn, pdf):
    """The white keeps a tick that lies on dark bleed visible."""
    (file,) = drawn()
    for page in pdf(file.pdf).pages:
        operators = [(str(op.operator), list(op.operands)) for op in pikepdf.parse_content_stream(page)]
        pens = [(name, float(values[0])) for name, values in operators if name in ("G", "w")]
        assert pens == [("G", 1.0), ("w", 0.75), ("G", 0.0), ("w", 0.25)]
        assert sum(name == "l" for name, _ in operators) >= 8


def test_a_sheet_without_marks_draws_none(drawn, pdf):
    (file,) = drawn(marks=False)
    operators = {str(op.operator) for op in pikepdf.parse_content_stream(pdf(file.pdf).pages[0])}
    assert operators == {"q", "re", "W", "n", "cm", "Do", "Q"}


def test_the_file_can_be_opened_by_qpdf_without_recovery(drawn):
    (file,) = drawn()
    with pikepdf.open(io.BytesIO(file.pdf), attempt_recovery=False) as document:
        assert len(document.pages) == 2
