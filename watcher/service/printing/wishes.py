"""Answer what people say by renaming a folder in the outbox: once each, also when a sync program says it again."""

import time
from collections.abc import Sequence
from dataclasses import replace

from watcher.archive.folder_words import Word
from watcher.orders.quantity import counted
from watcher.outbox.printing.order_folder import OrderFolder
from watcher.outbox.printing.order_printing import BY_HAND, OrderNote, OrderPrinting, Part, SheetJob, wish_text
from watcher.outbox.printing.record_file import RECORD_NAME, read_record, what_of
from watcher.outbox.printing.sending_life import JobStage
from watcher.outbox.printing.stacks import NotSent, Piece, Stack, next_pieces
from watcher.service.printing.desk import Desk, printer_of
from watcher.service.printing.echoes import came_again, is_a_copy
from watcher.service.printing.settling import settle
from watcher.settings.printer import PrinterSettings
from watcher.steps import PrintStep, reached
from watcher.terms import Send

MADE = "made"  # the wish of an order whose printer gets it when it is made


def answer(desk: Desk, folder: OrderFolder) -> None:
    """Do what a folder's name asks for.

    Args:
        desk: notes and folders.
        folder: with a word that is an answer; all of its files are there.
    """
    printing = desk.printing_of(folder)
    wish = wish_text(folder.words.word, folder.words.sheets)
    if printing.note.wish or printing.under_way:
        return  # it is being carried out, or what was asked for before is
    if is_a_copy(desk, folder) or came_again(desk, folder, printing, wish):
        return
    if _is_unknown_but_sent(folder, printing):
        _ask_person(desk, folder, printing)
        return
    if folder.words.word is Word.PRINT:
        _print(desk, folder, printing, wish)
    else:
        _note_printed(desk, folder, printing, wish)


def send_made(desk: Desk, folder: OrderFolder) -> None:
    """Send an order that was just made, where its printer gets them so and a first sheet of such an order was good."""
    printing = desk.printing_of(folder)
    try:
        printer, stacks = printer_of(desk.shop, folder), folder.stacks()
    except NotSent:
        return
    is_hand_turned = any(stack.back is not None for stack in stacks)
    is_known = bool(folder.settings) and all(desk.notes.is_trusted(one) for one in folder.settings)
    if printer.send is not Send.MADE or is_hand_turned or printing.jobs or printing.note.wish:
        return
    if not is_known:
        desk.shop.log.add(
            f"{folder.order}: not sent by itself, as no sheet of such an order was looked at yet. Rename its folder to"
            f" {folder.order} print 1, and when the sheet is good to {folder.order} print"
        )
        return
    _begin(desk, folder, printing, next_pieces(stacks, None, None, folder.order), printer, MADE)


# -- when the notes are lost -------------------------------------------------------------------------------------------


def _is_unknown_but_sent(folder: OrderFolder, printing: OrderPrinting) -> bool:
    """Whether the folder tells of sheets that were sent, and the notes, which were lost, do not."""
    return not printing.note.record and bool(read_record(folder.path))


def _ask_person(desk: Desk, folder: OrderFolder, printing: OrderPrinting) -> None:
    """Have a person look, as the notes on what was sent are lost."""
    job = SheetJob(
        order_key=folder.key,
        printer=printer_name(desk, folder),
        stack=0,
        side=Part.ALL,
        first=1,
        sheets=max(1, sum(stack.sheets for stack in folder.stacks())),
        stage=JobStage.PERHAPS,
        says=f"the notes on what was sent are lost; {RECORD_NAME} in the folder tells what it was",
        since=desk.shop.stamp(),
    )
    sheets = sum(stack.sheets for stack in folder.stacks())
    note = replace(printing.note, sheets=sheets, wish=wish_text(folder.words.word, folder.words.sheets))
    desk.notes.write(note, jobs=(job,))
    settle(desk, folder.key, folder.words.word)


def printer_name(desk: Desk, folder: OrderFolder) -> str:
    """The name of the printer of an order, for people."""
    sheet = desk.shop.settings.sheets.get(folder.ticket.sheet)
    return sheet.printer if sheet is not None else "the printer"


# -- print -------------------------------------------------------------------------------------------------------------


def _print(desk: Desk, folder: OrderFolder, printing: OrderPrinting, wish: str) -> None:
    printing = _none_came(desk, printing)
    try:
        printer, stacks = printer_of(desk.shop, folder), folder.stacks()
        pieces = next_pieces(stacks, printing, folder.words.sheets, folder.order)
    except NotSent as refused:
        _refuse(desk, folder, printing, wish, str(refused))
        return
    if not pieces:
        desk.shop.log.add(f"{folder.order}: all of its sheets are printed already; nothing was sent")
    if folder.words.sheets is None and _had_a_trial(printing):
        desk.notes.trust(folder.settings)
    _begin(desk, folder, printing, pieces, printer, wish)


def _had_a_trial(printing: OrderPrinting) -> bool:
    """Whether one sheet was sent first, with all of its sides."""
    jobs = [job for job in printing.jobs if job.stage is JobStage.PRINTED and job.side is not Part.FRONTS]
    return bool(jobs) and jobs[0].sheets == 1 and jobs[0].printer != BY_HAND


