"""One order from its art to its finished folder, readable top to bottom. Runs in a worker process.

A pure function of art, settings and ticket: no clock, no network, nothing but the order's folder is read and nothing
but its building folder written (and, beside the art, the card's common art, so that the archive is complete).
"""

import hashlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from watcher import __version__
from watcher.align.bleed_check import correction_findings
from watcher.arrange import ideal_layout, lay_out_order, layout_request
from watcher.art.bare import bare_edges
from watcher.art.colour import made_for_press
from watcher.art.decode import open_art
from watcher.art.model import Art, CardFace, Finding
from watcher.art.prepare import prepare_faces
from watcher.errors import ArtUnreadable, OrderHeld
from watcher.intake.look import read_member
from watcher.job import ArtCheck, HeldForFault, HeldForYes, Job, Made
from watcher.layout.model import BarePaper, Layout
from watcher.layout.sheet_marks import SheetMarks, plan_sheet_marks
from watcher.orders.model import ArtSource
from watcher.orders.quantity import SheetCount
from watcher.outbox.card_picture import CARD_SUFFIX, card_png
from watcher.outbox.finishing import Finishing, finishing_findings, mark_findings, plan_finishing
from watcher.outbox.instructions import Instructions, write_instructions
from watcher.outbox.paper_edge import paper_edge_findings
from watcher.outbox.preview import preview_png
from watcher.outbox.publish import begin_product, write_product
from watcher.records.ticket import TICKET_SUFFIX, Decided, ticket_text
from watcher.settings.model import CardSettings, PrinterSettings
from watcher.settings.press_profile import NoPressProfile, PressProfile, read_press_profile
from watcher.sheet.draw import SheetFile, draw_sheets, small_print_findings
from watcher.sheet.evidence import evidence_of
from watcher.sheet.pdfx import Press
from watcher.sheet.plan import CardDesign, SheetForm, SheetPlan
from watcher.sheet.read_back import SheetWrong, read_back
from watcher.sheet.render import SheetPictures, render_sheets
from watcher.sheet.render_check import compare_with_art
from watcher.sheet.score_word import score_word_size
from watcher.sheet.small_pictures import with_small_pictures
from watcher.sheet.small_print import SmallPrint
from watcher.terms import Level, Marks, PaperEdge, Side

SOFTWARE = f"print-folder-watcher {__version__}"


