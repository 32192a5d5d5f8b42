"""Find how a printer turns a sheet, from the answers of the turn test.

A sheet has the letters A, B, C, D at the top, right, bottom and left edge of its front, and an arrow at the top edge
of its back page, pointing there. A blank sheet gets a pencilled 1 at the edge that goes in first and a 2 at the edge
along the paper guide.

How the answers tell, edges counted clockwise as the front is read (A, B, C, D):

1. Turned like a book page (about the upright axis) the top of the back page lies behind A; turned like a wall calendar
   behind C. B and D would take a quarter turn, which no turning-over gives an oblong sheet: a page was turned by the
   print dialog or driver.
2. The printer puts the same edge of every page first: the letter at the pencilled 1 is that edge, for the front.
   When the stack goes back in with letter E first, the back page's edge of that name lies at E. Seen from the front the
   back page's edges run the other way round, so its top lies as many edges after E as that edge comes after the top;
   the other way round when it was printed on the letters by mistake.
3. An automatic duplexer runs the sheet tail first for its second side, whatever the driver does with the page. The
   edge that led while the front was printed is therefore the 1 when the front was printed first, else the edge
   opposite; the edge along the guide stays. Which side comes first is seen while the sheet is pushed out half-way.
4. A stack that goes back in as it came out comes again in one of two orders. The test has two sheets that differ: the
   first one has its own back, or the second one's. A stack that is turned over comes the other way round.

Proved by turning a sheet in space in tests/align/turn/test_turning.py.
"""

from dataclasses import dataclass, replace
from enum import StrEnum

from watcher.errors import WrongUsage
from watcher.layout.backs import turns_about_vertical_axis
from watcher.layout.geometry import Size
from watcher.terms import Duplex, Edge, Feed, Flip, PageOrder

_CLOCKWISE = (Edge.TOP, Edge.RIGHT, Edge.BOTTOM, Edge.LEFT)


