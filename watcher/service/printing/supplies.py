"""What sending needs of the service: connections, documents, and the notes that lie beside the sheets."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from watcher.archive.archived import read_order_ticket
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.disk import link_or_copy, remove_file, sha256_of, write_durably
from watcher.orders.quantity import counted
from watcher.outbox.printing.contract import Printer
from watcher.outbox.printing.ipp_client import connect
from watcher.outbox.printing.job_request import Wanted
from watcher.outbox.printing.notes import PrintNotes
from watcher.outbox.printing.order_folder import OrderFolder, find_by_key
from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting, Part, SheetJob
from watcher.outbox.printing.print_status import waiting_words
from watcher.outbox.printing.record_file import record_text, what_of, write_record
from watcher.outbox.printing.sending import Prepared
from watcher.outbox.printing.sending_life import UNDER_WAY, JobStage
from watcher.outbox.printing.stacks import Document, NotSent, Piece, cut_pages, document_of
from watcher.records.trouble import say_trouble
from watcher.service.printing.desk import printer_of, sheet_of
from watcher.service.shop import Shop
from watcher.settings.papers import media_name
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import read_settings

DOCUMENTS = "printing"  # the folder in `state` for what is about to be sent


class ServiceSupplies:
    """Fulfils `outbox.printing.sending.Supplies`."""

    def __init__(self, shop: Shop, notes: PrintNotes) -> None:
        self._shop, self._notes = shop, notes

    def connection(self, job: SheetJob) -> Callable[[], Printer]:
        """Give what connects to the printer of a job, at the address that it was sent to.

        Raises:
            NotSent: the settings have no such printer, or it has no address.
        """
        settings = self._shop.settings
        printer = settings.printers.get(job.printer)
        if printer is None or printer.queue is None:
            raise NotSent(f"the settings have no address for the printer {job.printer} any more")
        if job.stage is not JobStage.WAITING and job.queue:
            printer = printer.model_copy(update={"queue": job.queue})
        return partial(connect, printer, settings)

    def prepare(self, job: SheetJob) -> Prepared:
        """Put the document into `state`, where nobody moves it.

        Raises:
            NotSent: the sheets are gone, or are not what was asked for.
        """
        order, folder = self._order(job)
        if folder is None:
            raise NotSent(f"The folder of {order.name} was taken out of the outbox before anything had been sent.")
        stacks = folder.stacks()
        if job.stack >= len(stacks):
            raise NotSent(f"The files in {folder.path.name} are not those that were asked for.")
        piece = Piece(stack=stacks[job.stack], part=job.side, first=job.first, sheets=job.sheets)
        document, file = document_of(piece), folder.path / piece.file.file
        try:
            sent = self._document(job, file, document)
            sha256 = sha256_of(file)
        except OSError as error:
            raise NotSent(f"The sheets of {order.name} cannot be read: {say_trouble(error)}.") from error
        sheet, printer = _sheet_as_made(self._shop, folder, piece), printer_of(self._shop, folder)
        wanted = Wanted(
            order=order.name,
            printer=printer.name,
            sheet=sheet,
            size=sheet.size,
            file=piece.file,
            copies=document.copies,
        )
        return Prepared(wanted=wanted, file=sent, sha256=sha256, queue=printer.queue or "")

    def before_document(self, job: SheetJob) -> None:
        """Write into `printing.txt` that the sheets are being sent; into none where the folder is gone."""
        order, folder = self._order(job)
        printing = self._notes.find(job.order_key) or OrderPrinting(note=order)
        jobs = tuple(job if one.number == job.number else one for one in printing.jobs)
        text = record_text(OrderPrinting(note=replace(order, says="", look_at=""), jobs=jobs))
        self._notes.write(replace(order, record=text, says="", look_at=""))
        if folder is not None:
            write_record(folder.path, text)

    def lines_for(self, job: SheetJob) -> tuple[str, ...]:
        """Give the line of the log for people; NOT_PRINTED and PERHAPS are told when the folder is named for them."""
        order, _ = self._order(job)
        if job.stage in UNDER_WAY:
            waits = waiting_words(job)
            return (f"{order.name}: {waits}",) if waits else ()
        if job.stage is JobStage.WITHDRAWN:
            return (f"{order.name}: {what_of(job)} not sent after all; nothing had gone out",)
        if job.stage is not JobStage.PRINTED or not job.printer:
            return ()
        printing = self._notes.find(job.order_key)
        done = (printing.sheets_printed if printing else 0) + job.sheets
        of_all = "" if job.side is Part.FRONTS else f"; {done} of {counted(order.sheets, 'sheet')}"
        return (f"{order.name}: printed {what_of(job)} on {job.printer}{of_all}",)

    def _order(self, job: SheetJob) -> tuple[OrderNote, OrderFolder | None]:
        found = self._notes.find(job.order_key)
        note = found.note if found else OrderNote(key=job.order_key, name=job.order_key.partition("\n")[0], sheets=0)
        return note, find_by_key(self._shop.outbox, note.name, job.order_key)

    def _document(self, job: SheetJob, file: Path, document: Document) -> Path:
        folder = self._shop.state / DOCUMENTS
        folder.mkdir(exist_ok=True)
        target = folder / f"{job.number}.pdf"
        remove_file(target, missing_ok=True)
        if document.pages is None:
            link_or_copy(file, target)
        else:
            write_durably(target, cut_pages(file.read_bytes(), document.pages))
        return target


def _sheet_as_made(shop: Shop, folder: OrderFolder, piece: Piece) -> SheetSettings:
    """The sheet of the settings; NotSent where it has another size by now than the sheets that were made."""
    sheet = sheet_of(shop, folder)
    if media_name(sheet.size) != piece.file.media:
        raise NotSent(
            f"{folder.order} was made on {piece.file.media.split('_')[-1]}, and {sheet.name} is another size in the"
            " settings now. Have the order made again."
        )
    return sheet.model_copy(update=_rims_as_made(folder))


def _rims_as_made(folder: OrderFolder) -> dict[str, object]:
    """The rims that the sheets were laid out for: the settings may have others by now."""
    archived = read_order_ticket(folder.path / f"{folder.ticket.order}{TICKET_SUFFIX}")
    if archived is None or archived.settings is None:
        return {}
    try:
        made = read_settings(archived.settings).sheet
    except ValueError:  # of a version whose settings cannot be read any more
        return {}
    return {"unprintable": made.unprintable, "unprintable_back": made.unprintable_back}
