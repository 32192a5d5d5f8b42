"""Make one order, from its art to its finished folder; runs in a worker process.

A pure function of art, settings and ticket: no clock, no network, nothing but the order's folder is read and nothing
but its building folder written (and, beside the art, the card's common art, so that the archive is complete).
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from watcher.archive.order_ticket import Decided, ticket_text
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.art.small_picture import small_picture
from watcher.errors import OrderHeld
from watcher.instructions.card_picture import CARD_SUFFIX, card_png
from watcher.instructions.card_words import CardWords, card_words
from watcher.instructions.label import LABEL_SUFFIX, Bundles, label_pdf
from watcher.instructions.page import write_instructions
from watcher.instructions.page_facts import Instructions
from watcher.instructions.preview import late_png
from watcher.instructions.printing import PrintJob, file_names, printing_of
from watcher.outbox.product import Product, begin_product, write_product
from watcher.sheet.check.render import Rendered
from watcher.sheet.draw.plan import SheetPlan
from watcher.terms import Finding, Level
from watcher.work.held_art import add_picture
from watcher.work.job import Checked, HeldForYes, Job, Made, OrderCheck
from watcher.work.order_art import GoodArt, besides, checked_art, hold_back
from watcher.work.order_sheets import DrawnSheets, drawn_sheets
from watcher.work.settle_order import Settled, settle
from watcher.work.ticket_facts import CHECK_OVERRULED, decided, sheets_cost

OVERRULED = "a person overruled the check of its sheets"


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
        drawn.finish()


def _overruled(fault: str | None) -> tuple[Finding, ...]:
    """Warn of sheets that the check by sight found wrong, and that a person had printed all the same."""
    if fault is None:
        return ()
    said = (
        "A person overruled the check of the finished sheet. It had found that the sheet does not look like its art"
        f" ({fault}). Look at the sheet before you print many."
    )
    return (Finding(level=Level.WARN, code=CHECK_OVERRULED, message=said),)


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
