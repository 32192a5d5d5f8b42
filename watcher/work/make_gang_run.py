"""Make one gang run, from the art of its orders to its finished folder; runs in a worker process.

A function of art, settings and job tickets: no clock, no network; nothing but the orders' folders is read.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from watcher.archive.folder_words import sheet_kind
from watcher.archive.order_ticket import Decided, ticket_text
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.art.turned import face_on_its_side
from watcher.errors import OrderHeld
from watcher.instructions.card_picture import CARD_SUFFIX, card_png
from watcher.instructions.card_words import card_words
from watcher.instructions.finishing import finishing_findings, mark_findings
from watcher.instructions.gang_section import GangFacts, GangOrder
from watcher.instructions.narrow_lanes import lane_findings
from watcher.instructions.page import write_instructions
from watcher.instructions.page_facts import Instructions
from watcher.instructions.preview import late_png
from watcher.instructions.printing import PrintJob, file_names, printing_of
from watcher.instructions.second_side import stack_findings, stack_of
from watcher.layout.geometry import Size
from watcher.layout.marks.sheet_marks import SheetMarks
from watcher.layout.model import Layout, Place
from watcher.orders.cost import Cost, shared_cost
from watcher.orders.quantity import SheetCount, run_line
from watcher.orders.wishes import Wishes
from watcher.outbox.product import NUMBERS, Product, begin_product
from watcher.outbox.run_folder import numbers_file
from watcher.sheet.check.render import Rendered
from watcher.sheet.draw.gang_forms import GangCard, gang_forms
from watcher.sheet.draw.plan import CardDesign, SheetPlan
from watcher.sheet.draw.sheet_pdf import SheetFile, small_print_findings
from watcher.sheet.draw.small_print import SmallPrint
from watcher.terms import Finding, Level, Side, Turn
from watcher.work.answer import answer_to
from watcher.work.arrange import lay_out_order
from watcher.work.gang_model import Examination, Examined, RunJob, RunMade, RunSpoiled
from watcher.work.gang_plan import RunPlan, Wanted, plan_run
from watcher.work.held_art import add_picture
from watcher.work.job import Job
from watcher.work.make_order import put_label
from watcher.work.order_art import GoodArt, checked_art, good_art, hold_back
from watcher.work.order_sheets import DrawnSheets, drawn_sheets
from watcher.work.settle_order import place_marks, register_findings, sheet_plan
from watcher.work.ticket_facts import decided, print_files, sheets_cost


@dataclass(frozen=True, kw_only=True)
class _Member:
    """An order of the run with its art."""

    job: Job
    art: GoodArt

    @property
    def design(self) -> CardDesign:
        """What is printed of it, in the axes of the run's card."""
        trim = self.art.card.trim
        faces = [face_on_its_side(face, trim) for face in self.art.faces] if self.lies else self.art.faces
        return CardDesign(front=faces[0], back=faces[1] if len(faces) > 1 else None)

    @property
    def as_its_art_is_read(self) -> Job:
        """Its job with its own card instead of the run's."""
        return replace(self.job, settings=replace(self.job.settings, card=self.art.card))

    @property
    def lies(self) -> bool:
        """Whether its art is read with width and height of the run's card exchanged."""
        return self.art.card.trim != self.job.settings.card.trim

    def as_read(self, place: Place) -> Place:
        """A place on the run's sheet as the ticket of this order tells it: by how its own art is turned there."""
        if not self.lies:
            return place
        front, back = place.front, place.back
        return replace(
            place,
            front=replace(front, turn=Turn.of(front.turn + Turn.LEFT)),
            back=replace(back, turn=Turn.of(back.turn + Turn.RIGHT)) if back else None,
        )


def examine(task: Examination) -> Examined:
    """Open and check the art of an order that will wait for others: bad art is held at once, not hours later.

    Raises:
        OrderHeld: it cannot be made as it is.
    """
    job = task.job
    begin_product(job.building)
    art = checked_art(job)
    try:
        hold_back(tuple(finding for finding in art.findings if finding.level is Level.REFUSE), job)
        layout, _ = lay_out_order(job.settings, job.order.wishes)
        hold_back((*art.findings, *register_findings(job, layout)), job)  # all at once, as in `make_order.make`
    except OrderHeld as held:
        add_picture(held, job, art)
        raise
    return Examined()


def make_run(task: RunJob) -> RunMade | RunSpoiled:
    """Make a gang run of those of the orders that save sheets by it.

    Returns:
        The run; or the order whose art cannot be used, when there is one, and nothing is made.

    Raises:
        OrderHeld: the cards do not fit on the sheet, or the sheet is not as it should be.
    """
    plan = plan_run([Wanted(order=job.name, wishes=job.order.wishes) for job in task.jobs], task.jobs[0].settings)
    if plan is None:
        return RunMade(words={})
    jobs = {job.name: job for job in task.jobs}
    members: list[_Member] = []
    for one in plan.ganged:
        opened = answer_to(good_art, jobs[one.order])
        if not isinstance(opened.result, GoodArt):
            return RunSpoiled(order=one.order, answer=opened)
        members.append(_Member(job=jobs[one.order], art=opened.result))
    return _make(task, plan, members)


