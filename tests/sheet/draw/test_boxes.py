"""The page boxes of a sheet."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Box, Size
from watcher.sheet.draw.boxes import page_boxes, rectangle


def test_all_boxes_are_the_paper_from_its_lower_left_corner():
    boxes = page_boxes(Size(Fraction(210), Fraction(297)))
    assert sorted(boxes) == ["/BleedBox", "/CropBox", "/MediaBox", "/TrimBox"]
    for box in boxes.values():
        assert [float(edge) for edge in box] == pytest.approx([0, 0, 595.2756, 841.8898], abs=1e-4)


def test_a_letter_sheet_is_612_by_792_points_exactly():
    box = page_boxes(Size(Fraction("215.9"), Fraction("279.4")))["/MediaBox"]
    assert [float(edge) for edge in box] == [0, 0, 612, 792]


def test_a_box_in_mm_is_a_rectangle_in_points():
    inch = Fraction("25.4")
    assert [float(edge) for edge in rectangle(Box(inch, inch / 2, 2 * inch, inch))] == [72, 36, 144, 72]
