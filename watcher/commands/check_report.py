"""Report for `print-folder check`: what each card of the settings comes to, and the findings of art."""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.archive.effective_settings import settings_now
from watcher.archive.repeat import plan_repeat
from watcher.art.fit import unclear_bleed
from watcher.disk import sha256_of
from watcher.errors import ArtUnreadable, ExitCode, FolderUnclear, NoCardFits, OrderHeld, WrongUsage
from watcher.inbox.file_names import is_temporary, read_extension
from watcher.inbox.formats import HAVE_AN_INSIDE
from watcher.inbox.found import Folder, Found
from watcher.inbox.inside import Inside
from watcher.inbox.scan import Identity, SeenFile
from watcher.inbox.unpack import unfold, unfold_folder
from watcher.instructions.cut_words import after_cutting
from watcher.instructions.finishing import finishing_findings, plan_finishing
from watcher.instructions.narrow_lanes import lane_findings
from watcher.layout.backs import turns_about_vertical_axis
from watcher.layout.model import Layout
from watcher.orders.draft import draft_order, with_content
from watcher.orders.model import Order, Planned
from watcher.orders.pairing import Table, pair_sides
from watcher.orders.quantity import counted
from watcher.orders.usable import why_unusable
from watcher.orders.wishes import Wishes
from watcher.records.plain_text import one_line
from watcher.records.timestamps import local_now
from watcher.service.synced import say_synced_state
from watcher.service.taking import read_found
from watcher.settings.alignment import alignment_notes
from watcher.settings.card import CardSettings
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import SheetSetup
from watcher.settings.trust import Without, things_to_trust
from watcher.settings.trusted import not_trusted, say, secret_trouble, way_out
from watcher.settings.values import length_meant
from watcher.terms import Backs, CutterKind, Duplex, Finding, Level, PaperEdge
from watcher.units import show_length, show_size
from watcher.work.alignment_check import correction_findings
from watcher.work.answer import Answer
from watcher.work.arrange import ideal_layout, lay_out_order, layout_request
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Checked, Job, OrderCheck, job_for
from watcher.work.local_worker import LocalWorker
from watcher.work.near_misses import cards_on_sheet, near_misses

