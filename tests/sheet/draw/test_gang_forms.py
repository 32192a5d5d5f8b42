"""Gang sheets on paper: every order's back lies behind its own front, and the sheet says whose each place is."""

import io
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pypdfium2
import pytest

from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.gang.plan import plan_gang
from watcher.layout.geometry import Size
from watcher.sheet.check.in_numbers import SheetWrong, read_back
from watcher.sheet.draw.gang_forms import GangCard, gang_forms, gang_places, show_places
from watcher.sheet.draw.plan import CardDesign
from watcher.sheet.draw.sheet_pdf import draw_sheets, small_print_findings
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import Backs, Duplex, Flip, Side

CARD = Size(Fraction(85), Fraction(55))
A4 = Size(Fraction(210), Fraction(297))
LYING = Size(A4.height, A4.width)
NAMES = ("lantern-walk", "tea", "north", "quince", "harbour")
PPI = 72
CORNER = 0.3  # of a card's side: the mark that tells its top left corner


def _pixels(number, side):
    """A card like no other: its own red, the side in green, and a white field in its top left corner."""
    pixels = np.empty((55, 85, 3), np.uint8)
    pixels[:] = (30 + 40 * number, 60 if side is Side.FRONT else 160, 90)
    pixels[: int(55 * CORNER), : int(85 * CORNER)] = 255
    return pixels


@pytest.fixture
def cards(face_of):
    def design(number):
        front, back = (face_of(_pixels(number, side), CARD, bleed=Fraction(0), side=side) for side in Side)
        return CardDesign(front=front, back=back)

    return [GangCard(name=name, design=design(number)) for number, name in enumerate(NAMES)]


@pytest.fixture
def gang(laid_out, planned, cards):
    """A run of five orders on at most two forms: the plan of its sheets."""

    def make(sheet=A4, flip=Flip.LONG_EDGE, backs=Backs.HEAD_TO_HEAD, wanted=(100, 60, 45, 20, 10), **said):
        layout = laid_out(sheet, CARD, flip=flip, backs=backs, bleed=Fraction(0), least_bleed=Fraction(0))
        plan = plan_gang(wanted, layout.up, 2)
        places = gang_places(layout, plan_cuts(layout), plan)
        forms = gang_forms(layout, plan, places, cards, spare_sheets=said.pop("spare_sheets", 0))
        return replace(planned(layout, cards[0].design.front, **said), forms=forms)

    return make


def _rendered(file, page):
    with pypdfium2.PdfDocument(io.BytesIO(file.pdf)) as document:
        drawn = document[page]
        image = np.array(drawn.render(scale=PPI / 72).to_pil().convert("RGB"))
        drawn.close()
    return image


def _flipped(back, sheet, flip):
    """What light through the paper shows of the back, by the axis the sheet turns about (worked out by hand)."""
    long_edge_stands = sheet.height >= sheet.width
    about_upright_axis = (flip is Flip.LONG_EDGE) is long_edge_stands
    return back[:, ::-1] if about_upright_axis else back[::-1]


def _colour(image, sheet, x, y):
    high, wide = image.shape[:2]
    return [int(value) for value in image[high - 1 - int(y / sheet.height * high), int(x / sheet.width * wide)]]


@pytest.mark.parametrize("backs", Backs)
@pytest.mark.parametrize("flip", Flip)
@pytest.mark.parametrize("sheet", [A4, LYING], ids=["portrait", "landscape"])
def test_each_back_lies_behind_its_own_front(gang, sheet, flip, backs):
    """The rendered back, flipped in software, shows at each place the back of the order whose front lies there."""
    plan = gang(sheet, flip, backs)
    files = draw_sheets(plan)
    read_back(files, plan)
    seen, unflipped = set(), set()
    for file in files:
        front, back = _rendered(file, 0), _rendered(file, 1)
        behind = _flipped(back, sheet, flip)
        for place in plan.layout.places:
            middle = place.front.trim.centre
            red, green, _ = _colour(front, sheet, middle.x, middle.y)
            red_behind, green_behind, _ = _colour(behind, sheet, middle.x, middle.y)
            assert red == red_behind
            assert (green, green_behind) in {(60, 160), (255, 255)}
            seen.add(red)
            unflipped.add(red == _colour(back, sheet, middle.x, middle.y)[0])
    assert seen >= {30, 70, 110, 150, 190}
    assert unflipped == {True, False}, "cards so alike that a back in the wrong place would not show"


