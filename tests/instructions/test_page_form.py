"""The form of the instructions: drawings, pages, paper, fonts and the same bytes each time."""

import hashlib
import os
import pickle
import subprocess
import sys
from datetime import date
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab import rl_config

from tests.instructions.an_order import A4, FACTS, INCH, LETTER, changed, finishing, two_up
from tests.instructions.said import BY_HAND, page_texts, picture, said
from tests.long_form import LONG
from watcher.instructions import style as instruction_style
from watcher.instructions.page import write_instructions
from watcher.instructions.preview import LatePicture
from watcher.instructions.words import CUTTER_CAUTIONS, both_units, inches_to_32nds, size_in_both
from watcher.layout.geometry import Size
from watcher.terms import (
    CutterKind,
    Finding,
    Level,
)

# -- the drawings ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "face", "edge"),
    [("printed side down, top edge first", "DOWN", "TOP"), ("Printed side UP, left edge first.", "UP", "LEFT")],
)
def test_the_words_of_the_turn_test_are_drawn(words: str, face: str, edge: str) -> None:
    shown = said(**BY_HAND, reload=words)
    assert "PRINTER" in shown
    assert f"{edge} edge first" in shown
    assert f"printed side {face}" in shown


def test_other_words_for_reloading_are_not_drawn() -> None:
    assert "as told here" in said(**BY_HAND, reload="logo towards you")
    assert "PRINTER" not in said(reload="printed side down, top edge first")  # the printer turns the sheet


def test_cuts_are_numbered_in_the_drawing() -> None:
    """Each number stands once in the drawing beside the table: a circle that no other overlaps."""
    document = pypdfium2.PdfDocument(write_instructions(FACTS))
    page = document[0]
    circles = [item.get_bounds() for item in page.get_objects([2]) if _is_circle(item.get_bounds())]
    page.close()
    document.close()
    assert len(circles) == 6
    for number, one in enumerate(circles):
        for other in circles[:number]:
            assert one[0] >= other[2] - 1 or other[0] >= one[2] - 1 or one[1] >= other[3] - 1 or other[1] >= one[3] - 1


def _is_circle(bounds: tuple[float, float, float, float]) -> bool:
    left, bottom, right, top = bounds
    return 8 < right - left < 12 and 8 < top - bottom < 12


def test_the_sketch_is_true_to_scale() -> None:
    """The drawn boxes stand to each other as sheet and trims do."""
    document = pypdfium2.PdfDocument(write_instructions(FACTS))
    page = document[0]
    found = sorted((item.get_bounds() for item in page.get_objects([2])), key=_area, reverse=True)
    drawn = [found[0], *(box for box in found[1:] if _is_inside(box, found[0]))][:3]
    boxes = [_outline(box, line) for box, line in zip(drawn, (0.8, 0.3, 0.3), strict=True)]
    page.close()
    document.close()
    sheet, scale = boxes[0], (boxes[0][2] - boxes[0][0]) / float(LETTER.width)
    assert (sheet[3] - sheet[1]) / scale == pytest.approx(279.4, abs=0.1)
    upper = max(boxes[1:], key=lambda box: box[1])
    assert (upper[0] - sheet[0]) / scale == pytest.approx(19.05, abs=0.1)
    assert (upper[1] - sheet[1]) / scale == pytest.approx(142.875, abs=0.1)


def _outline(bounds: tuple[float, float, float, float], line: float) -> tuple[float, float, float, float]:
    """What was drawn: pdfium adds the width of the line, in points, on every side."""
    left, bottom, right, top = bounds
    return left + line, bottom + line, right - line, top - line