class HeldByFindings(OrderHeld):
    """The art was opened and checked, and something about it must be seen by the person first."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(findings[0].message)
        self.findings = findings

    def __reduce__(self) -> tuple[type, tuple[tuple[Finding, ...]]]:
        return type(self), (self.findings,)

    @property
    def is_soft(self) -> bool:
        """Whether the person may accept it."""
        return all(finding.level is not Level.REFUSE for finding in self.findings)


@dataclass(frozen=True, kw_only=True)
class GoodArt:
    """The art of one order, opened and good enough to be printed.

    Attributes:
        sources: where it was, the front first.
        faces: how each lies on the card.
        findings: what is to be said of it all the same.
    """

    sources: tuple[ArtSource, ...]
    faces: tuple[CardFace, ...]
    findings: tuple[Finding, ...]


def make(job: Job) -> Made:
    """Make one order.

    Raises:
        OrderHeld: it cannot be made as it is; the message says why and what to do.
    """
    begin_product(job.building)
    art = good_art(job)
    sources, faces, findings = art.sources, art.faces, art.findings
    bare = _bare_paper(job.card, faces)
    layout, count = lay_out_order(job.card, job.sheet, job.printer, job.quantity, job.overs, job.sheets_only, bare)
    findings = (*findings, *_paper_edge_findings(job, faces, layout, bare))
    register = register_findings(job, layout, bare)
    hold_back(register, job)
    finishing = plan_finishing(job.card, job.sheet, job.printer, job.cutter, layout)
    marks = place_marks(job, layout)
    plan = _plan(job, layout, count, faces, marks)
    files, pictures = draw_and_read(job, plan)
    _ask_first(job, (*findings, *register), pictures)
    findings = (
        *job.said,
        *findings,
        *finishing_findings(finishing, layout, job.sheet.grain),
        *mark_findings(marks, crosses=job.sheet.register_crosses),
        *register,
        *small_print_findings(plan),
    )
    _write(job, sources, faces, layout, count, finishing, marks, findings, files, pictures)
    return Made(
        sheets=count.total,
        up=layout.up,
        words=count.words,
        findings=findings,
        files=tuple(f"{job.name}_{file.suffix}.pdf" for file in files),
    )


def good_art(job: Job) -> GoodArt:
    """Open an order's art and check it.

    Raises:
        OrderHeld: it cannot be used, or not unless somebody accepts what was found.
    """
    sources = _with_common_art(job)
    faces, findings = _faces(job, sources)
    hold_back(findings, job)
    return GoodArt(sources=sources, faces=faces, findings=findings)


def check(task: ArtCheck) -> tuple[Finding, ...]:
    """What would be said of art, without making anything.

    Raises:
        OrderHeld: a file cannot be opened.
    """
    sources = list(task.sources)
    for side, path in task.common:
        page = 0 if path.suffix.lower() == ".pdf" else None
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        sources.append(ArtSource(side=side, file=str(path), sha256=digest, page=page))
    return _prepared([open_source(Path(), source) for source in _front_first(sources)], task.card, task.printer)[1]


def open_source(folder: Path, source: ArtSource) -> Art:
    """Read, verify and open one side's art.

    Raises:
        ArtUnreadable: it cannot be opened, or is no longer the file that was taken.
    """
    path = folder / source.file
    data = path.read_bytes() if source.member is None else read_member(path, source.member)
    if hashlib.sha256(data).hexdigest() != source.sha256:
        raise ArtUnreadable(source.shown, "changed while it was being read", "Save it again and put it back")
    name = source.member_name or source.file
    return open_art(source.side, source.shown, source.sha256, data, Path(name).suffix[1:].lower(), source.page)


def _with_common_art(job: Job) -> tuple[ArtSource, ...]:
    """The order's sources with the card's common art, a copy of which goes beside the order's own files."""
    sources = list(job.sources)
    for side, path in job.common:
        data = path.read_bytes()
        name = f"common-{side}{path.suffix.lower()}"
        (job.folder / name).write_bytes(data)
        page = 0 if path.suffix.lower() == ".pdf" else None
        sources.append(ArtSource(side=side, file=name, sha256=hashlib.sha256(data).hexdigest(), page=page))
    return _front_first(sources)


def _front_first(sources: Sequence[ArtSource]) -> tuple[ArtSource, ...]:
    return tuple(sorted(sources, key=lambda source: source.side is Side.BACK))


def _faces(job: Job, sources: Sequence[ArtSource]) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    return _prepared(_opened(job.folder, sources), job.card, job.printer)


def _opened(folder: Path, sources: Sequence[ArtSource]) -> list[Art]:
    """All sides' art; two pictures take as long as one, for they are unpacked outside of Python."""
    open_one = partial(open_source, folder)
    if any(Path(source.member_name or source.file).suffix.lower() == ".pdf" for source in sources):
        return [open_one(source) for source in sources]  # pdfium knows no threads
    with ThreadPoolExecutor(len(sources)) as sides:
        return list(sides.map(open_one, sources))


def _prepared(
    arts: Sequence[Art], card: CardSettings, printer: PrinterSettings
) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    """The faces, fitted and checked, and in the colours of the press where there is one."""
    faces, said = prepare_faces(arts, card, printer)
    profile = _press_profile(printer)
    if profile is None:
        return faces, said
    faces, of_colour = made_for_press(faces, profile, printer)
    return faces, (*said, *of_colour)


