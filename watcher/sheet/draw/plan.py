"""The plan of the sheets: a layout, the design at each of its places, and the files in which the sheets go out."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from watcher.art.model import CardFace
from watcher.layout.model import Face, Layout, Mark, Place, SlugPlace
from watcher.layout.register.alignment import Correction
from watcher.sheet.draw.pdfx import Press
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import Copies, Duplex, Flip, PageOrder, Side
from watcher.units import points_to_mm, show_run

MARK_WEIGHT_MM = points_to_mm(Fraction(1, 4))  # common practice, no source


class SheetName(StrEnum):
    """The end of a file's name, which says which file of an order it is."""

    SHEETS = "sheets"
    FRONTS = "1-fronts"
    BACKS = "2-backs"


@dataclass(frozen=True, kw_only=True)
class CardDesign:
    """One card: its front and, when it is printed on both sides, its back."""

    front: CardFace
    back: CardFace | None = None

    @property
    def faces(self) -> tuple[CardFace, ...]:
        """Its faces, the front first."""
        return (self.front,) if self.back is None else (self.front, self.back)

    def face(self, side: Side) -> CardFace | None:
        """Its face on one side; None where that side is not printed."""
        return self.front if side is Side.FRONT else self.back


@dataclass(frozen=True, kw_only=True)
class SheetForm:
    """One kind of sheet: the design at each place, and how many are printed.

    Attributes:
        designs: at each place of the layout, in the order of their numbers; None where nothing is printed.
        sheets: how many of it are printed.
        whose: where orders share the sheet, each order's name and the numbers of its places, for people.
    """

    designs: tuple[CardDesign | None, ...]
    sheets: int
    whose: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, kw_only=True)
class SheetPlan:
    """Everything that decides what the sheets look like.

    Attributes:
        layout: where the cards lie.
        marks: cutting marks, axes of the front page.
        forms: the kinds of sheet; one for an order of one design.
        copies: how the number of sheets reaches the printer.
        duplex: who turns the sheet; counts only when there are backs.
        chosen_flip: the edge to choose in the print dialog; None: the one on which the layout is turned.
        backs_order: in which order the sheets come when a person puts the stack back.
        correction: what brings the back into register, or None.
        small_print: the slug line and the ruler, or None for neither; the number of sheets is each form's own.
        mark_weight: thickness of the marks, mm.
        press: the press the sheet is made for, or None for a plain PDF.
        score_labels: where the word stands beside the dashed marks, axes of the front page.
    """

    layout: Layout
    marks: tuple[Mark, ...]
    forms: tuple[SheetForm, ...]
    copies: Copies
    duplex: Duplex
    chosen_flip: Flip | None = None
    backs_order: PageOrder = PageOrder.ONE_TO_N
    correction: Correction | None = None
    small_print: SmallPrint | None = None
    mark_weight: Fraction = MARK_WEIGHT_MM
    score_labels: tuple[SlugPlace, ...] = ()
    press: Press | None = None

    @property
    def sheets(self) -> int:
        """How many sheets are printed in all."""
        return sum(form.sheets for form in self.forms)

    @property
    def dialog_flip(self) -> Flip | None:
        """The edge that the file asks the print dialog for."""
        return None if self.layout.flip is None else self.chosen_flip or self.layout.flip

    @property
    def order_of_backs(self) -> PageOrder | None:
        """The order of the sheets in a file of backs; None where there is no such file, or all its sheets are alike."""
        by_hand = self.two_sided and self.duplex is Duplex.MANUAL
        return self.backs_order if by_hand and len(self.forms) > 1 and self.copies is Copies.PAGES else None

    @property
    def designs(self) -> tuple[CardDesign, ...]:
        """The different designs, in the order in which they lie on the sheets."""
        lying = (design for form in self.forms for design in form.designs if design is not None)
        return tuple({id(design): design for design in lying}.values())

    @property
    def profile_sha256(self) -> str | None:
        """The SHA-256 of the press's colour profile, hexadecimal; None for a plain PDF."""
        return self.press.profile.sha256 if self.press else None

    @property
    def two_sided(self) -> bool:
        """Whether anything is printed on the back."""
        return any(design is not None and design.back is not None for form in self.forms for design in form.designs)


