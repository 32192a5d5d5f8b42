"""Sheets of several kinds: which design lies where, and in which files they go out."""

import io
import re
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pypdf
import pytest

from watcher.layout.geometry import Size
from watcher.sheet.check.in_numbers import SheetWrong, read_back
from watcher.sheet.check.render import SheetRenderer
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPage, planned_files, sheet_number
from watcher.sheet.draw.sheet_pdf import draw_sheets
from watcher.sheet.draw.small_print import SmallPrint, slug_words
from watcher.terms import Copies, Duplex, Flip, PageOrder, Side

TRIM = Size(Fraction(60), Fraction(40))
SHEET = Size(Fraction(210), Fraction(297))


@pytest.fixture
def designs(face_of):
    """Three cards of one colour each, another one on each back."""

    def face(level, side):
        return face_of(np.full((40, 60, 3), level, np.uint8), TRIM, side=side)

    return [CardDesign(front=face(20 * n, Side.FRONT), back=face(20 * n + 10, Side.BACK)) for n in (1, 2, 3)]


@pytest.fixture
def plan(laid_out, designs, planned):
    """Two kinds of sheet: on the first one all places but the last, which is bare; on the second one card alone."""
    layout = laid_out(SHEET, TRIM, bleed=Fraction(0), least_bleed=Fraction(0), gutter=Fraction(0))
    mixed = [designs[number % 2] for number in range(layout.up - 1)]
    forms = (SheetForm(designs=(*mixed, None), sheets=2), SheetForm(designs=(designs[2],) * layout.up, sheets=2))
    return replace(planned(layout, designs[0].front), forms=forms)


def with_counts(plan, *sheets):
    return replace(plan, forms=tuple(replace(form, sheets=n) for form, n in zip(plan.forms, sheets, strict=True)))


def test_kinds_printed_equally_often_share_a_file(plan, pdf):
    (file,) = draw_sheets(plan)
    assert file.suffix == "sheets"
    assert file.pages == tuple(SheetPage(form=form, side=side) for form in (0, 1) for side in Side)
    assert pdf(file.pdf).Root.ViewerPreferences.NumCopies == 2  # ISO 32000-1 table 150
    assert len(pdf(file.pdf).pages) == 4


@pytest.mark.parametrize(
    ("duplex", "names"),
    [
        (Duplex.AUTOMATIC, ["layout-1_sheets", "layout-2_sheets"]),
        (Duplex.MANUAL, ["layout-1_1-fronts", "layout-1_2-backs", "layout-2_1-fronts", "layout-2_2-backs"]),
    ],
)
def test_kinds_printed_a_different_number_of_times_have_a_file_each(plan, pdf, duplex, names):
    """A file says one number of copies for all of its pages."""
    plan = replace(with_counts(plan, 5, 3), duplex=duplex)
    files = draw_sheets(plan)
    assert [file.suffix for file in files] == names
    copies = {file.pages[0].form: pdf(file.pdf).Root.ViewerPreferences.NumCopies for file in files}
    assert copies == {0: 5, 1: 3}
    read_back(files, plan)


def test_repeated_pages_stay_in_one_file(plan, pdf):
    plan = replace(with_counts(plan, 3, 1), copies=Copies.PAGES)
    (file,) = draw_sheets(plan)
    assert len(pdf(file.pdf).pages) == 8
    read_back([file], plan)


def test_every_place_shows_its_own_design_and_a_bare_one_nothing(plan, designs):
    """The colour in the middle of each place of the rendered pages, backs seen through the flip."""
    pages = SheetRenderer(draw_sheets(plan), plan).pages()
    assert [(page.form, page.side) for page in pages] == [(form, side) for form in (0, 1) for side in Side]
    for page in pages:
        high, wide = page.pixels.shape[:2]
        for place, design in zip(plan.layout.places, plan.forms[page.form].designs, strict=True):
            box = (place.front if page.side is Side.FRONT else place.back).trim
            x, y = (box.left + box.right) / 2 / SHEET.width * wide, (box.bottom + box.top) / 2 / SHEET.height * high
            level = 20 * (designs.index(design) + 1) + 10 * (page.side is Side.BACK) if design else 255
            assert int(page.pixels[high - 1 - int(y), int(x), 0]) == level


def test_designs_that_changed_places_are_found(plan):
    first = plan.forms[0]
    swapped = replace(first, designs=(first.designs[1], first.designs[0], *first.designs[2:]))
    with pytest.raises(SheetWrong, match="card 1 on the front page does not show"):
        read_back(draw_sheets(replace(plan, forms=(swapped, plan.forms[1]))), plan)


def test_a_card_at_a_place_that_is_to_stay_bare_is_found(plan):
    full = SheetForm(designs=(*plan.forms[0].designs[:-1], plan.forms[0].designs[0]), sheets=2)
    with pytest.raises(SheetWrong, match="cards instead of"):
        read_back(draw_sheets(replace(plan, forms=(full, plan.forms[1]))), plan)


def test_the_small_print_says_which_kind_it_is_and_how_many_of_it():
    words = SmallPrint(order="tea", card="label", sheets=2, flip=None, duplex=Duplex.AUTOMATIC, date="2026-03-04",
                       number="layout 2 of 3")  # fmt: skip
    said = slug_words(words, Side.FRONT)
    assert said.startswith("layout 2 of 3 \u00b7 tea \u00b7 label \u00b7 front \u00b7 print 2 sheets at actual size")


