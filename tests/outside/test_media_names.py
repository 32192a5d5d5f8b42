"""Names of papers as print software reads them: CUPS' own table and parser (libcups 2, `pwgMediaForPWG`).

The form of the names is that of PWG 5101.1-2013 section 5; the sizes there are hundredths of a millimetre.
"""

import ctypes
import ctypes.util
from fractions import Fraction

import pytest

from watcher.layout.geometry import Size
from watcher.settings.papers import PAPERS, media_name
from watcher.units import inches_to_mm


class _Media(ctypes.Structure):
    _fields_ = [
        ("pwg", ctypes.c_char_p),
        ("legacy", ctypes.c_char_p),
        ("ppd", ctypes.c_char_p),
        ("width", ctypes.c_int),
        ("length", ctypes.c_int),
    ]


@pytest.fixture(scope="module")
def read_name():
    """The size of a name in hundredths of a millimetre, as CUPS reads it."""
    found = ctypes.util.find_library("cups")
    if found is None:
        pytest.skip("libcups is not installed")
    library = ctypes.CDLL(found)
    library.pwgMediaForPWG.restype = ctypes.POINTER(_Media)

    def read(name: str) -> tuple[int, int] | None:
        media = library.pwgMediaForPWG(name.encode())
        return (media.contents.width, media.contents.length) if media else None

    return read


def _hundredths(size: Size) -> tuple[float, float]:
    short, long = sorted((size.width, size.height))
    return float(100 * short), float(100 * long)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_cups_reads_every_size_that_we_know_to_a_hundredth_of_a_millimetre(read_name, paper):
    for size in (paper.size, Size(paper.size.height, paper.size.width)):
        assert read_name(media_name(size)) == pytest.approx(_hundredths(size), abs=1)


@pytest.mark.parametrize(
    ("size", "name"),
    [
        (Size(Fraction(305), Fraction(457)), "custom_305x457mm_305x457mm"),
        (Size(Fraction(457), Fraction(305)), "custom_305x457mm_305x457mm"),
        (Size(inches_to_mm(Fraction(9)), inches_to_mm(Fraction("12.5"))), "custom_9x12.5in_9x12.5in"),
        (Size(Fraction("100.25"), Fraction(150)), "custom_100.25x150mm_100.25x150mm"),
    ],
)
def test_other_sizes_are_custom_and_read_too(read_name, size, name):
    assert media_name(size) == name
    assert read_name(name) == pytest.approx(_hundredths(size), abs=1)


@pytest.mark.parametrize(
    ("size", "name"),
    [
        (("215.9", "279.4"), "na_letter_8.5x11in"),
        (("279.4", "215.9"), "na_letter_8.5x11in"),
        (("210", "297"), "iso_a4_210x297mm"),
        (("320", "450"), "iso_sra3_320x450mm"),
        (("330.2", "482.6"), "na_super-b_13x19in"),
    ],
)
def test_sizes_that_pwg_5101_1_names_have_its_name(size, name):
    """PWG 5101.1-2013 tables 1 to 4."""
    assert media_name(Size(*map(Fraction, size))) == name
