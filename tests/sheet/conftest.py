"""Sheets for the tests: faces with drawn art, layouts, and the finished PDF seen through other libraries."""

import io
from fractions import Fraction

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from tests.layout.a_request import plain_request
from watcher.art.decode import open_art
from watcher.art.encode import encode_rows
from watcher.art.model import Art, CardFace, Fit, Raster
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import plan_marks
from watcher.layout.model import Face, Layout, Place
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan
from watcher.terms import Copies, Duplex, MakeBleed, Side, Turn


@pytest.fixture(scope="session")
def colours():
    """Pixels that look the same in no two directions."""

    def make(width=60, height=84, seed=0):
        rows, columns = np.mgrid[0:height, 0:width]
        layers = [columns * 255 // width, rows * 255 // height, (columns * 7 + rows * 13 + seed * 50) % 256]
        return np.stack(layers, -1).astype(np.uint8)

    return make


@pytest.fixture(scope="session")
def saved():
    """The bytes of pixels saved in a format."""

    def save(pixels, format="PNG", **options):
        finished = io.BytesIO()
        (pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)).save(finished, format, **options)
        return finished.getvalue()

    return save


@pytest.fixture(scope="session")
def face_of():
    """A face whose art fills `box` (mm, card axes; by default the trim and the bleed)."""

    def make(art, trim, *, bleed=Fraction(0), box=None, make_bleed=MakeBleed.MIRROR, side=Side.FRONT) -> CardFace:
        if isinstance(art, np.ndarray):
            height, width = art.shape[:2]
            art = Art(
                side=side,
                file=f"{side}.png",
                sha256="0" * 64,
                extent=Size(Fraction(width), Fraction(height)),
                width_px=width,
                height_px=height,
                content=Raster(stream=encode_rows(art)),
            )
        box = box or Box.at(Fraction(0), Fraction(0), trim).grown(bleed)
        return CardFace(art=art, fit=Fit(box=box, bleed=bleed, make_bleed=make_bleed, ppi=None))

    return make


@pytest.fixture(scope="session")
def opened():
    """Opens bytes as a side's art."""

    def open_it(data, kind="png", side=Side.FRONT, page=None) -> Art:
        return open_art(side, f"{side}.{kind}", "0" * 64, data, kind, page)

    return open_it


@pytest.fixture(scope="session")
def one_place():
    """A layout by hand: one card with its trim at (x, y), turned, its back behind it as given."""

    def make(trim, *, sheet=None, x=10, y=10, turn=Turn.NONE, bleed=Fraction(0), flip=None, back=None) -> Layout:
        sheet = sheet or Size(Fraction(100), Fraction(140))
        front = Box.at(Fraction(x), Fraction(y), trim.turned(turn))
        lying = Face(trim=front, bleed_box=front.grown(bleed), turn=turn)
        return Layout(
            sheet=sheet,
            trim=trim,
            bleed=bleed,
            places=(Place(number=1, front=lying, back=back),),
            printable=Box.at(Fraction(0), Fraction(0), sheet),
            flip=flip,
            cut_lines=4,
            mixed=False,
        )

    return make


@pytest.fixture(scope="session")
def laid_out():
    """A solved layout with everyday values, or with what is said otherwise."""

    def make(sheet, trim, **said) -> Layout:
        usual = {"bleed": Fraction(3), "least_bleed": Fraction(3), "gutter": Fraction(6), "cards_wanted": 10}
        rim = {"unprintable": Margins.all_round(Fraction(5))}
        return lay_out(plain_request(sheet=sheet, trim=trim, **(usual | rim | said)))

    return make


@pytest.fixture(scope="session")
def planned():
    """A plan for a layout and its faces, one sheet of it."""

    def make(layout, front, back=None, marks=False, **said) -> SheetPlan:
        usual = {"copies": Copies.ONCE, "duplex": Duplex.AUTOMATIC}
        drawn = plan_marks(layout).marks if marks else ()
        form = SheetForm(designs=(CardDesign(front=front, back=back),) * layout.up, sheets=said.pop("sheets", 1))
        return SheetPlan(layout=layout, marks=drawn, forms=(form,), **(usual | said))

    return make


@pytest.fixture(scope="session")
def render():
    """A page of a PDF as pixels, by pdfium."""

    def pixels(pdf, page=0, ppi=300):
        with pypdfium2.PdfDocument(pdf) as document:
            sheet = document[page]
            image = np.array(sheet.render(scale=ppi / 72).to_pil().convert("RGB"))
            sheet.close()
        return image

    return pixels


@pytest.fixture
def pdf():
    """A PDF opened by pikepdf."""
    opened = []

    def open_it(data):
        opened.append(pikepdf.open(io.BytesIO(data)))
        return opened[-1]

    yield open_it
    for document in opened:
        document.close()
