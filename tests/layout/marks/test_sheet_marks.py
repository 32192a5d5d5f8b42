"""All marks of a sheet together."""

from fractions import Fraction

from watcher.layout.geometry import Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import plan_marks
from watcher.layout.marks.sheet_marks import plan_sheet_marks
from watcher.terms import Fold, Marks

WORD = Fraction(8), Fraction(2)


def layout(make_request, **changes):
    return lay_out(make_request(**{"trim": Size(Fraction(85), Fraction(55)), **changes}))


def test_without_any_wish_nothing_is_drawn(make_request):
    found = plan_sheet_marks(layout(make_request), marks=Marks.NONE, fold=None, crosses=False, word=WORD)
    assert (found.marks, found.labels, found.unmarked, found.crosses) == ((), (), (), 0)


def test_crop_marks_alone_are_those_of_the_layout(make_request):
    sheet = layout(make_request)
    found = plan_sheet_marks(sheet, marks=Marks.CROP, fold=None, crosses=False, word=WORD)
    assert found.marks == plan_marks(sheet).marks


def test_a_fold_adds_dashed_marks_and_their_words(make_request):
    sheet = layout(make_request)
    found = plan_sheet_marks(sheet, marks=Marks.CROP, fold=Fold.LEFT, crosses=False, word=WORD)
    assert [mark for mark in found.marks if mark.dashed]
    assert [mark for mark in found.marks if not mark.dashed] == list(plan_marks(sheet).marks)
    assert found.labels
    assert not found.scores_unlabelled


def test_a_word_that_has_no_room_anywhere_is_told(make_request):
    found = plan_sheet_marks(
        layout(make_request), marks=Marks.CROP, fold=Fold.LEFT, crosses=False, word=(Fraction(500), Fraction(500))
    )
    assert found.labels == ()
    assert found.scores_unlabelled


def test_crosses_are_counted_and_keep_off_the_words(make_request):
    wide = layout(make_request, unprintable=Margins.all_round(Fraction(5)), sheet=Size(Fraction(320), Fraction(450)))
    found = plan_sheet_marks(wide, marks=Marks.CROP, fold=Fold.LEFT, crosses=True, word=WORD)
    arms = found.marks[-2 * found.crosses :]
    assert found.crosses
    assert not any(label.box.overlaps(arm.box.grown(Fraction(1, 100))) for label in found.labels for arm in arms)