class Letter(StrEnum):
    """A letter of the turn test, at one edge of the front."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"

    @property
    def edge(self) -> Edge:
        """Give the edge it stands at."""
        return _CLOCKWISE["ABCD".index(self)]

    @classmethod
    def at(cls, edge: Edge) -> "Letter":
        """Give the letter at an edge."""
        return cls("ABCD"[_CLOCKWISE.index(edge)])


class Face(StrEnum):
    """Which face of the stack lies up when it goes back in."""

    UP = "up"  # the letters can be seen
    DOWN = "down"


class FirstPrinted(StrEnum):
    """Which side an automatic duplexer printed first."""

    LETTERS = "letters"
    ARROW = "arrow"
    UNSEEN = "unseen"  # the sheet did not show itself


class WhoseBack(StrEnum):
    """The back that the first of the two sheets of the turn test has."""

    FIRST = "first"
    SECOND = "second"


class AnswersContradict(WrongUsage):
    """The answers contradict each other, or the sheet was not printed as the test needs it."""


@dataclass(frozen=True, kw_only=True)
class TurnAnswers:
    """What the person saw on the turn test.

    Attributes:
        arrow: the letter behind the arrow, or at it when both are on one face.
        one_face: arrow and letters are on the same face.
        lead, guide: the letters at the edges with the pencilled 1 and 2; None when no pencil was used.
        first_printed: automatic duplex only.
        stack_face, stack_lead: manual duplex only: what lay up when the sheet went back in, and which letter's edge
            went in first.
        own_back: manual duplex only: whether the first of the two sheets has its own back; None when not told.
        chosen: automatic duplex only: the edge that was chosen in the print dialog; None when not told.
    """

    arrow: Letter
    one_face: bool = False
    lead: Letter | None = None
    guide: Letter | None = None
    first_printed: FirstPrinted = FirstPrinted.UNSEEN
    stack_face: Face | None = None
    stack_lead: Letter | None = None
    own_back: bool | None = None
    chosen: Flip | None = None


@dataclass(frozen=True, kw_only=True)
class Reload:
    """How the stack goes back in for its second side, and what that does to the sheet.

    Attributes:
        face: of the printed side.
        lead: the edge of the front that goes in first.
        flip: the edge that the sheet is thereby turned on.
    """

    face: Face
    lead: Edge
    flip: Flip

    @property
    def words(self) -> str:
        """Give the value of `reload` in the settings: `printed side down, top edge first`."""
        return f"printed side {self.face}, {self.lead} edge first"


@dataclass(frozen=True, kw_only=True)
class Turning:
    """How a printer turns a sheet.

    Attributes:
        flip: the edge the sheet was turned on in the test; None when both pages came out on one face.
        feed: which kind of edge goes in first; None when not told.
        lead, guide: edges of the front; None when not told.
        reloads: manual duplex: the way that gives each flip, the one of the test first if it gave one.
        order: manual duplex: in which order the sheets come when the stack goes in with that face up; None when not
            told.
        chosen: automatic duplex: the edge that was chosen in the print dialog; None when not told.
    """

    flip: Flip | None
    feed: Feed | None
    lead: Edge | None
    guide: Edge | None
    reloads: tuple[Reload, ...] = ()
    order: PageOrder | None = None
    chosen: Flip | None = None

    def reload_for(self, flip: Flip | None) -> Reload | None:
        """Give how the stack must go back in for this flip; None when it is not known."""
        return next((reload for reload in self.reloads if reload.flip is flip), None)


def find_turning(answers: TurnAnswers, sheet: Size, duplex: Duplex) -> Turning:
    """Find how the printer turns a sheet.

    Args:
        answers: of the turn test.
        sheet: its size; mm.
        duplex: who turns it.

    Raises:
        AnswersContradict: they cannot all be true, or the sheet was not printed as the test needs it.
    """
    if duplex is Duplex.MANUAL:
        answers = _with_what_follows(answers)
    feed = _feed(answers, sheet)
    if duplex is Duplex.AUTOMATIC:
        if answers.one_face:
            raise AnswersContradict(
                "Letters and arrow are on one face: the printer did not turn the sheet. Switch two-sided printing on "
                "in the print dialog, and print the turn test again."
            )
        lead = _automatic_lead(answers)
    else:
        lead = answers.lead.edge if answers.lead else None
    return Turning(
        reloads=_reloads(answers, sheet) if duplex is Duplex.MANUAL else (),
        flip=None if answers.one_face else _flip_behind(answers.arrow, sheet),
        feed=feed,
        lead=lead,
        guide=answers.guide.edge if answers.guide else None,
        order=_order(answers) if duplex is Duplex.MANUAL else None,
        chosen=answers.chosen if duplex is Duplex.AUTOMATIC else None,
    )


def _with_what_follows(answers: TurnAnswers) -> TurnAnswers:
    """Fill in which edge went in first, for the letters or the arrow, where the other answers tell it."""
    lead, stack_lead, arrow = answers.lead, answers.stack_lead, answers.arrow
    if arrow in (Letter.B, Letter.D):  # a page was turned by the driver: nothing follows from it
        return answers
    if lead is None and stack_lead is not None:
        lead = _turned(stack_lead, -_step(arrow)) if answers.one_face else _turned(arrow, -_step(stack_lead))
    elif stack_lead is None and lead is not None:
        stack_lead = _turned(lead, _step(arrow)) if answers.one_face else _turned(arrow, -_step(lead))
    return replace(answers, lead=lead, stack_lead=stack_lead)


def _order(answers: TurnAnswers) -> PageOrder | None:
    """Give the order in which the sheets of a stack come for their second side; None when it was not told."""
    if answers.own_back is None:
        return None
    order = PageOrder.ONE_TO_N if answers.own_back else PageOrder.N_TO_ONE
    return order.reversed if answers.one_face else order


def _flip_behind(arrow: Letter, sheet: Size) -> Flip:
    """Give the flip that puts the top of the back page behind this letter."""
    if arrow in (Letter.B, Letter.D):
        raise AnswersContradict(
            f"The arrow lies behind {arrow}, a quarter turn round: the print dialog or the driver has turned one of "
            "the pages. Choose the paper's true size there, switch off 'rotate' and 'choose orientation "
            "automatically', and print the turn test again."
        )
    vertical = arrow is Letter.A
    return next(flip for flip in Flip if turns_about_vertical_axis(sheet, flip) is vertical)


def _feed(answers: TurnAnswers, sheet: Size) -> Feed | None:
    """Give the kind of edge that goes in first, from the letter at the pencilled 1."""
    if answers.lead is None:
        return None
    if answers.guide is not None and (_step(answers.guide) - _step(answers.lead)) % 2 == 0:
        raise AnswersContradict(
            f"The 1 is at {answers.lead} and the 2 at {answers.guide}, but these edges do not meet in a corner. The "
            "edge that goes in first and the edge along the guide always do: look at the pencil marks again."
        )
    lies = answers.lead in (Letter.A, Letter.C)
    return Feed.SHORT_EDGE if lies is not sheet.is_landscape else Feed.LONG_EDGE


def _automatic_lead(answers: TurnAnswers) -> Edge | None:
    """Give the edge that led while the front was printed; None when it was not told."""
    if answers.lead is None or answers.first_printed is FirstPrinted.UNSEEN:
        return None
    return answers.lead.edge if answers.first_printed is FirstPrinted.LETTERS else _turned(answers.lead, 2).edge


def _reloads(answers: TurnAnswers, sheet: Size) -> tuple[Reload, ...]:
    """Give the two ways to put the stack back that print on its other face, the one nearest to the test's first."""
    if answers.lead is None or answers.stack_face is None or answers.stack_lead is None:
        if answers.one_face:
            raise AnswersContradict(
                "Letters and arrow are on one face: the sheet went back in the wrong way up. Put it in with the other "
                "face up, and print the turn test again."
            )
        return ()
    _check_stack(answers.lead, answers.stack_lead, answers.arrow, one_face=answers.one_face)
    face = _other(answers.stack_face) if answers.one_face else answers.stack_face
    return tuple(
        Reload(face=face, lead=first.edge, flip=_flip_behind(_top_of_back(answers.lead, first), sheet))
        for first in (answers.stack_lead, _turned(answers.stack_lead, 2))
    )


