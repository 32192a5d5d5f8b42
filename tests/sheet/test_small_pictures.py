"""The sheets drawn with small pictures look as those that are printed, and hold far less."""

from fractions import Fraction

import numpy as np
import pytest
from PIL import Image

from watcher.layout.geometry import Size
from watcher.sheet.draw import draw_sheets
from watcher.sheet.render import render_sheets
from watcher.sheet.small_pictures import with_small_pictures

TRIM = Size(Fraction(127), Fraction(178))
LETTER = Size(Fraction("215.9"), Fraction("279.4"))
LEVELS = 4  # of 255: what two ways to scale the same picture differ by over blocks of 8 px (our own measurement)


@pytest.fixture
def plan_of(colours, saved, opened, face_of, laid_out, planned):
    """A plan of two cards whose art is a picture of 2000 px, the front stored on its side (EXIF orientation 6)."""

    def make(kind="PNG", mode="RGB"):
        exif = Image.Exif()
        exif[0x0112] = 6
        ending = {"PNG": "png", "JPEG": "jpg"}[kind]
        front = Image.fromarray(colours(2000, 1427)).convert(mode)
        back = Image.fromarray(colours(1427, 2000, seed=3)).convert(mode)
        arts = (opened(saved(front, kind, exif=exif), ending), opened(saved(back, kind), ending))
        layout = laid_out(LETTER, TRIM)
        return planned(layout, *(face_of(art, TRIM, bleed=Fraction(3)) for art in arts), marks=True)

    return make


def blocks(pixels):
    return np.asarray(Image.fromarray(pixels).reduce(8), np.int16)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_the_sheets_look_the_same(plan_of, kind):
    """Oracle: pdfium's rendering of the sheets that are printed."""
    plan = plan_of(kind)
    printed = render_sheets(draw_sheets(plan), plan)
    small = render_sheets(draw_sheets(with_small_pictures(plan)), plan)
    for one, other in zip((*printed.pages, *printed.cards), (*small.pages, *small.cards), strict=True):
        assert np.abs(blocks(one.pixels) - blocks(other.pixels)).mean() < LEVELS


def test_no_picture_is_larger_than_the_checks_need(plan_of, pdf):
    (file,) = draw_sheets(with_small_pictures(plan_of()))
    images = [found for found in pdf(file.pdf).objects if getattr(found, "Subtype", None) == "/Image"]
    assert images
    assert all(max(int(image.Width), int(image.Height)) < 1600 for image in images)


def test_pictures_in_four_inks_stay_as_they_are(plan_of):
    """Their colours are the renderer's to tell."""
    plan = plan_of("JPEG", "CMYK")
    assert with_small_pictures(plan) == plan
