"""Name an order's folder for what came of its printing; move it to `outbox/printed` when all of it is printed."""

import os
from dataclasses import replace
from pathlib import Path

from watcher.archive.folder_words import PRINTED, Word
from watcher.disk import free_name, make_folder_itself, move_folder, remove_file
from watcher.outbox.printing.order_folder import OrderFolder, find_by_key, name_with
from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting
from watcher.outbox.printing.record_file import record_text, what_to_look_at, write_record
from watcher.outbox.printing.sending_life import JobStage
from watcher.service.printing.desk import Desk
from watcher.steps import PrintStep, reached


def state_word(printing: OrderPrinting) -> Word:
    """The word that an order's folder carries when nothing of it is under way."""
    if printing.unclear:
        return Word.PERHAPS_PRINTED
    if printing.note.says:
        return Word.NOT_PRINTED
    if printing.awaiting_backs is not None:
        return Word.FRONTS_PRINTED
    return Word.NONE


def is_all_printed(printing: OrderPrinting) -> bool:
    """Whether every sheet that is wanted is printed, and nothing of it is unclear or half done."""
    note = printing.note
    return bool(
        note.sheets
        and printing.sheets_printed >= note.sheets
        and not printing.unclear
        and printing.awaiting_backs is None
        and not note.says
    )


def settle(desk: Desk, key: str, answered_by: Word) -> None:
    """End a wish: note what came of it, and give the folder the name that tells it.

    Args:
        desk: notes and folders.
        key: of the order.
        answered_by: the word that its folder carries for the wish; one that somebody has renamed since keeps its name.
    """
    printing = desk.notes.find(key)
    if printing is None:
        return
    folder = find_by_key(desk.shop.outbox, printing.note.name, key)
    told = _told(desk, printing)
    if folder is not None:
        write_record(folder.path, told.record)
        if folder.words.word in (answered_by, state_word(printing)):
            _rename(desk, folder, OrderPrinting(note=told, jobs=printing.jobs))
        reached(PrintStep.MOVED)
    desk.notes.write(replace(told, wish="", answered=printing.note.wish, answered_at=desk.shop.stamp()))


def _told(desk: Desk, printing: OrderPrinting) -> OrderNote:
    """The order as it is noted with what came of the wish; a line for the log is written with it, once."""
    note = replace(printing.note, look_at=what_to_look_at(printing.note.name, printing.unclear))
    note = replace(note, says=note.says or has_failed(printing))
    printing = replace(printing, note=note)
    before = desk.notes.find(note.key)
    if is_all_printed(printing) and not note.finished_at:
        note = replace(note, finished_at=desk.shop.stamp())
    line = _line(replace(printing, note=note))
    note = replace(note, record=record_text(OrderPrinting(note=note, jobs=printing.jobs)))
    if before is None or note != before.note:
        desk.notes.write(note, lines=line, since=desk.shop.stamp())
    return note


def _line(printing: OrderPrinting) -> tuple[str, ...]:
    note = printing.note
    if printing.unclear:
        return (f"{note.name}: {note.look_at[:1].lower()}{note.look_at[1:]}",)
    if note.says:
        return (f"{note.name}: not printed: {note.says}",)
    if printing.awaiting_backs is not None:
        return (
            f"{note.name}: the fronts are printed. Put the stack back as its instructions say, then rename the folder"
            f" to {note.name} print for the backs",
        )
    if is_all_printed(printing):
        told = f"all {note.sheets} sheets are" if note.sheets > 1 else "its sheet is"
        return (f"{note.name}: {told} printed; its folder is in {PRINTED}",)
    return ()


def _rename(desk: Desk, folder: OrderFolder, printing: OrderPrinting) -> None:
    """Give the folder its name; it stays as it is where that cannot be."""
    outbox = desk.shop.outbox
    parent = outbox / PRINTED if is_all_printed(printing) else outbox
    target = parent / name_with(folder.order, Word.NONE if parent != outbox else state_word(printing))
    if folder.path == target:
        return
    make_folder_itself(parent)
    if os.path.lexists(target):
        if parent == outbox:
            return
        target = parent / free_name(target.name, lambda name: os.path.lexists(parent / name))
    move_folder(folder.path, target)


def drop_documents(folder: Path, numbers: set[int]) -> None:
    """Remove the documents of jobs that are no longer under way."""
    for file in folder.glob("*.pdf"):
        if file.stem.isdigit() and int(file.stem) not in numbers:
            remove_file(file, missing_ok=True)


def has_failed(printing: OrderPrinting) -> str:
    """Why the last job of an order was not printed; empty where it was, or nothing is known."""
    last = next((job for job in reversed(printing.jobs) if job.stage is not JobStage.WITHDRAWN), None)
    return last.says if last is not None and last.stage is JobStage.NOT_PRINTED else ""
