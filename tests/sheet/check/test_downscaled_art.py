"""Art of a finished file looked at once and shown small: pages look as when pdfium draws it anew at each place.

pdfium itself, drawing the file as it is, is the reference.
"""

import functools
import io
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from tests.long_form import LONG
from tests.ready import prepare_faces
from watcher.art.decode import open_art
from watcher.instructions.preview import preview_picture, preview_px
from watcher.layout.geometry import Margins, Size
from watcher.settings.card import CardSettings
from watcher.sheet.check import downscaled_art
from watcher.sheet.check.downscaled_art import DownscaledArt
from watcher.sheet.check.render import SheetRenderer
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Copies, Side

FOR_ONE = Size(Fraction(120), Fraction(90))  # with room for one card
A4, A5 = Size(Fraction(210), Fraction(297)), Size(Fraction(148), Fraction(210))
TRIM = Size(Fraction(85), Fraction(55))
CARD = CardSettings(name="c", trim="85 x 55 mm", bleed="3 mm", sheet="s", warn_ppi=60, hold_ppi=40)


@functools.cache
def drawn_card(seed):
    """A front as a shop has it at 350 ppi, an odd number of pixels wide and high: a photo's tones, type, a border."""
    size = (1255, 841)
    tones = np.random.default_rng(seed).integers(0, 255, (6, 9, 3), np.uint8)
    image = Image.fromarray(tones).resize(size, Image.Resampling.BICUBIC)
    image.paste((20, 60, 40), (200, 500, 900, 640))
    image.paste((250, 250, 240), (1100, 60, 1180, 780))
    return image


def _deep(image):
    return Image.fromarray(np.asarray(image.convert("L")).astype(np.uint16) * 257)


def _turned(image):
    exif = Image.Exif()
    exif[274] = 6  # shown turned a quarter clockwise (Exif 2.32, tag Orientation)
    return {"format": "JPEG", "quality": 90, "exif": exif}


FORMS = {
    "PNG": lambda image: (image, {"format": "PNG"}),
    "JPEG": lambda image: (image, {"format": "JPEG", "quality": 90}),
    "progressive JPEG": lambda image: (image, {"format": "JPEG", "quality": 90, "progressive": True}),
    "turned JPEG": lambda image: (image.rotate(90, expand=True), _turned(image)),
    "CMYK JPEG": lambda image: (image.convert("CMYK"), {"format": "JPEG", "quality": 90}),
    "grey PNG": lambda image: (image.convert("L"), {"format": "PNG"}),
    "grey PNG of 16 bits": lambda image: (_deep(image), {"format": "PNG"}),
    "grey PNG of 4 bits": lambda image: (image.convert("L").quantize(16), {"format": "PNG", "bits": 4}),
    "two tones": lambda image: (image.convert("L").point(lambda tone: tone > 120 and 255, "1"), {"format": "PNG"}),
    "palette PNG": lambda image: (image.quantize(200), {"format": "PNG"}),
    "CMYK TIFF": lambda image: (image.convert("CMYK"), {"format": "TIFF", "compression": "tiff_lzw"}),
    "WebP": lambda image: (image, {"format": "WEBP", "quality": 85}),
}  # fmt: skip


DECODED_ALIKE = ("progressive JPEG", "grey PNG", "CMYK TIFF", "WebP")  # once open: JPEG, or pixels as in PNG


@functools.cache
def saved_card(form, seed):
    image, said = FORMS[form](drawn_card(seed))
    saved = io.BytesIO()
    image.save(saved, **said)
    return saved.getvalue()


@functools.cache
def drawn_page(seed, *, lies_on_side=False):
    """The same as a page of PDF art: type, curves, a picture, something see-through, nothing at all behind them."""
    saved = io.BytesIO()
    canvas = Canvas(saved, pagesize=(91 * mm, 61 * mm), invariant=1)
    picture = drawn_card(seed).resize((300, 200))
    canvas.drawInlineImage(picture, 40 * mm, 5 * mm, 45 * mm, 30 * mm)
    canvas.setFillColorRGB(0.8, 0.2, 0.1, alpha=0.4)
    canvas.circle(30 * mm, 30 * mm, 20 * mm, stroke=1, fill=1)
    canvas.setFillColorRGB(0, 0, 0, alpha=1)
    canvas.setFont("Helvetica", 19)
    canvas.drawString(9 * mm, (40 + seed) * mm, "An evening of lanterns")
    canvas.save()
    if not lies_on_side:
        return saved.getvalue()
    with pikepdf.open(saved) as document:
        page = document.pages[0]
        page.mediabox = [0, 0, 61 * mm, 91 * mm]
        page.contents_add(b"q 0 1 -1 0 %f 0 cm" % (61 * mm), prepend=True)
        page.contents_add(b"Q")
        page.rotate(90, relative=False)
        turned = io.BytesIO()
        document.save(turned)
    return turned.getvalue()


