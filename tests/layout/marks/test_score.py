"""Score marks: beyond the ends of each fold, dashed, off every trim, with a word where there is room."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Box, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.marks.crop_marks import plan_marks
from watcher.layout.marks.score import lies_across_grain, plan_scores, runs_upwards
from watcher.layout.marks.sheet_marks import plan_sheet_marks
from watcher.layout.model import Face, Layout, Place
from watcher.terms import Fold, Grain, Marks, Turn

WORD = (Fraction(4), Fraction(2))
SPREAD = {"trim": Size(Fraction(160), Fraction(100)), "mixed_turns": False}
ROOMY = Size(Fraction(215), Fraction(330))


@pytest.fixture
def two_spreads(make_request):
    """Two opened-out cards of 160 x 100 mm, one above the other, with room around."""
    layout = lay_out(make_request(sheet=ROOMY, **SPREAD))
    assert layout.up == 2
    return layout


@pytest.mark.parametrize("fold", Fold)
def test_score_marks_lie_on_the_middle_of_the_cards(two_spreads, fold):
    plan = plan_scores(two_spreads, fold, plan_marks(two_spreads).marks, WORD)
    centres = [place.front.trim.centre for place in two_spreads.places]
    wanted = {centre.x for centre in centres} if fold is Fold.LEFT else {centre.y for centre in centres}
    ends = {(mark.start.x, mark.end.x) if fold is Fold.LEFT else (mark.start.y, mark.end.y) for mark in plan.marks}
    assert ends == {(value, value) for value in wanted}
    assert all(mark.dashed for mark in plan.marks)
    assert (plan.unmarked, len(plan.labels)) == (0, len(plan.marks))


@pytest.mark.parametrize("fold", Fold)
def test_no_score_mark_and_no_word_touches_a_card(two_spreads, fold):
    plan = plan_scores(two_spreads, fold, plan_marks(two_spreads).marks, WORD)
    boxes = [mark.box for mark in plan.marks] + [label.box for label in plan.labels]
    for place in two_spreads.places:
        assert not any(box.grown(Fraction(1)).overlaps(place.front.trim) for box in boxes)
    assert all(two_spreads.printable.contains(box) for box in boxes)


def test_words_are_as_large_as_asked_and_stand_apart(two_spreads):
    labels = plan_scores(two_spreads, Fold.LEFT, plan_marks(two_spreads).marks, WORD).labels
    assert {(label.box.width, label.box.height) for label in labels} == {WORD}
    for number, label in enumerate(labels):
        assert not any(label.box.overlaps(other.box) for other in labels[:number])
        assert not any(mark.box.grown(Fraction(1, 100)).overlaps(label.box) for mark in plan_marks(two_spreads).marks)


@pytest.fixture
def by_hand():
    """Cards of 100 x 60 mm at these lower left corners, 3 mm of bleed, on a sheet of 300 x 200 mm."""

    def make(*corners):
        boxes = [Box.at(Fraction(x), Fraction(y), Size(Fraction(100), Fraction(60))) for x, y in corners]
        faces = [Face(trim=box, bleed_box=box.grown(Fraction(3)), turn=Turn.NONE) for box in boxes]
        sheet = Size(Fraction(300), Fraction(200))
        return Layout(
            sheet=sheet,
            trim=boxes[0].size,
            bleed=Fraction(3),
            places=tuple(Place(number=number, front=face, back=None) for number, face in enumerate(faces, start=1)),
            printable=Box.at(Fraction(0), Fraction(0), sheet).grown(Fraction(-5)),
            flip=None,
            cut_lines=8,
            mixed=False,
        )

    return make


def test_a_word_stands_clear_of_a_neighbours_bleed_where_it_can(by_hand):
    """The first card is folded at x = 70. Right of that the second one's bleed begins at 71.5, its trim at 74.5."""
    layout = by_hand((20, 20), ("74.5", 88))
    plan = plan_scores(layout, Fold.LEFT, (), WORD)
    (word,) = (label.box for label in plan.labels if 83 < label.box.bottom < 88 and label.box.right < 100)
    assert word.right < 70
    for label in plan.labels:
        assert not any(label.box.overlaps(place.front.bleed_box) for place in layout.places)


def test_a_word_lies_on_bleed_where_it_cannot_stand_clear(by_hand):
    """A third card has its bleed on the other side of the fold, up to 68.5."""
    layout = by_hand((20, 20), ("74.5", 88), ("-34.5", 88))
    plan = plan_scores(layout, Fold.LEFT, (), WORD)
    on_bleed = [
        label for label in plan.labels if any(label.box.overlaps(place.front.bleed_box) for place in layout.places)
    ]
    assert len(on_bleed) == 1
    assert not any(on_bleed[0].box.grown(Fraction(1)).overlaps(place.front.trim) for place in layout.places)


def test_a_word_that_has_no_room_is_left_out(two_spreads):
    plan = plan_scores(two_spreads, Fold.LEFT, (), (Fraction(300), Fraction(2)))
    assert plan.marks
    assert plan.labels == ()


def test_a_turned_card_has_its_fold_turned(make_request):
    layout = lay_out(make_request(sheet=Size(Fraction(130), Fraction(210)), **SPREAD))
    assert layout.up == 1
    assert runs_upwards(layout, Fold.LEFT) is False
    marks = plan_scores(layout, Fold.LEFT, (), WORD).marks
    assert {mark.start.y for mark in marks} == {layout.places[0].front.trim.centre.y}


@pytest.mark.parametrize(
    ("sheet", "fold", "grain", "across"),
    [((215, 330), Fold.LEFT, Grain.LONG, False), ((215, 330), Fold.LEFT, Grain.SHORT, True),
     ((215, 330), Fold.TOP, Grain.LONG, True), ((330, 125), Fold.LEFT, Grain.LONG, True),
     ((330, 125), Fold.LEFT, Grain.SHORT, False), ((130, 210), Fold.LEFT, Grain.LONG, True)],
)  # fmt: skip
def test_a_fold_wants_to_lie_along_the_fibres(make_request, sheet, fold, grain, across):
    """Worked out by hand: which way the fold runs on the sheet, which way its long side lies (common practice)."""
    layout = lay_out(make_request(sheet=Size(*map(Fraction, sheet)), **SPREAD))
    assert lies_across_grain(layout, fold, grain) is across


def test_all_marks_of_a_sheet_come_together(two_spreads):
    marks = plan_sheet_marks(two_spreads, marks=Marks.CROP, fold=Fold.LEFT, crosses=True, word=WORD)
    assert set(plan_marks(two_spreads).marks) < set(marks.marks)
    assert any(mark.dashed for mark in marks.marks)
    assert marks.crosses > 0
    assert marks.labels


def test_without_marks_there_are_no_score_marks_either(two_spreads):
    marks = plan_sheet_marks(two_spreads, marks=Marks.NONE, fold=Fold.LEFT, crosses=False, word=WORD)
    assert (marks.marks, marks.labels, marks.unmarked) == ((), (), ())


def test_a_fold_without_room_for_a_mark_is_counted(make_request):
    nothing = {"bleed": Fraction(0), "least_bleed": Fraction(0), "two_sided": False}
    layout = lay_out(make_request(trim=Size(Fraction("203.2"), Fraction("266.7")), mixed_turns=False, **nothing))
    assert plan_scores(layout, Fold.LEFT, (), WORD).unmarked == 1
