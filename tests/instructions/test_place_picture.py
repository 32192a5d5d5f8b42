"""The picture of a place that was found wrong: the page with the place ringed, what is there, what should be there."""

import io

import numpy as np
from PIL import Image

from watcher.instructions.place_picture import place_png
from watcher.sheet.check.evidence import SuspectPlace
from watcher.sheet.draw.plan import SheetPage
from watcher.terms import Side

BLUE, RED, GREEN, RING = (40, 60, 160), (200, 0, 0), (0, 150, 0), (230, 0, 120)


def flat(width, height, colour):
    return np.full((height, width, 3), colour, np.uint8)


def picture(width=90, height=120, box=(20, 30, 60, 70)):
    place = SuspectPlace(
        page=SheetPage(form=0, side=Side.BACK),
        number=3,
        sheet=flat(width, height, BLUE),
        box=box,
        made=flat(40, 30, RED),
        wanted=flat(40, 30, GREEN),
    )
    return np.asarray(Image.open(io.BytesIO(place_png(place))))


def columns_of(pixels, colour):
    found = np.flatnonzero((pixels == colour).all(axis=2).any(axis=0))
    return int(found.min()), int(found.max())


def test_the_page_the_place_and_what_is_wanted_stand_in_this_order():
    pixels = picture()
    page, made, wanted = (columns_of(pixels, colour) for colour in (BLUE, RED, GREEN))
    assert page[1] < made[0] < made[1] < wanted[0]
    assert made[1] - made[0] == wanted[1] - wanted[0] == 39


def test_the_place_is_ringed_and_itself_left_to_be_seen():
    pixels = picture()
    left, right = columns_of(pixels, RING)
    begin = columns_of(pixels, BLUE)[0]
    assert (left - begin, right - begin) == (15, 65)  # five pixels outside of the place
    rows = np.flatnonzero((pixels == BLUE).all(axis=2).any(axis=1))
    assert tuple(pixels[rows[0] + 50, begin + 40]) == BLUE


def test_the_ring_follows_a_page_that_is_shrunk():
    """1800 pixels become 900, so the ring goes round half of everything."""
    pixels = picture(1800, 200, (400, 60, 800, 160))
    begin, end = columns_of(pixels, BLUE)
    left, right = columns_of(pixels, RING)
    assert end - begin == 899
    assert (left - begin, right - begin) == (195, 405)