@pytest.mark.parametrize("flip", Flip)
@pytest.mark.parametrize("sheet", [A4, LYING], ids=["portrait", "landscape"])
def test_head_to_toe_backs_stand_on_their_heads(gang, sheet, flip):
    """On the cut card seen through, a head-to-head back has its top left corner at the right, the other at the foot."""
    for backs, corner in ((Backs.HEAD_TO_HEAD, (1, 1)), (Backs.HEAD_TO_TOE, (-1, -1))):
        plan = gang(sheet, flip, backs)
        (file, *_) = draw_sheets(plan)
        behind = _flipped(_rendered(file, 1), sheet, flip)
        for place, design in zip(plan.layout.places, plan.forms[0].designs, strict=True):
            if design:
                middle, turn = place.front.trim.centre, np.radians(int(place.front.turn))
                across, up = 0.42 * 85 * corner[0], 0.42 * 55 * corner[1]
                x = float(middle.x) + across * np.cos(turn) - up * np.sin(turn)
                y = float(middle.y) + across * np.sin(turn) + up * np.cos(turn)
                assert _colour(behind, sheet, Fraction(x), Fraction(y)) == [255, 255, 255]


def test_orders_that_changed_places_on_the_back_are_found(gang, cards):
    """The back of another order behind a front is what the read-back check is there for."""
    plan = gang()
    form = max(plan.forms, key=lambda form: len(form.whose))
    one, other = (card.design for card in cards if card.name in [name for name, _ in form.whose[:2]])
    crossed = {id(one): replace(one, back=other.back), id(other): replace(other, back=one.back)}
    designs = tuple(crossed.get(id(design), design) for design in form.designs)
    plan, wrong = (replace(plan, forms=(kind,)) for kind in (form, replace(form, designs=designs)))
    with pytest.raises(SheetWrong, match="on the back page does not show"):
        read_back(draw_sheets(wrong), plan)


def test_every_order_has_its_cards(gang):
    """Sheets times places, counted from the forms that are printed."""
    plan = gang()
    printed = dict.fromkeys(NAMES, 0)
    for form in plan.forms:
        for name, _ in form.whose:
            places = next(places for owner, places in form.whose if owner == name)
            printed[name] += form.sheets * len(_numbers(places))
    assert all(printed[name] >= wanted for name, wanted in zip(NAMES, (100, 60, 45, 20, 10), strict=True))


def _numbers(places):
    found = []
    for part in places.split(", "):
        first, _, last = part.partition("\N{EN DASH}")
        found += range(int(first), int(last or first) + 1)
    return found


def test_the_places_named_are_the_places_drawn(gang, cards):
    by_name = {card.name: card.design for card in cards}
    for form in gang().forms:
        for name, places in form.whose:
            assert [form.designs[number - 1] for number in _numbers(places)] == [by_name[name]] * len(_numbers(places))


def test_spare_sheets_are_added_to_every_form(gang):
    assert [form.sheets for form in gang(spare_sheets=2).forms] == [form.sheets + 2 for form in gang().forms]


def test_the_sheet_says_which_run_it_is_and_whose_each_place_is(gang, pdf):
    plan = gang()
    small_print = SmallPrint(
        order="gang-1", card="visit", sheets=1, flip=Flip.LONG_EDGE, duplex=Duplex.AUTOMATIC, date="2026-03-04"
    )
    plan = replace(plan, small_print=small_print)
    assert small_print_findings(plan) == ()
    for number, file in enumerate(draw_sheets(plan)):
        with pypdfium2.PdfDocument(io.BytesIO(file.pdf)) as document:
            front, back = (_text(document, page) for page in (0, 1))
        assert "gang-1" in front
        assert "gang-1" in back
        for name, places in plan.forms[number].whose:
            assert f"{name}: {places}" in front.replace("\ufffe", "-")
        assert "row by row" not in back


def _text(document, number):
    page = document[number]
    words = page.get_textpage()
    said = " ".join(words.get_text_range().split())
    words.close()
    page.close()
    return said


@pytest.mark.parametrize(("places", "words"), [((7,), "7"), ((1, 2, 3, 9), "1\N{EN DASH}3, 9"), ((2, 4), "2, 4")])
def test_places_are_named_shortly(places, words):
    assert show_places(places) == words
