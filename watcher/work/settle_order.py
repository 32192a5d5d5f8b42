"""Decide everything that an order's sheets are drawn from: layout, count, marks, plan, and what is to be said."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from watcher.art.checks.bare_paper import bare_edges
from watcher.art.model import CardFace
from watcher.art.opening import OpenedDesign
from watcher.errors import OrderHeld
from watcher.instructions.finishing import Finishing, finishing_findings, mark_findings, plan_finishing
from watcher.instructions.narrow_lanes import lane_findings
from watcher.instructions.paper_edge import paper_edge_findings
from watcher.instructions.second_side import stack_findings, stack_of
from watcher.layout.marks.sheet_marks import SheetMarks, plan_sheet_marks
from watcher.layout.model import Layout, WhiteEdges
from watcher.orders.model import DesignPlaces
from watcher.orders.quantity import SheetCount
from watcher.settings.to_toml import SheetSetup
from watcher.sheet.draw.pdfx import Press
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan
from watcher.sheet.draw.score_word import score_word_size
from watcher.sheet.draw.sheet_pdf import small_print_findings
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import Copies, Finding, PageOrder, PaperEdge
from watcher.work.alignment_check import correction_findings
from watcher.work.arrange import Arranged, arrange_designs, arrange_one, ideal_layout, layout_request
from watcher.work.job import Job
from watcher.work.order_art import GoodArt, press_profile

MOST_PAGES_REPEATED = 5_000  # ours; far more than a shop prints of place cards


@dataclass(frozen=True, kw_only=True)
class Settled:
    """Everything that is decided about an order before its sheets are drawn.

    Attributes:
        asked: the order with its card as the settings have it.
        job: the same with the card as its art is read; they differ where all art lies on its side.
        Others as they are called.
    """

    asked: Job
    job: Job
    art: GoodArt
    arranged: Arranged
    plan: SheetPlan
    finishing: Finishing
    marks: SheetMarks
    findings: tuple[Finding, ...]

    @property
    def designs(self) -> DesignPlaces | None:
        """Which of several designs lies where, by their numbers; None for an order of one."""
        order = self.job.order
        if not order.is_by_design:
            return None
        numbers = [design.number for design in self.art.designs]
        forms = tuple(
            (tuple(None if at is None else numbers[at] for at in form.designs), form.sheets)
            for form in self.arranged.forms
        )
        sequence = order.wishes.sequence_for(self.job.settings.card)
        return DesignPlaces(numbers=tuple(numbers), sequence=sequence, forms=forms, only=order.wishes.only)


def settle(asked: Job, art: GoodArt) -> Settled:
    """Decide everything that the sheets are drawn from. The findings may be such that the order must be held.

    Args:
        asked: the order.
        art: its art, opened.

    Raises:
        OrderHeld: the cards do not fit on the sheet.
    """
    job = replace(asked, settings=replace(asked.settings, card=art.card))
    settings = job.settings
    bare = _bare_paper(job, art.designs)
    arranged = _arranged(job, len(art.designs), bare)
    layout = arranged.layout
    finishing = plan_finishing(settings, layout)
    marks = place_marks(settings, layout)
    plan = _plan(job, arranged, art.designs, marks)
    findings = (
        *job.said,
        *art.findings,
        *_paper_edge_findings(job, art.designs[0].faces, layout, bare),
        *finishing_findings(finishing, layout, settings.sheet.grain),
        *mark_findings(marks, crosses=settings.sheet.register_crosses),
        *lane_findings(layout, settings, [design.faces for design in art.designs]),
        *register_findings(job, layout, bare),
        *small_print_findings(plan),
        *stack_findings(stack_of(settings.printer, plan)),
    )
    return Settled(
        asked=asked,
        job=job,
        art=art,
        arranged=arranged,
        plan=plan,
        finishing=finishing,
        marks=marks,
        findings=findings,
    )


def _press(job: Job) -> Press | None:
    profile = press_profile(job.settings.printer)
    return None if profile is None else Press(profile=profile, title=job.shown, date=job.date)


def _arranged(job: Job, designs: int, bare: WhiteEdges | None) -> Arranged:
    """Lay out the cards, and count the sheets.

    Raises:
        OrderHeld: more sheets of many designs than one file holds, or a number of sheets that is of no design.
    """
    order = job.order
    if not order.is_by_design:
        return arrange_one(job.settings, order.wishes, job.sheets_only, bare)
    if job.sheets_only is not None:
        raise OrderHeld(
            f"{order.name} has several designs, so a number of sheets does not tell which of them are wanted."
            " Say which: only = [17] in the ticket, or --only 17."
        )
    arranged = arrange_designs(job.settings, order.wishes, designs)
    if len(arranged.forms) > 1 and arranged.count.total > MOST_PAGES_REPEATED:
        raise OrderHeld(
            f"{arranged.count.words}: that is more than the {MOST_PAGES_REPEATED:,} sheets that an order of several"
            " designs may have. Split it into several orders."
        )
    return arranged


def _plan(job: Job, arranged: Arranged, designs: Sequence[OpenedDesign], marks: SheetMarks) -> SheetPlan:
    layout = arranged.layout
    cards = [CardDesign(front=one.faces[0], back=one.faces[1] if len(one.faces) > 1 else None) for one in designs]
    forms = tuple(
        SheetForm(designs=tuple(None if at is None else cards[at] for at in form.designs), sheets=form.sheets)
        for form in arranged.forms
    )
    # sheets that differ lie in one file in their order, so that one print of it is the whole order
    copies = job.settings.sheet.copies if len(forms) == 1 else Copies.PAGES
    return sheet_plan(job, layout, forms, marks, _small_print(job, arranged.count, layout), copies)


def sheet_plan(
    job: Job,
    layout: Layout,
    forms: tuple[SheetForm, ...],
    marks: SheetMarks,
    small_print: SmallPrint,
    copies: Copies | None = None,
) -> SheetPlan:
    """Make the plan of the sheets that is drawn, with what the settings say of them.

    Args:
        job: the order, or any of those that share the sheets.
        layout: where the cards lie.
        forms: which of them lie where.
        marks: where the sheet is marked.
        small_print: what it says, where it is wanted.
        copies: how the number of sheets reaches the printer, where the settings do not decide it.
    """
    sheet, printer = job.settings.sheet, job.settings.printer
    return SheetPlan(
        layout=layout,
        marks=marks.marks,
        forms=forms,
        copies=copies or sheet.copies,
        duplex=printer.duplex,
        chosen_flip=printer.chosen_flip,
        backs_order=printer.backs_order or PageOrder.ONE_TO_N,
        correction=job.settings.correction if layout.flip else None,
        small_print=small_print if sheet.slug else None,
        mark_weight=sheet.mark_weight,
        score_labels=marks.labels,
        press=_press(job),
    )


def place_marks(settings: SheetSetup, layout: Layout) -> SheetMarks:
    """Plan where the sheet is marked for cutting and folding."""
    return plan_sheet_marks(
        layout,
        marks=settings.sheet.marks,
        fold=settings.card.fold,
        crosses=settings.sheet.register_crosses,
        word=score_word_size(),
    )


def _bare_paper(job: Job, designs: Sequence[OpenedDesign]) -> WhiteEdges | None:
    """Measure how wide the art is bare along its edges, where the card asks for that; never of several designs."""
    card = job.settings.card
    if card.paper_edge is not PaperEdge.MEASURE or job.order.is_by_design:
        return None
    widths = [bare_edges(face, card.opened_out) for face in designs[0].faces]
    return WhiteEdges(front=widths[0], back=widths[1] if len(widths) > 1 else None)


def _paper_edge_findings(
    job: Job, faces: Sequence[CardFace], layout: Layout, bare: WhiteEdges | None
) -> tuple[Finding, ...]:
    if bare is None:
        return ()
    wanted = job.order.wishes.quantity
    ideal = ideal_layout(job.settings, wanted)
    return paper_edge_findings(faces, layout, ideal, layout_request(job.settings, wanted), bare)


def register_findings(job: Job, layout: Layout, bare: WhiteEdges | None = None) -> tuple[Finding, ...]:
    """Say what the printer's correction leaves of the bleed."""
    settings = job.settings
    if settings.correction is None or layout.flip is None:
        return ()
    reached = bare if layout.in_rim else None
    request = layout_request(settings, job.order.wishes.quantity, reached)
    return correction_findings(layout, settings.correction, request, settings.printer.name, settings.sheet.name)


def _small_print(job: Job, count: SheetCount, layout: Layout) -> SmallPrint:
    printer = job.settings.printer
    return SmallPrint(
        order=job.shown,
        card=job.settings.card.name,
        sheets=count.total,
        flip=printer.chosen_flip if layout.flip else None,
        duplex=printer.duplex,
        date=job.date,
        reload=printer.reload,
    )