def _is_inside(box: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return other[0] < box[0] and other[1] < box[1] and box[2] < other[2] and box[3] < other[3]


def _area(box: tuple[float, float, float, float]) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


@pytest.mark.parametrize("cutter", list(CutterKind))
def test_the_cautions_of_the_cutter_are_there_in_full_on_the_first_page(cutter: CutterKind) -> None:
    first = page_texts(write_instructions(changed(FACTS, finishing=finishing(two_up(), cutter=cutter))))[0]
    assert CUTTER_CAUTIONS[cutter] in first


def test_note_due_and_findings_are_said() -> None:
    low = Finding(level=Level.WARN, code="low-resolution", message="walk_back.png is 1050 x 1470 px, 210 ppi.")
    made = Finding(level=Level.NOTE, code="bleed-made", message="3 mm of bleed was made by mirroring.")
    words = said(note="collect <b>& pay</b>\n<para>", due=date(2026, 12, 24), findings=(made, low))
    assert "Note: collect <b>& pay</b> <para>" in words
    assert "Due Thursday 2026-12-24" in words
    assert "3 mm of bleed was made by mirroring." in words
    assert words.index("walk_back.png is 1050 x 1470 px") < words.index("Print ONE") < words.index("3 mm of bleed")


def test_a_plain_order_fits_on_one_page_and_a_long_one_flows_on() -> None:
    noted = Finding(level=Level.NOTE, code="bleed-made", message="Bleed was made by mirroring its edge. " * 4)
    assert len(page_texts(write_instructions(changed(FACTS, **BY_HAND, preview=picture())))) == 1
    pages = page_texts(write_instructions(changed(FACTS, findings=(noted,) * 12)))
    assert len(pages) == 2
    assert "page 2 of 2" in pages[1]


@pytest.mark.parametrize(
    ("sheet", "points"),
    [(LETTER, (612, 792)), (Size(12 * INCH, 18 * INCH), (612, 792)), (A4, (595.2756, 841.8898)),
     (Size(Fraction(320), Fraction(450)), (595.2756, 841.8898))],
)  # fmt: skip
def test_the_page_is_letter_for_inch_paper_and_a4_otherwise(sheet: Size, points: tuple[float, float]) -> None:
    """A4 is 210 x 297 mm (ISO 216), letter 8.5 x 11 in (ANSI/ASME Y14.1, from memory); a point is 1/72 in."""
    pdf = write_instructions(changed(FACTS, sheet=sheet, layout=two_up(sheet)))
    with pikepdf.open(BytesIO(pdf)) as document:
        assert [float(value) for value in document.pages[0].mediabox[2:]] == pytest.approx(points, abs=0.001)


@pytest.mark.parametrize(
    ("mm", "words"),
    [("19.05", "3/4 in"), ("25.4", "1 in"), ("0.79375", "1/32 in"), ("196.85", "7 3/4 in"), ("0", "0 in"),
     ("3", "about 1/8 in"), ("5", "about 3/16 in"), ("297", "about 11 11/16 in"), ("25.3", "about 1 in")],
)  # fmt: skip
def test_inches_are_given_to_a_thirty_second(mm: str, words: str) -> None:
    """Worked out by hand from 1 in = 25.4 mm: 3 mm = 3.78/32, 5 mm = 6.30/32, 297 mm = 11 in + 22.17/32."""
    assert inches_to_32nds(Fraction(mm)) == words


def test_a_length_that_is_no_thirty_second_says_about() -> None:
    assert both_units(Fraction(3)) == "3 mm (about 1/8 in)"
    assert size_in_both(A4) == "210 x 297 mm (about 8 9/32 x 11 11/16 in)"


@pytest.mark.parametrize("name", ["w" * 180, "very-long-name-" * 12, "ein langer name " * 11])
def test_a_long_name_wraps_inside_the_page(name: str) -> None:
    document = pypdfium2.PdfDocument(write_instructions(changed(FACTS, order=name, note=name, **BY_HAND)))
    for index in range(len(document)):
        page = document[index]
        text = page.get_textpage()
        edges = [text.get_charbox(number) for number in range(text.count_chars())]
        text.close()
        page.close()
        assert min(edge[0] for edge in edges) > 20
        assert max(edge[2] for edge in edges) < 612 - 20
        assert min(edge[1] for edge in edges) > 5
    document.close()


def test_what_the_font_lacks_becomes_a_replacement_character() -> None:
    """Chinese, half of a pair, an override of the writing direction."""
    assert "caf\u00e9 \u03a9 \ufffd\ufffd\ufffd" in said(order="caf\u00e9 \u03a9 \u65e5\udc80\u202e")


@settings(max_examples=100 if LONG else 12, deadline=None)
@given(text=st.text(max_size=60))
def test_any_text_can_be_printed(text: str) -> None:
    facts = changed(FACTS, order=text, note=text, paper=text, reload=text, cards=text, sheet_name=text, date=text)
    assert write_instructions(changed(facts, **BY_HAND)).startswith(b"%PDF")


@pytest.mark.parametrize("change", [{}, BY_HAND], ids=["automatic", "by hand"])
def test_every_font_is_embedded_and_nothing_can_act(change: dict[str, Any]) -> None:
    facts = changed(FACTS, preview=picture(), **change)
    with pikepdf.open(BytesIO(write_instructions(facts))) as document:
        fonts = [font for page in document.pages for font in page.Resources.Font.values()]
        assert len({str(font.BaseFont) for font in fonts}) >= 2
        assert all("/FontFile2" in font.FontDescriptor for font in fonts)
        assert "/OpenAction" not in document.Root
        assert all("/Annots" not in page for page in document.pages)


def test_the_preview_is_shown_whole_beside_the_settings() -> None:
    document = pypdfium2.PdfDocument(write_instructions(changed(FACTS, preview=picture(900, 600))))
    page = document[0]
    left, bottom, right, top = next(iter(page.get_objects([3]))).get_bounds()
    page.close()
    document.close()
    assert (right - left) / (top - bottom) == pytest.approx(1.5, abs=0.01)
    assert left == pytest.approx(34, abs=1)  # the margin: pictures stand at the left, their words beside them
    assert right < 612 / 2
    assert bottom > 396  # near the top


def test_the_preview_is_waited_for_when_everything_else_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    shown = picture(900, 600)

    def late() -> Image.Image:
        asked.append("picture")
        return shown.picture()

    facts = changed(FACTS, preview=LatePicture(size_px=shown.size_px, picture=late))
    with monkeypatch.context() as patch:
        patch.setattr(instruction_style.NumberedPages, "save", lambda _canvas: asked.append("save"))
        write_instructions(facts)
    assert asked == ["save"]
    assert write_instructions(facts) == write_instructions(changed(FACTS, preview=shown))


SCRIPT = """
import hashlib, pickle, sys
from watcher.instructions.page import write_instructions
print(hashlib.sha256(write_instructions(pickle.load(sys.stdin.buffer))).hexdigest())
"""


def test_the_same_order_gives_the_same_bytes_in_any_process() -> None:
    facts = changed(FACTS, preview=picture(), note="twice")
    here = hashlib.sha256(write_instructions(facts)).hexdigest()
    assert hashlib.sha256(write_instructions(facts)).hexdigest() == here
    root = Path(__file__).parents[2]
    environment = {**os.environ, "PYTHONHASHSEED": "4711", "PYTHONPATH": str(root)}
    there = subprocess.run(
        [sys.executable, "-c", SCRIPT], input=pickle.dumps(facts), capture_output=True, env=environment,
        check=True, timeout=60,
    )  # fmt: skip
    assert there.stdout.decode().strip() == here


def test_writing_leaves_reportlab_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheets of the same process are written by other rules."""
    monkeypatch.setattr(rl_config, "useA85", 1)
    write_instructions(FACTS)
    assert rl_config.useA85 == 1
