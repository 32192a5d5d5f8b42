"""Say how the printing of an order stands, for the people who look at `status` or the page."""

from watcher.outbox.printing.order_printing import OrderPrinting, Part, SheetJob
from watcher.outbox.printing.printer_words import is_progress
from watcher.outbox.printing.record_file import what_of
from watcher.outbox.printing.sending_life import JobStage
from watcher.outbox.printing.standing import PrintStanding, PrintStatus


def print_status(printing: OrderPrinting) -> PrintStatus | None:
    """Give how the printing of an order stands; None where nothing was asked for."""
    found = _standing(printing)
    if found is None:
        return None
    standing, says = found
    fronts = printing.awaiting_backs
    return PrintStatus(
        standing=standing,
        says=says.removesuffix("."),
        printed=printing.sheets_printed,
        sheets=printing.note.sheets,
        half_done=fronts.sheets if fronts is not None else 0,
    )


def _standing(printing: OrderPrinting) -> tuple[PrintStanding, str] | None:
    note, done = printing.note, printing.sheets_printed
    if printing.under_way:
        return _under_way(printing.under_way[0])
    if printing.unclear:
        return PrintStanding.PERHAPS, note.look_at or "perhaps printed: look into the printer's output tray"
    if note.says:
        return PrintStanding.NOT_PRINTED, f"not printed: {note.says}"
    if (fronts := printing.awaiting_backs) is not None:
        return (
            PrintStanding.BACKS,
            f"{what_of(fronts)} are printed: put the stack back, then rename the folder to {note.name} print",
        )
    return (PrintStanding.SOME, f"printed {done} of {note.sheets}") if done else None


def _under_way(job: SheetJob) -> tuple[PrintStanding, str]:
    if waits := waiting_words(job):
        return PrintStanding.WAITING, waits
    if job.stage is JobStage.PRINTING:
        return PrintStanding.PRINTING, f"{what_of(job)} at the printer {job.printer}: {job.says or 'being printed'}"
    return PrintStanding.SENDING, f"sending {what_of(job)} to the printer {job.printer}"


def waiting_words(job: SheetJob) -> str:
    """Say what a job that is under way waits for, once; empty where it is getting on."""
    if not job.says or is_progress(job.says):
        return ""
    says = job.says.removesuffix(".")
    wait = f"{what_of(job)} {'waits' if job.side is Part.ALL and job.sheets == 1 else 'wait'}"
    is_whole = says.startswith("The printer ")  # a sentence that names the printer and its address
    return f"{wait}. {says}" if is_whole else f"{wait} for the printer {job.printer}: {says}"
