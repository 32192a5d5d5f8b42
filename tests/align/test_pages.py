"""The test sheets as PDF: measured on what pdfium draws, and read by pikepdf."""

import io
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache

import numpy as np
import pikepdf
import pypdfium2
import pytest

from watcher.align.pages import sheet_files
from watcher.align.register.target import place_target
from watcher.align.register.target_sheet import target_pages
from watcher.align.turn.sheet import turn_pages
from watcher.layout.geometry import Point
from watcher.layout.register.alignment import Correction
from watcher.settings.model import Settings

PPI = 600
PX_PER_MM = PPI / 25.4
ENDS = {"letter": ["_1-fronts.pdf", "_2-backs.pdf"], "sra3": [".pdf"]}


@pytest.fixture
def make_files(settings: Settings) -> Callable[..., dict[str, bytes]]:
    """Write the files of a sheet."""

    def make(sheet_name: str, what: str = "target", **more: object) -> dict[str, bytes]:
        sheet = settings.sheets[sheet_name]
        printer = settings.printer_for(sheet)
        pages = target_pages if what == "target" else turn_pages
        return sheet_files(pages(place_target(sheet, printer), printer, sheet, **more))

    return make


@pytest.fixture(scope="module")
def kept_files() -> dict[str, dict[str, bytes]]:
    """Filled by the tests: files that are the same for all of them."""
    return {}


@pytest.fixture
def files(
    make_files: Callable[..., dict[str, bytes]], kept_files: dict[str, dict[str, bytes]]
) -> Callable[..., dict[str, bytes]]:
    """The files of a sheet, written once for all tests that look at them."""

    def look(sheet_name: str, what: str = "target", **more: object) -> dict[str, bytes]:
        key = repr((sheet_name, what, more))
        if key not in kept_files:
            kept_files[key] = make_files(sheet_name, what, **more)
        return kept_files[key]

    return look


