"""What the parts of printing share: the shop, the notes, the jobs under way."""

from dataclasses import dataclass

from watcher.outbox.printing.notes import PrintNotes
from watcher.outbox.printing.order_folder import OrderFolder
from watcher.outbox.printing.order_printing import OrderNote, OrderPrinting
from watcher.outbox.printing.sending import Sending
from watcher.outbox.printing.stacks import NotSent
from watcher.service.shop import Shop
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings


@dataclass(frozen=True, kw_only=True)
class Desk:
    """The shop, its notes on what was sent, and the jobs under way."""

    shop: Shop
    notes: PrintNotes
    sending: Sending

    def printing_of(self, folder: OrderFolder) -> OrderPrinting:
        """What is noted of an order; nothing has been sent of one that is not known."""
        found = self.notes.find(folder.key)
        if found is not None:
            return found
        return OrderPrinting(note=OrderNote(key=folder.key, name=folder.order, sheets=0))


def sheet_of(shop: Shop, folder: OrderFolder) -> SheetSettings:
    """Give the sheet of an order in today's settings; NotSent where there is none of that name."""
    name = folder.ticket.sheet
    sheet = shop.settings.sheets.get(name)
    if sheet is None:
        raise NotSent(f"{folder.order} was made on the sheet {name}, which the settings no longer have.")
    return sheet


def printer_of(shop: Shop, folder: OrderFolder) -> PrinterSettings:
    """Give the printer that an order goes to; NotSent where it has no queue."""
    printer = shop.settings.printer_for(sheet_of(shop, folder))
    if printer.queue is None:
        raise NotSent(
            f"The printer {printer.name} has no address to send to. Write queue ="
            f' "ipp://ADDRESS/ipp/print" under [printers.{printer.name}], or print {folder.order} by hand and rename'
            f" its folder to {folder.order} printed."
        )
    return printer
