"""The pages for sheets that orders share: whose place is which, and how to sort."""

import io
from dataclasses import replace
from fractions import Fraction

import pypdfium2
from reportlab.pdfgen.canvas import Canvas

from tests.instructions.an_order import FACTS, changed
from tests.instructions.said import page_texts
from watcher.instructions.finishing import Finishing
from watcher.instructions.gang_section import GangFacts, GangOrder
from watcher.instructions.gang_sketch import GangDrawing
from watcher.instructions.page import write_instructions
from watcher.instructions.printing import PrintJob
from watcher.instructions.sheet_sketch import RIM
from watcher.instructions.style import BOLD, SANS, register_fonts
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.gang.plan import plan_gang
from watcher.layout.geometry import Box, Margins, Size
from watcher.layout.model import Face, Layout, Place
from watcher.orders.wishes import Wishes
from watcher.settings.amounts import Pile
from watcher.sheet.draw.gang_forms import gang_places
from watcher.terms import CutterKind, Flip, Turn

CARD = Size(Fraction(85), Fraction(55))
A4 = Size(Fraction(210), Fraction(297))
NAMES = ("lantern-walk", "tea & co", "north")


def _layout():
    """Two columns of five on A4, turned about for the fun of it in the second column."""
    trims = [
        (Box.at(Fraction(15 + column * 95), Fraction(233 - row * 57), CARD), Turn.HALF if column else Turn.NONE)
        for row in range(5)
        for column in range(2)
    ]
    faces = [Face(trim=trim, bleed_box=trim, turn=turn) for trim, turn in trims]
    return Layout(
        sheet=A4,
        trim=CARD,
        bleed=Fraction(0),
        places=tuple(Place(number=number, front=face, back=face) for number, face in enumerate(faces, start=1)),
        printable=Box.at(Fraction(0), Fraction(0), A4).within(Margins.all_round(Fraction(5))),
        flip=Flip.LONG_EDGE,
        cut_lines=14,
        mixed=False,
    )


def _facts(wanted=(100, 60, 20), forms=1, **changes):
    layout = _layout()
    cuts, plan = plan_cuts(layout), plan_gang(wanted, layout.up, forms)
    orders = tuple(
        GangOrder(name=name, wishes=Wishes(quantity=cards)) for name, cards in zip(NAMES, wanted, strict=True)
    )
    gang = GangFacts(orders=orders, plan=plan, places=gang_places(layout, cuts, plan), **changes)
    finishing = Finishing(
        plan=cuts,
        lead=None,
        cutter=CutterKind.GUILLOTINE,
        pile=Pile(height=Fraction(40)),
        thickness=None,
        folded=CARD,
        fold=None,
        corner=Fraction(0),
        envelope=None,
    )
    jobs = [PrintJob(files=(f"layout-{at}_sheets.pdf",), sheets=form.sheets) for at, form in enumerate(plan.forms, 1)]
    return changed(
        FACTS,
        order="gang-1",
        cards="visit",
        date="2026-03-04",
        quantity=sum(wanted),
        base_sheets=plan.sheets,
        spare_sheets=0,
        up=layout.up,
        sheet_name="a4",
        paper="",
        files=("sheets.pdf",),
        layout=layout,
        finishing=finishing,
        jobs=tuple(jobs) if len(jobs) > 1 else (),
        gang=gang,
    )


def test_a_run_says_whose_each_place_is_on_a_page_of_its_own():
    facts = _facts()
    *before, page = page_texts(write_instructions(facts))
    assert "gang-1: whose cards" in page
    assert all("whose cards" not in words for words in before)
    for order, cards, owned in zip(NAMES, (100, 60, 20), facts.gang.places[0], strict=True):
        assert f"{order} {cards} {cards}" in page  # wanted and printed
        assert page.count(order) >= len(owned.places) + 2  # in the drawing, and in both tables


