"""Made bleed, measured on the rendered sheet: one pixel of the art is one pixel of the rendering (72 ppi)."""

import io
from fractions import Fraction

import numpy as np
import pikepdf
import pytest
from PIL import Image

from watcher.layout.geometry import Box, Size
from watcher.sheet.draw.bleed import REACH_MM, SEAM_MM, End, made_bleed, reflection, seam_underlay
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import MakeBleed, Turn
from watcher.units import mm_to_points, points_to_mm

WIDTH, HEIGHT, BLEED, EDGE = 60, 84, 9, 30
TRIM = Size(points_to_mm(Fraction(WIDTH)), points_to_mm(Fraction(HEIGHT)))
SHEET = Size(points_to_mm(Fraction(200)), points_to_mm(Fraction(300)))


@pytest.fixture
def shown(one_place, planned, face_of, render):
    """The card with its bleed, as pixels: the art at `box` (points, card axes; by default the trim)."""

    def make(art, make_bleed, box=None, turn=Turn.NONE, ppi=72):
        bleed, at = points_to_mm(Fraction(BLEED)), points_to_mm(Fraction(EDGE))
        placed = Box(*(points_to_mm(Fraction(value)) for value in box or (0, 0, WIDTH, HEIGHT)))
        face = face_of(art, TRIM, bleed=bleed, box=placed, make_bleed=make_bleed)
        layout = one_place(TRIM, sheet=SHEET, x=at, y=at, bleed=bleed, turn=turn)
        page = render(draw_sheets(planned(layout, face))[0].pdf, ppi=ppi)
        width, height = (HEIGHT, WIDTH) if turn.swaps_sides else (WIDTH, HEIGHT)
        dots = ppi // 72
        below, left = (EDGE - BLEED) * dots, (EDGE - BLEED) * dots
        tall, wide = (height + 2 * BLEED) * dots, (width + 2 * BLEED) * dots
        return page[page.shape[0] - below - tall : page.shape[0] - below, left : left + wide].astype(int)

    return make


