"""Cards with bare edges up to the edge of the sheet: the everyday layouts, and what must hold for every one."""

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.errors import NoCardFits
from watcher.layout.backs import box_behind
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Margins, Point, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import plan_marks
from watcher.layout.marks.slug import place_slug
from watcher.layout.model import WhiteEdges
from watcher.layout.printable import printable_on_front, rim_of_back, whole_page
from watcher.layout.register.alignment import Correction
from watcher.layout.register.corrected import bleed_left
from watcher.layout.white_edges import inked_part, missing_white, turned_margins
from watcher.terms import Flip, Turn

EXAMPLES = 500 if LONG else 7
A4, A6 = Size(Fraction(210), Fraction(297)), Size(Fraction(105), Fraction(148))
QUARTER = Size(Fraction("107.95"), Fraction("139.7"))
RIM = Fraction("6.35")


def bare(width, back=None):
    return WhiteEdges(front=Margins.all_round(Fraction(width)), back=Margins.all_round(Fraction(back or width)))


@pytest.fixture
def no_bleed(make_request):
    """A request for cards without bleed and without lanes between them."""

    def make(**changes):
        return make_request(**({"bleed": Fraction(0), "least_bleed": Fraction(0), "gutter": Fraction(0)} | changes))

    return make


@pytest.mark.parametrize("flip", list(Flip))
def test_four_quarter_sheets_on_letter_take_two_cuts(no_bleed, flip):
    """The commonest note card, 4.25 x 5.5 in: the sheet is halved each way. Common practice, no source."""
    layout = lay_out(no_bleed(trim=QUARTER, flip=flip, bare=bare(RIM)))
    assert (layout.up, layout.in_rim, layout.waste) == (4, True, 0)
    assert len(plan_cuts(layout).strokes) == 2


def test_the_papers_own_edge_wants_no_mark_and_lines_in_the_rim_get_none(no_bleed):
    """On A4 the left edge of the cards is that of the paper; what is left of two cards of 102 mm is cut off at 204."""
    trim = Size(Fraction(102), Fraction(148))
    plan = plan_marks(lay_out(no_bleed(sheet=A4, trim=trim, unprintable=Margins.all_round(Fraction(8)), bare=bare(8))))
    assert (True, Fraction(0)) not in plan.unmarked
    assert (True, Fraction(204)) in plan.unmarked
    assert all(8 <= mark.box.left <= mark.box.right <= 202 for mark in plan.marks)


def test_no_edge_of_the_paper_itself_wants_a_mark(no_bleed):
    """Four A6 on A4 reach the left, the right and the upper edge of the paper, where it ends by itself."""
    unmarked = plan_marks(lay_out(no_bleed(sheet=A4, trim=A6, bare=bare(RIM)))).unmarked
    assert not {(True, Fraction(0)), (True, A4.width), (False, A4.height)} & set(unmarked)


@pytest.mark.parametrize("flip", list(Flip))
def test_four_a6_on_a4_take_two_cuts_each_way_at_most(no_bleed, flip):
    """ISO 216: A6 is 105 x 148 mm, twice that is 1 mm less than A4 is high: it falls at one end, not at both."""
    layout = lay_out(no_bleed(sheet=A4, trim=A6, flip=flip, bare=bare(RIM)))
    strokes = plan_cuts(layout).strokes
    assert (layout.up, layout.in_rim) == (4, True)
    assert (sum(one.is_upright for one in strokes), sum(not one.is_upright for one in strokes)) == (1, 2)


def test_what_is_left_over_falls_at_the_foot_of_the_sheet(no_bleed):
    """Four A6 on A4 leave 1 mm; the cards lie against the top, so that one cut takes it off (our own choice)."""
    layout = lay_out(no_bleed(sheet=A4, trim=A6, bare=bare(RIM)))
    assert max(place.front.trim.top for place in layout.places) == A4.height
    assert min(place.front.trim.bottom for place in layout.places) == 1