@pytest.fixture(scope="module")
def sheets(laid_out, planned):
    """The finished files of a card in a form of file, and their plan; of each form and sheet once."""

    def make(form="PNG", trim=TRIM, files=None, kind="png", sheet=FOR_ONE):
        arts = []
        for side in Side:
            data = files[side] if files else saved_card(form, side is Side.BACK)
            page = 0 if kind == "pdf" else None
            arts.append(open_art(side, f"{side}.{kind}", "0" * 64, data, kind, page))
        faces, _ = prepare_faces(arts, CARD)
        layout = laid_out(sheet, trim, unprintable=Margins.all_round(Fraction(6)))
        plan = planned(layout, *faces, marks=True)
        return draw_sheets(plan), plan

    @functools.cache
    def of_pictures(form, sheet):
        return make(form, sheet=sheet)

    def made(form="PNG", files=None, kind="png", sheet=FOR_ONE):
        return make(files=files, kind=kind, sheet=sheet) if files else of_pictures(form, sheet)

    return made


def _shift(one, other):
    """By how many pixels one picture lies beside the other, across and down: the change that explains most of it."""
    one, other = (pixels.astype(float).mean(axis=2) for pixels in (one, other))
    down, across = np.gradient(other)
    slopes = np.stack([across.ravel(), down.ravel()], axis=1)
    return np.linalg.lstsq(slopes, (other - one).ravel(), rcond=None)[0]


# Letters and curves are smoothed once more, so they differ by more levels than pictures do. Pictures on a page are
# brought to whole pixels both times: each way they lay up to 0.15 off a rendering eight times as fine (measured).
OF_PAGES = {"levels": 4, "shift": 0.3}


def assert_pages_look_alike(small, large, levels=1.5, shift=0.15):
    for one, other in zip(small.pages(), large.pages(), strict=True):
        assert np.abs(one.pixels.astype(int) - other.pixels).mean() < levels
        assert np.abs(_shift(one.pixels, other.pixels)).max() < shift


@pytest.mark.parametrize("form", [form for form in FORMS if LONG or form not in DECODED_ALIKE])
def test_pages_and_card_look_as_pdfium_shows_the_large_pictures(sheets, form):
    files, plan = sheets(form)
    small, large = (SheetRenderer(files, plan, with_cards=True, once=once) for once in (True, False))
    assert_pages_look_alike(small, large)
    for one, other in zip(small.cards(), large.cards(), strict=True):  # shown as large as they are
        assert np.array_equal(one.pixels, other.pixels)


@pytest.mark.parametrize("form", [form for form in FORMS if LONG or form not in DECODED_ALIKE])
def test_pictures_too_large_to_unpack_whole_look_as_well(sheets, monkeypatch, taken, form):
    files, plan = sheets(form)
    monkeypatch.setattr(downscaled_art, "_LARGE_PX", 0)
    small, large = (SheetRenderer(files, plan, with_cards=True, once=once) for once in (True, False))
    assert_pages_look_alike(small, large)
    for one, other in zip(small.cards(), large.cards(), strict=True):
        assert np.abs(one.pixels.astype(int) - other.pixels).mean() < 1.5
    assert not taken


@pytest.mark.parametrize("lies_on_side", [False, True])
def test_pages_of_pdf_art_look_as_pdfium_draws_them_at_each_place(sheets, lies_on_side):
    pages = {side: drawn_page(side is Side.BACK, lies_on_side=lies_on_side) for side in Side}
    files, plan = sheets(files=pages, kind="pdf", sheet=A4)
    assert len(files[0].arts) == 2
    small, large = (SheetRenderer(files, plan, with_cards=True, once=once) for once in (True, False))
    assert_pages_look_alike(small, large, **OF_PAGES)
    for one, other in zip(small.cards(), large.cards(), strict=True):
        assert np.abs(one.pixels.astype(int) - other.pixels).mean() < 1.5
        assert np.abs(_shift(one.pixels, other.pixels)).max() < 0.15


