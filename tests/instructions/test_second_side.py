"""Which back comes when, of a stack of different sheets that a person puts back in."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.instructions.an_order import FIVE_BY_SEVEN, two_up
from watcher.art.model import Art, CardFace, Fit, VectorPage
from watcher.instructions.second_side import Stack, second_side, stack_findings, stack_of
from watcher.layout.geometry import Box
from watcher.settings.printer import PrinterSettings
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan
from watcher.terms import Copies, Duplex, Flip, Level, MakeBleed, PageOrder, Side, Turn

FORWARDS, BACKWARDS = PageOrder.ONE_TO_N, PageOrder.N_TO_ONE
BOX = Box.at(Fraction(0), Fraction(0), FIVE_BY_SEVEN)
FACE = CardFace(
    art=Art(
        side=Side.BACK, file="x.pdf", sha256="", extent=FIVE_BY_SEVEN, width_px=None, height_px=None,
        content=VectorPage(pdf=b"", page=0, view=BOX, turn=Turn.NONE, unit=Fraction(1)),
    ),
    fit=Fit(box=BOX, bleed=Fraction(0), make_bleed=MakeBleed.NONE, ppi=None),
)  # fmt: skip
FORM = SheetForm(designs=(CardDesign(front=FACE, back=FACE), None), sheets=1)
ONE_SIDED = SheetForm(designs=(CardDesign(front=FACE), None), sheets=1)
PLAN = SheetPlan(layout=two_up(), marks=(), forms=(FORM, FORM), copies=Copies.PAGES, duplex=Duplex.MANUAL)


@pytest.mark.parametrize(
    ("order", "page", "pages", "first"),
    [(FORWARDS, 2, (2, 5), 2), (BACKWARDS, 4, (1, 4), 5), (None, 2, (2, 5), 2)],
)
def test_the_backs_lie_in_the_order_in_which_the_sheets_come(order, page, pages, first):
    stack = Stack(sheets=5, order=order)
    assert (stack.page_of(2), stack.pages_of(2, 5), stack.goes_in_first(2, 5)) == (page, pages, first)


def test_only_different_sheets_that_a_person_puts_back_are_a_stack():
    printer = PrinterSettings(name="office", flip=Flip.LONG_EDGE, backs_order=BACKWARDS)
    assert stack_of(printer, PLAN) == Stack(sheets=2, order=BACKWARDS)
    for change in ({"forms": (FORM,)}, {"duplex": Duplex.AUTOMATIC}, {"forms": (ONE_SIDED,) * 2}):
        assert stack_of(printer, replace(PLAN, **change)) is None


def test_an_order_that_is_not_known_is_warned_of():
    (finding,) = stack_findings(Stack(sheets=5, order=None))
    assert (finding.level, finding.code) == (Level.WARN, "backs-order-unknown")
    assert finding.message.startswith("The 5 sheets of this order differ")
    assert stack_findings(Stack(sheets=5, order=FORWARDS)) == stack_findings(None) == ()


@pytest.mark.parametrize(
    ("reload", "order", "sheets", "said"),
    [
        ("Face down. ", BACKWARDS, 5, "Face down; sheet 5 goes in first"),
        ("", FORWARDS, 5, "sheet 1 goes in first"),
        ("Face down", BACKWARDS, 1, "Face down"),
        ("", None, 5, ""),
    ],
)
def test_how_a_stack_goes_back_in_is_said_as_far_as_it_is_known(reload, order, sheets, said):
    assert second_side(reload, order, sheets) == said