def test_the_pages_before_are_set_as_without_a_run():
    """The page of a run does not count when it is tried how much goes on one page."""
    facts = _facts()
    without = replace(facts, gang=None)
    assert len(page_texts(write_instructions(facts))) == len(page_texts(write_instructions(without))) + 1


def test_two_layouts_are_printed_and_cut_apart_from_each_other():
    facts = _facts(wanted=(1000, 60, 20), forms=2)
    text = " ".join(page_texts(write_instructions(facts)))
    first, second = facts.gang.plan.forms
    assert f"layout-1_sheets.pdf, {first.sheets} copies" in text
    assert "Print ONE sheet of layout-1_sheets.pdf." in text
    assert f"Then the same way layout-2_sheets.pdf: one sheet first, check it, then {second.sheets - 1} more" in text
    assert "Layout 2 of 2" in text
    assert "Cut each layout as a pile of its own" in text


def test_a_first_layout_of_one_sheet_is_not_called_the_whole_order():
    facts = _facts(wanted=(1000, 60, 20), forms=2)
    one, many = facts.printing.jobs
    text = " ".join(page_texts(write_instructions(changed(facts, jobs=(replace(one, sheets=1), many)))))
    assert "that was all of this file" in text
    assert "this order needs no more" not in text


def test_a_plan_that_is_not_proven_says_so():
    facts = _facts()
    less = replace(facts.gang.plan, lower_bound=facts.gang.plan.sheets - 3)
    unproven = replace(facts, gang=replace(facts.gang, plan=less))
    assert "takes fewer, by at most 3 sheets" in " ".join(page_texts(write_instructions(unproven)))
    assert "takes fewer" not in " ".join(page_texts(write_instructions(facts)))


def test_places_without_an_order_are_to_be_thrown_away():
    facts = _facts(wanted=(7, 7, 7))
    text = " ".join(page_texts(write_instructions(facts)))
    assert facts.gang.plan.blanks
    assert "Empty: place 10; throw it away." in text


def test_spare_sheets_are_counted_in():
    text = " ".join(page_texts(write_instructions(_facts(spare_sheets=1))))
    assert "lantern-walk 100 105" in text
    assert "21 sheets: which place is whose" in text


def test_each_name_is_drawn_at_the_places_of_its_order():
    """Read back by pdfium: where on the page the letters stand, against the layout's own millimetres."""
    register_fonts()
    layout, owned = _layout(), _facts().gang.places[0]
    drawing = GangDrawing(layout, owned, NAMES, (400.0, 500.0), (SANS, BOLD))
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(drawing.width, drawing.height))
    drawing.drawOn(canvas, 0, 0)
    canvas.save()
    found = {name: set() for name in NAMES}
    with pypdfium2.PdfDocument(out.getvalue()) as document:
        words = document[0].get_textpage()
        for name in NAMES:
            search = words.search(name)
            while hit := search.get_next():
                left, bottom, right, top = words.get_charbox(hit[0] + hit[1] // 2)
                x, y = ((left + right) / 2 - RIM) / drawing.scale, ((bottom + top) / 2 - RIM) / drawing.scale
                found[name] |= {
                    place.number
                    for place in layout.places
                    if place.front.trim.left < x < place.front.trim.right
                    and place.front.trim.bottom < y < place.front.trim.top
                }
    assert found == {NAMES[one.order]: set(one.places) for one in owned}


def test_a_long_name_is_shortened_to_its_place():
    names = ("w" * 200, "tea", "north")
    facts = _facts()
    orders = tuple(replace(order, name=name) for order, name in zip(facts.gang.orders, names, strict=True))
    text = " ".join(page_texts(write_instructions(replace(facts, gang=replace(facts.gang, orders=orders)))))
    assert "w\N{HORIZONTAL ELLIPSIS}" in text


def test_the_same_run_makes_the_same_bytes():
    assert write_instructions(_facts()) == write_instructions(_facts())
