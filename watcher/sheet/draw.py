"""A layout and the faces of a card become the PDF that is printed: one file, or two with manual duplex."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from pypdf.generic import IndirectObject

from watcher.art.model import CardFace, Finding
from watcher.layout.alignment import Correction, correction_matrix, is_identity
from watcher.layout.backs import box_behind
from watcher.layout.geometry import Box
from watcher.layout.marks import marks_behind
from watcher.layout.model import Face, Layout, Mark, Place, SlugPlace
from watcher.sheet.boxes import page_boxes
from watcher.sheet.lettering import Strip, set_strips, text_strip
from watcher.sheet.matrix import clip_to, exact, show, turned_into
from watcher.sheet.pdf_file import PdfFile
from watcher.sheet.pdfx import Press
from watcher.sheet.ruler import ruler_strip
from watcher.sheet.score_word import score_word
from watcher.sheet.small_print import PlacedPrint, SmallPrint, place_small_print
from watcher.terms import Copies, Duplex, Side
from watcher.units import mm_to_points, points_to_mm

MARK_WEIGHT_MM = points_to_mm(Fraction(1, 4))  # common practice, no source
MARK_HALO_PT = Fraction(1, 2)  # how much wider the white below a mark is
SCORE_DASH_PT = "2 1.5"


class SheetName(StrEnum):
    """Which file of an order it is, as the end of its name says."""

    SHEETS = "sheets"
    FRONTS = "1-fronts"
    BACKS = "2-backs"


@dataclass(frozen=True, kw_only=True)
class SheetPlan:
    """All that decides what the sheets look like.

    Attributes:
        layout: where the cards lie.
        marks: cutting marks, axes of the front page.
        front, back: the faces of the card; no back when one-sided.
        sheets: how many sheets are printed.
        copies: how that number reaches the printer.
        duplex: who turns the sheet; counts only with a back.
        correction: what brings the back into register, or None.
        small_print: the slug line and the ruler, or None for neither.
        mark_weight: thickness of the marks, mm.
        press: the press the sheet is made for, or None for a plain PDF.
        score_labels: where the word stands beside the dashed marks, axes of the front page.
    """

    layout: Layout
    marks: tuple[Mark, ...]
    front: CardFace
    back: CardFace | None
    sheets: int
    copies: Copies
    duplex: Duplex
    correction: Correction | None = None
    small_print: SmallPrint | None = None
    mark_weight: Fraction = MARK_WEIGHT_MM
    score_labels: tuple[SlugPlace, ...] = ()
    press: Press | None = None


@dataclass(frozen=True, kw_only=True)
class SheetFile:
    """One finished PDF.

    Attributes:
        suffix: which file it is.
        pdf: its bytes.
        sides: the faces of the sheet in the order of its pages, once round.
    """

    suffix: SheetName
    pdf: bytes
    sides: tuple[Side, ...]


def draw_sheets(plan: SheetPlan) -> tuple[SheetFile, ...]:
    """The PDF of the sheets; fronts and backs in two files when a person turns the stack."""
    return tuple(
        SheetFile(suffix=name, pdf=_draw_file(plan, sides), sides=sides) for name, sides in planned_files(plan)
    )


def planned_files(plan: SheetPlan) -> tuple[tuple[SheetName, tuple[Side, ...]], ...]:
    """Which files a plan makes, and the sides of the sheet in each."""
    if plan.back is None:
        return ((SheetName.SHEETS, (Side.FRONT,)),)
    if plan.duplex is Duplex.AUTOMATIC:
        return ((SheetName.SHEETS, (Side.FRONT, Side.BACK)),)
    return ((SheetName.FRONTS, (Side.FRONT,)), (SheetName.BACKS, (Side.BACK,)))


def small_print_findings(plan: SheetPlan) -> tuple[Finding, ...]:
    """What of the small print found no room."""
    placed = _placed(plan)
    return placed.findings if placed else ()


def face_at(plan: SheetPlan, place: Place, side: Side) -> tuple[Face, CardFace] | None:
    """What lies at a place on one side of the sheet: where, and which face. Several designs on a sheet differ here."""
    if side is Side.FRONT:
        return place.front, plan.front
    return (place.back, plan.back) if place.back is not None and plan.back is not None else None


def _placed(plan: SheetPlan) -> PlacedPrint | None:
    if plan.small_print is None:
        return None
    labels = tuple(label.box for label in plan.score_labels)
    return place_small_print(plan.layout, plan.marks, plan.small_print, labels)


def _draw_file(plan: SheetPlan, sides: Sequence[Side]) -> bytes:
    file = PdfFile()
    strips = _add_strips(file, plan, sides)
    pages = []
    for side in sides:
        names: dict[str, IndirectObject] = {}
        content = file.content(_page_content(file, plan, side, strips[side], names))
        pages.append((page_boxes(plan.layout, side), content, file.resources(names)))
    for _ in range(plan.sheets if plan.copies is Copies.PAGES else 1):
        for boxes, content, resources in pages:
            file.add_page(boxes, content, resources)
    automatic = plan.duplex if len(sides) > 1 else None
    file.set_printing(automatic, plan.layout.flip, plan.sheets if plan.copies is Copies.ONCE else None)
    if plan.press is not None:
        file.set_press(plan.press)
    return file.to_bytes()


def _page_content(
    file: PdfFile,
    plan: SheetPlan,
    side: Side,
    strips: Sequence[tuple[SlugPlace, IndirectObject]],
    names: dict[str, IndirectObject],
) -> bytes:
    """The operators of one page; `names` is filled with the forms that they draw."""
    lines = []
    for place in plan.layout.places:
        lying = face_at(plan, place, side)
        if lying is not None:
            face, card = lying
            name = _name(names, "/Card", file.card(card, plan.layout.trim))
            lines.append(f"q {clip_to(face.paint)} {turned_into(face.trim, face.turn).operator} {name} Do Q")
    lines += _mark_lines(plan, side)
    for slug, form in strips:
        box = _on_side(slug.box, plan, side)
        lines.append(f"q {turned_into(box, slug.turn).operator} {_name(names, '/Print', form)} Do Q")
    if side is Side.BACK and plan.correction is not None and not is_identity(plan.correction):
        correction = exact(correction_matrix(plan.correction, plan.layout.sheet))
        lines = [f"q {correction.operator}", *lines, "Q"]
    return "\n".join(lines).encode("ascii")


def _name(names: dict[str, IndirectObject], stem: str, form: IndirectObject) -> str:
    """The name under which a page draws a form."""
    for name, known in names.items():
        if known == form:
            return name
    name = f"{stem}{len(names) + 1}"
    names[name] = form
    return name


def _mark_lines(plan: SheetPlan, side: Side) -> list[str]:
    """The marks as thin black lines; dashed where the card is folded."""
    layout, marks = plan.layout, plan.marks
    if side is Side.BACK and layout.flip is not None:
        marks = marks_behind(marks, layout.sheet, layout.flip)
    if not marks:
        return []
    solid, dashed = ([_stroke(mark) for mark in marks if mark.dashed is kind] for kind in (False, True))
    weight = mm_to_points(plan.mark_weight)
    # white underneath, so that a tick that lies on dark bleed can be seen
    lines = [f"q 1 G {show(weight + MARK_HALO_PT)} w", *solid, *dashed, "S", f"0 G {show(weight)} w"]
    if solid:
        lines += [*solid, "S"]
    if dashed:
        lines += [f"[{SCORE_DASH_PT}] 0 d", *dashed, "S"]
    return [*lines, "Q"]


def _stroke(mark: Mark) -> str:
    """The way of the pen along a mark."""
    start, end = mark.start, mark.end
    return f"{show(mm_to_points(start.x), mm_to_points(start.y))} m {show(mm_to_points(end.x), mm_to_points(end.y))} l"


def _on_side(box: Box, plan: SheetPlan, side: Side) -> Box:
    flip = plan.layout.flip
    return box_behind(box, plan.layout.sheet, flip) if side is Side.BACK and flip is not None else box


def _add_strips(
    file: PdfFile, plan: SheetPlan, sides: Sequence[Side]
) -> Mapping[Side, list[tuple[SlugPlace, IndirectObject]]]:
    """The small print of each side as forms with their places in front axes; all of it set as one PDF."""
    placed = _placed(plan)
    labels = [(label, score_word()) for label in plan.score_labels]
    wanted = [(side, slug, strip) for side in sides for slug, strip in [*_strips_of(placed, side), *labels]]
    found: dict[Side, list[tuple[SlugPlace, IndirectObject]]] = {side: [] for side in sides}
    if not wanted:
        return found
    distinct = list(dict.fromkeys(strip for _, _, strip in wanted))
    forms = file.pages_of(set_strips(distinct))
    for side, slug, strip in wanted:
        found[side].append((slug, forms[distinct.index(strip)]))
    return found


def _strips_of(placed: PlacedPrint | None, side: Side) -> list[tuple[SlugPlace, Strip]]:
    strips = []
    if placed and placed.ruler:
        strips.append((placed.ruler, ruler_strip()))
    if placed and placed.text:
        size = placed.text.box.size.turned(placed.text.turn)
        strips.append((placed.text, text_strip(placed.lines[side], placed.type_pt, size.width, size.height)))
    return strips
