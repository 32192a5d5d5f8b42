"""Read `ORDER_ticket.toml`, whatever is in it: it may have been edited, or come from anywhere.

`OrderTicket` has what the service, its journal and the status page want to know; `archived.Archived` is an order that
can be made again, and is strict.
"""

import re
import tomllib
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from watcher.archive.ticket_file import LARGEST_TICKET, PrintFile
from watcher.art.picture_size import MOST_LETTERS
from watcher.disk import has_endless_key, is_bare_name, status_of_file
from watcher.records.plain_text import one_line
from watcher.terms import Level, PageOrder

MOST_WARNINGS = 5  # of one order; the status page shows no more
_LINE = re.compile(r"at line (\d+)")
_MOST_COUNTED = 10_000_000  # cards or sheets
_TOLD = (
    *("order", "name", "card", "sheet", "quantity", "quantity_from_card", "designs", "up", "sheets", "waste_percent"),
    *("due", "note", "made_at", "repeat_of", "order_sha256", "settings_sha256", "run", "run_sheets", "run_orders"),
    *("flip", "duplex", "backs_order", "print", "picture"),
)


@dataclass(frozen=True, kw_only=True)
class OrderTicket:
    """The facts of a ticket. What is missing, or not as this program writes it, is empty, 0 or None.

    A status page keeps a thousand of these: a whole ticket takes twenty times the memory.

    Attributes:
        order: the name of the order's folder.
        name: as it was written on the art.
        card, sheet: names in the settings of that day.
        width_mm, height_mm: of the sheet.
        quantity_from_card: nobody gave the quantity: it is the one that the settings had for the card.
        quantity, designs: finished cards of each design, and how many designs there are; 1 where it is not told.
        up, sheets: cards on a sheet, and sheets to print.
        waste_percent: of the sheet's area.
        due, note, made_at: as written; `made_at` is ISO 8601.
        repeat_of: the folder of the first making.
        order_sha256: see `same_art.order_fingerprint`.
        settings_sha256: see `settings.fingerprint`.
        run, run_sheets, run_orders: the gang run that it is part of.
        warnings: the first few findings to look at before printing; those that were accepted are among them.
        flip, duplex: as the settings write them.
        reload, backs_order: how a stack goes back in for its second side, and in which order its sheets come.
        printing: how each of its files of sheets is printed.
        small_picture: the front, see `art.small_picture`; empty for none.
    """

    order: str = ""
    name: str = ""
    card: str = ""
    sheet: str = ""
    width_mm: float | None = None
    height_mm: float | None = None
    quantity: int = 0
    quantity_from_card: bool = False
    designs: int = 1
    up: int = 0
    sheets: int = 0
    waste_percent: float | None = None
    due: date | None = None
    note: str = ""
    made_at: str = ""
    repeat_of: str = ""
    order_sha256: str = ""
    settings_sha256: str = ""
    run: str = ""
    run_sheets: int = 0
    run_orders: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    flip: str = ""
    duplex: str = ""
    reload: str = ""
    backs_order: PageOrder | None = None
    printing: tuple[PrintFile, ...] = ()
    small_picture: str = ""

    @property
    def sheets_printed(self) -> int:
        """The sheets of the whole gang run, where it is part of one; else its own."""
        return self.run_sheets or self.sheets

    @property
    def is_whole(self) -> bool:
        """Whether it tells all that every order has."""
        return all((self.order, self.card, self.quantity, self.up, self.sheets, self.made_at))


def read_ticket(file: Path) -> OrderTicket | None:
    """Give the facts of a ticket; None where there is none that can be read."""
    body = read_ticket_file(file)
    return None if body is None else ticket_facts(body)


def told_tables(body: dict[str, Any]) -> dict[str, Any]:
    """Give of a ticket's tables what `ticket_facts` reads, and nothing else."""
    printer = _table(_table(body.get("settings")).get("printer"))
    told = {key: body[key] for key in _TOLD if key in body}
    return told | {"settings": {"printer": {"reload": printer.get("reload")}}, "findings": _grave(body.get("findings"))}


