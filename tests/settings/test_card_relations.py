"""Sizes of cards and sheets that must fit each other."""

import pytest


def test_small_card_needs_a_smaller_safe_zone(faults_in, least):
    found = faults_in(least.replace('"5 x 7 in"', '"6 x 50 mm"'))

    assert found == ['cards.invitation.trim is "6 x 50 mm"; write a safe of less than 3 mm too; 3 mm leaves nothing']


def test_small_sheet_needs_a_smaller_rim(faults_in, least):
    found = faults_in(least.replace('size = "letter"', 'size = "12 x 80 mm"'))

    assert found == [
        'sheets.letter.size is "12 x 80 mm"; write a smaller unprintable too; nothing is left of 12 x 80 mm'
    ]


def test_card_that_does_not_fit_its_sheet_is_no_fault(faults_in, least):
    """`print-folder check` shows that; another sheet may be asked for by a ticket."""
    assert faults_in(least.replace('"5 x 7 in"', '"20 x 30 in"')) == []


@pytest.mark.parametrize("name", ["A1", "a2", "A6", "A7", "A6 landscape"])
@pytest.mark.parametrize("size", ["letter", "8.5 x 11 in", "13 x 19", "na_letter_8.5x11in"])
def test_bare_name_on_inch_paper_is_refused(faults_in, least, name, size):
    found = faults_in(least.replace('"5 x 7 in"', f'"{name}"').replace('size = "letter"', f'size = "{size}"'))

    assert len(found) == 1
    assert "on inch paper this may be ISO A" in found[0]


@pytest.mark.parametrize("name", ["A2", "A6", "A7"])
@pytest.mark.parametrize("size", ["A4", "SRA3", "450 x 640 mm"])
def test_bare_name_on_metric_paper_is_iso(load, least, name, size):
    settings = load(least.replace('"5 x 7 in"', f'"{name}"').replace('size = "letter"', f'size = "{size}"'))
    iso = load(least.replace('"5 x 7 in"', f'"ISO {name}"')).cards["invitation"]

    assert settings.cards["invitation"].trim == iso.trim
