"""Make one order, from its art to its finished folder; runs in a worker process.

A pure function of art, settings and ticket: no clock, no network, nothing but the order's folder is read and nothing
but its building folder written (and, beside the art, the card's common art, so that the archive is complete).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from watcher import __version__
from watcher.archive.effective_settings import EffectiveSettings
from watcher.archive.order_ticket import Decided, ticket_text
from watcher.archive.ticket_file import TICKET_SUFFIX, PrintFile
from watcher.art.checks.bare_paper import bare_edges
from watcher.art.model import CardFace
from watcher.art.opening import OpenedDesign
from watcher.art.small_picture import small_picture, small_picture_of
from watcher.errors import OrderHeld
from watcher.instructions.card_picture import CARD_SUFFIX, card_png
from watcher.instructions.card_words import CardWords, card_words
from watcher.instructions.finishing import Finishing, finishing_findings, mark_findings, plan_finishing
from watcher.instructions.label import LABEL_SUFFIX, Bundles, label_pdf
from watcher.instructions.narrow_lanes import lane_findings
from watcher.instructions.page import write_instructions
from watcher.instructions.page_facts import Instructions
from watcher.instructions.paper_edge import paper_edge_findings
from watcher.instructions.preview import late_png
from watcher.instructions.printing import PrintJob, file_names, printing_of
from watcher.instructions.second_side import stack_findings, stack_of
from watcher.layout.marks.sheet_marks import SheetMarks, plan_sheet_marks
from watcher.layout.model import CutPlan, Layout, WhiteEdges
from watcher.orders.cost import Cost, cost_of
from watcher.orders.model import DesignPlaces
from watcher.orders.quantity import SheetCount
from watcher.outbox.product import Product, begin_product, write_product
from watcher.settings.papers import media_name
from watcher.settings.to_toml import SheetSetup
from watcher.sheet.check.render import Rendered
from watcher.sheet.draw.pdfx import Press
from watcher.sheet.draw.plan import CardDesign, SheetForm, SheetPlan, planned_files
from watcher.sheet.draw.score_word import score_word_size
from watcher.sheet.draw.sheet_pdf import small_print_findings
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import ONE_SIDED, Copies, Finding, Level, Marks, PageOrder, PaperEdge
from watcher.work.alignment_check import correction_findings
from watcher.work.arrange import Arranged, arrange_designs, arrange_one, ideal_layout, layout_request
from watcher.work.held_art import add_picture
from watcher.work.job import Checked, HeldForYes, Job, Made, OrderCheck
from watcher.work.order_art import GoodArt, besides, checked_art, hold_back, press_profile
from watcher.work.order_sheets import DrawnSheets, drawn_sheets

MOST_PAGES_REPEATED = 5_000  # ours; far more than a shop prints of place cards
CHECK_OVERRULED = "check-overruled"
OVERRULED = "a person overruled the check of its sheets"
SOFTWARE = f"print-folder-watcher {__version__}"


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


def make(job: Job) -> Made:
    """Make an order: open its art, settle it, draw and check its sheets, write its product.

    Raises:
        OrderHeld: it cannot be made as it is; the message says why and what to do.
    """
    begin_product(job.building)
    art = checked_art(job)
    try:
        return _make(job, art)
    except OrderHeld as held:
        add_picture(held, job, art)
        raise


def _make(job: Job, art: GoodArt) -> Made:
    try:
        settled = settle(job, art)
    except OrderHeld:
        hold_back(art.findings, job)  # what is to be said of the art comes first
        raise
    hold_back(settled.findings, job)  # all at once: whoever accepts it has read all of it
    with drawn_sheets(settled.job, settled.plan) as drawn:
        overruled = _overruled(drawn.overruled())
        settled = replace(settled, findings=(*overruled, *settled.findings))
        _ask_first(settled, drawn)
        product = _write(settled, drawn)
    count = settled.arranged.count
    return Made(
        sheets=count.total,
        up=settled.arranged.layout.up,
        words="; ".join((count.words, *(OVERRULED for _ in overruled))),
        findings=settled.findings,
        product=product,
    )


def check(task: OrderCheck) -> Checked:
    """Say what an order comes to and what was found, without making it.

    Raises:
        OrderHeld: a file cannot be opened, or the cards do not fit on the sheet.
    """
    art = checked_art(task.job, keep_common=False)
    if not task.is_whole:
        return Checked(findings=art.findings)
    settled = settle(task.job, art)
    return Checked(findings=settled.findings, words=settled.arranged.count.words, up=settled.arranged.layout.up)


def rehearse(job: Job) -> None:
    """Go the way of an order as far as its product and write nothing: what is loaded on the way stays loaded.

    Raises:
        OrderHeld: it cannot be made.
    """
    settled = settle(job, checked_art(job))
    with drawn_sheets(settled.job, settled.plan) as drawn:
        write_instructions(_instructions(settled, drawn))
        ticket_text(_decided(settled))


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


def _overruled(fault: str | None) -> tuple[Finding, ...]:
    """Warn of sheets that the check by sight found wrong, and that a person had printed all the same."""
    if fault is None:
        return ()
    said = (
        "A person overruled the check of the finished sheet. It had found that the sheet does not look like its art"
        f" ({fault}). Look at the sheet before you print many."
    )
    return (Finding(level=Level.WARN, code=CHECK_OVERRULED, message=said),)


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


def _ask_first(settled: Settled, drawn: DrawnSheets) -> None:
    """Hold an order whose card the customer is to see first, with a picture of the card."""
    job = settled.job
    if job.asks_first:
        drawn.finish()
        picture = job.name + CARD_SUFFIX
        numbers = _numbers(settled.plan, settled.art)
        write_product(job.building, {picture: card_png(drawn.cards, numbers, _card_words(job, len(numbers)))})
        soft = tuple(finding for finding in settled.findings if finding.level is Level.HOLD)
        shown = len({card.form for card in drawn.cards})
        raise HeldForYes(soft, picture, designs=len(numbers), shown=shown, besides=besides(settled.findings))


def _card_words(job: Job, designs: int) -> CardWords:
    return card_words(job.name, job.settings, job.order.wishes, job.date, designs=designs)


def _numbers(plan: SheetPlan, art: GoodArt) -> tuple[int, ...]:
    """The number of each design of the plan."""
    numbers = {id(design.faces[0]): design.number for design in art.designs}
    return tuple(numbers[id(design.front)] for design in plan.designs)


def place_marks(settings: SheetSetup, layout: Layout) -> SheetMarks:
    """Plan where the sheet is marked for cutting and folding."""
    return plan_sheet_marks(
        layout,
        crop=settings.sheet.marks is Marks.CROP,
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


def _write(settled: Settled, drawn: DrawnSheets) -> Mapping[str, int]:
    """Write the product: each file as soon as its facts are known, the ticket last, once the sheets are checked.

    Returns:
        The size of each file, bytes.
    """
    job = settled.job
    with Product(job.building) as product:
        for file in drawn.files:
            product.put(f"{job.name}_{file.suffix}.pdf", file.pdf)
        told = _decided(settled)
        told = replace(told, small_picture=told.small_picture or _small_picture(drawn))
        ticket = ticket_text(replace(told, printed_as=job.shown, printed_on=job.date, designs=settled.designs))
        if job.read_back:
            numbers = _numbers(settled.plan, settled.art)
            about = _card_words(job, len(numbers))
            product.put(job.name + CARD_SUFFIX, lambda: card_png(drawn.cards, numbers, about))
        put_label(product, job, settled.art, lambda: drawn.cards[0] if drawn.cards else None)
        if drawn.preview is not None:
            product.put(f"{job.name}_preview.png", partial(late_png, drawn.preview))
        product.put(f"{job.name}_instructions.pdf", write_instructions(_instructions(settled, drawn)))
        drawn.finish()
        product.finish(job.name + TICKET_SUFFIX, ticket)  # last: its presence says that the rest is there
    return product.files


def _decided(settled: Settled) -> Decided:
    return decided(
        settled.asked,
        settled.art,
        settled.plan,
        count=settled.arranged.count,
        cuts=settled.finishing.plan,
        findings=settled.findings,
    )


def _small_picture(drawn: DrawnSheets) -> str:
    """The first card as it was rendered, for an order of which no thumbnail was kept; empty where nothing was."""
    return small_picture(drawn.cards[0].pixels) if drawn.cards else ""


def put_label(product: Product, job: Job, art: GoodArt, shown: Callable[[], Rendered | None]) -> None:
    """Write the labels of an order's bundles, where its card has any.

    Args:
        product: the order's, or that of the run.
        job: the order, with its card as its art is read.
        art: how many designs there are.
        shown: gives the picture of its card; waits for it.
    """
    card, wishes = job.settings.card, job.order.wishes
    if card.label is None or card.bundle is None:
        return
    about = card_words(job.name, job.settings, wishes, job.date, designs=len(art.designs))
    cards = len(art.designs) * wishes.quantity
    bundles = Bundles(about=about, cards=cards, bundle=card.bundle, note=wishes.note)
    size = card.label
    product.put(job.name + LABEL_SUFFIX, lambda: label_pdf(bundles, size, shown()))


def decided(
    job: Job, art: GoodArt, plan: SheetPlan, *, count: SheetCount, cuts: CutPlan | None, findings: tuple[Finding, ...]
) -> Decided:
    """Give what the ticket of an order tells, whether it has its sheets for itself or shares them.

    Args:
        job: the order, with its card as the settings have it: a repeat reads its art anew.
        art: what it was made from.
        plan: its sheets.
        count: how many of them, for its cards.
        cuts: how they are parted.
        findings: all that was said of it.
    """
    return Decided(
        folder=job.name,
        order=job.order,
        settings=job.settings,
        count=count,
        layout=plan.layout,
        faces=art.faces,
        sources=art.sources,
        findings=findings,
        made_at=job.made_at,
        software=SOFTWARE,
        order_sha256=job.order_sha256,
        cuts=cuts,
        repeat_of=job.repeat_of,
        sheets_only=job.sheets_only,
        overruled=any(finding.code == CHECK_OVERRULED for finding in findings),
        profile_sha256=plan.profile_sha256,
        printing=print_files(job.name, plan),
        backs_order=plan.order_of_backs,
        small_picture=small_picture_of(art.faces[0], art.card.opened_out),
        cost=sheets_cost(job.settings, plan),
    )


def sheets_cost(settings: EffectiveSettings, plan: SheetPlan) -> Cost | None:
    """Give what the paper and the print of sheets cost; None where no price is known."""
    sides = 2 if plan.two_sided else 1
    price, click = settings.sheet.price, settings.printer.click
    return cost_of(plan.sheets, sides, price=price, click=click, money=settings.money)


def print_files(name: str, plan: SheetPlan) -> tuple[PrintFile, ...]:
    """Give how each file of sheets is printed, in the order of printing.

    Args:
        name: of the folder, with which the files' names begin.
        plan: the sheets.
    """
    return tuple(
        PrintFile(
            file=f"{name}_{file.suffix}.pdf",
            copies=plan.forms[file.forms[0]].sheets if plan.copies is Copies.ONCE else 1,
            sides=plan.dialog_flip.sides if plan.dialog_flip and len(file.sides) > 1 else ONE_SIDED,
            media=media_name(plan.layout.sheet),
        )
        for file in planned_files(plan)
    )


def _instructions(settled: Settled, drawn: DrawnSheets) -> Instructions:
    job, arranged = settled.job, settled.arranged
    files = file_names(job.name, (file.suffix for file in drawn.files))
    jobs = (PrintJob(files=files, sheets=arranged.count.total),)
    return Instructions(
        order=job.name,
        printed_as=job.shown if job.shown != job.name else None,
        cards=job.settings.card.name,
        date=job.date,
        settings=job.settings,
        wishes=job.order.wishes,
        count=arranged.count,
        layout=arranged.layout,
        marks=settled.marks,
        finishing=settled.finishing,
        findings=settled.findings,
        printing=printing_of(settled.plan, job.settings.printer, jobs),
        preview=drawn.preview,
        designs=settled.designs,
        cost=sheets_cost(job.settings, settled.plan),
    )