@pytest.mark.parametrize(("copies", "said"), [(Copies.ONCE, {5, 3}), (Copies.PAGES, {8})])
def test_the_small_print_says_how_many_sheets_are_printed_of_its_file(plan, copies, said):
    """Each kind has a file and copies of its own; a file in which all pages are is printed once for all of them."""
    words = SmallPrint(order="t", card="c", sheets=2, flip=Flip.LONG_EDGE, duplex=Duplex.AUTOMATIC, date="2026-03-04")
    drawn = draw_sheets(replace(with_counts(plan, 5, 3), copies=copies, small_print=words))
    pages = [page for file in drawn for page in pypdf.PdfReader(io.BytesIO(file.pdf)).pages]
    texts = [page.extract_text() for page in pages]
    assert {int(found[1]) for text in texts for found in re.finditer(r"front . print (\d+) sheets", text)} == said


def by_hand(plan, **more):
    return replace(plan, duplex=Duplex.MANUAL, **more)


class TestBackOrder:
    """PWG 5100.3 `page-order-received`: 1-to-n-order, n-to-1-order."""

    def forms_of(self, plan):
        return {file.suffix: file.forms for file in planned_files(plan)}

    def test_backs_lie_as_the_sheets_come(self, plan):
        plan = by_hand(with_counts(plan, 3, 2), copies=Copies.PAGES)
        assert self.forms_of(plan) == {"1-fronts": (0, 1), "2-backs": (0, 1)}
        turned = replace(plan, backs_order=PageOrder.N_TO_ONE)
        assert self.forms_of(turned) == {"1-fronts": (0, 1), "2-backs": (1, 0)}

    def test_the_finished_file_has_its_pages_so(self, plan, render):
        plan = by_hand(with_counts(plan, 3, 2), copies=Copies.PAGES, backs_order=PageOrder.N_TO_ONE)
        _, backs = draw_sheets(plan)
        first, *_ = plan.layout.places
        x, y = float(first.back.trim.centre.x), float(first.back.trim.centre.y)
        pages = [render(backs.pdf, page, ppi=25.4) for page in range(5)]
        assert [int(page[page.shape[0] - 1 - int(y), int(x), 0]) for page in pages] == [70, 70, 30, 30, 30]

    def test_copies_of_different_sheets_never_share_a_file(self, plan):
        """Whether the print dialog collates them would decide which back comes when."""
        assert list(self.forms_of(by_hand(plan))) == [
            "layout-1_1-fronts",
            "layout-1_2-backs",
            "layout-2_1-fronts",
            "layout-2_2-backs",
        ]

    def test_another_order_than_planned_is_found(self, plan):
        plan = by_hand(plan, copies=Copies.PAGES)
        files = draw_sheets(plan)
        with pytest.raises(SheetWrong, match="not the ones that were planned"):
            read_back(files, replace(plan, backs_order=PageOrder.N_TO_ONE))

    def test_an_order_that_is_not_that_of_the_stack_is_found(self, plan, monkeypatch):
        plan = by_hand(plan, copies=Copies.PAGES)
        files = draw_sheets(plan)
        monkeypatch.setattr("watcher.sheet.check.in_numbers.planned_files", lambda _: planned_files(plan))
        with pytest.raises(SheetWrong, match="order in which the sheets come"):
            read_back(files, replace(plan, backs_order=PageOrder.N_TO_ONE))

    def test_only_different_sheets_of_one_file_have_an_order(self, plan):
        plan = by_hand(plan, backs_order=PageOrder.N_TO_ONE, copies=Copies.PAGES)
        assert plan.order_of_backs is PageOrder.N_TO_ONE
        assert replace(plan, copies=Copies.ONCE).order_of_backs is None
        assert replace(plan, duplex=Duplex.AUTOMATIC).order_of_backs is None
        assert replace(plan, forms=plan.forms[:1]).order_of_backs is None


def test_sheets_are_numbered_as_they_are_printed(plan):
    plan = with_counts(replace(plan, copies=Copies.PAGES), 3, 1)
    assert [sheet_number(plan, form) for form in (0, 1)] == ["sheets 1 to 3 of 4", "sheet 4 of 4"]
    assert sheet_number(replace(plan, copies=Copies.ONCE), 1) == "layout 2 of 2"
    assert sheet_number(replace(plan, forms=plan.forms[:1]), 0) == ""


def test_sheets_that_orders_share_say_their_layout_too(plan):
    shared = tuple(replace(form, whose=(("tea", "1"),)) for form in plan.forms)
    assert sheet_number(replace(plan, forms=shared, copies=Copies.PAGES), 1) == "layout 2 of 2, sheets 3 to 4 of 4"


def test_the_file_asks_for_the_edge_that_the_dialog_calls_so(plan, pdf):
    """A driver that swaps the two edges (ISO 32000-1 table 150 for the words)."""
    swapped = replace(plan, chosen_flip=Flip.SHORT_EDGE)
    (file,) = draw_sheets(swapped)
    assert pdf(file.pdf).Root.ViewerPreferences.Duplex == "/DuplexFlipShortEdge"
    read_back((file,), swapped)
    with pytest.raises(SheetWrong, match="does not ask for"):
        read_back((file,), plan)


def test_planned_files_follow_the_plan(plan):
    assert [file.suffix for file in planned_files(plan)] == [file.suffix for file in draw_sheets(plan)]