def _make(task: RunJob, plan: RunPlan, members: Sequence[_Member]) -> RunMade | RunSpoiled:
    first, layout = members[0].job, plan.layout
    for member in members:
        register = answer_to(_register, (member.job, layout))
        if register.result is None:
            return RunSpoiled(order=member.job.name, answer=register)
    marks = place_marks(first.settings, layout)
    sheets = _sheet_plan(task, plan, members, marks)
    of_sheet = _sheet_findings(plan, sheets, members, marks)
    job = replace(first, building=task.building)
    with drawn_sheets(job, sheets) as drawn, Product(task.building) as product:
        for file in drawn.files:
            product.put(f"{task.run}_{file.suffix}.pdf", file.pdf)
        numbers = {member.job.name: task.numbers[member.job.name] for member in members}
        product.put(NUMBERS, numbers_file(numbers))
        *tickets, last = _tickets(task, plan, sheets, members, of_sheet).items()
        if drawn.preview is not None:
            product.put(f"{task.run}_preview.png", partial(late_png, drawn.preview))
        instructions = _instructions(task, plan, sheets, members, marks, of_sheet, drawn)
        product.put(f"{task.run}_instructions.pdf", write_instructions(instructions))
        for member, design in zip(members, _designs_of(plan, sheets), strict=True):
            shown = partial(_cards_of, member, design, drawn)
            if job.read_back:
                product.put(member.job.name + CARD_SUFFIX, partial(_card_picture, member, shown))
            put_label(product, member.as_its_art_is_read, member.art, partial(_first, shown))
        drawn.finish()
        for name, ticket in tickets:
            product.put(name, ticket)
        product.finish(*last)  # its presence says that the rest is there
    return RunMade(
        words={
            member.job.name: run_line(member.job.order.wishes.quantity, task.run, sum(plan.sheets), len(members))
            for member in members
        },
        sheets=sum(plan.sheets),
        single_sheets=plan.single_sheets,
        product=product.files,
    )


def _sheet_findings(
    plan: RunPlan, sheets: SheetPlan, members: Sequence[_Member], marks: SheetMarks
) -> tuple[Finding, ...]:
    """What there is to say of the sheet, which all orders of the run share."""
    first, layout = members[0].job, plan.layout
    return (
        *finishing_findings(plan.finishing, layout, first.settings.sheet.grain),
        *mark_findings(marks, crosses=first.settings.sheet.register_crosses),
        *lane_findings(layout, first.settings, [member.art.faces for member in members]),
        *register_findings(first, layout),
        *small_print_findings(sheets),
        *stack_findings(stack_of(first.settings.printer, sheets)),
    )


def _cards_of(member: _Member, design: int, drawn: DrawnSheets) -> tuple[Rendered, ...]:
    """The sides of one order's card, upright as its own art is read.

    Args:
        member: the order.
        design: which of the designs of the sheets is its own, counted from 0.
        drawn: the sheets, with the pictures of all cards.
    """
    return tuple(replace(_upright(card, member), form=0) for card in drawn.cards if card.form == design)


def _card_picture(member: _Member, shown: Callable[[], tuple[Rendered, ...]]) -> bytes:
    job = member.as_its_art_is_read
    return card_png(shown(), about=card_words(job.name, job.settings, job.order.wishes, job.date))


def _first(shown: Callable[[], tuple[Rendered, ...]]) -> Rendered | None:
    return next(iter(shown()), None)


def _upright(card: Rendered, member: _Member) -> Rendered:
    """A side of a card as its own art is read: undoes `face_on_its_side`."""
    if not member.lies:
        return card
    quarters = -1 if card.side is Side.FRONT else 1
    size = Size(card.size.height, card.size.width)
    return replace(card, pixels=np.ascontiguousarray(np.rot90(card.pixels, quarters)), size=size)


def _designs_of(plan: RunPlan, sheets: SheetPlan) -> Iterator[int]:
    """For each order which of the designs of the sheets is its own, counted from 0."""
    known = {id(design): number for number, design in enumerate(sheets.designs)}
    lying = {
        owned.order: form.designs[min(owned.places) - 1]
        for form, owners in zip(sheets.forms, plan.places, strict=True)
        for owned in owners
        if owned.places
    }
    for order in sorted(lying):
        yield known[id(lying[order])]


def _register(task: tuple[Job, Layout]) -> tuple[Finding, ...]:
    job, layout = task
    findings = register_findings(job, layout)
    hold_back(findings, job)
    return findings


def _sheet_plan(task: RunJob, plan: RunPlan, members: Sequence[_Member], marks: SheetMarks) -> SheetPlan:
    cards = [GangCard(name=member.job.name, design=member.design) for member in members]
    forms = gang_forms(plan.layout, plan.plan, plan.places, cards, spare_sheets=plan.spare_sheets)
    job = replace(members[0].job, shown=task.run, date=task.date)
    return sheet_plan(job, plan.layout, forms, marks, _small_print(task, plan, members))


