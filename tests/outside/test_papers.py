"""Standard sizes against the standards that define them; the source stands beside each value."""

import re
from fractions import Fraction

import pytest
from reportlab.lib import pagesizes
from reportlab.lib.units import mm

from watcher.layout.geometry import Size
from watcher.settings.papers import PAPERS, ambiguous_on_inch_paper, find_paper
from watcher.settings.values import parse_length, parse_size
from watcher.units import mm_to_points

ISO_216 = {
    "A0": (841, 1189),
    "A1": (594, 841),
    "A2": (420, 594),
    "A3": (297, 420),
    "A4": (210, 297),
    "A5": (148, 210),
    "A6": (105, 148),
    "A7": (74, 105),
    "B4": (250, 353),
    "B5": (176, 250),
    "B6": (125, 176),
}  # ISO 216, as in PWG 5101.1 (iso_a4_210x297mm ...); A0 to A2 from memory
ISO_217 = {
    "RA4": (215, 305),
    "RA3": (305, 430),
    "RA2": (430, 610),
    "SRA4": (225, 320),
    "SRA3": (320, 450),
    "SRA2": (450, 640),
}  # ISO 217, as in PWG 5101.1 (iso_sra3_320x450mm ...)
ISO_269 = {"C5": (162, 229), "C6": (114, 162), "DL": (110, 220)}  # ISO 269, as in PWG 5101.1 (iso_c6_114x162mm ...)
METRIC = ISO_216 | ISO_217 | ISO_269

INCH = {
    "letter": ("8.5", "11"),  # PWG 5101.1 na_letter_8.5x11in; ANSI/ASME Y14.1 A (from memory)
    "legal": ("8.5", "14"),  # PWG 5101.1 na_legal_8.5x14in
    "tabloid": ("11", "17"),  # PWG 5101.1 na_ledger_11x17in; ANSI/ASME Y14.1 B (from memory)
    "12 x 18": ("12", "18"),  # PWG 5101.1 na_arch-b_12x18in
    "13 x 19": ("13", "19"),  # PWG 5101.1 na_super-b_13x19in
    "half letter": ("5.5", "8.5"),  # PWG 5101.1 na_invoice_5.5x8.5in
    "A2 envelope": ("4.375", "5.75"),  # PWG 5101.1 na_a2_4.375x5.75in
    "A1 envelope": ("3.625", "5.125"),  # envelope makers' pages (winenfood.com, ebaprinting.com), so are the next
    "A6 envelope": ("4.75", "6.5"),
    "A7 envelope": ("5.25", "7.25"),
    "A9 envelope": ("5.75", "8.75"),
    "A2 note card": ("4.25", "5.5"),  # the same pages
    "A6 note card": ("4.5", "6.25"),  # from memory; pages differ
    "A7 note card": ("5", "7"),  # PWG 5101.1 na_5x7_5x7in
    "US business card": ("3.5", "2"),  # PWG 5101.1 oe_business-card_2x3.5in, as it is read
    "US postcard": ("4", "6"),  # PWG 5101.1 na_index-4x6_4x6in
}


@pytest.mark.parametrize(("name", "sides"), METRIC.items())
def test_metric_sizes_are_those_of_the_standard(name, sides):
    assert find_paper(name) == Size(Fraction(sides[0]), Fraction(sides[1]))


@pytest.mark.parametrize(("name", "sides"), INCH.items())
def test_inch_sizes_are_exact_multiples_of_25_4(name, sides):
    """1 in = 25.4 mm exactly (international inch, 1959)."""
    width, height = (Fraction(side) * Fraction("25.4") for side in sides)

    assert find_paper(name) == Size(width, height)


def test_id_1_card_keeps_its_millimetres():
    """ISO/IEC 7810: 85.60 x 53.98 mm; its inch values are roundings (3.370 in = 85.598 mm) and never used."""
    assert find_paper("ID-1") == Size(Fraction("85.60"), Fraction("53.98"))


def test_dl_card_is_a_third_of_a4():
    """99 x 210 mm (shropshireprinting.co.uk); common practice, no standard."""
    assert find_paper("DL card") == Size(Fraction(99), Fraction(210))


def test_european_business_card():
    """PWG 5101.1 om_business-card_55x85mm, as it is read."""
    assert find_paper("EU business card") == Size(Fraction(85), Fraction(55))