@lru_cache(maxsize=4)
def drawn(pdf: bytes, page: int = 0, ppi: float = PPI) -> np.ndarray:
    """Grey pixels of a page, rows from the bottom; to be looked at only."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return document[page].render(scale=ppi / 72, grayscale=True).to_numpy().squeeze()[::-1].copy()
    finally:
        document.close()


@pytest.fixture(autouse=True, scope="module")
def _forget_the_pages() -> Iterator[None]:
    yield
    drawn.cache_clear()


def words(pdf: bytes, page: int = 0) -> str:
    document = pypdfium2.PdfDocument(pdf)
    try:
        text = document[page].get_textpage().get_text_range()
        return " ".join(text.split())
    finally:
        document.close()


@pytest.mark.parametrize("what", ["target", "turn"])
@pytest.mark.parametrize("sheet_name", ["letter", "sra3"])
class TestFiles:
    def test_are_two_for_a_stack_that_a_person_turns_and_one_else(self, files, sheet_name, what):
        assert list(files(sheet_name, what)) == ENDS[sheet_name]

    def test_are_not_to_be_scaled_and_say_how_the_sheet_is_turned(self, files, sheet_name, what):
        """ISO 32000-1 Table 150."""
        for pdf in files(sheet_name, what).values():
            with pikepdf.open(io.BytesIO(pdf)) as opened:
                wants = opened.Root.ViewerPreferences
                assert wants.PrintScaling == "/None"
                assert wants.Duplex == ("/Simplex" if sheet_name == "letter" else "/DuplexFlipLongEdge")
                assert wants.PickTrayByPDFSize is True

    def test_have_the_size_of_the_sheet_and_every_font_in_them(self, files, sheet_name, what):
        points = {"letter": (612, 792), "sra3": (907.086614, 1275.590551)}[sheet_name]
        for pdf in files(sheet_name, what).values():
            with pikepdf.open(io.BytesIO(pdf)) as opened:
                for page in opened.pages:
                    for name in ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox"):
                        assert [float(side) for side in page.obj[name]] == pytest.approx([0, 0, *points], abs=1e-5)
                fonts = [thing for thing in opened.objects if isinstance(thing, pikepdf.Dictionary)]
                descriptors = [thing for thing in fonts if thing.get("/Type") == "/FontDescriptor"]
                assert descriptors
                assert all("/FontFile2" in one for one in descriptors)
                named = {str(thing.BaseFont) for thing in fonts if thing.get("/Type") == "/Font"}
                assert all("DejaVu" in name for name in named)

    def test_are_the_same_bytes_every_time(self, make_files, sheet_name, what):
        assert make_files(sheet_name, what) == make_files(sheet_name, what)


def around(page: np.ndarray, place: Point, reach_mm: float) -> np.ndarray:
    """Ink (true) in a square around a place; rows and columns from its lower left."""
    x, y, reach = (round(float(value) * PX_PER_MM) for value in (place.x, place.y, reach_mm))
    return page[y - reach : y + reach + 1, x - reach : x + reach + 1] < 128


class TestTarget:
    def test_has_a_cross_at_every_mark_of_the_front(self, files, target):
        page = drawn(files("letter")["_1-fronts.pdf"])
        for mark in target("letter").marks:
            ink = around(page, mark.front, 4)
            middle = len(ink) // 2
            assert ink[middle - 3 : middle + 4].any(axis=0).all(), "an unbroken line across"
            assert ink[:, middle - 3 : middle + 4].any(axis=1).all(), "and one upwards"
            assert ink.sum() < 0.06 * ink.size, "and nothing else that could hide a pin hole"

    @pytest.mark.parametrize("along", ["right", "up", "left", "down"])
    def test_has_a_line_every_fifth_of_a_millimetre_along_each_half_axis(self, files, target, along):
        """Counted on the back at 1200 ppi, 0.3 mm beside the axis: 25 lines to 5 mm, 0.2 mm apart."""
        page = drawn(files("letter")["_2-backs.pdf"], ppi=1200)
        px_per_mm = 1200 / 25.4
        place = target("letter").marks[0].back
        right, up = {"right": (1, 0), "up": (0, 1), "left": (-1, 0), "down": (0, -1)}[along]
        steps = np.arange(0.1, 5.15, 0.004)
        x = float(place.x) + right * steps - up * 0.3
        y = float(place.y) + up * steps + right * 0.3
        ink = page[np.rint(y * px_per_mm).astype(int), np.rint(x * px_per_mm).astype(int)] < 128
        starts = steps[1:][~ink[:-1] & ink[1:]]
        ends = steps[1:][ink[:-1] & ~ink[1:]]
        middles = (starts + ends) / 2
        assert len(middles) == 25
        assert middles == pytest.approx(np.arange(1, 26) * 0.2, abs=0.03)

    def test_says_at_every_scale_which_way_is_plus(self, files):
        text = words(files("letter")["_2-backs.pdf"])
        for word in ("+ right", "\N{MINUS SIGN} left", "+ up", "\N{MINUS SIGN} down"):
            assert text.count(word) == 6

    def test_numbers_every_mark_on_both_faces(self, files, target):
        """The number stands to the upper left of its mark on either page."""
        for end, side in (("_1-fronts.pdf", "front"), ("_2-backs.pdf", "back")):
            document = pypdfium2.PdfDocument(files("letter")[end])
            page = document[0].get_textpage()
            for mark in target("letter").marks:
                place = getattr(mark, side)
                x, y = float(place.x) * 72 / 25.4, float(place.y) * 72 / 25.4
                assert page.get_text_bounded(x - 36, y + 12, x - 10, y + 34).strip() == str(mark.number)
            page.close()
            document.close()

    def test_tells_on_both_faces_what_to_do(self, files):
        pdfs = files("letter")
        assert "actual size (100 %)" in words(pdfs["_1-fronts.pdf"])
        back = words(pdfs["_2-backs.pdf"])
        assert "against the light" in back
        assert "pin" in back
        assert "right is plus, left is minus" in back

    def test_says_what_to_measure_where_there_is_no_room_for_the_ruler(self, files, target):
        marks = target("small").marks
        apart = float(marks[0].front.y - marks[4].front.y)
        assert f"Measure from cross 1 to cross 5: it is exactly {apart:g} mm" in words(files("small")["_1-fronts.pdf"])
        assert "ruler below" in words(files("letter")["_1-fronts.pdf"])

    def test_names_printer_and_sheet(self, files):
        assert "press, sra3" in words(files("sra3")[".pdf"], 1)

    def test_is_drawn_without_a_correction_and_the_proof_with_it(self, files):
        """A shift to the right and up moves every pixel of the proof's rings by just that."""
        correction = Correction(shift=Point(Fraction("2.032"), Fraction("1.016")))  # 48 and 24 px
        plain = drawn(files("letter")["_2-backs.pdf"]) < 128
        proof = drawn(files("letter", proof=(correction, "2026-05-01"))["_2-backs.pdf"]) < 128
        right, up = 48, 24
        corner = (slice(0, round(30 * PX_PER_MM)), slice(0, round(40 * PX_PER_MM)))
        moved = np.roll(plain, (up, right), axis=(0, 1))
        assert (moved[corner] ^ proof[corner]).sum() < 0.01 * proof[corner].sum()
        assert (plain[corner] ^ proof[corner]).sum() > proof[corner].sum()

    def test_a_proof_forbids_reading_it(self, files):
        text = words(files("letter", proof=(Correction(), "2026-05-01"))["_2-backs.pdf"])
        assert "Do not type in numbers from this sheet" in text
        assert "2026-05-01" in text


