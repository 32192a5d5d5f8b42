"""Whole layouts: worked examples, and what must hold for every layout."""

import pickle
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.errors import NoCardFits
from watcher.layout.backs import box_behind, point_behind
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.printable import rim_of_back
from watcher.terms import Flip, Prefer, Turn
from watcher.units import Length

EXAMPLES = 400 if LONG else 8
A4 = Size(Fraction(210), Fraction(297))
BUSINESS_CARD = Size(Fraction(85), Fraction(55))


def _corner(box):
    return float(box.left), float(box.bottom)


def _places(layout):
    return {_corner(place.front.trim): (_corner(place.back.trim), place.back.turn) for place in layout.places}


def test_two_invitations_lie_turned_on_letter_and_their_backs_behind_them(make_request):
    """5 x 7 in 2-up on letter, turned on the long edge: common practice, no source."""
    layout = lay_out(make_request())
    assert [place.front.turn for place in layout.places] == [Turn.LEFT, Turn.LEFT]
    assert _places(layout) == {
        (19.05, 142.875): ((19.05, 142.875), Turn.RIGHT),
        (19.05, 9.525): ((19.05, 9.525), Turn.RIGHT),
    }


def test_turned_on_the_short_edge_the_two_backs_change_places(make_request):
    """Common practice, no source."""
    layout = lay_out(make_request(flip=Flip.SHORT_EDGE))
    assert _places(layout) == {
        (19.05, 142.875): ((19.05, 9.525), Turn.LEFT),
        (19.05, 9.525): ((19.05, 142.875), Turn.LEFT),
    }


def test_places_are_numbered_in_rows_from_the_top(make_request):
    layout = lay_out(make_request(sheet=A4, trim=Size(Fraction(80), Fraction(120))))
    corners = [_corner(place.front.trim) for place in layout.places]
    assert [place.number for place in layout.places] == [1, 2, 3, 4]
    assert corners == sorted(corners, key=lambda corner: (-corner[1], corner[0]))


def test_turned_cards_are_mixed_in_only_where_they_gain_one(make_request):
    wanted = {
        "sheet": A4,
        "trim": BUSINESS_CARD,
        "bleed": Fraction(0),
        "least_bleed": Fraction(0),
        "gutter": Fraction(0),
    }
    rim = Margins.all_round(Fraction(5))
    mixed = lay_out(make_request(**wanted, unprintable=rim))
    plain = lay_out(make_request(**wanted, unprintable=rim, mixed_turns=False))
    assert (mixed.up, mixed.mixed, plain.up, plain.mixed) == (11, True, 10, False)


@pytest.mark.parametrize(("wanted", "up"), [(10, 10), (11, 11), (20, 10), (21, 11), (22, 11), (23, 10), (30, 10)])
def test_fewest_cuts_takes_the_plain_grid_where_it_costs_no_sheet(make_request, wanted, up):
    """10 in a grid or 11 mixed: 23 cards are three sheets either way, 21 are three or two."""
    request = make_request(
        sheet=A4,
        trim=BUSINESS_CARD,
        bleed=Fraction(0),
        least_bleed=Fraction(0),
        gutter=Fraction(0),
        unprintable=Margins.all_round(Fraction(5)),
        prefer=Prefer.FEWEST_CUTS,
        cards_wanted=wanted,
    )
    assert lay_out(request).up == up


def test_unequal_rims_cost_no_card_and_push_nothing_into_the_rim(make_request):
    """Along the feed the block moves to the middle of what can be printed; across it stays on the sheet's centre."""
    rim = Margins(Fraction(3), Fraction(3), Fraction("12.7"), Fraction(3))
    layout = lay_out(make_request(unprintable=rim, unprintable_back=rim, least_bleed=Fraction(0)))
    outline = Box.around([place.front.trim for place in layout.places])
    assert layout.up == 2
    assert outline.centre.x == Fraction("107.95")
    assert outline.centre.y == (Fraction("12.7") + Fraction("276.4")) / 2


def test_the_same_request_is_solved_once(make_request):
    assert lay_out(make_request(cards_wanted=7)) is lay_out(make_request(cards_wanted=7))


def test_the_unit_in_which_a_request_was_written_never_shows_in_its_layout(make_request):
    """Requests that are equal share a layout, and a sheet's /ID is made from the size of the paper."""
    plain = make_request()
    inches = replace(
        plain,
        sheet=Size(Length(plain.sheet.width, "in"), Length(plain.sheet.height, "in")),
        trim=Size(Length(plain.trim.width, "in"), Length(plain.trim.height, "in")),
        bleed=Length(plain.bleed, "in"),
        unprintable=Margins.all_round(Length(plain.unprintable.top, "in")),
    )
    assert inches == plain
    lay_out.cache_clear()
    written = repr(lay_out(inches))
    lay_out.cache_clear()
    assert written == repr(lay_out(plain))


