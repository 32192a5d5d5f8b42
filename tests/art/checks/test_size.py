"""The checks of size: too few pixels, soft pictures on a page, a page much smaller than its card."""

from dataclasses import replace
from fractions import Fraction

import pytest

from watcher.art.checks.preflight import ORDINARY
from watcher.art.checks.size import resolution, small_page, soft_pictures
from watcher.art.fit import fit_art
from watcher.art.model import CardFace, PageFacts, PagePicture
from watcher.terms import Level


@pytest.fixture
def face_of(art_of, card):
    """A face of 5 x 7 in of so many pixels, or of a page of so many mm with pictures on it."""

    def make(width, height, *pictures, mm=False):
        art = art_of(width, height, mm=mm)
        if mm:
            art = replace(art, content=replace(art.content, facts=PageFacts(pictures=pictures)))
        return CardFace(art=art, fit=fit_art(art, card(shape_mismatch="crop"))[0])

    return make


def soft(ppi, share=1.0, fades=False):
    return PagePicture(width_px=400, height_px=560, ppi=Fraction(ppi), share=share, fades=fades)


@pytest.mark.parametrize(
    ("ppi", "level", "needed"), [(99, Level.HOLD, "100 ppi is needed"), (199, Level.WARN, "200 ppi is wanted")]
)
def test_too_few_pixels_are_held_below_one_limit_and_warned_of_below_the_other(face_of, card, ppi, level, needed):
    (finding,) = resolution(face_of(5 * ppi, 7 * ppi), card(hold_ppi=100, warn_ppi=200), ORDINARY)
    assert (finding.code, finding.level) == ("low-resolution", level)
    assert f"{ppi} ppi at 127 x 177.8 mm; {needed}. Export it at 1500 x 2100 px (300 ppi)." in finding.message


def test_art_that_covers_the_bleed_is_asked_for_with_the_bleed(face_of, card):
    """5 x 7 in and 0.125 in all round: 5.25 x 7.25 in, at 300 ppi 1575 x 2175 px."""
    (finding,) = resolution(face_of(525, 725), card(hold_ppi=100, warn_ppi=200), ORDINARY)
    assert " with bleed; 200 ppi is wanted. Export it at 1575 x 2175 px (300 ppi)." in finding.message


def test_just_enough_pixels_are_enough(face_of, card):
    assert not list(resolution(face_of(1000, 1400), card(hold_ppi=100, warn_ppi=200), ORDINARY))


@pytest.mark.parametrize(
    ("picture", "levels"),
    [
        (soft(50), [Level.HOLD]),
        (soft(50, share=0.5), [Level.WARN]),
        (soft(50, share=0.04), []),
        (soft(50, fades=True), []),
        (soft(200), []),
    ],
)
def test_a_soft_picture_counts_by_how_much_of_the_page_it_covers(face_of, card, picture, levels):
    face = face_of(127, "177.8", picture, mm=True)
    assert [one.level for one in soft_pictures(face, card(hold_ppi=100, warn_ppi=200), ORDINARY)] == levels


def test_a_page_that_is_enlarged_makes_its_pictures_softer_and_is_told(face_of, card):
    """2.5 x 3.5 in shown as 5 x 7 in: twice as large, so 300 ppi become 150."""
    face = face_of("63.5", "88.9", soft(300, share=0.5), mm=True)
    (finding,) = soft_pictures(face, card(hold_ppi=100, warn_ppi=200), ORDINARY)
    assert "at 150 ppi, on 50 % of the page" in finding.message
    (page,) = small_page(face, card(), ORDINARY)
    assert "enlarged 2.0 times to 127 x 177.8 mm" in page.message
    assert not list(small_page(face_of(127, "177.8", mm=True), card(), ORDINARY))


@pytest.mark.parametrize(
    ("ppi", "level", "needed"), [(100, Level.WARN, "200 ppi is wanted"), (99, Level.HOLD, "100 ppi")]
)
def test_a_soft_picture_of_just_the_limit_is_not_held(face_of, card, ppi, level, needed):
    face = face_of(127, "177.8", soft(ppi), mm=True)
    (finding,) = soft_pictures(face, card(hold_ppi=100, warn_ppi=200), ORDINARY)
    assert finding.level is level
    assert needed in finding.message


def test_a_soft_picture_is_asked_for_with_the_pixels_it_needs(face_of, card):
    """400 px at 50 ppi are 8 in wide; at 300 ppi that is 2400 px, and one more is surely enough."""
    face = face_of(127, "177.8", soft(90), soft(50, share=0.5), mm=True)
    (finding,) = soft_pictures(face, card(hold_ppi=100, warn_ppi=200), ORDINARY)
    assert "shows a picture of 400 x 560 px at 50 ppi, on 50 % of the page; 100 ppi is wanted." in finding.message
    assert finding.message.endswith("one of 2401 px across.")


@pytest.mark.parametrize(("width", "height", "is_told"), [("101.6", "142.24", False), ("101", "141.4", True)])
def test_a_page_is_small_where_it_is_enlarged_by_more_than_a_quarter(face_of, card, width, height, is_told):
    """127 mm are 1.25 times 101.6 mm."""
    assert bool(list(small_page(face_of(width, height, mm=True), card(), ORDINARY))) is is_told
