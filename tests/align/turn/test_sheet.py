"""The turn test keeps to what the printer can print on either face, and asks only what is needed."""

from fractions import Fraction
from types import SimpleNamespace

import pytest

from watcher.align.register.target import place_target
from watcher.align.turn import sheet as turn_sheet
from watcher.layout.backs import box_behind
from watcher.layout.geometry import Margins
from watcher.terms import Flip

RIM = Margins(Fraction(5), Fraction(30), Fraction(14), Fraction(3))
PT_PER_MM = 72 / 25.4


class Pen:
    """A canvas that remembers where letters stand and where outlines go, points."""

    def __init__(self):
        self.letters, self.outline = {}, []

    def setFont(self, *_):
        pass

    def drawCentredString(self, x, y, letter):
        self.letters[letter] = (x, y)

    def beginPath(self):
        def add(x, y):
            self.outline.append((x, y))

        return SimpleNamespace(moveTo=add, lineTo=add, close=lambda: None)

    def drawPath(self, *_, **__):
        pass


@pytest.fixture
def drawn(settings, monkeypatch):
    """Draw both pages of the turn test of a sheet; gives pens, words and boxes of either page, and the test sheet."""

    def draw(sheet_name, rim=None, **changed):
        texts = []
        monkeypatch.setattr(
            turn_sheet, "set_text", lambda _, box, parts: texts.append((box, " ".join(w for _, w in parts)))
        )
        sheet = settings.sheets[sheet_name].model_copy(update={"unprintable": rim} if rim else {})
        printer = settings.printer_for(sheet).model_copy(update=changed)
        target = place_target(sheet, printer)
        test = turn_sheet.turn_pages(target, printer, sheet)
        front, back = Pen(), Pen()
        test.front(front)
        test.back(back)
        return SimpleNamespace(front=front, back=back, texts=texts, test=test, target=target)

    return draw


@pytest.mark.parametrize("flip", list(Flip))
def test_letters_arrow_and_words_keep_clear_of_an_uneven_rim_on_both_faces(drawn, flip):
    seen = drawn("letter", rim=RIM, flip=flip)
    front = seen.target.printable
    behind = box_behind(front, seen.target.sheet, flip)
    assert len(seen.front.letters) == 4
    for room, points in ((front, seen.front.letters.values()), (behind, seen.back.outline)):
        for x, y in points:
            assert room.left < x / PT_PER_MM < room.right
            assert room.bottom < y / PT_PER_MM < room.top
    assert front.contains(seen.texts[0][0])
    assert behind.contains(seen.texts[1][0])


def test_words_do_not_run_into_letters_or_arrow(drawn):
    seen = drawn("small")
    (words, _), (words_behind, _) = seen.texts
    for x, y in seen.front.letters.values():
        assert not (words.left < x / PT_PER_MM < words.right and words.bottom < y / PT_PER_MM < words.top)
    assert float(words_behind.top) < min(y for _, y in seen.back.outline) / PT_PER_MM


def test_a_printer_that_turns_the_sheet_has_one_sheet_and_no_question_which(drawn):
    by_hand, by_itself = drawn("letter"), drawn("sra3")
    assert by_hand.test.second is not None
    assert "the first or the second?" in by_hand.texts[1][1]
    assert by_itself.test.second is None
    assert "the first or the second?" not in by_itself.texts[1][1]


def test_the_print_dialog_is_told_the_edge_that_the_settings_choose_for_it(drawn):
    assert drawn("sra3").test.flip is Flip.LONG_EDGE
    assert drawn("sra3", dialog_flip=Flip.SHORT_EDGE).test.flip is Flip.SHORT_EDGE
