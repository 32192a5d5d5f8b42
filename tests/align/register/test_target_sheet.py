"""What the pages of a target carry: the label of either side, the title, and no table on a proof."""

from unittest.mock import MagicMock

import pytest

from watcher.align.register import target_sheet
from watcher.align.register.dot_grid import bit_places, grid_middles
from watcher.align.register.label import from_bits, label_of
from watcher.layout.register.alignment import Correction
from watcher.terms import Flip, Side

PT_PER_MM = 72 / 25.4
PROOF = (Correction(turn_degrees=0.1), "2026-05-01")


@pytest.fixture
def draw(settings, target, monkeypatch):
    """Draw one page of the target of the small sheet, which has no ruler; gives its canvas and its words."""

    def drawn(side, **more):
        words = []
        monkeypatch.setattr(target_sheet, "set_text", lambda _, box, parts: words.extend(text for _, text in parts))
        sheet, canvas = settings.sheets["small"], MagicMock()
        pages = target_sheet.target_pages(target("small"), settings.printer_for(sheet), sheet, **more)
        (pages.front if side is Side.FRONT else pages.back)(canvas)
        return canvas, words

    return drawn


def labels_in(canvas, target, side):
    """The label that the dots of each grid say."""
    middles = {(round(call.args[0], 3), round(call.args[1], 3)) for call in canvas.circle.call_args_list}
    for grid in grid_middles(target, side):
        pairs = [
            [
                (round(float(grid.x + dot.x) * PT_PER_MM, 3), round(float(grid.y + dot.y) * PT_PER_MM, 3)) in middles
                for dot in pair
            ]
            for pair in bit_places()
        ]
        assert all(left != right for left, right in pairs)
        yield from_bits(tuple(left for left, _ in pairs))


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("proof", [None, PROOF])
def test_either_page_says_twice_what_it_is(draw, target, side, proof):
    small = target("small")
    label = label_of(small, side, 321, proof and proof[0])
    assert list(labels_in(draw(side, proof=proof, run=321)[0], small, side)) == [label, label]


@pytest.mark.parametrize(("proof", "title"), [(None, "Register target, back"), (PROOF, "Proof, back")])
def test_the_title_names_printer_sheet_and_run(draw, proof, title):
    assert draw(Side.BACK, proof=proof, run=321)[1][0] == f"{title}: laser, small, run 321"


def test_only_a_target_has_a_table_to_write_readings_into(draw):
    """Seven rows, a head and six marks, have eight lines."""
    (table,) = draw(Side.BACK)[0].grid.call_args_list
    assert [len(lines) for lines in table.args] == [4, 8]
    assert not draw(Side.BACK, proof=PROOF)[0].grid.called


@pytest.mark.parametrize("sheet_name", ["letter", "small", "wide"])
def test_the_upper_box_of_words_lies_above_the_lower(target, sheet_name):
    for side in Side:
        upper, lower = target_sheet.text_boxes(target(sheet_name), side)
        assert upper.bottom >= lower.top
        assert (upper.left, upper.right) == (lower.left, lower.right)


def test_the_print_dialog_is_told_the_edge_that_the_settings_choose_for_it(settings, target):
    sheet = settings.sheets["sra3"]
    printer = settings.printer_for(sheet).model_copy(update={"dialog_flip": Flip.SHORT_EDGE})
    assert target_sheet.target_pages(target("sra3"), printer, sheet).flip is Flip.SHORT_EDGE


def test_the_table_stays_in_its_box_of_words_on_a_small_sheet(draw, target):
    _, box = target_sheet.text_boxes(target("small"), Side.BACK)
    xs, ys = draw(Side.BACK)[0].grid.call_args.args
    assert float(box.left) <= min(xs) / PT_PER_MM < max(xs) / PT_PER_MM <= float(box.right)
    assert float(box.bottom) - 0.001 <= min(ys) / PT_PER_MM < max(ys) / PT_PER_MM <= float(box.top) + 0.001