class TestTurnTest:
    def test_has_its_letters_at_the_four_edges(self, files):
        document = pypdfium2.PdfDocument(files("letter", "turn")["_1-fronts.pdf"])
        page = document[0].get_textpage()
        for letter, place in {"A": (306, 745), "B": (570, 396), "C": (306, 45), "D": (42, 396)}.items():
            x, y = place
            assert page.get_text_bounded(x - 30, y - 30, x + 30, y + 30).strip() == letter
        page.close()
        document.close()

    def test_has_its_arrow_at_the_top_of_the_back_pointing_there(self, files):
        """Black in the middle of the top edge, widest three quarters of its width below its point."""
        ink = drawn(files("letter", "turn")["_2-backs.pdf"], ppi=100) < 128
        height, width = ink.shape
        rows = [row for row in range(height - 1, 0, -1) if ink[row].any()][:60]
        widths = [ink[row].sum() for row in rows]
        assert widths[0] < 6 < max(widths)
        assert abs(np.flatnonzero(ink[rows[0]]).mean() - width / 2) < 2
        assert widths.index(max(widths)) > 30
        assert not ink[height // 2 :, : width // 3][-60:].any()

    def test_asks_its_question_on_the_sheet(self, files):
        assert "Which letter lies behind the arrow?" in words(files("letter", "turn")["_2-backs.pdf"])
        assert "Which letter's edge goes in first?" in words(files("letter", "turn")["_1-fronts.pdf"])
        assert "Which letter's edge" not in words(files("sra3", "turn")[".pdf"])

    def test_has_two_sheets_with_their_names_where_a_person_turns_the_stack(self, files):
        for end in ("_1-fronts.pdf", "_2-backs.pdf"):
            with pypdfium2.PdfDocument(files("letter", "turn")[end]) as document:
                said = [page.get_textpage().get_text_range() for page in document]
            assert ["FIRST SHEET" in text for text in said] == [True, False]
            assert ["SECOND SHEET" in text for text in said] == [False, True]

    def test_has_one_sheet_without_a_name_where_the_printer_turns_it(self, files):
        with pypdfium2.PdfDocument(files("sra3", "turn")[".pdf"]) as document:
            assert len(document) == 2
            assert not any("SHEET" in page.get_textpage().get_text_range() for page in document)