def _check_stack(lead: Letter, stack_lead: Letter, arrow: Letter, *, one_face: bool) -> None:
    if (_step(stack_lead) - _step(lead)) % 2:
        raise AnswersContradict(
            f"The sheet went in with the edge of {lead} first, and then with the edge of {stack_lead}: once with a "
            "short edge and once with a long one. Put it in with the same kind of edge both times, and print the test "
            "again."
        )
    must = _turned(stack_lead, -_step(lead)) if one_face else _top_of_back(lead, stack_lead)
    if arrow is not must:
        where = "at" if one_face else "behind"
        raise AnswersContradict(
            f"These answers do not go together: with {lead} first for the letters and {stack_lead} first for the "
            f"arrow, the arrow must lie {where} {must}, not {arrow}. Look at the sheet again; if all is as you said, "
            "use the same paper tray for both sides and print the turn test again."
        )


def _top_of_back(lead: Letter, stack_lead: Letter) -> Letter:
    """Give the letter behind the top of a back page that is printed on the other face."""
    return _turned(stack_lead, _step(lead))


def _step(letter: Letter) -> int:
    return "ABCD".index(letter)


def _turned(letter: Letter, steps: int) -> Letter:
    """Give the letter so many edges further, clockwise as the front is read."""
    return Letter("ABCD"[(_step(letter) + steps) % 4])


def _other(face: Face) -> Face:
    return Face.DOWN if face is Face.UP else Face.UP
