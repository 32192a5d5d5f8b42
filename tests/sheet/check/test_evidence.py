"""The evidence of a wrong sheet."""

import io
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from PIL import Image

from watcher.layout.geometry import Size
from watcher.sheet.check.by_sight import WrongPlace
from watcher.sheet.check.evidence import evidence_of, suspect_place
from watcher.sheet.draw.plan import SheetPage
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.terms import Side

TRIM = Size(Fraction(40), Fraction(52))
FRONT = SheetPage(form=0, side=Side.FRONT)


@pytest.fixture
def plan(one_place, planned, face_of, colours):
    return planned(one_place(TRIM), face_of(colours(80, 104), TRIM))


def test_the_file_and_two_pictures_of_each_page_are_collected(plan):
    files = draw_sheets(plan)
    found = evidence_of(files, plan)
    assert files[0].pdf in found.values()
    pictures = [Image.open(io.BytesIO(data)) for name, data in found.items() if name.endswith(".png")]
    assert len(pictures) == 2
    # what is wanted is known in whole steps of three pixels
    assert all(abs(one - other) < 3 for one, other in zip(pictures[0].size, pictures[1].size, strict=True))


def test_of_a_file_that_cannot_be_rendered_there_is_the_file_alone(plan):
    broken = (replace(draw_sheets(plan)[0], pdf=b"%PDF-1.6 no more"),)
    assert list(evidence_of(broken, plan).values()) == [b"%PDF-1.6 no more"]


def test_a_wrong_place_is_shown_as_it_is_and_as_it_should_be(plan, planned, face_of):
    white = planned(plan.layout, face_of(np.full((104, 80, 3), 255, np.uint8), TRIM))
    found = suspect_place(draw_sheets(white), plan, WrongPlace(page=FRONT, place=1, fault="is missing"))
    assert (found.page, found.number) == (FRONT, 1)
    assert found.made.shape == found.wanted.shape
    assert found.made.min() > 250
    assert found.wanted.min() < 40
    left, top, right, bottom = found.box
    assert np.array_equal(found.sheet[top:bottom, left:right], found.made)


def test_a_place_on_a_file_that_cannot_be_rendered_is_not_shown(plan):
    broken = (replace(draw_sheets(plan)[0], pdf=b"no PDF"),)
    assert suspect_place(broken, plan, WrongPlace(page=FRONT, place=1, fault="is missing")) is None
