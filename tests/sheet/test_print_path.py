"""Sheets sent through the filter that print systems put before a printer: they come out where they lie in the file.

The filter is pdftopdf of Debian's cups-filters, run alone as CUPS runs it (its manual page; options as in RFC 8011 and
PWG 5100.16). The printer is a description of our own with the papers and rims of a test.
"""

import io
import os
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest

from tests.long_form import LONG
from watcher.layout.geometry import Margins, Size
from watcher.sheet.check.in_numbers import read_back
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Duplex, Flip, Side

FILTER = Path("/usr/lib/cups/filter/pdftopdf")
pytestmark = pytest.mark.skipif(not FILTER.exists(), reason="needs pdftopdf (Debian: cups-filters)")

RASTER_FILTER = Path("/usr/lib/cups/filter/gstoraster")
PPI, ALLOWED_MM, RASTER_PPI = 300, 0.1, 600 if LONG else 300
INCH = Fraction("25.4")
LETTER = Size(Fraction("8.5") * INCH, 11 * INCH)
LETTER_ACROSS = Size(LETTER.height, LETTER.width)
A4, SRA3 = Size(Fraction(210), Fraction(297)), Size(Fraction(320), Fraction(450))
WIDE_CARD, HIGH_CARD, SMALL_CARD = (
    Size(Fraction(width), Fraction(height)) for width, height in [(178, 127), (127, 178), (85, 55)]
)
INKJET_RIM = Margins(top=Fraction(3), right=Fraction(3), bottom=Fraction("12.7"), left=Fraction(3))


@pytest.fixture
def printed(tmp_path):
    """A PDF as the filter hands it on to the printer."""

    def run(pdf: bytes, paper: Size, rim: Margins, options: str) -> bytes:
        description, file = tmp_path / "printer.ppd", tmp_path / "sheets.pdf"
        description.write_text(printer_description(paper, rim))
        file.write_bytes(pdf)
        command = [FILTER, "1", "owner", "sheets", "1", f"media=Paper PageSize=Paper {options}", file]
        environment = {**os.environ, "PPD": str(description)}
        return subprocess.run(command, env=environment, capture_output=True, check=True, timeout=60).stdout

    return run


def printer_description(paper: Size, rim: Margins) -> str:
    """What print software knows of a printer: one paper, upright as it is fed, and where it can print (PPD 4.3)."""
    upright = paper if paper.width <= paper.height else Size(paper.height, paper.width)
    width, height = (float(length) / 25.4 * 72 for length in (upright.width, upright.height))
    left, bottom, right, top = (float(side) / 25.4 * 72 for side in (rim.left, rim.bottom, rim.right, rim.top))
    lines = ['*PPD-Adobe: "4.3"', '*PCFileName: "TEST.PPD"', '*ModelName: "Test"', '*NickName: "Test"']
    lines += ["*ColorDevice: True", '*cupsFilter: "application/vnd.cups-pdf 0 -"', "*LandscapeOrientation: Plus90"]
    for word in ("PageSize", "PageRegion"):
        lines += [f"*OpenUI *{word}: PickOne", f"*Default{word}: Paper"]
        lines += [f'*{word} Paper: "<</PageSize[{width:.2f} {height:.2f}]>>setpagedevice"', f"*CloseUI: *{word}"]
    area = f"{left:.2f} {bottom:.2f} {width - right:.2f} {height - top:.2f}"
    lines += ["*DefaultImageableArea: Paper", f'*ImageableArea Paper: "{area}"']
    lines += ["*DefaultPaperDimension: Paper", f'*PaperDimension Paper: "{width:.2f} {height:.2f}"']
    lines += ["*OpenUI *Duplex: PickOne", "*DefaultDuplex: None", '*Duplex None: ""', '*Duplex DuplexNoTumble: ""']
    return "\n".join([*lines, '*Duplex DuplexTumble: ""', "*CloseUI: *Duplex", ""])


