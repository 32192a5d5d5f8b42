"""The check by sight: silent over sheets as they should be, never silent over a writer's fault that shows.

The truth is known because everything is drawn here. Measured beside this, over 134 other designs (those of
tests/art/test_designs.py) in nine forms of file, with made and brought bleed and four corrections: see DEVELOPERS.md.
"""

import io
import itertools
import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image, ImageDraw, ImageFont

from tests.long_form import LONG
from tests.ready import prepare_faces
from watcher.art.decode import open_art
from watcher.layout.geometry import Box, Margins, Point, Size
from watcher.layout.register.alignment import Correction
from watcher.settings.card import CardSettings
from watcher.sheet.check.by_sight import LooksWrong, check_by_sight, wrong_places
from watcher.sheet.check.render import SheetRenderer
from watcher.sheet.draw import sheet_pdf as draw
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.sheet.matrix import moved, scaled, turned
from watcher.terms import MakeBleed, Side, Turn
from watcher.units import mm_to_points, points_to_mm

A5 = Size(Fraction(148), Fraction(210))
FOR_ONE = Size(Fraction(120), Fraction(90))  # with room for one card of 85 x 55 mm
CARDS = {"85 x 55 mm": (85, 55), "105 x 148 mm": (105, 148), "60 x 60 mm": (60, 60)}
PPI = 110
CORRECTIONS = (
    None,
    Correction(shift=Point(Fraction("0.7"), Fraction("-0.5"))),
    Correction(shift=Point(Fraction("-0.4"), Fraction("0.3")), turn_degrees=0.13, scale_x=1.0012, scale_y=0.9988),
)


class Sketch:
    """A card drawn in millimetres from the upper left of its bleed."""

    def __init__(self, size, ground, bleed):
        self.width, self.height = size[0] + 2 * bleed, size[1] + 2 * bleed
        self.k = PPI / 25.4
        self.image = Image.new("RGB", (round(self.width * self.k), round(self.height * self.k)), ground)
        self.pen = ImageDraw.Draw(self.image)

    def box(self, left, top, right, bottom, fill):
        """A block given in parts of the width and height."""
        across, down = self.width * self.k, self.height * self.k
        self.pen.rectangle([left * across, top * down, right * across, bottom * down], fill=fill)
        return self

    def words(self, text, fill="black", size=6):
        font = ImageFont.load_default(size * self.k)
        place = self.width * self.k * 0.45, self.height * self.k * 0.35
        self.pen.text(place, text, fill=fill, font=font, anchor="mm")
        return self

    def pixels(self, function):
        down, across = np.mgrid[0 : self.image.height, 0 : self.image.width] / self.k
        self.image = Image.fromarray(np.clip(function(across, down), 0, 255).astype(np.uint8))
        self.pen = ImageDraw.Draw(self.image)
        return self


def stack(*layers):
    return np.stack(layers, -1)


def noise(seed):
    def make(across, down):
        small = np.random.default_rng(seed).random((9, 9, 3)) * 255
        size = across.shape[1], across.shape[0]
        return np.asarray(Image.fromarray(small.astype(np.uint8)).resize(size, Image.Resampling.BICUBIC))

    return make


