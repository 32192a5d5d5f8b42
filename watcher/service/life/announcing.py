"""Announce the end of an order: the log for people, the shop's own command; at last its claim's note goes.

Until then the note tells the next start that somebody may not have been told. So each order is announced at least once,
whenever the service dies; the log is read first, so that its line stands there once.
"""

from collections.abc import Iterator, Sequence

from watcher.archive.ticket_file import TICKET_SUFFIX, PrintFile
from watcher.archive.ticket_reader import OrderTicket, read_ticket
from watcher.orders.recover import forget_note
from watcher.outbox.finished import Delivered, calls_for
from watcher.outbox.publish import sheet_files
from watcher.records.journal import Entry
from watcher.records.order_life import Event
from watcher.service.life.cases import NOTHING, Next, OrderCase, RunCase, known
from watcher.service.life.making import Making
from watcher.service.shop import Shop
from watcher.settings.papers import media_name
from watcher.settings.trusted import is_command_trusted
from watcher.steps import Step, reached
from watcher.terms import ONE_SIDED, Copies, Flip

NOT_CALLED = "the command was not run for it: nobody at this computer has said yes to it (print-folder trust)"


def log_line(shop: Shop, line: str, *, since: str = "", begin: str = "") -> None:
    """Write a line into the log for people.

    Args:
        shop: whose log.
        line: what is written.
        since: ISO 8601; where it is given, the line is written only if none of this kind has been since then.
        begin: how a line of this kind begins.
    """
    if not (since and shop.log.has_said(begin, since)):
        shop.log.add(line)
    reached(Step.LOGGED)


def log_held(making: Making, case: OrderCase) -> Next:
    """Log that an order is held; nobody else is told."""
    log_line(making.shop, case.line)
    return [(case, Event.ANNOUNCED)]


def log_in_run(making: Making, case: OrderCase) -> Next:
    """Log that an order of a run is made; the shop's own command is called once for the run."""
    entry = known(case.entry)
    _log_made(making.shop, entry, again=case.again)
    making.runs.unannounced.setdefault(entry.run, []).append(entry)
    return NOTHING


def log_and_call(making: Making, case: OrderCase) -> Next:
    """Log that an order is made, and call the shop's own command."""
    entry = known(case.entry)
    _log_made(making.shop, entry, again=case.again)
    return _call(making, entry, [case])


def log_and_call_run(making: Making, case: RunCase) -> Next:
    """Log that a run is made, and call the shop's own command."""
    entries, begin = making.runs.unannounced.pop(case.run), f"{case.run}: made: "
    since = min(entry.since for entry in entries) if case.again else ""
    log_line(making.shop, begin + case.words, since=since, begin=begin)
    return _call(making, entries[0], [OrderCase(number=entry.number, entry=entry) for entry in entries])


def _log_made(shop: Shop, entry: Entry, *, again: bool) -> None:
    begin = f"{entry.folder}: made: "
    log_line(shop, begin + entry.says, since=entry.since if again else "", begin=begin)


def _call(making: Making, entry: Entry, cases: Sequence[OrderCase]) -> Next:
    """Start the shop's own command for a folder in the outbox; the orders are announced when it has ended.

    Args:
        making: whose commands.
        entry: the order, or any of the orders of a run.
        cases: all orders whose sheets lie in the folder.
    """

    def ended() -> None:
        reached(Step.TOLD)
        making.announced += cases

    making.shop.on_made(entry.in_outbox)
    settings = making.shop.settings
    command = settings.service.on_finished
    calls = calls_for(command, _delivered(making.shop, entry)) if command else []  # reading its ticket takes a while
    if calls and not is_command_trusted(settings):
        log_line(making.shop, f"{entry.in_outbox}: {NOT_CALLED}")
        calls = []
    if calls and calls[0]:
        making.commands.start(calls, entry.in_outbox, ended)
        reached(Step.CALLED)
        return NOTHING
    reached(Step.TOLD)
    return [(case, Event.ANNOUNCED) for case in cases]


def drop_note(making: Making, case: OrderCase) -> Next:
    """Remove the note of an order of which everybody has been told, once the log's lines are on the disk."""
    making.notes_to_drop.append(case.number)
    drop_notes(making)
    return NOTHING


def drop_notes(making: Making) -> None:
    """Remove the notes that can go; those that disk or rights keep stay until the next step."""
    if making.shop.log.is_written:
        making.notes_to_drop[:] = [number for number in making.notes_to_drop if not _drop(making, number)]


def _drop(making: Making, number: int) -> bool:
    try:
        forget_note(making.shop.archive, number, making.shop.taken_from)
    except OSError:
        return False
    reached(Step.FORGOTTEN)
    making.journal.end(number)
    return True


def _delivered(shop: Shop, entry: Entry) -> Delivered:
    file = shop.archive / entry.folder / (entry.folder + TICKET_SUFFIX)
    ticket = read_ticket(file) or OrderTicket()
    return Delivered(
        folder=shop.outbox / entry.in_outbox,
        ticket=file,
        files=ticket.printing or tuple(_printing_before(shop, entry, ticket)),
    )


def _printing_before(shop: Shop, entry: Entry, ticket: OrderTicket) -> Iterator[PrintFile]:
    """How the sheets are printed of an order that an earlier version made, whose ticket does not tell it."""
    flip = ticket.flip
    settings = shop.settings.sheets.get(ticket.sheet)
    for file in sheet_files(shop.outbox, entry.in_outbox):
        is_two_sided = file.name.endswith("_sheets.pdf") and flip in list(Flip)
        yield PrintFile(
            file=file.name,
            copies=1 if settings and settings.copies is Copies.PAGES else entry.sheets or 1,
            sides=Flip(str(flip)).sides if is_two_sided else ONE_SIDED,
            media=media_name(settings.size) if settings else "",
        )