def test_no_room_is_told_with_need_room_and_the_sheet_that_would_do(make_request):
    request = make_request(trim=Size(Fraction("203.2"), Fraction(254)))
    with pytest.raises(NoCardFits) as told:
        lay_out(request)
    assert str(told.value) == (
        "Not one card fits: 203.2 x 254 mm needs 209.55 x 260.35 mm with its bleed, "
        "the printer can fill 203.2 x 266.7 mm of the 215.9 x 279.4 mm sheet. "
        "Use a sheet of at least 222.25 x 279.4 mm, or a smaller card."
    )
    assert str(pickle.loads(pickle.dumps(told.value))) == str(told.value)


def test_the_sheet_that_is_named_does_fit(make_request):
    card = {"trim": Size(Fraction("203.2"), Fraction(254))}
    assert lay_out(make_request(**card, sheet=Size(Fraction("222.25"), Fraction("279.4")))).up == 1


def test_a_card_a_hair_too_wide_is_told_with_numbers_that_differ(make_request):
    request = make_request(
        trim=Size(Fraction("203.2001"), Fraction("266.7")), least_bleed=Fraction(0), bleed=Fraction(0)
    )
    with pytest.raises(NoCardFits, match=r"needs 203\.2001 x 266\.7 mm, .* can fill 203\.2 x 266\.7 mm"):
        lay_out(request)


def _can_be_cut_apart(boxes, gutter):
    """Part the boxes by cuts right across, as a guillotine does, each along a lane at least the gutter wide.

    A part of what can be parted can be parted too, so the first lane found is as good as any.
    """
    if len(boxes) == 1:
        return True
    for low, high in (("left", "right"), ("bottom", "top")):
        ordered = sorted(boxes, key=lambda box: getattr(box, low))
        reach = getattr(ordered[0], high)
        for count, box in enumerate(ordered[1:], start=1):
            if getattr(box, low) - reach >= gutter:
                return _can_be_cut_apart(ordered[:count], gutter) and _can_be_cut_apart(ordered[count:], gutter)
            reach = max(reach, getattr(box, high))
    return False


def test_the_cutter_of_these_tests_refuses_a_pinwheel():
    pinwheel = [(0, 0, 30, 20), (30, 0, 50, 30), (20, 30, 50, 50), (0, 20, 20, 50)]
    assert not _can_be_cut_apart([Box(*(Fraction(edge) for edge in edges)) for edges in pinwheel], 0)


@pytest.fixture(scope="session")
def draw_layout(draw_request):
    def draw_one(data):
        request = draw_request(data)
        try:
            return request, lay_out(request)
        except NoCardFits:
            return assume(False)

    return draw_one


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_layout_can_be_cut_apart(draw_layout, data):
    request, layout = draw_layout(data)
    assert _can_be_cut_apart([place.front.trim for place in layout.places], request.gutter)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_trim_with_its_least_bleed_is_printable_on_both_faces(draw_layout, data):
    request, layout = draw_layout(data)
    page = Box(Fraction(0), Fraction(0), request.sheet.width, request.sheet.height)
    front, back = page.within(request.unprintable), page.within(rim_of_back(request))
    for place in layout.places:
        assert front.contains(place.front.trim.grown(request.least_bleed))
        assert place.back is None or back.contains(place.back.trim.grown(request.least_bleed))
        assert layout.printable.contains(place.front.trim.grown(request.least_bleed))


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_back_lies_behind_its_front(draw_layout, data):
    request, layout = draw_layout(data)
    for place in layout.places:
        assert (place.back is None) is not request.two_sided
        if place.back:
            assert place.back.trim.centre == point_behind(place.front.trim.centre, request.sheet, request.flip)
            assert place.back.trim.size == place.front.trim.size
            assert place.back.bleed_box == box_behind(place.front.bleed_box, request.sheet, request.flip)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_every_block_is_centred_on_the_sheet_where_the_flip_mirrors(draw_layout, data):
    """So the block of backs lies on the block of fronts."""
    request, layout = draw_layout(data)
    assume(request.two_sided)
    outline = Box.around([place.front.trim for place in layout.places])
    assert Box.around([place.back.trim for place in layout.places]) == outline


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_no_bleed_ever_lies_in_a_neighbours_trim_or_bleed(draw_layout, data):
    request, layout = draw_layout(data)
    faces = [place.front for place in layout.places]
    for number, face in enumerate(faces):
        assert face.trim.grown(request.bleed).contains(face.bleed_box)
        assert face.bleed_box.contains(face.trim)
        assert not any(face.bleed_box.overlaps(other.bleed_box) for other in faces[:number])


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.data())
def test_cards_are_whole_and_number_what_the_layout_says(draw_layout, data):
    request, layout = draw_layout(data)
    turned = [place.front.turn is Turn.LEFT for place in layout.places]
    assert all(place.front.trim.size == request.trim.turned(place.front.turn) for place in layout.places)
    assert layout.mixed is (any(turned) and not all(turned))
    assert request.mixed_turns or not layout.mixed
