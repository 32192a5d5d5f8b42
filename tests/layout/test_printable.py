"""Rims of both faces, seen from the front; figures worked out by hand."""

from fractions import Fraction

import pytest

from watcher.errors import NoCardFits
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.printable import printable_on_front, rim_of_back, trim_area
from watcher.terms import Duplex, Feed, Flip

UNEQUAL = Margins(Fraction(3), Fraction(4), Fraction(13), Fraction(5))  # top, right, bottom, left
A4 = Size(Fraction(210), Fraction(297))
A4_LANDSCAPE = Size(Fraction(297), Fraction(210))
SQUARE = Size(Fraction(200), Fraction(200))
NO_RIM = Margins.all_round(Fraction(0))


def _edges(box: Box) -> tuple[Fraction, ...]:
    return box.left, box.bottom, box.right, box.top


def _margins(margins: Margins) -> tuple[Fraction, ...]:
    return margins.top, margins.right, margins.bottom, margins.left


def test_a_one_sided_sheet_has_the_rim_of_its_front(make_request):
    request = make_request(sheet=A4, unprintable=UNEQUAL, two_sided=False, flip=None)
    assert _edges(printable_on_front(request)) == (5, 13, 206, 294)


def test_the_rim_of_a_hand_fed_back_changes_sides_seen_from_the_front(make_request):
    request = make_request(sheet=A4, unprintable=UNEQUAL, duplex=Duplex.MANUAL)
    assert _edges(printable_on_front(request)) == (5, 13, 205, 294)


def test_the_rim_of_a_back_that_was_set_counts_as_set(make_request):
    request = make_request(sheet=A4, unprintable=NO_RIM, unprintable_back=UNEQUAL)
    assert _edges(printable_on_front(request)) == (4, 13, 205, 294)


def test_a_back_turned_on_the_short_edge_changes_top_and_bottom(make_request):
    request = make_request(sheet=A4, unprintable=NO_RIM, unprintable_back=UNEQUAL, flip=Flip.SHORT_EDGE)
    assert _edges(printable_on_front(request)) == (5, 3, 206, 284)


@pytest.mark.parametrize(
    ("sheet", "feed", "rim"),
    [
        (A4, Feed.SHORT_EDGE, (13, 4, 13, 5)),
        (A4, Feed.LONG_EDGE, (3, 5, 13, 5)),
        (A4_LANDSCAPE, Feed.SHORT_EDGE, (3, 5, 13, 5)),
        (A4_LANDSCAPE, Feed.LONG_EDGE, (13, 4, 13, 5)),
        (SQUARE, Feed.SHORT_EDGE, (13, 4, 13, 5)),
    ],
)
def test_automatic_duplex_gives_both_ends_along_the_feed_the_worse_rim(make_request, sheet, feed, rim):
    """The second pass runs tail first (common practice, no source)."""
    request = make_request(sheet=sheet, unprintable=UNEQUAL, feed=feed)
    assert _margins(rim_of_back(request)) == rim


def test_the_strip_is_printable_less_the_least_bleed_when_one_sided(make_request):
    request = make_request(sheet=A4, unprintable=UNEQUAL, least_bleed=Fraction(2), two_sided=False, flip=None)
    assert _edges(trim_area(request)) == (7, 15, 204, 292)


@pytest.mark.parametrize(("flip", "edges"), [(Flip.LONG_EDGE, (7, 15, 203, 292)), (Flip.SHORT_EDGE, (7, 15, 204, 282))])
def test_the_strip_is_equal_about_the_centre_where_the_flip_mirrors(make_request, flip, edges):
    request = make_request(
        sheet=A4,
        unprintable=UNEQUAL,
        unprintable_back=NO_RIM,
        least_bleed=Fraction(2),
        flip=flip,
    )
    assert _edges(trim_area(request)) == edges


def test_rims_that_leave_no_paper_are_told(make_request):
    with pytest.raises(NoCardFits, match=r"leaves nothing of the 210 x 297 mm sheet"):
        trim_area(make_request(sheet=A4, unprintable=Margins.all_round(Fraction(105))))