@dataclass(frozen=True, kw_only=True)
class SheetPage:
    """One side of one kind of sheet; `form` counts from 0."""

    form: int
    side: Side


@dataclass(frozen=True, kw_only=True)
class PlannedFile:
    """One file and the pages in it.

    Attributes:
        suffix: how its name ends: `sheets`, `layout-2_1-fronts`.
        sides: the faces of the sheet that are in it.
        forms: the kinds of sheet in it, counted from 0; printed equally often, or repeated in the file.
    """

    suffix: str
    sides: tuple[Side, ...]
    forms: tuple[int, ...]

    @property
    def pages(self) -> tuple[SheetPage, ...]:
        """Its different pages in their order."""
        return tuple(SheetPage(form=form, side=side) for form in self.forms for side in self.sides)


def planned_files(plan: SheetPlan) -> tuple[PlannedFile, ...]:
    """The files that a plan makes: fronts and backs in two when a person turns the stack.

    Kinds of sheet that are printed a different number of times go into a file each, for a file has one number of
    copies; unless the pages are repeated in it. Where a person turns the stack copies of different sheets never share a
    file: whether the print dialog collates them would decide whose back comes when. The backs lie in the order in which
    the sheets come.
    """
    every = tuple(range(len(plan.forms)))
    groups = [("", every)] if _share_a_file(plan) else [(f"layout-{form + 1}_", (form,)) for form in every]
    return tuple(
        PlannedFile(suffix=f"{before}{name}", sides=sides, forms=_in_order(forms, name, plan.backs_order))
        for before, forms in groups
        for name, sides in _files_of_one(plan)
    )


def _share_a_file(plan: SheetPlan) -> bool:
    if plan.copies is Copies.PAGES or len(plan.forms) == 1:
        return True
    by_hand = plan.two_sided and plan.duplex is Duplex.MANUAL
    return not by_hand and len({form.sheets for form in plan.forms}) == 1


def _in_order(forms: tuple[int, ...], name: SheetName, backs_order: PageOrder) -> tuple[int, ...]:
    """The kinds of sheet in the order in which they follow each other in a file."""
    return forms[::-1] if name is SheetName.BACKS and backs_order is PageOrder.N_TO_ONE else forms


def _files_of_one(plan: SheetPlan) -> tuple[tuple[SheetName, tuple[Side, ...]], ...]:
    if not plan.two_sided:
        return ((SheetName.SHEETS, (Side.FRONT,)),)
    if plan.duplex is Duplex.AUTOMATIC:
        return ((SheetName.SHEETS, (Side.FRONT, Side.BACK)),)
    return ((SheetName.FRONTS, (Side.FRONT,)), (SheetName.BACKS, (Side.BACK,)))


def sheet_number(plan: SheetPlan, form: int) -> str:
    """The number that both faces of a sheet show, so that one sees that they belong together: `sheet 3 of 5`.

    Sheets in one file are counted as they are printed, those that are alike together; where each kind has a file of its
    own it is `layout 2 of 3`. Empty where all sheets are alike.
    """
    if len(plan.forms) == 1:
        return ""
    if plan.copies is Copies.ONCE:
        return f"layout {form + 1} of {len(plan.forms)}"
    first = 1 + sum(one.sheets for one in plan.forms[:form])
    last = first + plan.forms[form].sheets - 1
    which = show_run(first, last, "sheet")
    layout = f"layout {form + 1} of {len(plan.forms)}, " if plan.forms[form].whose else ""  # as instructions call it
    return f"{layout}{which} of {plan.sheets}"


def design_at(plan: SheetPlan, form: int, place: Place) -> CardDesign | None:
    """The design at a place of one kind of sheet, or None where nothing is printed."""
    return plan.forms[form].designs[place.number - 1]


def face_at(plan: SheetPlan, page: SheetPage, place: Place) -> tuple[Face, CardFace] | None:
    """The face at a place on one page, and where it lies; None where nothing is printed."""
    design = design_at(plan, page.form, place)
    lying = place.front if page.side is Side.FRONT else place.back
    card = design.face(page.side) if design is not None else None
    return (lying, card) if lying is not None and card is not None else None