def test_across_the_sheet_cards_that_fit_within_the_rims_stay_in_the_middle(no_bleed):
    """Two of 100 mm on 215.9 mm: the cards need the rims above and below alone, and lie 7.95 mm from either side."""
    trim = Size(Fraction(100), Fraction("139.7"))
    layout = lay_out(no_bleed(trim=trim, bare=bare(RIM)))
    trims = [place.front.trim for place in layout.places]
    assert (layout.up, layout.in_rim) == (4, True)
    assert (min(trim.left for trim in trims), max(trim.right for trim in trims)) == (
        Fraction("7.95"),
        Fraction("207.95"),
    )


def test_art_that_is_bare_for_just_the_rim_may_be_turned_as_it_fits(no_bleed):
    """Three cards of 60 x 90 mm on 150 x 150 mm: two side by side, one across. All turned one way there are two."""
    square, trim = Size(Fraction(150), Fraction(150)), Size(Fraction(60), Fraction(90))
    layout = lay_out(no_bleed(sheet=square, trim=trim, mixed_turns=True, bare=bare(RIM)))
    assert (layout.up, layout.in_rim) == (3, True)


def test_a_hair_too_little_on_one_side_takes_it_back(no_bleed):
    near = RIM - Fraction(1, 100)
    for front, back in ((near, RIM), (RIM, near)):
        layout = lay_out(no_bleed(trim=QUARTER, bare=bare(front, back)))
        assert (layout.up, layout.in_rim) == (2, False)


def test_without_a_gain_the_usual_layout_stays(make_request):
    """Two invitations fit inside the rim; bare edges change nothing."""
    assert lay_out(make_request(bare=bare(50))).places == lay_out(make_request()).places


def test_only_the_edges_that_meet_the_rim_must_be_bare(no_bleed):
    """One card across, full width: left and right reach into the rim, top and bottom do not."""
    trim = Size(Fraction("215.9"), Fraction(80))
    sides = Margins(top=Fraction(0), right=RIM, bottom=Fraction(0), left=RIM)
    layout = lay_out(no_bleed(trim=trim, bare=WhiteEdges(front=sides, back=sides)))
    assert (layout.up, layout.in_rim) == (3, True)
    assert {place.front.turn for place in layout.places} == {Turn.NONE}


def test_a_back_is_asked_at_the_edge_that_lies_behind(no_bleed):
    """Turned like a book page, the back's right edge lies behind the front's left."""
    front = Margins.all_round(Fraction(10))
    back = Margins(top=Fraction(10), right=Fraction(2), bottom=Fraction(10), left=Fraction(10))
    found = missing_white(no_bleed(trim=QUARTER), WhiteEdges(front=front, back=back), Turn.NONE)
    assert {edge for edge, lack in found.items() if lack > 0} == {"left"}
    found = missing_white(no_bleed(trim=QUARTER, flip=Flip.SHORT_EDGE), WhiteEdges(front=front, back=back), Turn.NONE)
    assert {edge for edge, lack in found.items() if lack > 0} == {"left"}  # turned by 180: right comes to the left


def test_a_quarter_to_the_left_brings_the_top_to_the_left():
    margins = Margins(top=Fraction(1), right=Fraction(2), bottom=Fraction(3), left=Fraction(4))
    assert turned_margins(margins, Turn.LEFT) == Margins(
        top=Fraction(2), right=Fraction(3), bottom=Fraction(4), left=Fraction(1)
    )
    assert turned_margins(turned_margins(margins, Turn.LEFT), Turn.RIGHT) == margins


def test_a_correction_that_pushes_ink_into_the_rim_is_seen(no_bleed):
    """6.85 mm are bare, 6.35 mm cannot be printed: half a millimetre may be moved, one may not."""
    request = no_bleed(trim=QUARTER, bare=bare(RIM + Fraction(1, 2)))
    layout = lay_out(request)
    for shift, left in ((Fraction(1, 2), 0), (Fraction(1), Fraction(-1, 2))):
        assert bleed_left(layout, Correction(shift=Point(shift, Fraction(0))), request) == left