@pytest.mark.parametrize("paper", [paper for paper in PAPERS if paper.pwg], ids=lambda paper: paper.pwg)
def test_size_is_what_its_pwg_name_says(paper):
    """PWG 5101.1: a media name ends in its own size, width x height; cards that are read lying are turned."""
    tail = re.fullmatch(r"[a-z]+_[a-z0-9-]+_([0-9.]+)x([0-9.]+)(mm|in)", paper.pwg)
    unit = {"mm": Fraction(1), "in": Fraction("25.4")}[tail[3]]
    named = sorted((Fraction(tail[1]) * unit, Fraction(tail[2]) * unit))

    assert sorted((paper.size.width, paper.size.height)) == named
    assert paper.inches == (tail[3] == "in")


def test_pwg_names_used_are_those_of_the_standard():
    """A selection of names as they are carried in PWG 5101.1."""
    names = {paper.pwg for paper in PAPERS}

    assert {"iso_a4_210x297mm", "iso_b4_250x353mm", "iso_ra3_305x430mm", "iso_sra3_320x450mm"} <= names
    assert {"iso_c6_114x162mm", "iso_dl_110x220mm", "om_business-card_55x85mm"} <= names
    assert {"na_letter_8.5x11in", "na_ledger_11x17in", "na_arch-b_12x18in", "na_super-b_13x19in"} <= names


@pytest.mark.parametrize("name", [f"{series}{number}" for series in "ABC" for number in range(11)])
def test_iso_series_agree_with_another_table(name):
    """Reference library: reportlab.lib.pagesizes, whose ISO series is in whole millimetres."""
    size = find_paper(name)

    assert (size.width, size.height) == tuple(round(side / mm) for side in getattr(pagesizes, name))


@pytest.mark.parametrize("series", ["A", "B", "C"])
def test_each_iso_size_is_the_one_before_folded_in_half(series):
    """ISO 216 3.1 (from memory): the halved long side, rounded down to whole mm, is the next short side."""
    sizes = [find_paper(f"{series}{number}") for number in range(11)]
    for larger, smaller in zip(sizes, sizes[1:], strict=False):
        assert smaller.height == larger.width
        assert abs(smaller.width - larger.height / 2) <= 1


@pytest.mark.parametrize(
    ("name", "width_pt", "height_pt"),
    [
        ("A4", 595.275591, 841.889764),
        ("ISO A6", 297.637795, 419.527559),
        ("letter", 612, 792),
        ("13 x 19", 936, 1368),
        ("SRA3", 907.086614, 1275.590551),
        ("85 x 55 mm", 240.944882, 155.905512),
        ("half letter", 396, 612),  # one library's table has 396 x 576, which is 8 in
    ],
)
def test_sizes_in_points(name, width_pt, height_pt):
    """Worked out from 1 in = 25.4 mm = 72 pt; whole-point tables are up to 0.3 pt off."""
    size = parse_size(name)

    assert float(mm_to_points(size.width)) == pytest.approx(width_pt, abs=5e-7)
    assert float(mm_to_points(size.height)) == pytest.approx(height_pt, abs=5e-7)


@pytest.mark.parametrize(
    ("text", "points"), [("3 mm", 8.503937), ("5 mm", 14.173228), ("0.125 in", 9), ("0.25 in", 18), ("6.35 mm", 18)]
)
def test_lengths_in_points(text, points):
    """Worked out from 1 in = 25.4 mm = 72 pt."""
    assert float(mm_to_points(parse_length(text))) == pytest.approx(points, abs=5e-7)


def test_a_point_is_the_pdf_point():
    """ISO 32000-1 8.3.2.3: 1/72 in, not the 1/72.27 in of TeX."""
    assert parse_length("72 pt") == parse_length("1 in") == Fraction("25.4")


@pytest.mark.parametrize(
    ("name", "iso", "card", "write"),
    [
        ("A1", "594 x 841 mm", "88.9 x 123.825 mm", "3.5 x 4.875 in"),  # card from memory
        ("A2", "420 x 594 mm", "107.95 x 139.7 mm", "4.25 x 5.5 in"),
        ("A6", "105 x 148 mm", "114.3 x 158.75 mm", "4.5 x 6.25 in"),
        ("A7", "74 x 105 mm", "127 x 177.8 mm", "5 x 7 in"),
    ],
)
def test_bare_name_gives_both_sizes(name, iso, card, write):
    """ISO 216, and the card for the envelope of that name (makers' pages), in exact mm."""
    way_out = ambiguous_on_inch_paper(name)

    assert iso in way_out
    assert card in way_out
    assert f'write "ISO {name}" or "{write}"' in way_out
    assert parse_size(write) == find_paper(f"{name} note card")


@pytest.mark.parametrize("name", ["A3", "A4", "A5", "ISO A6", "A6 envelope", "A7 note card", "letter", "5 x 7 in"])
def test_other_names_mean_one_thing(name):
    assert ambiguous_on_inch_paper(name) is None