def soft(height=HEIGHT, width=WIDTH) -> np.ndarray:
    """Art whose neighbouring pixels are alike, so that a shift by part of a pixel shows as little."""
    rows, columns = np.mgrid[0:height, 0:width]
    return np.stack([columns * 3, rows * 3 // 2, 255 - columns * 2], -1).astype(np.uint8)


@pytest.mark.parametrize("turn", [Turn.NONE, Turn.LEFT])
@pytest.mark.parametrize("make_bleed", list(MakeBleed))
def test_nothing_inside_the_trim_is_touched(shown, colours, make_bleed, turn):
    """Pixels as different from their neighbours as can be come through exactly, up to the very edge."""
    art = colours(WIDTH, HEIGHT)
    found = shown(art, make_bleed, turn=turn)[BLEED:-BLEED, BLEED:-BLEED]
    wanted = np.rot90(art, turn // 90).astype(int)
    assert np.abs(found - wanted)[1:-1, 1:-1].max() <= 1
    edges = np.abs(found - wanted)
    assert max(edges[0].max(), edges[-1].max(), edges[:, 0].max(), edges[:, -1].max()) <= 40


def test_mirrored_bleed_is_the_art_reflected_at_its_edges_and_corners(shown):
    """Against numpy's own reflection, `np.pad(mode="symmetric")`."""
    found = shown(soft(), MakeBleed.MIRROR)
    wanted = np.pad(soft(), ((BLEED, BLEED), (BLEED, BLEED), (0, 0)), mode="symmetric").astype(int)
    assert np.abs(found - wanted)[1:-1, 1:-1].max() <= 5


def test_extended_bleed_is_the_outermost_pixels_run_out(shown):
    """Against `np.pad(mode="edge")`."""
    found = shown(soft(), MakeBleed.EXTEND)
    wanted = np.pad(soft(), ((BLEED, BLEED), (BLEED, BLEED), (0, 0)), mode="edge").astype(int)
    assert np.abs(found - wanted)[1:-1, 1:-1].max() <= 5


def test_without_made_bleed_paper_shows(shown):
    found = shown(np.zeros((HEIGHT, WIDTH, 3), np.uint8), MakeBleed.NONE)
    assert (found[: BLEED - 1] == 255).all()
    assert (found[BLEED + 1 : -BLEED - 1, BLEED + 1 : -BLEED - 1] == 0).all()


@pytest.mark.parametrize("make_bleed", [MakeBleed.MIRROR, MakeBleed.EXTEND])
@pytest.mark.parametrize("ppi", [72, 216, 360])
def test_no_white_line_shows_between_art_and_made_bleed(shown, make_bleed, ppi):
    """Black art and black bleed: not one pixel within is lighter, at several resolutions."""
    found = shown(np.zeros((HEIGHT, WIDTH, 3), np.uint8), make_bleed, ppi=ppi)
    assert found[1:-1, 1:-1].max() == 0


def test_bleed_that_the_art_brings_in_part_is_made_up_from_its_own_edge(shown):
    """Art that reaches 4 points past the trim: 5 points are reflected at the art's edge, not at the trim's."""
    box = (-4, -4, WIDTH + 4, HEIGHT + 4)
    found = shown(soft(HEIGHT + 8, WIDTH + 8), MakeBleed.MIRROR, box=box)
    wanted = np.pad(soft(HEIGHT + 8, WIDTH + 8), ((5, 5), (5, 5), (0, 0)), mode="symmetric").astype(int)
    assert np.abs(found - wanted)[1:-1, 1:-1].max() <= 5


def test_padded_art_shows_paper_inside_the_trim_and_makes_bleed_only_where_it_reaches_the_edge(shown):
    """The art fills the width and leaves 12 points of the height free at each end."""
    found = shown(np.zeros((60, 60, 3), np.uint8), MakeBleed.MIRROR, box=(0, 12, WIDTH, HEIGHT - 12))
    assert (found[: BLEED + 11] == 255).all()
    assert (found[-BLEED - 11 :] == 255).all()
    assert (found[BLEED + 13 : -BLEED - 13, 1:-1] == 0).all()


def test_art_that_covers_the_bleed_needs_none_made(face_of, colours):
    face = face_of(colours(), TRIM, bleed=points_to_mm(Fraction(BLEED)))
    assert made_bleed(face.fit, TRIM) == ()


@pytest.mark.parametrize("make_bleed", [MakeBleed.MIRROR, MakeBleed.EXTEND])
def test_made_bleed_is_four_corners_then_four_sides(face_of, colours, make_bleed):
    box = Box.at(Fraction(0), Fraction(0), TRIM)
    face = face_of(colours(), TRIM, bleed=Fraction(3), box=box, make_bleed=make_bleed)
    is_side = [not (made.across and made.upwards) for made in made_bleed(face.fit, TRIM)]
    assert is_side == [False] * 4 + [True] * 4


@pytest.mark.parametrize("make_bleed", [MakeBleed.MIRROR, MakeBleed.EXTEND])
def test_made_bleed_covers_the_bleed_and_reaches_under_the_art(face_of, colours, make_bleed):
    """Readers that smooth edges show a light line where two pictures only touch (test_seam.py): they overlap."""
    box = Box.at(Fraction(0), Fraction(0), TRIM)
    fit = face_of(colours(), TRIM, bleed=Fraction(3), box=box, make_bleed=make_bleed).fit
    made = made_bleed(fit, TRIM)
    assert Box.around([*(piece.box for piece in made), box]) == box.grown(Fraction(3))
    for piece in made:
        shared = piece.box.meet(box)
        is_corner = piece.across and piece.upwards
        wanted = 2 * SEAM_MM if make_bleed is MakeBleed.MIRROR and not is_corner else REACH_MM
        assert min(shared.width, shared.height) == wanted


def test_a_reflection_ends_where_its_box_does(face_of, colours):
    box = Box.at(Fraction(0), Fraction(0), TRIM)
    fit = face_of(colours(), TRIM, bleed=Fraction(3), box=box).fit
    for made in made_bleed(fit, TRIM):
        copy = reflection(made, box)
        edges = [copy.a * mm_to_points(x) + copy.e for x in (box.left, box.right)]
        if made.across is End.LOW:
            assert max(edges) == mm_to_points(made.box.right)
        if made.across is End.HIGH:
            assert min(edges) == mm_to_points(made.box.left)


def test_below_reflected_bleed_a_band_of_the_art_lies_on_both_sides_of_its_edge(face_of, colours):
    box = Box.at(Fraction(0), Fraction(0), TRIM)
    fit = face_of(colours(), TRIM, bleed=Fraction(3), box=box).fit
    band = seam_underlay(fit, TRIM)
    assert (band.outer, band.inner) == (box.grown(REACH_MM), box.grown(-REACH_MM))
    assert band.larger.a * mm_to_points(box.left) + band.larger.e == mm_to_points(band.outer.left)
    assert band.larger.d * mm_to_points(box.top) + band.larger.f == mm_to_points(band.outer.top)


def test_the_band_is_there_only_where_bleed_is_reflected(face_of, colours):
    """Art that leaves paper free at its top and bottom is padded; what runs out needs no band."""
    box = Box(Fraction(0), Fraction(4), TRIM.width, TRIM.height - 4)
    band = seam_underlay(face_of(colours(), TRIM, bleed=Fraction(3), box=box).fit, TRIM)
    assert (band.outer.bottom, band.outer.top) == (band.inner.bottom, band.inner.top) == (box.bottom, box.top)
    assert (band.outer.left, band.inner.left) == (box.left - REACH_MM, box.left + REACH_MM)
    assert (
        seam_underlay(face_of(colours(), TRIM, bleed=Fraction(3), box=box, make_bleed=MakeBleed.EXTEND).fit, TRIM)
        is None
    )


def test_the_band_ends_with_the_bleed(face_of, colours):
    box = Box.at(Fraction(0), Fraction(0), TRIM)
    narrow = REACH_MM / 2
    band = seam_underlay(face_of(colours(), TRIM, bleed=narrow, box=box).fit, TRIM)
    assert band.outer == box.grown(narrow)


@pytest.mark.parametrize(
    ("mode", "format", "options"),
    [
        ("RGB", "JPEG", {"quality": 95}),
        ("L", "PNG", {}),
        ("CMYK", "TIFF", {}),
        ("CMYK", "JPEG", {"quality": 95}),
        ("I;16", "PNG", {}),
    ],
)
@pytest.mark.parametrize("orientation", [1, 7])
def test_edges_of_all_kinds_of_colour_run_out(shown, opened, saved, mode, format, options, orientation):
    """The made bleed has the colour that the sheet shows at the art's own edge, corners included; turned art too."""
    image = Image.fromarray(soft() if orientation == 1 else soft().transpose(1, 0, 2))
    if mode == "I;16":
        image = Image.fromarray(np.asarray(image.convert("L")).astype(np.uint16) * 257)
    else:
        image = image.convert(mode)
    exif = Image.Exif()
    exif[0x0112] = orientation if format != "TIFF" else 1
    if format == "TIFF" and orientation != 1:
        image = image.transpose(Image.Transpose.TRANSPOSE)
    art = opened(saved(image, format, exif=exif, **options), {"JPEG": "jpg", "TIFF": "tif"}.get(format, "png"))
    found = shown(art, MakeBleed.EXTEND)
    inner = found[BLEED + 1 : -BLEED - 1, BLEED + 1 : -BLEED - 1]
    wanted = np.pad(inner, ((BLEED + 1, BLEED + 1), (BLEED + 1, BLEED + 1), (0, 0)), mode="edge")
    outside = np.ones(found.shape[:2], bool)
    outside[BLEED:-BLEED, BLEED:-BLEED] = False
    outside[[0, -1]] = outside[:, [0, -1]] = False
    assert np.abs(found - wanted)[outside].max() <= 14  # one pixel further in is not quite the edge itself


def test_a_pdf_page_gets_bleed_too(shown, opened, face_of, one_place, planned, render):
    document = pikepdf.new()
    page = document.add_blank_page(page_size=(WIDTH, HEIGHT))
    page.Contents = document.make_stream(f"0 0.2 0.9 rg 0 0 {WIDTH} {HEIGHT} re f".encode())
    finished = io.BytesIO()
    document.save(finished)
    for make_bleed in (MakeBleed.MIRROR, MakeBleed.EXTEND):
        bleed, at = points_to_mm(Fraction(BLEED)), points_to_mm(Fraction(EDGE))
        art = opened(finished.getvalue(), "pdf")
        face = face_of(art, TRIM, bleed=bleed, box=Box.at(Fraction(0), Fraction(0), TRIM), make_bleed=make_bleed)
        sheet = one_place(TRIM, sheet=SHEET, x=at, y=at, bleed=bleed)
        shown_page = render(draw_sheets(planned(sheet, face))[0].pdf, ppi=72).astype(int)
        card = shown_page[
            300 - EDGE - HEIGHT - BLEED + 1 : 300 - EDGE + BLEED - 1, EDGE - BLEED + 1 : EDGE + WIDTH + BLEED - 1
        ]
        assert np.abs(card - [0, 51, 230]).max() <= 2