@settings(max_examples=EXAMPLES)
@given(data=st.data())
def test_every_layout_that_reaches_into_the_rim_holds(data, draw_request, make_request):
    """On the sheet, apart, printable where inked, backs behind fronts, parted by a guillotine, marks off the cards."""
    usual = draw_request(data)
    widths = st.integers(0, 30).map(Fraction)
    sides = [Margins(*(data.draw(widths) for _ in range(4))) for _ in range(2)]
    if data.draw(st.integers(0, 3)):
        sides = [Margins.all_round(Fraction(30))] * 2
    measured = WhiteEdges(front=sides[0], back=sides[1] if usual.two_sided else None)
    request = type(usual)(**{**vars(usual), "bare": measured})
    try:
        layout = lay_out(request)
    except NoCardFits:
        assume(False)
    if layout.in_rim:
        _holds(layout, request, measured)


def _holds(layout, request, measured):
    page, fronts = whole_page(request.sheet), [place.front.trim for place in layout.places]
    printable = page.within(request.unprintable)
    for place in layout.places:
        assert page.contains(place.front.trim)
        assert printable.contains(inked_part(place.front.trim, measured.front, place.front.turn))
        if place.back is not None:
            assert place.back.trim == box_behind(place.front.trim, request.sheet, request.flip)
    for number, one in enumerate(fronts):
        for other in fronts[number + 1 :]:
            assert not one.grown(request.gutter / 2).overlaps(other.grown(request.gutter / 2))
    if request.two_sided:
        back = page.within(rim_of_back(request))
        assert all(
            back.contains(inked_part(place.back.trim, measured.back, place.back.turn)) for place in layout.places
        )
    assert sum(len(stroke.gives) for stroke in plan_cuts(layout).strokes) >= len(fronts) - 1
    marks = plan_marks(layout).marks
    area = printable_on_front(request)
    assert all(area.contains(mark.box) for mark in marks)
    assert not [mark for mark in marks for trim in fronts if trim.overlaps(mark.box)]
    slug = place_slug(layout, marks, Fraction(60), Fraction(3))
    assert slug is None or not [trim for trim in fronts if trim.overlaps(slug.box)]


@settings(max_examples=EXAMPLES)
@given(data=st.data())
def test_bare_edges_never_cost_a_card(data, draw_request):
    usual = draw_request(data)
    measured = WhiteEdges(front=Margins.all_round(Fraction(20)), back=Margins.all_round(Fraction(20)))
    try:
        within = lay_out(usual).up
    except NoCardFits:
        within = 0
    try:
        reached = lay_out(type(usual)(**{**vars(usual), "bare": measured})).up
    except NoCardFits:
        reached = 0
    assert reached >= within


def test_an_edge_box_of_a_card_that_is_wholly_bare_is_turned_inside_out():
    """A blank side has no ink anywhere; what is left of its box is never larger than the card."""
    trim = Box.at(Fraction(0), Fraction(0), Size(Fraction(20), Fraction(10)))
    assert inked_part(trim, Margins.all_round(Fraction(30)), Turn.NONE).width < 0


@pytest.mark.parametrize("two_sided", [True, False])
def test_one_wide_rim_of_four_decides_whether_cards_may_be_turned_any_way(no_bleed, two_sided):
    """Rims of 4, 4, 12 and 4 mm, art bare for 5 mm: wide enough for three of them, and no ink in the fourth."""
    rim = Margins(top=Fraction(4), right=Fraction(4), bottom=Fraction(12), left=Fraction(4))
    measured = WhiteEdges(
        front=Margins.all_round(Fraction(5)), back=Margins.all_round(Fraction(5)) if two_sided else None
    )
    flip = Flip.LONG_EDGE if two_sided else None
    for trim in (QUARTER, A6, Size(Fraction(50), Fraction(90))):
        request = no_bleed(trim=trim, unprintable=rim, two_sided=two_sided, flip=flip, bare=measured)
        _holds(lay_out(request), request, measured)