def _small_print(task: RunJob, plan: RunPlan, members: Sequence[_Member]) -> SmallPrint:
    printer = members[0].job.settings.printer
    return SmallPrint(
        order=task.run,
        card=_cards(members),
        sheets=sum(plan.sheets),
        flip=printer.chosen_flip if plan.layout.flip else None,
        duplex=printer.duplex,
        date=task.date,
        reload=printer.reload,
    )


def _tickets(
    task: RunJob, plan: RunPlan, sheets: SheetPlan, members: Sequence[_Member], of_sheet: tuple[Finding, ...]
) -> Mapping[str, bytes]:
    told = [_decided(task, plan, sheets, index, member, of_sheet) for index, member in enumerate(members)]
    return {one.folder + TICKET_SUFFIX: ticket_text(one) for one in told}


def _decided(
    task: RunJob, plan: RunPlan, sheets: SheetPlan, index: int, member: _Member, of_sheet: tuple[Finding, ...]
) -> Decided:
    job, part = member.job, plan.part_of(index, task.run)
    quantity = job.order.wishes.quantity
    count = SheetCount(
        quantity=quantity,
        overs_cards=plan.plan.wanted[index] - quantity,
        up=part.up,
        base=part.sheets,
        spare=0,
    )
    findings = (*job.said, *member.art.findings, *of_sheet)
    told = decided(job, member.art, sheets, count=count, cuts=plan.finishing.plan, findings=findings)
    places = tuple((layout, member.as_read(place)) for layout, place in part.places)
    return replace(
        told,
        layout=replace(told.layout, trim=member.art.card.opened_out.trim),
        run=replace(part, places=places),
        cost=_costs(plan, sheets, job)[index],
        printing=print_files(task.run, sheets),
    )


def _costs(plan: RunPlan, sheets: SheetPlan, job: Job) -> tuple[Cost | None, ...]:
    """Each order's share of what the sheets of the run cost, by its places on all of them."""
    cost = sheets_cost(job.settings, sheets)
    if cost is None:
        return (None,) * len(plan.ganged)
    shares = [0] * len(plan.ganged)
    for form, owners in zip(sheets.forms, plan.places, strict=True):
        for owned in owners:
            shares[owned.order] += form.sheets * len(owned.places)
    return shared_cost(cost, shares)


def _instructions(
    task: RunJob,
    plan: RunPlan,
    sheets: SheetPlan,
    members: Sequence[_Member],
    marks: SheetMarks,
    of_sheet: tuple[Finding, ...],
    drawn: DrawnSheets,
) -> Instructions:
    settings = members[0].job.settings
    return Instructions(
        order=task.run,
        cards=_cards(members),
        date=task.date,
        settings=settings,
        wishes=_together(members),
        count=SheetCount(
            quantity=sum(member.job.order.wishes.quantity for member in members),
            overs_cards=0,
            up=plan.layout.up,
            base=plan.plan.sheets,
            spare=plan.spare_sheets * len(plan.sheets),
        ),
        layout=plan.layout,
        marks=marks,
        finishing=plan.finishing,
        findings=(*(_of(member, finding) for member in members for finding in member.art.findings), *of_sheet),
        printing=printing_of(sheets, settings.printer, _print_jobs(task.run, plan, drawn.files)),
        preview=drawn.preview,
        gang=_whose(plan, members),
        cost=sheets_cost(settings, sheets),
    )


def _print_jobs(run: str, plan: RunPlan, files: Sequence[SheetFile]) -> tuple[PrintJob, ...]:
    """Give what is printed in one go: all layouts where they lie in the same files, else each by itself."""
    by_layout: dict[int, list[str]] = {}
    for file in files:
        kind = sheet_kind(run, f"{run}_{file.suffix}.pdf")
        by_layout.setdefault(kind[0] if kind else 0, []).append(file.suffix)
    return tuple(
        PrintJob(files=file_names(run, suffixes), sheets=plan.sheets[layout - 1] if layout else sum(plan.sheets))
        for layout, suffixes in sorted(by_layout.items())
    )


def _whose(plan: RunPlan, members: Sequence[_Member]) -> GangFacts:
    orders = tuple(GangOrder(name=member.job.name, wishes=member.job.order.wishes) for member in members)
    return GangFacts(orders=orders, plan=plan.plan, places=plan.places, spare_sheets=plan.spare_sheets)


def _cards(members: Sequence[_Member]) -> str:
    return ", ".join(dict.fromkeys(member.job.settings.card.name for member in members))


def _together(members: Sequence[_Member]) -> Wishes:
    """What the page tells of all orders: the first date on which one is due, and the notes of all."""
    orders = [(member.job.name, member.job.order.wishes) for member in members]
    note = "; ".join(f"{name}: {wishes.note}" for name, wishes in orders if wishes.note)
    return Wishes(due=min((wishes.due for _, wishes in orders if wishes.due), default=None), note=note or None)


def _of(member: _Member, finding: Finding) -> Finding:
    return replace(finding, message=f"{member.job.name}: {finding.message}")