# One way of drawing each, for a size, a bleed and a side's number: front and back differ as a shop's do.
DESIGNS = {
    "type on white": lambda size, bleed, n: Sketch(size, "white", bleed).words("Lantern"[n:]),
    "type on navy": lambda size, bleed, n: Sketch(size, "#203050", bleed).words("Evening"[n:], "white"),
    "small pale type": lambda size, bleed, n: Sketch(size, "#fafafa", bleed).words("menu", "#c0c0c0", 2 + n),
    "a block at the edge": lambda size, bleed, n: Sketch(size, "white", bleed).box(0, 0, 0.3 + n / 5, 0.7, "#b03030"),
    "a border": lambda size, bleed, n: Sketch(size, "#804020", bleed).box(0.12, 0.1, 0.88, 0.9 - n / 9, "#fff8f0"),
    "blank back": lambda size, bleed, n: Sketch(size, "white", bleed).words("" if n else "Ada", size=9),
    "gradient": lambda size, bleed, n: Sketch(size, "white", bleed).pixels(
        lambda x, y: stack(60 + x, 250 - y, 90 + y + n * x / 3)
    ),
    "photo": lambda size, bleed, n: Sketch(size, "white", bleed).pixels(noise(n)).words("Thanks", "white"),
    "stripes": lambda size, bleed, n: Sketch(size, "white", bleed).pixels(
        lambda x, y: stack(*[np.where((x + n * y) // 4 % 2, 240, 90)] * 3)
    ),
    "fine lines": lambda size, bleed, n: Sketch(size, "white", bleed).pixels(
        lambda x, y: stack(*[np.where((y + n * x) % 1.1 < 0.3, 60, 255)] * 3)
    ),
    "rings": lambda size, bleed, n: Sketch(size, "white", bleed).pixels(
        lambda x, y: stack(*[128 + 110 * np.sin(np.hypot(x - 9 * n, y) / 2)] * 3)
    ),
    "the same on both": lambda size, bleed, n: Sketch(size, "#d0e0d0", bleed).box(0.1, 0.1, 0.4, 0.6, "#206040"),
}
STRONG = ("type on navy", "a block at the edge", "photo", "rings")


def _rotated(image):
    exif = Image.Exif()
    exif[274] = 6  # shown turned a quarter clockwise (Exif 2.32, tag Orientation)
    return image.rotate(90, expand=True), {"format": "JPEG", "quality": 90, "exif": exif}


FORMS = {
    "PNG": lambda image: (image, {"format": "PNG"}),
    "JPEG": lambda image: (image, {"format": "JPEG", "quality": 88}),
    "turned JPEG": _rotated,
    "CMYK JPEG": lambda image: (image.convert("CMYK"), {"format": "JPEG", "quality": 90}),
    "grey PNG": lambda image: (image.convert("L"), {"format": "PNG"}),
    "palette PNG": lambda image: (image.convert("P", palette=Image.Palette.ADAPTIVE, colors=40), {"format": "PNG"}),
    "CMYK TIFF": lambda image: (image.convert("CMYK"), {"format": "TIFF", "compression": "tiff_lzw"}),
    "WebP": lambda image: (image, {"format": "WEBP", "quality": 85}),
    "PDF": lambda image: (image, {"format": "PDF", "resolution": PPI}),
}


@pytest.fixture(autouse=True)
def places_drawn_anew(monkeypatch):
    """What the writer keeps of a layout would hide the faults that are made here."""
    monkeypatch.setattr(draw, "_places", draw._places.__wrapped__)


@pytest.fixture
def plan_of(laid_out, planned):
    """The plan of a design as it would be made: saved, opened, fitted, laid out."""

    def make(
        design, form="PNG", card="85 x 55 mm", *, sheet=FOR_ONE, bleed=3, correction=None, make_bleed=MakeBleed.MIRROR
    ):
        size = CARDS[card]
        trim = Size(*map(Fraction, size))
        settings = CardSettings(
            name="c", trim=f"{size[0]} x {size[1]} mm", bleed="3 mm", sheet="s", warn_ppi=60, hold_ppi=40,
            make_bleed=make_bleed, art_bleed=f"{bleed} mm",
        )  # fmt: skip
        arts = []
        for side in Side:
            image, said = FORMS[form](DESIGNS[design](size, bleed, side is Side.BACK).image)
            saved = io.BytesIO()
            image.save(saved, **said)
            kind = "pdf" if form == "PDF" else "png"  # the bytes decide which picture format it is
            arts.append(
                open_art(side, f"{side}.{kind}", "0" * 64, saved.getvalue(), kind, 0 if form == "PDF" else None)
            )
        faces, _ = prepare_faces(arts, settings)
        layout = laid_out(sheet, trim, unprintable=Margins.all_round(Fraction(6)))
        return planned(layout, *faces, marks=True, correction=correction)

    return make


def looked_at(plan):
    files = draw_sheets(plan)
    check_by_sight(SheetRenderer(files, plan).pages(), files=files, plan=plan)


def _cases():
    """Every design in every form of file when there is time; else every design, and every form, a few times."""
    every = list(itertools.product(DESIGNS, FORMS))
    for number, (design, form) in enumerate(every):
        if LONG or number % 7 == 0:  # 7 shares no factor with the 12 designs and 9 forms: each has its turn
            card = list(CARDS)[number % 3]
            yield design, form, card, number % 2 * 3, CORRECTIONS[number % 3], list(MakeBleed)[number // 2 % 3]


@pytest.mark.parametrize(("design", "form", "card", "bleed", "correction", "make_bleed"), list(_cases()))
def test_a_sheet_as_it_should_be_raises_no_alarm(plan_of, design, form, card, bleed, correction, make_bleed):
    looked_at(plan_of(design, form, card, sheet=A5, bleed=bleed, correction=correction, make_bleed=make_bleed))


@pytest.mark.parametrize("size", [(4, 3), (7, 13), (16, 16), (32, 32)])
def test_art_of_a_few_pixels_raises_no_alarm(one_place, face_of, planned, size):
    """Blown up, each renderer blends such pixels in its own way; the public suites are full of them."""
    trim = Size(Fraction(size[0] * 4), Fraction(size[1] * 4))
    layout = one_place(trim, sheet=trim.grown(Fraction(20)), x=20, y=20)
    pixels = np.random.default_rng(5).choice(np.array([0, 90, 255], np.uint8), (size[1], size[0], 3))
    looked_at(planned(layout, face_of(pixels, trim)))


def test_a_light_line_of_pixels_that_runs_out_from_dark_art_raises_no_alarm(one_place, face_of, planned):
    """A line of 600 ppi, 0.04 mm, makes all the bleed at its side white; no average of the art shows it."""
    trim, bleed = Size(Fraction(24), Fraction(16)), Fraction(3)
    pixels = np.full((378, 567, 3), 60, np.uint8)
    pixels[:, 0] = 255
    box = Box.at(Fraction(0), Fraction(0), trim)
    face = face_of(pixels, trim, bleed=bleed, box=box, make_bleed=MakeBleed.EXTEND)
    looked_at(planned(one_place(trim, bleed=bleed, sheet=trim.grown(Fraction(10))), face))


def test_hairlines_in_a_pdf_raise_no_alarm(laid_out, planned, face_of, opened):
    """Drawn as one pixel at least, so a coarser rendering shows more of them: `check_by_sight` looks closer."""
    document, saved = pikepdf.new(), io.BytesIO()
    page = document.add_blank_page(page_size=(340, 220))
    lines = [f"{x} 20 m {x + 60} 200 l S" for x in range(20, 260, 7)]
    page.Contents = document.make_stream("\n".join(["0.1 w", *lines]).encode())
    document.save(saved)
    trim = Size(points_to_mm(Fraction(340)), points_to_mm(Fraction(220)))
    layout = laid_out(A5, trim, two_sided=False, flip=None, bleed=Fraction(0), least_bleed=Fraction(0))
    plan = planned(layout, face_of(opened(saved.getvalue(), "pdf", page=0), trim))
    assert wrong_places(SheetRenderer(draw_sheets(plan), plan, once=False).pages(), plan)
    looked_at(plan)


FAULTS = {
    "1 mm to the right": moved(mm_to_points(Fraction(1)), Fraction(0)),
    "1 mm down": moved(Fraction(0), -mm_to_points(Fraction(1))),
    "mirrored": scaled(Fraction(-1), Fraction(1)),
    "upside down mirrored": scaled(Fraction(1), Fraction(-1)),
    "on its head": turned(Turn.HALF),
}


def _written_wrong():
    """Every second of each design with each fault, and a PDF, which is compared at three resolutions, with two of them.

    All of them in the long form.
    """
    designs = zip(STRONG, CORRECTIONS[:1] * 2 + CORRECTIONS[1:], strict=True)
    for number, ((design, correction), fault) in enumerate(itertools.product(designs, FAULTS)):
        if LONG or number % 2 == 0:
            yield design, "PNG", correction, fault
    yield from (("photo", "PDF", CORRECTIONS[0], fault) for fault in (FAULTS if LONG else ["1 mm down", "mirrored"]))


@pytest.mark.parametrize(("design", "form", "correction", "fault"), list(_written_wrong()))
def test_a_fault_of_the_writer_is_seen(plan_of, monkeypatch, design, form, correction, fault):
    right = draw.turned_into

    def wrong(box, turn):
        size = box.size.turned(turn)
        x, y = mm_to_points(size.width) / 2, mm_to_points(size.height) / 2
        return moved(-x, -y).then(FAULTS[fault]).then(moved(x, y)).then(right(box, turn))

    plan = plan_of(design, form, correction=correction)
    monkeypatch.setattr(draw, "turned_into", wrong)
    with pytest.raises(LooksWrong):
        looked_at(plan)


@pytest.mark.parametrize("design", ["type on white", "type on navy", "photo", "gradient", "blank back"])
def test_swapped_sides_are_seen(plan_of, design):
    plan = plan_of(design)
    (form,) = plan.forms
    swapped = [type(one)(front=one.back, back=one.front) for one in form.designs]
    wrong = type(form)(designs=tuple(swapped), sheets=form.sheets)
    files = draw_sheets(type(plan)(**{**vars(plan), "forms": (wrong,)}))
    with pytest.raises(LooksWrong, match="shows the (back|front)|is missing|does not show its art"):
        check_by_sight(SheetRenderer(files, plan).pages(), files=files, plan=plan)


def test_swapped_sides_are_told_on_both_pages(plan_of):
    """The words differ on a fiftieth of the card."""
    plan = plan_of("type on white")
    (form,) = plan.forms
    swapped = [type(one)(front=one.back, back=one.front) for one in form.designs]
    files = draw_sheets(replace(plan, forms=(replace(form, designs=tuple(swapped)),)))
    with pytest.raises(LooksWrong) as found:
        check_by_sight(SheetRenderer(files, plan).pages(), files=files, plan=plan)
    faults = [str(one) for one in found.value.places]
    assert faults == ["card 1 on the front page shows the back", "card 1 on the back page shows the front"]


@pytest.mark.parametrize("edge", range(4))
def test_a_card_clipped_by_one_millimetre_is_seen(plan_of, monkeypatch, edge):
    """Pale too: the ground is 48 of 255 levels off white."""
    plan = plan_of("the same on both")
    right = draw.clip_to

    def clipped(box):
        edges = [box.left, box.bottom, box.right, box.top]
        edges[edge] += Fraction(4) if edge < 2 else -Fraction(4)  # 3 mm of bleed, 1 mm of card
        return right(Box(*edges))

    monkeypatch.setattr(draw, "clip_to", clipped)
    with pytest.raises(LooksWrong):
        looked_at(plan)


def test_a_third_of_a_millimetre_is_left_to_the_check_in_numbers(plan_of, monkeypatch):
    """The limit of what is seen at the resolution of the preview; in_numbers.py finds it to 0.01 mm."""
    plan = plan_of("photo")
    right = draw.turned_into
    off = moved(mm_to_points(Fraction(1, 3)), Fraction(0))
    monkeypatch.setattr(draw, "turned_into", lambda box, turn: right(box, turn).then(off))
    looked_at(plan)


def test_the_rendering_of_a_corrected_back_lies_as_the_paper_will(plan_of):
    """A correction of 1 degree shows in the file; the picture of the page is upright again."""
    plan = plan_of("a block at the edge", correction=Correction(turn_degrees=1.0))
    plain = plan_of("a block at the edge")
    one, other = (SheetRenderer(draw_sheets(p), p).pages()[1].pixels.astype(int) for p in (plan, plain))
    inner = np.s_[60:-60, 60:-60]
    assert np.mean(np.abs(one[inner] - other[inner]).max(axis=2) > 60) < 0.01
    assert math.isclose(one.shape[0] / one.shape[1], 90 / 120, rel_tol=0.01)