@pytest.fixture
def rasters(tmp_path):
    """The pages as the printing system's own filter makes them for a printer that takes no PDF."""

    def run(pdf: bytes, paper: Size, rim: Margins) -> list[np.ndarray]:
        description, file = tmp_path / "printer.ppd", tmp_path / "came.pdf"
        dots = f"<</HWResolution[{RASTER_PPI} {RASTER_PPI}]/cupsBitsPerColor 8/cupsColorSpace 0>>setpagedevice"
        resolution = f'*OpenUI *Resolution: PickOne\n*DefaultResolution: dots\n*Resolution dots: "{dots}"\n'
        description.write_text(f"{printer_description(paper, rim)}{resolution}*CloseUI: *Resolution\n")
        file.write_bytes(pdf)
        words = "PageSize=Paper Resolution=dots"
        command = [RASTER_FILTER, "1", "owner", "sheets", "1", words, file]
        environment = {**os.environ, "PPD": str(description)}
        ran = subprocess.run(command, env=environment, capture_output=True, check=True, timeout=120)
        return list(raster_pages(ran.stdout, rim))

    return run


def raster_pages(data: bytes, rim: Margins) -> Iterator[np.ndarray]:
    """Read CUPS raster, version 3 (specification: cups.org/doc/spec-raster.html); the rim, which it omits, is white."""
    assert data[:4] == b"3SaR"
    around = [
        [round(float(edge) / 25.4 * RASTER_PPI) for edge in two]
        for two in ((rim.top, rim.bottom), (rim.left, rim.right))
    ]
    at = 4
    while at < len(data):
        told = np.frombuffer(data, "<u4", 449, at)
        width, height, bits, line, colours = (int(told[place // 4]) for place in (372, 376, 388, 392, 400))
        assert (bits, colours, int(told[69])) == (8, 0, RASTER_PPI)
        at += 1796
        page = np.frombuffer(data, np.uint8, line * height, at).reshape(height, line)[:, :width]
        at += line * height
        yield np.pad(page, around, constant_values=255)


def pages_seen(pdf: bytes, ppi: int = PPI) -> list[np.ndarray]:
    """The pages in grey, as they are read."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.render(scale=ppi / 72, grayscale=True).to_numpy() for page in document]


def ink_mm(page: np.ndarray, ppi: int = PPI) -> np.ndarray:
    """Where the ink ends: left, bottom, right, top from the lower left of the page; mm."""
    rows, columns = np.flatnonzero((page < 128).any(axis=1)), np.flatnonzero((page < 128).any(axis=0))
    ends = columns[0], page.shape[0] - 1 - rows[-1], columns[-1], page.shape[0] - 1 - rows[0]
    return np.array(ends) / ppi * 25.4


@pytest.fixture
def sheets(laid_out, planned, face_of, colours):
    """A two-sided sheet of dark cards with marks, every corner of it another."""

    def make(paper: Size, card: Size, rim: Margins, flip=Flip.LONG_EDGE) -> bytes:
        layout = laid_out(paper, card, unprintable=rim, unprintable_back=rim, flip=flip, mixed_turns=False)
        front, back = (
            face_of(colours(int(card.width), int(card.height), seed) // 3, card, bleed=Fraction(3), side=side)
            for seed, side in enumerate(Side)
        )
        plan = planned(layout, front, back, marks=True, duplex=Duplex.AUTOMATIC)
        (file,) = draw_sheets(plan)
        read_back([file], plan)
        return file.pdf

    return make


SIDES = {Flip.LONG_EDGE: "sides=two-sided-long-edge", Flip.SHORT_EDGE: "sides=two-sided-short-edge"}
PAPERS = [
    pytest.param(LETTER, SMALL_CARD, INKJET_RIM, Flip.LONG_EDGE, id="letter, wide rim below"),
    pytest.param(LETTER, WIDE_CARD, INKJET_RIM, Flip.LONG_EDGE, id="letter, a block wider than high"),
    pytest.param(LETTER, WIDE_CARD, INKJET_RIM, Flip.SHORT_EDGE, id="letter, turned on its short edge"),
    pytest.param(A4, SMALL_CARD, Margins.all_round(Fraction("4.2")), Flip.SHORT_EDGE, id="A4"),
    pytest.param(SRA3, WIDE_CARD, Margins.all_round(Fraction(5)), Flip.LONG_EDGE, id="SRA3"),
]


# "auto" is what shrinks a sheet to the printable part if anything does; that "none" does not is told by one paper
@pytest.mark.parametrize(
    ("paper", "card", "rim", "flip", "scaling"),
    [pytest.param(*one.values, "auto", id=f"{one.id}, auto") for one in PAPERS]
    + [pytest.param(*one.values, "none", id=f"{one.id}, none") for one in (PAPERS if LONG else PAPERS[:1])],
)
def test_a_sheet_goes_through_print_software_unmoved(sheets, printed, paper, card, rim, flip, scaling):
    sent = sheets(paper, card, rim, flip)
    came = printed(sent, paper, rim, f"print-scaling={scaling} {SIDES[flip]}")
    before, after = pages_seen(sent), pages_seen(came)
    assert len(before) == len(after) == 2
    for one, other in zip(before, after, strict=True):
        assert np.abs(ink_mm(one) - ink_mm(other)).max() <= ALLOWED_MM
        assert alike(one, other)


def alike(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two pages show the same, seen from far: a page that is turned does not."""
    return difference(one, other) < 1


def difference(one: np.ndarray, other: np.ndarray) -> float:
    """How far two pages differ in the mean, seen from far; 255 is black for white."""
    step = PPI // 20
    rows, columns = (min(one.shape[axis], other.shape[axis]) // step * step for axis in (0, 1))
    small = [
        page[-rows:, :columns].reshape(rows // step, step, columns // step, step).mean(axis=(1, 3))
        for page in (one, other)
    ]
    return float(np.abs(small[0] - small[1]).mean())


@pytest.mark.parametrize("card", [WIDE_CARD, HIGH_CARD], ids=["wide block", "high block"])
def test_both_pages_of_a_sheet_that_lies_across_are_turned_the_same_way(sheets, printed, card):
    """Paper is fed upright: a sheet that is wider than high is turned a quarter, as a whole, whatever lies on it."""
    rim = Margins.all_round(Fraction(5))
    sent = sheets(LETTER_ACROSS, card, rim)
    came = printed(sent, LETTER_ACROSS, rim, f"print-scaling=none {SIDES[Flip.LONG_EDGE]}")
    for one, other in zip(pages_seen(sent), pages_seen(came), strict=True):
        assert np.abs(ink_mm(np.rot90(one)) - ink_mm(other)).max() <= ALLOWED_MM
        assert alike(np.rot90(one), other)


def test_the_filter_would_show_a_sheet_that_is_moved(sheets, printed):
    """An inner TrimBox is taken for the page and centred: with this, the tests above are able to fail."""
    rim = INKJET_RIM
    with pikepdf.open(io.BytesIO(sheets(LETTER, SMALL_CARD, rim))) as document:
        for page in document.pages:
            page.TrimBox = [36, 72, 576, 756]
        changed = io.BytesIO()
        document.save(changed)
    came = printed(changed.getvalue(), LETTER, rim, "print-scaling=none")
    moved = np.abs(ink_mm(pages_seen(changed.getvalue())[0]) - ink_mm(pages_seen(came)[0]))
    assert moved.max() > 1


def _lost_by_whole_points(paper: Size) -> float:
    """CUPS raster has the paper's size in whole points (its specification, `PageSize`): of 450 mm 0.14 are lost."""
    points = [float(length) / 25.4 * 72 for length in (paper.width, paper.height)]
    return max(abs(length - round(length)) for length in points) / 72 * 25.4


@pytest.mark.skipif(not RASTER_FILTER.exists(), reason="needs gstoraster (Debian: cups-filters, ghostscript)")
@pytest.mark.parametrize(("paper", "card", "rim", "flip"), PAPERS if LONG else PAPERS[:1])
def test_a_sheet_that_the_printing_system_makes_dots_of_lies_where_it_lay(
    sheets, printed, rasters, paper, card, rim, flip
):
    sent = sheets(paper, card, rim, flip)
    came = rasters(printed(sent, paper, rim, f"print-scaling=none {SIDES[flip]}"), paper, rim)
    before = pages_seen(sent, RASTER_PPI)
    assert len(came) == len(before) == 2
    for one, other in zip(before, came, strict=True):
        moved = np.abs(ink_mm(one, RASTER_PPI) - ink_mm(other, RASTER_PPI))
        assert moved.max() <= ALLOWED_MM + _lost_by_whole_points(paper)
        assert difference(one, other) < difference(one, np.rot90(other, 2)) / 4  # two programs make grey of colours
