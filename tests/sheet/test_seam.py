"""No light line where the art ends and made bleed begins: dark art, seen by four renderers, from 150 ppi upwards.

Renderers smooth the edge of the art; what they mix it with must be dark too. Each page of the art ends at the trim.
"""

import io
import shutil
import subprocess
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image

from tests.long_form import LONG
from watcher.layout.backs import box_behind
from watcher.layout.geometry import Box, Point, Size
from watcher.layout.model import Face
from watcher.layout.register.alignment import Correction
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Flip, MakeBleed, Turn

COLOUR = (20, 40, 90)
SHEET, TRIM = Size(Fraction(60), Fraction(50)), Size(Fraction("30.3"), Fraction("20.7"))
AT = Fraction("14.3"), Fraction("13.9")  # no whole pixel at any of the resolutions
BLEED, SEEN = Fraction(3), Fraction("2.2")  # how far past the trim is looked: not to where the bleed itself ends
CORRECTION = Correction(
    shift=Point(Fraction("0.3"), Fraction("-0.2")), turn_degrees=0.21, scale_x=1.0007, scale_y=0.9991
)
PPI = (150, 300, 600) if LONG else (150, 300)  # the coarsest shows it most
LEVELS = 2  # of 255, for rounding


def by_program(command):
    """A renderer that is a program of its own: writes page `page` of a file as a picture."""

    def pixels(pdf, page, ppi, folder):
        source, picture = folder / "sheet.pdf", folder / "seen.png"
        source.write_bytes(pdf)
        words = [word.format(ppi=ppi, page=page + 1, pdf=source, stem=folder / "seen") for word in command]
        subprocess.run(words, check=True, capture_output=True, timeout=60)
        with Image.open(picture) as image:
            return np.asarray(image.convert("RGB"))

    return pixels


PROGRAMS = {
    "gs": "gs -q -dNOPAUSE -dBATCH -sDEVICE=png16m -dGraphicsAlphaBits=4 -r{ppi} -dFirstPage={page} -dLastPage={page} "
    "-sOutputFile={stem}.png {pdf}",
    "mutool": "mutool draw -q -r {ppi} -o {stem}.png {pdf} {page}",
    "pdftoppm": "pdftoppm -r {ppi} -png -singlefile -f {page} -l {page} {pdf} {stem}",
}


@pytest.fixture(params=["pdfium", *PROGRAMS])
def renderer(request, render, tmp_path):
    if request.param == "pdfium":
        return render
    if shutil.which(request.param) is None:
        pytest.skip(f"{request.param} is not on this machine (Debian: ghostscript, mupdf-tools, poppler-utils)")
    program = by_program(PROGRAMS[request.param].split())
    return lambda pdf, page, ppi: program(pdf, page, ppi, tmp_path)


def dark_page() -> bytes:
    """Vector art: a page that is filled to its edges and ends there."""
    width, height = (float(length) / 25.4 * 72 for length in (TRIM.width, TRIM.height))
    document = pikepdf.new()
    page = document.add_blank_page(page_size=(width, height))
    colour = " ".join(f"{value / 255:.4f}" for value in COLOUR)
    page.Contents = document.make_stream(f"{colour} rg 0 0 {width} {height} re f".encode())
    finished = io.BytesIO()
    document.save(finished)
    return finished.getvalue()


@pytest.fixture
def lightest(one_place, planned, face_of, opened, renderer):
    """How many levels lighter than the art the lightest pixel is, in the card and most of its bleed."""

    def seen(kind, make_bleed, ppi, correction=None, turn=Turn.NONE, partly=Fraction(0)) -> int:
        art = opened(dark_page(), "pdf") if kind == "pdf" else np.full((245, 358, 3), COLOUR, np.uint8)
        box = Box.at(Fraction(0), Fraction(0), TRIM).grown(partly)
        face = face_of(art, TRIM, bleed=BLEED, box=box, make_bleed=make_bleed)
        front = Box.at(*AT, TRIM.turned(turn))
        behind = box_behind(front, SHEET, Flip.LONG_EDGE)
        back = Face(trim=behind, bleed_box=behind.grown(BLEED), turn=turn)
        layout = one_place(TRIM, sheet=SHEET, x=AT[0], y=AT[1], bleed=BLEED, turn=turn, flip=Flip.LONG_EDGE, back=back)
        plan = planned(layout, face, face, correction=correction)
        files = draw_sheets(plan)
        read_back(files, plan)
        page = renderer(files[0].pdf, 0 if correction is None else 1, ppi)
        left, bottom, right, top = (
            round(float(edge) / 25.4 * ppi)
            for edge in vars((front if correction is None else behind).grown(SEEN)).values()
        )
        part = page[page.shape[0] - top : page.shape[0] - bottom, left:right].astype(int)
        return int((part - COLOUR).max())

    return seen


@pytest.mark.parametrize("make_bleed", [MakeBleed.MIRROR, MakeBleed.EXTEND])
@pytest.mark.parametrize("kind", ["pdf", "png"])
def test_no_light_line_shows_at_the_trim(lightest, kind, make_bleed):
    assert max(lightest(kind, make_bleed, ppi) for ppi in PPI) <= LEVELS
    assert lightest(kind, make_bleed, 150, turn=Turn.LEFT) <= LEVELS


@pytest.mark.parametrize("make_bleed", [MakeBleed.MIRROR, MakeBleed.EXTEND])
@pytest.mark.parametrize("kind", ["pdf", "png"])
def test_no_light_line_shows_on_a_corrected_back(lightest, kind, make_bleed):
    """A fraction of a degree puts the edge across the pixels, so that each is smoothed."""
    assert max(lightest(kind, make_bleed, ppi, CORRECTION) for ppi in PPI) <= LEVELS
    assert lightest(kind, make_bleed, 150, CORRECTION, turn=Turn.RIGHT) <= LEVELS


def test_no_light_line_shows_where_art_brings_a_part_of_its_bleed(lightest):
    for correction in (None, CORRECTION):
        assert lightest("png", MakeBleed.MIRROR, 150, correction, partly=Fraction(1)) <= LEVELS
