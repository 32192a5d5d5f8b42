"""What `print-folder print` does and says: the folder gets the name that asks for printing."""

from dataclasses import dataclass

from watcher.archive.folder_words import PRINTED, Word
from watcher.disk import move_folder
from watcher.errors import ExitCode, WrongUsage
from watcher.inbox.file_names import compare_key
from watcher.outbox.printing.notes import read_printings
from watcher.outbox.printing.order_folder import OrderFolder, read_order_folder
from watcher.outbox.printing.order_printing import wish_text
from watcher.outbox.printing.print_status import print_status
from watcher.records.plain_text import one_line
from watcher.service.lock import is_locked
from watcher.settings.model import Settings


@dataclass(frozen=True, kw_only=True)
class Asked:
    """An order that was asked for: its name, and its key in the notes."""

    name: str
    key: str


def ask_for(settings: Settings, order: str, sheets: int | None) -> Asked:
    """Give the folder of an order the name that asks for printing.

    Args:
        settings: of the print folder.
        order: its name, whatever its capitals.
        sheets: how many; None: all that are still wanted.

    Raises:
        WrongUsage: no such order lies in the outbox, its printer has no address, or it is being sent now.
    """
    folder = _find(settings, order)
    sheet = settings.sheets.get(folder.ticket.sheet)
    printer = settings.printer_for(sheet) if sheet is not None else None
    if printer is not None and printer.queue is None:
        raise WrongUsage(
            f'The printer {printer.name} has no address to send to. Write queue = "ipp://ADDRESS/ipp/print" under'
            f" [printers.{printer.name}] in the settings."
        )
    printing = read_printings(settings.folders.state).get(folder.key)
    if printing is not None and printing.under_way:
        stands = print_status(printing)
        raise WrongUsage(f"{one_line(folder.order)}: {stands.says if stands else 'it is being sent'}.")
    target = settings.folders.outbox / f"{folder.order} {wish_text(Word.PRINT, sheets)}"
    if folder.path != target:
        move_folder(folder.path, target)
    return Asked(name=one_line(folder.order), key=folder.key)


def exit_code_of(settings: Settings, asked: Asked) -> ExitCode:
    """Say how the printing of an order stands when no service is at work any more, and give the exit code."""
    if is_locked(settings.folders.state):
        return ExitCode.WELL
    printing = read_printings(settings.folders.state).get(asked.key)
    stands = print_status(printing) if printing is not None else None
    if printing is not None and printing.note.finished_at and not printing.under_way:
        print(f"{asked.name}: printed {printing.sheets_printed} of {printing.note.sheets}")
        return ExitCode.WELL
    if stands is not None:
        print(f"{asked.name}: {one_line(stands.says, most=2000)}")
    is_done = printing is not None and not (printing.under_way or printing.unclear or printing.note.says)
    return ExitCode.WELL if is_done else ExitCode.HELD


def _find(settings: Settings, order: str) -> OrderFolder:
    outbox, key, near = settings.folders.outbox, compare_key(order), []
    for parent in (outbox, outbox / PRINTED):
        for path in sorted(parent.iterdir()) if parent.is_dir() else ():
            folder = None if path.is_symlink() or not path.is_dir() else read_order_folder(path)
            if folder is not None and key in (compare_key(folder.order), compare_key(path.name)):
                return folder
            near += [folder.order] if folder is not None and parent == outbox else []
    there = f" There lie: {', '.join(map(one_line, near[:10]))}." if near else " It is empty."
    raise WrongUsage(f"There is no order {one_line(order)} in the outbox.{there}")
