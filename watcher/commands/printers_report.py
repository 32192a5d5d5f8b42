"""Report for `print-folder check`: what each printer with a queue says, beside the settings."""

from collections.abc import Iterator

from watcher.commands.check_report import Line, describe_settings
from watcher.errors import ExitCode, PrinterError
from watcher.outbox.printing.comparison import Weight, compare
from watcher.outbox.printing.contract import PrinterState, PrinterStatus
from watcher.outbox.printing.ipp_client import connect
from watcher.outbox.printing.paper_words import lying
from watcher.outbox.printing.printer_says import PrinterSays
from watcher.outbox.printing.printer_words import plain_reasons, what_it_waits_for
from watcher.records.plain_text import one_line
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.trust import printer_to_trust
from watcher.settings.trusted import not_trusted, say, way_out


def describe_printers(settings: Settings) -> Iterator[Line]:
    """Describe every printer that has a queue; one that does not answer gets a line and counts as no fault."""
    asked = [printer for printer in settings.printers.values() if printer.queue]
    for number, printer in enumerate(asked):
        if number:
            yield Line(text="")
        yield from _describe(printer, settings)


def describe_with_printers(settings: Settings) -> Iterator[Line]:
    """Describe the settings, and below them every printer that has a queue."""
    yield from describe_settings(settings)
    if any(printer.queue for printer in settings.printers.values()):
        yield Line(text="")
        yield from describe_printers(settings)


def ask_printers(settings: Settings) -> Iterator[Line]:
    """Describe the printers alone; where none has a queue, say which line gives it one."""
    if any(printer.queue for printer in settings.printers.values()):
        yield from describe_printers(settings)
        return
    name = next(iter(settings.printers), "NAME")
    yield Line(
        text=f"No printer of these settings has an address. Write it into [printers.{name}]:"
        ' queue = "ipps://HOST/ipp/print"',
        exit_code=ExitCode.USAGE,
    )


def _describe(printer: PrinterSettings, settings: Settings) -> Iterator[Line]:
    thing = printer_to_trust(printer)
    if wanting := not_trusted(settings, [thing] if thing else []):
        yield Line(text=one_line(say(wanting[0], way_out(settings)), most=2000), exit_code=ExitCode.HELD)
        return
    try:
        connection = connect(printer, settings)
        says, status = connection.says(), connection.status()
    except PrinterError as error:
        yield Line(text=str(error))
        return
    yield Line(text=f"{printer.name}: {one_line(says.model) or printer.queue}, {_state(status)}")
    yield Line(text=f"  in it lies {_lying(says)}")
    differences = compare(printer, settings, says)
    for one in differences:
        code = ExitCode.HELD if one.weight is Weight.REFUSED else ExitCode.WELL
        yield Line(text=f"  {one.message}", exit_code=code)
    if not differences:
        yield Line(text="  nothing differs from the settings")


def _lying(says: PrinterSays) -> str:
    return "paper of which it does not tell" if says.ready is None else lying(says.ready)


def _state(status: PrinterStatus) -> str:
    """How it is, in plain words; of a printer that is not stopped also what it wants soon."""
    waits = what_it_waits_for(status)
    if waits:
        return f"stopped: {waits}" if status.state is PrinterState.STOPPED else f"not ready: {waits}"
    soon = "; ".join(plain_reasons(status.reasons))
    return ("ready" if status.state is PrinterState.IDLE else "at work") + (f" ({soon})" if soon else "")