def ticket_facts(body: dict[str, Any]) -> OrderTicket:
    """Give the facts of a ticket out of its tables."""
    sheet, printer = _table(body.get("sheet")), _table(_table(body.get("settings")).get("printer"))
    order = _text(body.get("order"))
    return OrderTicket(
        order=order,
        name=_text(body.get("name")) or order,
        card=_text(body.get("card")),
        sheet=_text(sheet.get("name")),
        width_mm=_length(sheet.get("width_mm")),
        height_mm=_length(sheet.get("height_mm")),
        quantity=_count(body.get("quantity")),
        quantity_from_card=body.get("quantity_from_card") is True,
        designs=_count(body.get("designs")) or 1,
        up=_count(body.get("up")),
        sheets=_count(body.get("sheets")),
        waste_percent=percent_in(body.get("waste_percent")),
        due=_day(body.get("due")),
        note=_text(body.get("note")),
        made_at=_text(body.get("made_at")),
        repeat_of=_text(body.get("repeat_of")),
        order_sha256=_text(body.get("order_sha256")),
        settings_sha256=_text(body.get("settings_sha256")),
        run=_bare(body.get("run")),
        run_sheets=_count(body.get("run_sheets")),
        run_orders=tuple(filter(None, map(_text, _list(body.get("run_orders"))))),
        warnings=_warnings(body.get("findings")),
        flip=_text(body.get("flip")),
        duplex=_text(body.get("duplex")),
        reload=_text(printer.get("reload")),
        backs_order=next((one for one in PageOrder if one == body.get("backs_order")), None),
        printing=_printing(body.get("print")),
        small_picture=_text(_table(body.get("picture")).get("jpeg"))[:MOST_LETTERS],
    )


def _grave(findings: object) -> list[dict[str, Any]]:
    said = [finding for finding in _list(findings) if isinstance(finding, dict)]
    return [finding for finding in said if finding.get("level") in (Level.WARN, Level.HOLD)][:MOST_WARNINGS]


def _warnings(findings: object) -> tuple[str, ...]:
    return tuple(filter(None, (_text(finding.get("message")) for finding in _grave(findings))))


def _printing(files: object) -> tuple[PrintFile, ...]:
    """Empty where it is not told: in tickets of early versions."""
    try:
        told = tuple(PrintFile(**file) for file in _list(files))
    except TypeError:
        return ()
    return told if all(_bare(one.file) for one in told) else ()


def _table(said: object) -> dict[str, Any]:
    return said if isinstance(said, dict) else {}


def _list(said: object) -> list[Any]:
    return said if isinstance(said, list) else []


def _text(said: object) -> str:
    return said if isinstance(said, str) else ""


def _bare(said: object) -> str:
    """The name of what lies in a folder; empty for one that leads elsewhere: others may have written the ticket."""
    name = _text(said)
    return name if is_bare_name(name) else ""


def _count(said: object) -> int:
    whole = isinstance(said, int) and not isinstance(said, bool) and 0 < said <= _MOST_COUNTED
    return said if whole and isinstance(said, int) else 0


def _length(said: object) -> float | None:
    return float(said) if isinstance(said, int | float) and not isinstance(said, bool) else None


def percent_in(said: object) -> float | None:
    """A share from 0 to 100; None for anything else."""
    is_one = isinstance(said, int | float) and not isinstance(said, bool) and 0 <= said <= 100
    return float(said) if is_one and isinstance(said, int | float) else None


def _day(said: object) -> date | None:
    if isinstance(said, date):
        return said.date() if isinstance(said, datetime) else said
    try:
        return date.fromisoformat(said) if isinstance(said, str) else None
    except ValueError:
        return None


def read_ticket_file(file: Path) -> dict[str, Any] | None:
    """Give the tables of a ticket; None where there is none that can be read."""
    try:
        return _read(file)
    except (OSError, ValueError, RecursionError):
        return None


def what_is_damaged(file: Path) -> str:
    """Say what keeps a ticket from being read, to be put behind its name; empty where nothing does."""
    try:
        _read(file)
    except OSError as error:
        return f"cannot be read ({one_line(error.strerror or str(error))})"
    except UnicodeDecodeError:
        return "is damaged: it is no text"
    except tomllib.TOMLDecodeError as error:
        line = _LINE.search(str(error))
        return f"is damaged: line {line[1]} cannot be read" if line else "is damaged: it breaks off"
    except (ValueError, RecursionError):
        return "is damaged: it is not as this program writes it"
    return ""


def _read(file: Path) -> dict[str, Any]:
    """The ticket.

    Raises:
        OSError, ValueError, RecursionError: it cannot be read, or it is none.
    """
    if status_of_file(file, LARGEST_TICKET) is None:
        raise ValueError("not a ticket of ours")
    text = file.read_text("utf-8")
    if has_endless_key(text):
        raise ValueError("not a ticket of ours")
    return tomllib.loads(text)
