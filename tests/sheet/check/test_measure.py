"""What a content stream draws, measured in millimetres."""

import pytest
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, StreamObject

from watcher.sheet.check.measure import corners_of, drawn_on, in_mm, numbers

INCH = 25.4


def stream(data=b"", **entries):
    made = StreamObject()
    made.set_data(data)
    made.update({NameObject(f"/{key}"): value for key, value in entries.items()})
    return made


def xobjects(**named):
    inside = DictionaryObject({NameObject(f"/{name}"): thing for name, thing in named.items()})
    return DictionaryObject({NameObject("/XObject"): inside})


def page(contents, **named):
    return DictionaryObject({NameObject("/Contents"): stream(contents), NameObject("/Resources"): xobjects(**named)})


IMAGE = stream(Subtype=NameObject("/Image"))
FORM = stream(
    Subtype=NameObject("/Form"),
    BBox=ArrayObject([FloatObject(value) for value in (0, 0, 72, 144)]),
    Matrix=ArrayObject([FloatObject(value) for value in (1, 0, 0, 1, 36, 0)]),
)


def test_an_image_fills_the_unit_square_of_its_matrix():
    (drawn,) = drawn_on(page(b"q 72 0 0 144 36 0 cm /I Do Q", I=IMAGE))
    corners = drawn.corners((0, 0, 1, 1))
    assert corners[0] == pytest.approx((INCH / 2, 0))
    assert corners[2] == pytest.approx((1.5 * INCH, 2 * INCH))


def test_matrices_add_up_and_are_given_back():
    first, second = drawn_on(page(b"q 2 0 0 2 0 0 cm q 1 0 0 1 36 0 cm /I Do Q /I Do Q", I=IMAGE))
    assert first.matrix.at(0, 0) == (72, 0)
    assert second.matrix.at(0, 0) == (0, 0)


def test_a_form_has_its_own_matrix_before_that_of_the_page():
    (drawn,) = drawn_on(page(b"q 0 1 -1 0 0 0 cm /F Do Q", F=FORM))
    assert drawn.form_corners()[0] == pytest.approx((0, INCH / 2))
    assert drawn.form_corners()[2] == pytest.approx((-2 * INCH, 1.5 * INCH))


def test_a_box_is_given_in_mm_in_the_axes_of_a_form():
    (drawn,) = drawn_on(page(b"1 0 0 1 72 0 cm /F Do", F=FORM))
    assert drawn.corners((0, 0, 10, 20))[2] == pytest.approx((INCH + 10, 20))


def test_a_page_without_contents_is_no_page():
    with pytest.raises(TypeError):
        drawn_on(DictionaryObject({NameObject("/Contents"): DictionaryObject()}))


def test_corners_go_round_from_the_lower_left():
    assert corners_of((1, 2, 3, 4)) == [(1, 2), (3, 2), (3, 4), (1, 4)]
    assert in_mm([72]) == pytest.approx([INCH])
    assert numbers("no array") == []
