"""Draw the sheets: a plan becomes the PDF that is printed, or two PDFs with manual duplex."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache

from pypdf.generic import IndirectObject

from watcher.art.model import ImageStream, VectorPage
from watcher.layout.backs import box_behind
from watcher.layout.geometry import Box
from watcher.layout.marks.crop_marks import marks_behind
from watcher.layout.model import Layout, Mark, SlugPlace
from watcher.layout.register.alignment import correction_matrix, is_identity
from watcher.sheet.draw.lettering import Strip, set_strips, text_strip
from watcher.sheet.draw.pdf_file import PdfFile
from watcher.sheet.draw.plan import PlannedFile, SheetPage, SheetPlan, face_at, planned_files, sheet_number
from watcher.sheet.draw.ruler import ruler_strip
from watcher.sheet.draw.score_word import score_word
from watcher.sheet.draw.size_check import SizeCheck, distance_on
from watcher.sheet.draw.small_print import PlacedPrint, place_small_print
from watcher.sheet.matrix import clip_to, exact, show, turned_into
from watcher.terms import Copies, Finding, Side
from watcher.units import mm_to_points

MARK_HALO_PT = Fraction(1, 2)  # how much wider the white below a mark is
SCORE_DASH_PT = "2 1.5"


@dataclass(frozen=True, kw_only=True)
class SheetFile:
    """One finished PDF.

    Attributes:
        suffix: how its name ends.
        pdf: its bytes.
        pages: its different pages in their order.
        arts: the numbers of the objects that hold pictures and pages of the art.
        page_tree: the number of the object that names all pages.
    """

    suffix: str
    pdf: bytes
    pages: tuple[SheetPage, ...]
    arts: Mapping[ImageStream | VectorPage, int] = field(default_factory=dict, compare=False)
    page_tree: int = field(default=0, compare=False)

    @property
    def sides(self) -> tuple[Side, ...]:
        """The faces of the sheet that are in it, front first."""
        return tuple(side for side in Side if any(page.side is side for page in self.pages))


def draw_sheets(plan: SheetPlan) -> tuple[SheetFile, ...]:
    """The PDF of the sheets; fronts and backs in two files when a person turns the stack."""
    return tuple(_draw_file(plan, file) for file in planned_files(plan))


def small_print_findings(plan: SheetPlan) -> tuple[Finding, ...]:
    """Findings for small print that has no room on the sheet."""
    placed = [_placed(plan, form) for form in range(len(plan.forms))]
    return tuple(dict.fromkeys(finding for one in placed if one for finding in one.findings))


def size_check(plan: SheetPlan) -> SizeCheck:
    """How the size of the sheet that is printed first is checked."""
    placed = _placed(plan, 0)
    if placed is not None and placed.scales is not None:
        return SizeCheck(ruler=placed.scales)
    return SizeCheck(distance=distance_on(plan, 0))


def _placed(plan: SheetPlan, form: int) -> PlacedPrint | None:
    if plan.small_print is None:
        return None
    labels = tuple(label.box for label in plan.score_labels)
    planned = plan.forms[form]
    sheets = plan.sheets if plan.copies is Copies.PAGES else planned.sheets  # what is printed of the file
    small_print = replace(plan.small_print, sheets=sheets, number=sheet_number(plan, form), whose=planned.whose)
    placed = place_small_print(plan.layout, plan.marks, small_print, labels)
    if placed.ruler or (distance := distance_on(plan, form)) is None:
        return placed
    return place_small_print(plan.layout, plan.marks, replace(small_print, size_check=distance.short_words), labels)


def _draw_file(plan: SheetPlan, planned: PlannedFile) -> SheetFile:
    file = PdfFile()
    strips = _add_strips(file, plan, planned.pages)
    drawn: dict[SheetPage, tuple[IndirectObject, IndirectObject]] = {}
    for page in planned.pages:
        names: dict[str, IndirectObject] = {}
        content = file.content(_page_content(file, plan, page, strips[page], names))
        drawn[page] = (content, file.resources(names))
    for form in planned.forms:
        for _ in range(plan.forms[form].sheets if plan.copies is Copies.PAGES else 1):
            for page, parts in drawn.items():
                if page.form == form:
                    file.add_page(plan.layout.sheet, *parts)
    automatic = plan.duplex if len(planned.sides) > 1 else None
    copies = plan.forms[planned.forms[0]].sheets if plan.copies is Copies.ONCE else None
    file.set_printing(automatic, plan.dialog_flip, copies)
    if plan.press is not None:
        file.set_press(plan.press)
    return SheetFile(
        suffix=planned.suffix, pdf=file.to_bytes(), pages=planned.pages, arts=file.arts, page_tree=file.page_tree
    )


def _page_content(
    file: PdfFile,
    plan: SheetPlan,
    page: SheetPage,
    strips: Sequence[tuple[SlugPlace, IndirectObject]],
    names: dict[str, IndirectObject],
) -> bytes:
    """The operators of one page; `names` is filled with the forms that they draw."""
    lines, side = list[str](), page.side
    known: dict[int, str] = {}  # the same card lies at many places
    for place, at in zip(plan.layout.places, _places(plan.layout, side), strict=True):
        lying = face_at(plan, page, place)
        if lying is not None:
            card = lying[1]
            if id(card) not in known:
                known[id(card)] = _name(names, "/Card", file.card(card, plan.layout.trim))
            lines.append(f"q {at} {known[id(card)]} Do Q")
    lines += _mark_lines(plan.layout, plan.marks, plan.mark_weight, side)
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


@lru_cache(maxsize=16)  # a shop prints the same layout all day
def _places(layout: Layout, side: Side) -> tuple[str, ...]:
    """The operators that clip to each place and bring a card there; empty where there is none on this side."""
    faces = [place.front if side is Side.FRONT else place.back for place in layout.places]
    return tuple(
        f"{clip_to(face.bleed_box)} {turned_into(face.trim, face.turn).operator}" if face else "" for face in faces
    )


@lru_cache(maxsize=16)
def _mark_lines(layout: Layout, marks: tuple[Mark, ...], mark_weight: Fraction, side: Side) -> tuple[str, ...]:
    """The marks as thin black lines; dashed where the card is folded."""
    if side is Side.BACK and layout.flip is not None:
        marks = marks_behind(marks, layout.sheet, layout.flip)
    if not marks:
        return ()
    solid, dashed = ([_stroke(mark) for mark in marks if mark.dashed is kind] for kind in (False, True))
    weight = mm_to_points(mark_weight)
    # white underneath, so that a tick that lies on dark bleed can be seen
    lines = [f"q 1 G {show(weight + MARK_HALO_PT)} w", *solid, *dashed, "S", f"0 G {show(weight)} w"]
    if solid:
        lines += [*solid, "S"]
    if dashed:
        lines += [f"[{SCORE_DASH_PT}] 0 d", *dashed, "S"]
    return (*lines, "Q")


def _stroke(mark: Mark) -> str:
    """The operators that stroke a mark."""
    start, end = mark.start, mark.end
    return f"{show(mm_to_points(start.x), mm_to_points(start.y))} m {show(mm_to_points(end.x), mm_to_points(end.y))} l"


def _on_side(box: Box, plan: SheetPlan, side: Side) -> Box:
    flip = plan.layout.flip
    return box_behind(box, plan.layout.sheet, flip) if side is Side.BACK and flip is not None else box


def _add_strips(
    file: PdfFile, plan: SheetPlan, pages: Sequence[SheetPage]
) -> Mapping[SheetPage, list[tuple[SlugPlace, IndirectObject]]]:
    """The small print of each page as forms with their places in front axes; all of it set as one PDF."""
    labels = [(label, score_word()) for label in plan.score_labels]
    wanted = [
        (page, slug, strip)
        for page in pages
        for slug, strip in [*_strips_of(_placed(plan, page.form), page.side), *labels]
    ]
    found: dict[SheetPage, list[tuple[SlugPlace, IndirectObject]]] = {page: [] for page in pages}
    if not wanted:
        return found
    distinct = list(dict.fromkeys(strip for _, _, strip in wanted))
    at = {strip: number for number, strip in enumerate(distinct)}
    forms = file.pages_of(set_strips(tuple(distinct)))
    for page, slug, strip in wanted:
        found[page].append((slug, forms[at[strip]]))
    return found


def _strips_of(placed: PlacedPrint | None, side: Side) -> list[tuple[SlugPlace, Strip]]:
    strips = []
    if placed and placed.ruler and placed.scales:
        strips.append((placed.ruler, ruler_strip(placed.scales)))
    if placed and placed.text:
        size = placed.text.box.size.turned(placed.text.turn)
        strips.append((placed.text, text_strip(placed.lines[side], placed.type_pt, size.width, size.height)))
    if placed and placed.whose and side is Side.FRONT:
        line, size = placed.whose, placed.whose.place.box.size.turned(placed.whose.place.turn)
        strips.append((line.place, text_strip(line.words, line.type_pt, size.width, size.height)))
    return strips