def _press_profile(printer: PrinterSettings) -> PressProfile | None:
    if printer.output_profile is None:
        return None
    try:
        return read_press_profile(printer.output_profile)
    except NoPressProfile as fault:
        raise OrderHeld(
            f"The colour profile of {printer.name}, {printer.output_profile.name}, {fault}. Put it where it was, or "
            f"correct printers.{printer.name}.output_profile in the settings, and try again."
        ) from fault


def _press(job: Job) -> Press | None:
    profile = _press_profile(job.printer)
    return None if profile is None else Press(profile=profile, title=job.shown, date=job.date)


def hold_back(findings: tuple[Finding, ...], job: Job) -> None:
    """Stop where something was found that the person must see first, or that nobody can accept.

    What is soft is held later, with the picture of the card, where the customer is to see that anyway.

    Raises:
        HeldByFindings: that is so.
    """
    stopping = {Level.REFUSE} if job.accepted or job.approve else {Level.HOLD, Level.REFUSE}
    grave = tuple(finding for finding in findings if finding.level in stopping)
    if grave:
        raise HeldByFindings(tuple(sorted(grave, key=lambda finding: finding.level is not Level.REFUSE)))


def _plan(job: Job, layout: Layout, count: SheetCount, faces: Sequence[CardFace], marks: SheetMarks) -> SheetPlan:
    design = CardDesign(front=faces[0], back=faces[1] if len(faces) > 1 else None)
    forms = (SheetForm.all_alike(layout, design, count.total),)
    return sheet_plan(job, layout, forms, marks, _small_print(job, count, layout))


def sheet_plan(
    job: Job, layout: Layout, forms: tuple[SheetForm, ...], marks: SheetMarks, small_print: SmallPrint
) -> SheetPlan:
    """All that decides what the sheets look like, with what the settings say of them.

    Args:
        job: the order, or any of those that share the sheets.
        layout: where the cards lie.
        forms: which of them lie where.
        marks: where the sheet is marked.
        small_print: what it says, where it is wanted.
    """
    return SheetPlan(
        layout=layout,
        marks=marks.marks,
        forms=forms,
        copies=job.sheet.copies,
        duplex=job.printer.duplex,
        correction=job.correction if layout.flip else None,
        small_print=small_print if job.sheet.slug else None,
        mark_weight=job.sheet.mark_weight,
        score_labels=marks.labels,
        press=_press(job),
    )


def draw_and_read(job: Job, plan: SheetPlan) -> tuple[tuple[SheetFile, ...], SheetPictures]:
    """The finished files, read back in numbers and by sight, and the one rendering of them that all pictures show.

    Where nobody looks closely, neither a check by sight nor a customer, the pictures of the art are reduced before.
    """
    files = draw_sheets(plan)
    try:
        read_back(files, plan)
        in_full = job.read_back or job.approve
        pictures = render_sheets(files if in_full else draw_sheets(with_small_pictures(plan)), plan)
        if job.read_back:
            compare_with_art(pictures, plan)
    except SheetWrong as wrong:
        kept = evidence_of(files, plan)
        write_product(job.building, kept)
        raise HeldForFault(wrong.fault, tuple(kept)) from wrong
    return files, pictures


def _ask_first(job: Job, findings: tuple[Finding, ...], pictures: SheetPictures) -> None:
    """Where the customer is to see the card: held with its picture until the person says yes."""
    if job.approve and not job.accepted:
        picture = job.name + CARD_SUFFIX
        write_product(job.building, {picture: card_png(pictures.cards)})
        raise HeldForYes(tuple(finding for finding in findings if finding.level is Level.HOLD), picture)


def place_marks(job: Job, layout: Layout) -> SheetMarks:
    """Where the sheet is marked for cutting and folding."""
    return plan_sheet_marks(
        layout,
        crop=job.sheet.marks is Marks.CROP,
        fold=job.card.fold,
        crosses=job.sheet.register_crosses,
        word=score_word_size(),
    )


