"""What a file for a press says of its press and of itself."""

import pytest

from watcher.sheet.draw.pdfx import condition_of, shown_title


@pytest.mark.parametrize(
    ("name", "condition"),
    [("Coated FOGRA39 (ISO 12647-2:2004)", "FOGRA39"), ("Our own press, 2024", "Custom"), ("", "Custom")],
)
def test_a_registered_condition_is_found_in_the_name_of_the_profile(name, condition):
    assert condition_of(name) == condition


@pytest.mark.parametrize(
    ("title", "shown"),
    [("menu & drinks", "menu & drinks"), ("menu\x00\x07", "menu"), ("\x00", "sheets"), ("", "sheets")],
)
def test_a_title_has_no_sign_that_xml_could_not_hold(title, shown):
    assert shown_title(title) == shown
