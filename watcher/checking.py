"""What `print-folder check` says: what each card of the settings comes to, and what would be said of art."""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from watcher.align.kept import kept_notes
from watcher.answer import Answer
from watcher.arrange import ideal_layout, lay_out_order
from watcher.art.fit import unclear_bleed
from watcher.disk import sha256_of
from watcher.errors import ArtUnreadable, NoCardFits, WrongUsage
from watcher.inbox.scan import Identity, SeenFile
from watcher.intake.look import Inside
from watcher.intake.names import read_extension
from watcher.intake.unpack import Found, unfold
from watcher.job import ArtCheck
from watcher.layout.backs import turns_about_vertical_axis
from watcher.layout.model import Layout
from watcher.orders.gather import HAVE_AN_INSIDE
from watcher.orders.model import ArtSource, Piece, Planned
from watcher.orders.pairing import Table, common_art, pair_sides
from watcher.orders.quantity import counted
from watcher.outbox.cut_words import after_cutting
from watcher.outbox.finishing import finishing_findings, plan_finishing
from watcher.records.plain_text import one_line
from watcher.settings.model import CardSettings, CutterSettings, PrinterSettings, Settings, SheetSettings
from watcher.shop import local_now
from watcher.taking import read_found
from watcher.terms import Backs, CutterKind, Duplex, Level, PaperEdge
from watcher.units import show_size
from watcher.workers import Look, Worker


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the answer; `is_well` is false when the order would be held."""

    text: str
    is_well: bool = True


def describe_settings(settings: Settings) -> Iterator[str]:
    """What each card comes to on its sheet, and what to know about the folders."""
    yield f"{settings.path}: the settings are right."
    for card in settings.cards.values():
        sheet = settings.sheet_for(card)
        yield ""
        yield from _describe_card(card, sheet, settings.printer_for(sheet), settings.cutter_for(sheet))
    yield ""
    yield from _describe_folders(settings)


def _describe_card(
    card: CardSettings, sheet: SheetSettings, printer: PrinterSettings, cutter: CutterSettings
) -> Iterator[str]:
    sides = "one side" if card.sides == 1 else "two sides"
    folded = f" folded, {show_size(card.flat.width, card.flat.height)} opened out" if card.fold else ""
    yield f"{card.name}: {show_size(card.trim.width, card.trim.height)}{folded}, {sides}, on {sheet.name}"
    try:
        layout, count = lay_out_order(card, sheet, printer, card.quantity, str(card.overs))
    except NoCardFits as error:
        yield f"  does not fit: {error}"
        return
    yield f"  {layout.up} on a sheet of {show_size(sheet.size.width, sheet.size.height)}: {_turns(layout)}"
    if card.paper_edge is PaperEdge.MEASURE:
        ideal = ideal_layout(card, sheet, printer, card.quantity)
        yield f"  {ideal.up} where the art leaves its edges bare, up to the paper's edge (paper_edge)"
    yield f"  {float(layout.waste):.0%} of the sheet is waste; {count.words}"
    yield f"  backs: {_describe_backs(card.opened_out, layout, printer)}"
    finishing = plan_finishing(card, sheet, printer, cutter, layout)
    if unclear := unclear_bleed(card.opened_out):
        yield f"  {Level.WARN}: {unclear}"
    tool = "scissors" if cutter.kind is CutterKind.SCISSORS else f"a {cutter.kind}"
    yield f"  {counted(finishing.cuts_a_pile, 'cut')} to part a sheet, with {tool}"
    for label, said in after_cutting(finishing):
        yield f"  {label.lower()}: {said.replace('<b>', '').replace('</b>', '')}"
    for finding in finishing_findings(finishing, layout, sheet.grain):
        yield f"  {finding.level}: {finding.message}"


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
    turns = ", ".join(f"{turn}°" for turn in sorted({int(place.back.turn) for place in layout.places if place.back}))
    return (
        f"{who} on the {layout.flip.replace('-', ' ')}, like {like}; the backs are turned by {turns} on their page, so"
        f" that a card turned like a book page shows its back {way}"
    )


def _describe_folders(settings: Settings) -> Iterator[str]:
    folders = settings.folders
    for name in ("inbox", "outbox", "held", "archive", "state"):
        yield f"{name}: {getattr(folders, name)}"
    if folders.state.is_relative_to(settings.folder):
        yield (
            "If this print folder is synced between machines, set [folders] state to a path outside it, on this"
            " machine's own disk: a half-synced journal is worth nothing."
        )
    yield from _describe_common(settings)
    yield from kept_notes(settings, local_now())


def _describe_common(settings: Settings) -> Iterator[str]:
    for card in settings.cards.values():
        for side, path in common_art(card).items():
            if not path.is_file():
                yield f"The common {side} of {card.name} is not there: {path}. Orders of this card will be held."


def check_art(settings: Settings, art: Sequence[Path], card: str | None) -> Iterator[Line]:
    """What would be said of these files if they were dropped now.

    Raises:
        WrongUsage: a file is not there, or there is no such card.
    """
    if card is not None and card not in settings.cards:
        raise WrongUsage(f"There is no card {card!r}. The settings have {', '.join(sorted(settings.cards))}.")
    worker = Worker()
    try:
        found: list[Found] = []
        for path in art:
            try:
                found += unfold(_seen(path, settings, card), _inside(worker, path), settings.names)
            except ArtUnreadable as error:
                yield Line(text=str(error), is_well=False)
        for plan in pair_sides(Table(found=found), settings, read_found):
            yield from _check_plan(worker, settings, plan)
    finally:
        worker.stop()


def _seen(path: Path, settings: Settings, card: str | None) -> SeenFile:
    try:
        identity = Identity.of(path.stat())
    except OSError as error:
        raise WrongUsage(f"{path} cannot be read: {error.strerror}.") from error
    path = path.absolute()
    in_folder = path.parent.name if path.parent.name in settings.cards else None
    return SeenFile(path=path, folder=card or in_folder, name=path.name, identity=identity)


def _inside(worker: Worker, path: Path) -> Inside | None:
    if read_extension(path.name) not in HAVE_AN_INSIDE:
        return None
    answer = _ask(worker, Look(path=path.absolute()))
    if not isinstance(answer.result, Inside):
        raise ArtUnreadable(path.name, f"cannot be used: {_why(answer)}")
    return answer.result


def _check_plan(worker: Worker, settings: Settings, plan: Planned) -> Iterator[Line]:
    name = one_line(plan.name)
    if plan.repeat is not None and not plan.fault:
        yield Line(text=f"{name}: asked for again; what it comes to is settled when it is made")
        return
    if plan.fault or not plan.pieces:
        yield Line(text=f"{name}: held: {plan.fault or 'a job ticket without art'}", is_well=False)
        return
    card = settings.cards[plan.card]
    answer = _ask(
        worker,
        ArtCheck(
            card=card,
            printer=settings.printer_for(settings.sheet_for(card, plan.sheet)),
            sources=tuple(_source(piece) for piece in plan.pieces),
            common=tuple(common_art(card).items()),
        ),
    )
    if answer.result is None:
        yield Line(text=f"{name}: held: {_why(answer)}", is_well=False)
        return
    yield Line(text=f"{name}: {card.name}, {plan.quantity} wanted")
    for finding in answer.result:
        yield Line(text=f"  {finding.level}: {finding.message}", is_well=finding.level not in ("hold", "refuse"))
    if not answer.result:
        yield Line(text="  nothing to say against it")
    if plan.missing:
        yield Line(text=f"  its {plan.missing} is still missing", is_well=False)


def _source(piece: Piece) -> ArtSource:
    found = piece.found
    return ArtSource(
        side=piece.side,
        file=str(found.file.path),
        sha256=found.member.sha256 if found.member else sha256_of(found.file.path),
        member=found.member.stored_as if found.member else None,
        member_name=found.member.name if found.member else None,
        page=piece.page,
    )


def _ask(worker: Worker, message: object) -> Answer:
    worker.start(message, message)
    while True:
        answer = worker.answer()
        if answer is not None:
            return answer
        if worker.pipe is not None:
            worker.pipe.poll(max(0.0, min(1.0, worker.deadline - time.monotonic())))


def _why(answer: Answer) -> str:
    return answer.held[0] if answer.held else str(answer.trouble or answer.died)