def _begin(
    desk: Desk,
    folder: OrderFolder,
    printing: OrderPrinting,
    pieces: Sequence[Piece],
    printer: PrinterSettings,
    wish: str,
) -> None:
    """Note a wish and its jobs; from then on it is carried out, whatever happens."""
    note, asked = _with_wish(printing.note, folder.stacks(), wish), str(time.time_ns())
    jobs = tuple(
        SheetJob(
            order_key=folder.key,
            printer=printer.name,
            queue=printer.queue or "",
            stack=piece.stack.number,
            side=piece.part,
            first=piece.first,
            sheets=piece.sheets,
            asked=asked,
            since=desk.shop.stamp(),
        )
        for piece in pieces
    )
    line = tuple(f"{folder.order}: {what_of(job)} to be printed on {printer.name}" for job in jobs)
    desk.notes.write(note, jobs=jobs, lines=line, since=desk.shop.stamp())
    reached(PrintStep.ASKED)
    found = desk.notes.find(folder.key)
    desk.sending.add([job for job in (found.jobs if found else ()) if job.stage is JobStage.WAITING])


def _with_wish(note: OrderNote, stacks: Sequence[Stack], wish: str) -> OrderNote:
    sheets = sum(stack.sheets for stack in stacks)
    return replace(note, sheets=sheets, wish=wish, says="", look_at="", finished_at="")


def _refuse(desk: Desk, folder: OrderFolder, printing: OrderPrinting, wish: str, why: str) -> None:
    desk.notes.write(replace(printing.note, wish=wish, says=why, look_at=""))
    settle(desk, folder.key, folder.words.word)


def _none_came(desk: Desk, printing: OrderPrinting) -> OrderPrinting:
    """Take `print` behind a folder that is perhaps printed for the answer that nothing of it lies in the tray."""
    return _resolve(desk, printing, JobStage.NOT_PRINTED, "somebody looked: it did not come out")


def _resolve(desk: Desk, printing: OrderPrinting, stage: JobStage, says: str) -> OrderPrinting:
    answered = tuple(replace(job, stage=stage, says=says) for job in printing.unclear)
    if answered:
        desk.notes.write(jobs=answered)
    by_number = {job.number: job for job in answered}
    return replace(printing, jobs=tuple(by_number.get(job.number, job) for job in printing.jobs))


# -- printed -----------------------------------------------------------------------------------------------------------


def _note_printed(desk: Desk, folder: OrderFolder, printing: OrderPrinting, wish: str) -> None:
    """Note what a person has seen or has printed by hand."""
    word, number = folder.words.word, folder.words.sheets
    try:
        stacks = folder.stacks()
    except NotSent:
        stacks = ()
    if word is Word.FRONTS_PRINTED:
        _resolve(desk, printing, JobStage.PRINTED, "somebody looked: it came out")
        jobs: tuple[SheetJob, ...] = ()
    else:
        printing = _resolve(desk, printing, JobStage.NOT_PRINTED, "somebody counted what came out")
        jobs = tuple(_by_hand(desk, folder, stacks, printing, number))
    note = _with_wish(printing.note, stacks, wish)
    line = f"{folder.order}: {counted(sum(job.sheets for job in jobs), 'sheet')} noted as printed by hand"
    desk.notes.write(
        replace(note, sheets=note.sheets or 1), jobs=jobs, lines=(line,) if jobs else (), since=desk.shop.stamp()
    )
    settle(desk, folder.key, word)


def _by_hand(
    desk: Desk, folder: OrderFolder, stacks: Sequence[Stack], printing: OrderPrinting, number: int | None
) -> list[SheetJob]:
    """Sheets that a person says are printed: so many, or all that are wanted."""
    left = number
    found = []
    for stack in stacks:
        done = printing.printed(stack.number)
        sheets = max(0, stack.sheets - done) if left is None else min(left, max(0, stack.sheets - done))
        if sheets:
            found.append((stack.number, done + 1, sheets))
            left = None if left is None else left - sheets
    if not stacks and number is None:  # made by an earlier version, or its files are gone: it is printed all the same
        found.append((0, 1, 1))
    return [
        SheetJob(
            order_key=folder.key,
            printer=BY_HAND,
            stack=stack,
            side=Part.ALL,
            first=first,
            sheets=sheets,
            stage=JobStage.PRINTED,
            since=desk.shop.stamp(),
        )
        for stack, first, sheets in found
    ]


def drop_fronts(desk: Desk, printing: OrderPrinting) -> None:
    """Give up the fronts that wait for their backs, as somebody has given their folder its plain name again."""
    fronts = printing.awaiting_backs
    if fronts is not None:
        spoiled = replace(fronts, stage=JobStage.NOT_PRINTED, says="its fronts were given up")
        line = f"{printing.note.name}: its folder has its plain name again: {counted(fronts.sheets, 'front')} given up"
        desk.notes.write(jobs=(spoiled,), lines=(line,), since=desk.shop.stamp())