def _bare_paper(card: CardSettings, faces: Sequence[CardFace]) -> BarePaper | None:
    """How wide the art is bare along its edges, where the card asks for that to be measured."""
    if card.paper_edge is not PaperEdge.MEASURE:
        return None
    widths = [bare_edges(face, card.opened_out) for face in faces]
    return BarePaper(front=widths[0], back=widths[1] if len(widths) > 1 else None)


def _paper_edge_findings(
    job: Job, faces: Sequence[CardFace], layout: Layout, bare: BarePaper | None
) -> tuple[Finding, ...]:
    if bare is None:
        return ()
    ideal = ideal_layout(job.card, job.sheet, job.printer, job.quantity)
    request = layout_request(job.card, job.sheet, job.printer, job.quantity)
    return paper_edge_findings(faces, layout, ideal, request, bare)


def register_findings(job: Job, layout: Layout, bare: BarePaper | None = None) -> tuple[Finding, ...]:
    """What the printer's correction leaves of the bleed."""
    if job.correction is None or layout.flip is None:
        return ()
    reached = bare if layout.in_rim else None
    request = layout_request(job.card, job.sheet, job.printer, job.quantity, reached)
    return correction_findings(layout, job.correction, request, job.printer.name, job.sheet.name)


def _small_print(job: Job, count: SheetCount, layout: Layout) -> SmallPrint:
    return SmallPrint(
        order=job.shown,
        card=job.card.name,
        sheets=count.total,
        flip=layout.flip,
        duplex=job.printer.duplex,
        date=job.date,
    )


def _write(
    job: Job,
    sources: Sequence[ArtSource],
    faces: Sequence[CardFace],
    layout: Layout,
    count: SheetCount,
    finishing: Finishing,
    marks: SheetMarks,
    findings: tuple[Finding, ...],
    files: Sequence[SheetFile],
    pictures: SheetPictures,
) -> None:
    preview = preview_png(pictures.pages)
    ticket = ticket_text(
        Decided(
            order=job.name,
            name=job.written,
            card=job.card,
            sheet=job.sheet,
            printer=job.printer,
            count=count,
            layout=layout,
            faces=faces,
            sources=sources,
            findings=findings,
            made_at=job.made_at,
            software=SOFTWARE,
            settings_sha256=job.settings_sha256,
            order_sha256=job.order_sha256,
            due=job.due,
            note=job.note,
            cuts=finishing.plan,
            printed_as=job.shown,
            printed_on=job.date,
            overs_asked=job.overs,
            repeat_of=job.repeat_of,
            sheets_only=job.sheets_only,
            as_before=job.as_before,
            accepted=job.accepted,
            cutter=job.cutter,
            correction=job.correction if layout.flip else None,
        )
    )
    instructions = write_instructions(
        Instructions(
            order=job.shown,
            card=job.card.name,
            quantity=count.quantity,
            base_sheets=count.base,
            spare_sheets=count.spare,
            up=layout.up,
            trim=layout.trim,
            sheet=layout.sheet,
            sheet_name=job.sheet.name,
            paper=job.sheet.paper,
            flip=layout.flip,
            duplex=job.printer.duplex,
            feed=job.printer.feed,
            reload=job.printer.reload,
            # without the order's name: a repeat has another one on disk, but the same bytes on paper
            files=tuple(f"\u2026_{file.suffix}.pdf" for file in files),
            copies=job.sheet.copies,
            marks=job.sheet.marks,
            ruler=job.sheet.slug,
            date=job.date,
            note=job.note,
            due=job.due,
            findings=findings,
            layout=layout,
            preview_png=preview,
            kind=job.printer.kind,
            finishing=finishing,
            unmarked=marks.unmarked,
        )
    )
    product = {f"{job.name}_{file.suffix}.pdf": file.pdf for file in files}
    product |= {
        f"{job.name}_instructions.pdf": instructions,
        f"{job.name}_preview.png": preview,
        job.name + CARD_SUFFIX: card_png(pictures.cards),
        job.name + TICKET_SUFFIX: ticket,  # last: its presence says that the rest is there
    }
    write_product(job.building, product)