_LONGEST = 2000


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the answer; `exit_code` is what the command answers for it: HELD when an order would be held."""

    text: str
    exit_code: ExitCode = ExitCode.WELL

    @property
    def is_well(self) -> bool:
        """Whether the line tells of no fault."""
        return self.exit_code is ExitCode.WELL


def describe_settings(settings: Settings) -> Iterator[Line]:
    """Describe what each card comes to on its sheet, and what to know about the folders."""
    cards = [_describe_card(card, settings) for card in settings.cards.values()]
    too_large = [
        name for name, said in zip(settings.cards, cards, strict=True) if not all(line.is_well for line in said)
    ]
    if too_large:
        verb = "does not fit its sheet" if len(too_large) == 1 else "do not fit their sheets"
        yield Line(text=f"{settings.path}: {' and '.join(too_large)} {verb}.", exit_code=ExitCode.USAGE)
    else:
        yield Line(text=f"{settings.path}: the settings are right.")
    for said in cards:
        yield Line(text="")
        yield from said
    yield Line(text="")
    yield from (Line(text=text) for text in _describe_folders(settings))
    yield from _wanting(settings)


def _wanting(settings: Settings) -> Iterator[Line]:
    """Tell what keeps the service from its start, or is left undone, until somebody writes a line or says yes.

    A printer's address is told with the printers.
    """
    if synced := say_synced_state(settings):
        yield Line(text=synced, exit_code=ExitCode.USAGE)
    things = [one for one in things_to_trust(settings) if not one.of_a_printer]
    for one in not_trusted(settings, things):
        code = ExitCode.USAGE if one.without is Without.NOT_STARTED else ExitCode.HELD
        yield Line(text=one_line(say(one, way_out(settings)), most=_LONGEST), exit_code=code)
    if trouble := secret_trouble(settings):
        yield Line(text=trouble, exit_code=ExitCode.HELD)


def _describe_card(card: CardSettings, settings: Settings) -> list[Line]:
    """Describe what a card comes to, or what is wrong where it does not fit; and what would put more on a sheet."""
    sheet = settings.sheet_for(card)
    printer, cutter = settings.printer_for(sheet), settings.cutter_for(sheet)
    setup = SheetSetup(card=card, sheet=sheet, printer=printer, cutter=cutter)
    sides = "one side" if card.sides == 1 else "two sides"
    folded = f" folded, {show_size(card.flat.width, card.flat.height)} opened out" if card.fold else ""
    first = f"{card.name}: {show_size(card.trim.width, card.trim.height)}{folded}, {sides}, on {sheet.name}"
    wishes = Wishes(quantity=card.quantity, overs=card.overs)
    units = [Line(text=f"  {Level.WARN}: {sentence}") for sentence in _wrong_units(card, sheet)]
    nearly = [Line(text=f"  nearly: {sentence}") for sentence in near_misses(setup, wishes.cards_with_overs)]
    try:
        layout, count = lay_out_order(setup, wishes)
    except NoCardFits as error:
        why = Line(text=f"  does not fit: {error}{_sheets_that_fit(card, settings)}", exit_code=ExitCode.USAGE)
        return [Line(text=first), why, *units, *nearly]
    said = [first, f"  {layout.up} on a sheet of {show_size(sheet.size.width, sheet.size.height)}: {_turns(layout)}"]
    if card.paper_edge is PaperEdge.MEASURE:
        ideal = ideal_layout(setup, card.quantity)
        said.append(f"  {ideal.up} where the art leaves its edges bare, up to the paper's edge (paper_edge)")
    said.append(f"  {float(layout.waste):.0%} of the sheet is waste; {count.words}")
    said.append(f"  backs: {_describe_backs(card.opened_out, layout, printer)}")
    finishing = plan_finishing(setup, layout)
    if unclear := unclear_bleed(card.opened_out):
        said.append(f"  {Level.WARN}: {unclear}")
    tool = "scissors" if cutter.kind is CutterKind.SCISSORS else f"a {cutter.kind}"
    said.append(f"  {counted(finishing.cuts_a_pile, 'cut')} to part a sheet, with {tool}")
    for label, words in after_cutting(finishing):
        said.append(f"  {label.lower()}: {words.replace('<b>', '').replace('</b>', '')}")
    for finding in (*finishing_findings(finishing, layout, sheet.grain), *_of_sheet(setup, settings, layout)):
        said.append(f"  {finding.level}: {finding.message}")
    return [*(Line(text=text) for text in said), *units, *nearly]


def _wrong_units(card: CardSettings, sheet: SheetSettings) -> Iterator[str]:
    """Tell lengths that are next to nothing or far too much, where another unit makes sense of them."""
    lengths = {f"{key} of {card.name}": getattr(card, key) for key in ("bleed", "least_bleed", "art_bleed", "safe")}
    lengths |= {f"unprintable of {sheet.name}, {side}": width for side, width in vars(sheet.unprintable).items()}
    for what, length in lengths.items():
        if length is not None and (meant := length_meant(length)):
            yield f"{what} is {show_length(length)}; did you mean {meant}?"


def _sheets_that_fit(card: CardSettings, settings: Settings) -> str:
    """Name the sheets of the settings that take the card, as a sentence to add; empty where there are none."""
    fitting = []
    for sheet in settings.sheets.values():
        printer, cutter = settings.printer_for(sheet), settings.cutter_for(sheet)
        setup = SheetSetup(card=card, sheet=sheet, printer=printer, cutter=cutter)
        if up := cards_on_sheet(setup, card.quantity):
            fitting.append(f'sheet = "{sheet.name}" ({up} on a sheet)')
    return f" In these settings it fits with {' or '.join(fitting)}." if fitting else ""


def _of_sheet(setup: SheetSetup, settings: Settings, layout: Layout) -> tuple[Finding, ...]:
    """Give the findings about a card on its sheet and printer, whatever its art."""
    card, sheet, printer = setup.card, setup.sheet, setup.printer
    try:
        correction = settings_now(settings, card, sheet).correction
    except OrderHeld:
        correction = None  # what is wrong with it is told below, with the folders
    request = layout_request(setup, card.quantity)
    return (
        *lane_findings(layout, setup),
        *correction_findings(layout, correction, request, printer.name, sheet.name),
    )


def _turns(layout: Layout) -> str:
    turned = sum(place.front.turn.swaps_sides for place in layout.places)
    if turned == 0:
        return "all upright"
    return "all turned a quarter" if turned == layout.up else f"{layout.up - turned} upright, {turned} turned a quarter"


def _describe_backs(card: CardSettings, layout: Layout, printer: PrinterSettings) -> str:
    if layout.flip is None:
        return "none; one side is printed"
    like = "a book page" if turns_about_vertical_axis(layout.sheet, layout.flip) else "a wall calendar"
    who = "the printer turns the sheet" if printer.duplex is Duplex.AUTOMATIC else "you turn the stack"
    if printer.duplex is Duplex.MANUAL and printer.reload:
        who = f"you put the stack back in ({printer.reload}), which turns the sheet"
    way = "the same way up" if card.backs is Backs.HEAD_TO_HEAD else "upside down"
    if printer.chosen_flip is not layout.flip:
        who += f" (choose the {str(printer.chosen_flip).replace('-', ' ')} in the print dialog)"
    edge = layout.flip.replace("-", " ")
    return f"{who} on the {edge}, like {like}; a card turned like a book page shows its back {way}"


def _describe_folders(settings: Settings) -> Iterator[str]:
    folders = settings.folders
    for name in ("inbox", "outbox", "held", "archive"):
        yield f"{name}: {getattr(folders, name)}"
    yield f"the program's own notes (state): {folders.state}"
    if folders.state.is_relative_to(settings.folder) and not say_synced_state(settings):
        yield (
            "If this print folder is synced between machines, set [folders] state to a path outside it, on this"
            " computer's own disk: a sync program that copies these notes half-written spoils them."
        )
    yield from _describe_common(settings)
    yield from alignment_notes(settings, local_now())


def _describe_common(settings: Settings) -> Iterator[str]:
    for card in settings.cards.values():
        for side, path in card.common_art.items():
            if not path.is_file():
                yield f"The common {side} of {card.name} is not there: {path}. Orders of this card will be held."


def check_art(settings: Settings, art: Sequence[Path], card: str | None) -> Iterator[Line]:
    """Check art files as if they were dropped now.

    Raises:
        WrongUsage: a file is not there, or there is no such card.
    """
    if card is not None and card not in settings.cards:
        raise WrongUsage(f"There is no card {card!r}. The settings have {', '.join(sorted(settings.cards))}.")
    worker = LocalWorker()
    try:
        found: list[Found] = []
        for path in art:
            try:
                if path.is_dir():
                    found += _in_folder(worker, path, settings, card)
                else:
                    found += unfold(_seen(path, settings, card), _inside(worker, path), settings.names)
            except OrderHeld as error:
                yield Line(text=str(error), exit_code=ExitCode.HELD)
        for plan in pair_sides(Table(found=found), settings, read_found):
            yield from _check_plan(worker, settings, plan)
    finally:
        worker.stop()


def _in_folder(worker: LocalWorker, path: Path, settings: Settings, card: str | None) -> tuple[Found, ...]:
    """What lies in a folder that is an order."""
    files = [_seen(file, settings, card) for file in sorted(path.iterdir()) if not is_temporary(file.name)]
    folder = _seen(path, settings, card)
    for file in files:
        if (why := why_unusable(file)) is not None:
            raise FolderUnclear(f"{path.name} holds {file.name}, which {why}.")
    container = Folder(path=folder.path, name=path.name, arrived_ns=folder.identity.ctime_ns)
    read = [(replace(file, folder=folder.folder), _inside(worker, file.path)) for file in files]
    return unfold_folder(container, read, settings.names)


def _seen(path: Path, settings: Settings, card: str | None) -> SeenFile:
    try:
        identity = Identity.of(path.stat())
    except OSError as error:
        raise WrongUsage(f"{path} cannot be read: {error.strerror}.") from error
    path = path.absolute()
    in_folder = path.parent.name if path.parent.name in settings.cards else None
    return SeenFile(path=path, folder=card or in_folder, name=path.name, identity=identity)


def _inside(worker: LocalWorker, path: Path) -> Inside | None:
    if read_extension(path.name) not in HAVE_AN_INSIDE:
        return None
    answer = _ask(worker, InspectFile(path=path.absolute()))
    if answer.held:
        raise OrderHeld(answer.held[0])  # a whole sentence, as `why.txt` would have it
    if not isinstance(answer.result, Inside):
        raise ArtUnreadable(path.name, f"cannot be used: {_why(answer)}")
    return answer.result


def _check_plan(worker: LocalWorker, settings: Settings, plan: Planned) -> Iterator[Line]:
    name = one_line(plan.name)
    if plan.repeat is not None and not plan.fault:
        yield _check_repeat(name, draft_order(plan, 0, {file.path: file.name for file in plan.files}), settings)
        return
    if plan.fault or not plan.pieces:
        yield _held(name, plan.fault or "a job ticket without art")
        return
    try:
        job = _job(settings, plan)
    except OrderHeld as held:
        yield _held(name, str(held))
        return
    answer = _ask(worker, OrderCheck(job=job, is_whole=not plan.missing))
    if not isinstance(answer.result, Checked):
        yield _held(name, _why(answer))
        return
    yield Line(text=f"{name}: {_what_it_comes_to(job, answer.result)}")
    for finding in answer.result.findings:
        code = ExitCode.HELD if finding.level in (Level.HOLD, Level.REFUSE) else ExitCode.WELL
        yield Line(text=f"  {finding.level}: {finding.message}", exit_code=code)
    if not answer.result.findings:
        yield Line(text="  nothing to say against it")
    if job.asks_first:
        yield Line(text="  it waits for the customer's yes before it is made", exit_code=ExitCode.HELD)
    if plan.missing:
        lacks = plan.lacks or f"its {plan.missing} is still missing"
        yield Line(text=f"  {lacks}", exit_code=ExitCode.HELD)


def _check_repeat(name: str, order: Order, settings: Settings) -> Line:
    """Whether what a ticket asks for again lies in the archive and goes with the settings."""
    assert order.repeat is not None
    try:
        plan_repeat(order, order.repeat, settings, settings.folders.archive)
    except OrderHeld as held:
        return _held(name, str(held))
    return Line(text=f"{name}: asked for again; what it comes to is settled when it is made")


def _held(name: str, why: str) -> Line:
    return Line(text=f"{name}: held: {why}", exit_code=ExitCode.HELD)


def _what_it_comes_to(job: Job, checked: Checked) -> str:
    wanted = f"{job.settings.card.name}, {job.order.wishes.quantity} wanted"
    return wanted if checked.words is None else f"{wanted}, {checked.up} on a sheet: {checked.words}"


def _job(settings: Settings, plan: Planned) -> Job:
    """Give the job that a worker would get for an order; its files stay where they are.

    Raises:
        OrderHeld: alignment.toml is damaged, or does not fit the settings.
    """
    names = {file.path: str(file.path) for file in plan.files}
    digests = {name: sha256_of(path) for path, name in names.items()}
    order = with_content(draft_order(plan, 0, names), plan, digests)
    card = settings.cards[plan.wishes.card]
    made_with = settings_now(settings, card, settings.sheet_for(card, plan.wishes.sheet))
    job = job_for(order, made_with, Path(), local_now().isoformat(timespec="seconds"))
    return replace(job, common=tuple(card.common_art.items()))


def _ask(worker: LocalWorker, message: object) -> Answer:
    worker.start(message, message)
    while True:
        answer = worker.answer()
        if answer is not None:
            return answer
        if worker.pipe is not None:
            worker.pipe.poll(max(0.0, min(1.0, worker.deadline - time.monotonic())))


def _why(answer: Answer) -> str:
    return answer.held[0] if answer.held else str(answer.trouble or answer.died)