def test_a_layer_of_pdf_art_that_is_switched_off_stays_off(sheets):
    """As in the file that is printed: a cutting die, say (ISO 32000-1 8.11.4.3)."""

    def layered(side):
        with pikepdf.open(io.BytesIO(drawn_page(side is Side.BACK))) as document:
            die = document.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=pikepdf.String("die")))
            shown = pikepdf.Dictionary(OFF=pikepdf.Array([die]))
            document.Root.OCProperties = pikepdf.Dictionary(OCGs=pikepdf.Array([die]), D=shown)
            page = document.pages[0]
            page.Resources.Properties = pikepdf.Dictionary(Die=die)
            page.contents_add(b"/OC /Die BDC 0 0.5 0 rg 0 0 900 900 re f EMC")
            saved = io.BytesIO()
            document.save(saved)
        return saved.getvalue()

    files, plan = sheets(files={side: layered(side) for side in Side}, kind="pdf", sheet=A4)
    small, large = (SheetRenderer(files, plan, once=once) for once in (True, False))
    assert_pages_look_alike(small, large, **OF_PAGES)


def test_a_page_of_pdf_art_is_drawn_once_however_many_cards_there_are(sheets, monkeypatch):
    drawn = []
    right = DownscaledArt._rendered
    monkeypatch.setattr(DownscaledArt, "_rendered", lambda *said: drawn.append(said) or right(*said))
    files, plan = sheets(files={side: drawn_page(side is Side.BACK) for side in Side}, kind="pdf", sheet=A5)
    renderer = SheetRenderer(files, plan, with_cards=True)
    assert (len(renderer.cards()), len(renderer.pages()), len(drawn)) == (2, 2, 2)


SHEETS_MM = {"letter": ("215.9", "279.4"), "A4": (210, 297), "13 x 19 in": ("330.2", "482.6"), "SRA2": (450, 640)}


@pytest.mark.parametrize("name", SHEETS_MM)
def test_the_preview_is_as_large_as_was_said_before_it_was_there(laid_out, planned, face_of, name):
    sheet = Size(*map(Fraction, SHEETS_MM[name]))
    front, back = (face_of(np.asarray(drawn_card(seed).resize((85, 55))), TRIM) for seed in (0, 1))
    plan = planned(laid_out(sheet, TRIM), front, back)
    said, picture = preview_px(plan), preview_picture(SheetRenderer(draw_sheets(plan), plan).pages())
    assert 0 <= picture.width - said[0] <= 2  # pdfium rounds up what is a hair over a whole pixel, too
    assert 0 <= picture.height - said[1] <= 1


@pytest.fixture
def taken(monkeypatch):
    """The numbers of the pictures that pdfium has been asked for."""
    right, asked = downscaled_art.pdfium.FPDFImageObj_GetBitmap, []

    def counting(found):
        asked.append(found)
        return right(found)

    monkeypatch.setattr(downscaled_art.pdfium, "FPDFImageObj_GetBitmap", counting)
    return asked


def test_each_picture_is_taken_once_however_many_cards_there_are(sheets, taken):
    files, plan = sheets(sheet=A5)
    assert plan.layout.up > 2
    sheets_seen = SheetRenderer(files, plan, with_cards=True)
    assert (len(sheets_seen.cards()), len(sheets_seen.pages())) == (2, 2)
    assert len(taken) == 2


def test_what_two_kinds_of_sheet_share_is_taken_once(sheets, taken):
    files, plan = sheets()
    (form,) = plan.forms
    turned = tuple(type(one)(front=one.back, back=one.front) for one in form.designs)
    two = replace(plan, forms=(form, replace(form, designs=turned)), copies=Copies.PAGES)
    assert len(SheetRenderer(draw_sheets(two), two).pages()) == 4
    assert len(taken) == 2


def test_a_picture_that_pdfium_does_not_give_is_shown_as_it_lies_in_the_file(sheets, monkeypatch):
    files, plan = sheets()
    large = SheetRenderer(files, plan, once=False).pages()
    monkeypatch.setattr(downscaled_art.pdfium, "FPDFImageObj_GetBitmap", lambda found: None)
    small = SheetRenderer(files, plan).pages()
    assert all(np.array_equal(one.pixels, other.pixels) for one, other in zip(small, large, strict=True))
