"""The turn test against a sheet that is turned in space.

A sheet has its own axes: x to the right and y up as its front is read, z out of its front. A printer has its own too: z
up out of its tray, y the way in which the paper runs, so that the edge at +y goes in first. Everything is rotations
about these axes; nothing is copied from the rules under test.
"""

import itertools

import numpy as np
import pytest

from watcher.align.turn.turning import AnswersContradict, Face, FirstPrinted, Letter, TurnAnswers, find_turning
from watcher.layout.backs import point_behind
from watcher.layout.geometry import Point, Size
from watcher.terms import Duplex, Edge, Feed, Flip

PORTRAIT, LANDSCAPE = Size(210, 297), Size(297, 210)
SHEETS = [PORTRAIT, LANDSCAPE]
# where the letters stand, in the axes of the front: top, right, bottom, left
LETTERS = {"A": (0, 1, 0), "B": (1, 0, 0), "C": (0, -1, 0), "D": (-1, 0, 0)}


def about(axis, degrees):
    """A rotation in space, right-handed."""
    x, y, z = axis
    angle = np.radians(degrees)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.rint(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


X, Y, Z = (1, 0, 0), (0, 1, 0), (0, 0, 1)


def printed_as(lead, face_up):
    """The axes of a page as this printer lays it on the paper in its tray: columns x, y and out of the print.

    `lead` is the edge of every page that goes in first; `face_up` whether the printer prints on the upper face.
    """
    page = np.eye(3) if face_up else about(Y, 180)
    for quarter in range(4):
        turned = about(Z, 90 * quarter) @ page
        if (turned @ LETTERS[lead] == (0, 1, 0)).all():
            return turned
    raise AssertionError


def letter_towards(sheet_axes, direction):
    """The letter whose edge of the sheet lies in a direction of the printer."""
    return next(name for name, place in LETTERS.items() if (sheet_axes @ place == direction).all())


def letter_at_top_of(page_axes, sheet_axes):
    """The letter at (or behind) the top of a page printed on the sheet."""
    return letter_towards(sheet_axes, page_axes @ (0, 1, 0))


def page_on_sheet(page_axes, sheet_axes, point, size):
    """Where a point of the page (mm from its lower left) lies, in the same measure on the front."""
    from_middle = np.array([point[0] - float(size.width) / 2, point[1] - float(size.height) / 2, 0])
    on_front = sheet_axes.T @ page_axes @ from_middle
    return on_front[0] + float(size.width) / 2, on_front[1] + float(size.height) / 2


def feeds(size):
    """The letters whose edge may go in first, by the kind of edge."""
    lying = Feed.LONG_EDGE if size is LANDSCAPE else Feed.SHORT_EDGE
    upright = Feed.SHORT_EDGE if size is LANDSCAPE else Feed.LONG_EDGE
    return {"A": lying, "C": lying, "B": upright, "D": upright}


PRINTERS = list(itertools.product(SHEETS, LETTERS, [True, False]))


@pytest.mark.parametrize(("size", "lead", "face_up"), PRINTERS)
@pytest.mark.parametrize("put_back", [(X, 180), (Y, 180), (Z, 180), (Z, 0)], ids=str)
class TestByHand:
    """The four ways in which a printed sheet can go back in with the same kind of edge first."""

    def seen(self, size, lead, face_up, put_back):
        """Axes of sheet and back page in the tray, and what a person answers."""
        page = printed_as(lead, face_up)
        sheet = about(*put_back) @ page  # first it was printed as a front, then it was put back
        answers = TurnAnswers(
            arrow=Letter(letter_at_top_of(page, sheet)),
            one_face=bool((sheet @ Z == page @ Z).all()),
            lead=Letter(letter_towards(page, (0, 1, 0))),
            guide=Letter(letter_towards(page, (-1, 0, 0))),
            stack_face=Face.UP if (sheet @ Z)[2] > 0 else Face.DOWN,
            stack_lead=Letter(letter_towards(sheet, (0, 1, 0))),
        )
        return page, sheet, answers

    def test_flip_puts_points_behind_each_other_as_the_sheet_truly_does(self, size, lead, face_up, put_back):
        page, sheet, answers = self.seen(size, lead, face_up, put_back)
        turning = find_turning(answers, size, Duplex.MANUAL)
        if answers.one_face:
            assert turning.flip is None
            return
        for place in [(0, 0), (20, 190), (105, 100)]:
            behind = point_behind(Point(*place), size, turning.flip)
            assert page_on_sheet(page, sheet, place, size) == (float(behind.x), float(behind.y))

    def test_every_reload_does_to_the_sheet_what_it_promises(self, size, lead, face_up, put_back):
        """Put the sheet back as the words say: what is printed then lies on the other face, turned on that edge."""
        page, _, answers = self.seen(size, lead, face_up, put_back)
        reloads = find_turning(answers, size, Duplex.MANUAL).reloads
        assert {reload.flip for reload in reloads} == set(Flip)
        for reload in reloads:
            up = 1 if reload.face is Face.UP else -1
            ways = [about(*way) @ page for way in [(X, 180), (Y, 180), (Z, 180), (Z, 0)]]
            (sheet,) = [
                way for way in ways if (way @ Z)[2] == up and Letter(letter_towards(way, (0, 1, 0))).edge is reload.lead
            ]
            assert (sheet @ Z == -(page @ Z)).all()
            behind = point_behind(Point(20, 190), size, reload.flip)
            assert page_on_sheet(page, sheet, (20, 190), size) == (float(behind.x), float(behind.y))

    def test_the_way_of_the_test_comes_first_where_it_was_a_good_one(self, size, lead, face_up, put_back):
        _, _, answers = self.seen(size, lead, face_up, put_back)
        turning = find_turning(answers, size, Duplex.MANUAL)
        if not answers.one_face:
            first = turning.reloads[0]
            assert (first.face, first.lead, first.flip) == (answers.stack_face, answers.stack_lead.edge, turning.flip)

    def test_lead_guide_and_feed_are_those_of_the_front(self, size, lead, face_up, put_back):
        _, _, answers = self.seen(size, lead, face_up, put_back)
        turning = find_turning(answers, size, Duplex.MANUAL)
        assert turning.lead is Letter(lead).edge
        assert turning.guide is answers.guide.edge
        assert turning.feed is feeds(size)[lead]

    @pytest.mark.parametrize("wrong", list(Letter))
    def test_another_letter_behind_the_arrow_cannot_be(self, size, lead, face_up, put_back, wrong):
        _, _, answers = self.seen(size, lead, face_up, put_back)
        if wrong is not answers.arrow:
            with pytest.raises(AnswersContradict, match="do not go together"):
                find_turning(
                    TurnAnswers(**{**vars(answers), "arrow": wrong}),
                    size,
                    Duplex.MANUAL,
                )


@pytest.mark.parametrize(("size", "lead", "face_up"), PRINTERS)
@pytest.mark.parametrize("fronts_first", [True, False])
@pytest.mark.parametrize("driver_turns", [0, 180])
class TestAutomatic:
    """The printer turns the sheet about its rollers (x), tail first; the driver may turn the second page half round."""

    def seen(self, lead, face_up, fronts_first, driver_turns):
        page = printed_as(lead, face_up)
        # the blank sheet has a pencilled 1 at +y and a 2 at -x of the tray
        turned = about(X, 180)
        second = page @ about(Z, driver_turns)
        # the axes of each printed page, carried back to the sheet as it lay in the tray
        first_page, second_page = page, turned.T @ second
        front, back = (first_page, second_page) if fronts_first else (second_page, first_page)
        lead_of_front = (0, 1, 0) if fronts_first else tuple((turned.T @ (0, 1, 0)).astype(int))
        answers = TurnAnswers(
            arrow=Letter(letter_towards(front, back @ (0, 1, 0))),
            lead=Letter(letter_towards(front, (0, 1, 0))),
            guide=Letter(letter_towards(front, (-1, 0, 0))),
            first_printed=FirstPrinted.LETTERS if fronts_first else FirstPrinted.ARROW,
        )
        return front, back, lead_of_front, answers

    def test_flip_puts_points_behind_each_other_as_the_sheet_truly_does(
        self, size, lead, face_up, fronts_first, driver_turns
    ):
        front, back, _, answers = self.seen(lead, face_up, fronts_first, driver_turns)
        turning = find_turning(answers, size, Duplex.AUTOMATIC)
        behind = point_behind(Point(20, 190), size, turning.flip)
        assert page_on_sheet(back, front, (20, 190), size) == (float(behind.x), float(behind.y))

    def test_lead_is_the_edge_that_ran_first_while_the_front_was_printed(
        self, size, lead, face_up, fronts_first, driver_turns
    ):
        front, _, lead_of_front, answers = self.seen(lead, face_up, fronts_first, driver_turns)
        turning = find_turning(answers, size, Duplex.AUTOMATIC)
        assert turning.lead is Letter(letter_towards(front, lead_of_front)).edge
        assert turning.guide is Letter(letter_towards(front, (-1, 0, 0))).edge
        assert turning.reloads == ()


@pytest.mark.parametrize(
    ("size", "arrow", "flip"),
    [
        (PORTRAIT, "A", Flip.LONG_EDGE),  # like a book page: RFC 8011 5.2.8, two-sided-long-edge
        (PORTRAIT, "C", Flip.SHORT_EDGE),
        (LANDSCAPE, "A", Flip.SHORT_EDGE),
        (LANDSCAPE, "C", Flip.LONG_EDGE),
    ],
)
def test_the_letter_behind_the_arrow_names_the_edge(size, arrow, flip):
    assert find_turning(TurnAnswers(arrow=Letter(arrow)), size, Duplex.AUTOMATIC).flip is flip


def test_without_a_pencil_only_the_flip_is_told():
    turning = find_turning(TurnAnswers(arrow=Letter.A), PORTRAIT, Duplex.MANUAL)
    assert (turning.lead, turning.guide, turning.feed, turning.reloads) == (None, None, None, ())


def test_an_unseen_first_side_leaves_the_lead_open():
    answers = TurnAnswers(arrow=Letter.A, lead=Letter.A, guide=Letter.D)
    turning = find_turning(answers, PORTRAIT, Duplex.AUTOMATIC)
    assert (turning.lead, turning.guide, turning.feed) == (None, Edge.LEFT, Feed.SHORT_EDGE)


class TestRefused:
    @pytest.mark.parametrize("duplex", list(Duplex))
    @pytest.mark.parametrize("arrow", ["B", "D"])
    def test_is_a_quarter_turn(self, arrow, duplex):
        with pytest.raises(AnswersContradict, match="quarter turn"):
            find_turning(TurnAnswers(arrow=Letter(arrow)), PORTRAIT, duplex)

    def test_is_a_quarter_turn_also_where_only_the_stack_was_noted(self):
        answers = TurnAnswers(arrow=Letter.B, stack_face=Face.DOWN, stack_lead=Letter.A)
        with pytest.raises(AnswersContradict, match="quarter turn"):
            find_turning(answers, PORTRAIT, Duplex.MANUAL)

    def test_are_both_pages_on_one_face_where_the_printer_should_turn(self):
        with pytest.raises(AnswersContradict, match="two-sided printing on"):
            find_turning(TurnAnswers(arrow=Letter.A, one_face=True), PORTRAIT, Duplex.AUTOMATIC)

    def test_are_both_pages_on_one_face_where_nobody_noted_how_the_stack_went_in(self):
        with pytest.raises(AnswersContradict, match="other face up"):
            find_turning(TurnAnswers(arrow=Letter.A, one_face=True), PORTRAIT, Duplex.MANUAL)

    def test_are_lead_and_guide_that_do_not_meet(self):
        with pytest.raises(AnswersContradict, match="do not meet"):
            find_turning(TurnAnswers(arrow=Letter.A, lead=Letter.A, guide=Letter.C), PORTRAIT, Duplex.AUTOMATIC)

    def test_is_a_stack_that_went_in_along_its_other_side(self):
        answers = TurnAnswers(arrow=Letter.A, lead=Letter.A, stack_face=Face.DOWN, stack_lead=Letter.B)
        with pytest.raises(AnswersContradict, match="same kind of edge"):
            find_turning(answers, PORTRAIT, Duplex.MANUAL)


def test_reload_is_said_in_words_that_the_settings_take():
    answers = TurnAnswers(arrow=Letter.A, lead=Letter.A, guide=Letter.D, stack_face=Face.DOWN, stack_lead=Letter.A)
    (first, other) = find_turning(answers, PORTRAIT, Duplex.MANUAL).reloads
    assert first.words == "printed side down, top edge first"
    assert other.words == "printed side down, bottom edge first"
