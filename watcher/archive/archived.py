"""Read the orders of the archive: `archive/ORDER/` with its `ORDER_ticket.toml`.

A folder without a ticket that can be read is no order: it is skipped and never touched.
"""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from watcher.archive.libraries import libraries_in
from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.archive.ticket_reader import percent_in, read_ticket_file, what_is_damaged
from watcher.disk import is_bare_name
from watcher.inbox.file_names import compare_key
from watcher.inbox.found import Earlier
from watcher.orders.cost import Cost
from watcher.orders.model import OF_ALL, ArtSource
from watcher.orders.wishes import Wishes, overs_from
from watcher.records.plain_text import one_line
from watcher.terms import EarlierUse, Sequencing, Side

_NUMBERED = re.compile(r"(?P<name>.+)-(?P<number>[0-9]{1,6})")
_AMOUNT = re.compile(r"[0-9]{1,15}\.[0-9]{2}")
_LARGEST = 10_000_000
_MM2_IN_M2 = 1_000_000


@dataclass(frozen=True, kw_only=True)
class Archived:
    """An archived order, as its ticket describes it.

    Attributes:
        folder: its name in the archive, which is its name for people.
        name: as it was written on the art.
        wishes: what was wanted; card and sheet are names in the settings of that day.
        sheets, up: how many, and how many cards on one.
        made_at: ISO 8601.
        printed_as, printed_on: name and day on its sheets: those of its first making.
        repeat_of: the folder of the first making, or None when it is one itself.
        sheets_only: it was made in place of so many spoiled sheets; None: for a quantity.
        accepted: its soft findings had been accepted.
        overruled: a person had overruled the check by sight.
        order_sha256, settings_sha256: fingerprints.
        profile_sha256: of the press's colour profile; None where there was none, or its ticket does not tell.
        art: what it was made from; files lie beside the ticket.
        designs: how many different cards.
        settings: tables of the settings it was made with; None in tickets of early versions.
        area_mm2: of one sheet; 0 where it is not known.
        waste_percent: of that area; None where it is not known.
        libraries: versions of those that shaped its sheets; empty in tickets of early versions.
        cost: of its sheets, or of its share in those of a run; None where its ticket tells none.
        run, run_sheets: the run that it shared the sheets of, and how many these are; None and 0 where it did not.
    """

    folder: str
    name: str
    wishes: Wishes
    sheets: int
    up: int
    made_at: str
    printed_as: str
    printed_on: str
    repeat_of: str | None
    sheets_only: int | None
    accepted: bool
    order_sha256: str
    settings_sha256: str
    art: tuple[ArtSource, ...]
    settings: Mapping[str, Any] | None
    area_mm2: float
    waste_percent: float | None
    profile_sha256: str | None
    run: str | None
    run_sheets: int
    designs: int
    overruled: bool
    libraries: Mapping[str, str]
    cost: Cost | None

    @property
    def cards(self) -> int:
        """How many finished cards it is: `quantity` counts each design."""
        return self.designs * self.wishes.quantity

    @property
    def key(self) -> str:
        """Its written name in the form that is compared."""
        return compare_key(self.name)

    @property
    def first(self) -> str:
        """The folder of its first making."""
        return self.repeat_of or self.folder

    @property
    def same_art(self) -> tuple[str, frozenset[tuple[str, str, int | None]]]:
        """Equal for two orders of the same card and art."""
        return compare_key(self.wishes.card), frozenset((str(one.side), one.sha256, one.page) for one in self.art)

    @property
    def paper_m2(self) -> float:
        """The paper of all its sheets, square metres."""
        return self.sheets * self.area_mm2 / _MM2_IN_M2


def read_archived(folder: Path) -> Archived | None:
    """Read the order in a folder of the archive; None where there is none that can be read."""
    if folder.name.startswith(".") or folder.is_symlink():
        return None
    return read_order_ticket(folder / (folder.name + TICKET_SUFFIX))


def read_order_ticket(file: Path) -> Archived | None:
    """Read an order from its ticket; None where that cannot be read."""
    ticket = read_ticket_file(file)
    try:
        return None if ticket is None else archived_from(file.name.removesuffix(TICKET_SUFFIX), ticket)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def why_unreadable(folder: Path, ticket: dict[str, Any] | None = None) -> str:
    """Say why a folder of the archive cannot be read as an order; empty where it can.

    Args:
        folder: the folder.
        ticket: what its ticket says, where it was just read; empty for one that cannot be.
    """
    file = folder / (folder.name + TICKET_SUFFIX)
    name = one_line(file.name)
    if not os.path.lexists(file):
        return f"its {name} is missing"
    damage = "" if ticket else what_is_damaged(file)
    if damage:
        return f"its {name} {damage}"
    try:
        archived_from(folder.name, ticket or read_ticket_file(file) or {})
    except KeyError as missing:
        return f"its {name} is damaged: the entry {one_line(str(missing.args[0]))} is missing"
    except (TypeError, ValueError, AttributeError):
        return f"its {name} is damaged: an entry is not as this program writes it"
    return ""


def art_in(folder: Path) -> tuple[str, ...]:
    """List the files beside the ticket in a folder of the archive."""
    try:
        names = sorted(file.name for file in folder.iterdir() if file.is_file() and not file.name.startswith("."))
    except OSError:
        return ()
    return tuple(one_line(name) for name in names if not name.endswith(TICKET_SUFFIX))


def archived_names(archive: Path) -> list[str]:
    """List the folders of the archive without our own temporary ones, sorted; nothing is opened."""
    try:
        return sorted(path.name for path in archive.iterdir() if not path.name.startswith("."))
    except FileNotFoundError:
        return []


def may_be_called(folder: str, name: str) -> bool:
    """Whether a folder of this name may hold an order of that name: it is the name, or the name with a number."""
    asked = compare_key(name)
    return asked in (compare_key(folder), compare_key(bare_name(folder)))


def bare_name(folder: str) -> str:
    """Give the name of a folder without the number that told it from others of the name, if it has one."""
    numbered = _NUMBERED.fullmatch(folder)
    return numbered["name"] if numbered else folder


def archived_from(folder: str, ticket: dict[str, Any]) -> Archived:
    """Give the order that a ticket's tables describe.

    Args:
        folder: its name in the archive.
        ticket: the tables; they may come from anywhere.

    Raises:
        KeyError, TypeError, ValueError, AttributeError: they are not as this program writes them.
    """
    made_at = _text(ticket["made_at"])
    sheet = ticket["sheet"]
    return Archived(
        folder=folder,
        name=_text(ticket.get("name", ticket["order"])),
        wishes=_wishes(ticket),
        sheets=_count(ticket["sheets"]),
        up=_count(ticket["up"]),
        made_at=made_at,
        printed_as=_text(ticket.get("printed_as", ticket["order"])),
        printed_on=_text(ticket.get("printed_on", made_at[:10])),
        repeat_of=_maybe(ticket.get("repeat_of")),
        sheets_only=None if ticket.get("sheets_only") is None else _count(ticket["sheets_only"]),
        accepted=ticket.get("accepted") is True,
        order_sha256=_text(ticket.get("order_sha256", "")),
        settings_sha256=_text(ticket.get("settings_sha256", "")),
        art=tuple(_source(art, several="designs" in ticket) for art in ticket["art"]),
        settings=ticket["settings"] if isinstance(ticket.get("settings"), dict) else None,
        area_mm2=float(sheet["width_mm"]) * float(sheet["height_mm"]),
        waste_percent=percent_in(ticket.get("waste_percent")),
        profile_sha256=_maybe(ticket.get("output_profile_sha256")),
        run=_maybe(ticket.get("run")),
        run_sheets=_count(ticket.get("run_sheets", 0), least=0),
        designs=_count(ticket.get("designs", 1)),
        libraries=libraries_in(ticket.get("libraries")),
        overruled=ticket.get("check_overruled") is True,
        cost=_cost(ticket.get("cost")),
    )


def _cost(table: object) -> Cost | None:
    """What the ticket says of it; None where it is not as we write it, which is no reason not to make it again."""
    if not isinstance(table, dict):
        return None
    paper, printing = (_amount(table.get(key)) for key in ("paper", "print"))
    money = table.get("money")
    if paper is None and printing is None:
        return None
    return Cost(paper=paper, printing=printing, money=money if isinstance(money, str) else "")


def _amount(text: object) -> Decimal | None:
    return Decimal(text) if isinstance(text, str) and _AMOUNT.fullmatch(text) else None


def _wishes(ticket: dict[str, Any]) -> Wishes:
    return Wishes(
        card=_text(ticket["card"]),
        sheet=_text(ticket["sheet"]["name"]),
        quantity=_count(ticket["quantity"]),
        overs=overs_from(_text(ticket.get("overs_asked", str(_count(ticket["overs"], least=0))))),
        due=_day(ticket.get("due")),
        note=_maybe(ticket.get("note")),
        sequence=Sequencing(ticket["sequence"]) if "sequence" in ticket else None,
        only=tuple(_count(number) for number in ticket.get("only", ())),
    )


def _source(art: dict[str, Any], *, several: bool) -> ArtSource:
    file, member, page = _text(art["file"]), _maybe(art.get("member")), art.get("page")
    if not is_bare_name(file) or file.endswith(TICKET_SUFFIX):
        raise ValueError("a file that lies elsewhere")
    return ArtSource(
        side=Side(art["side"]),
        file=file,
        sha256=_text(art["sha256"]),
        member=member,
        member_name=_maybe(art.get("member_name")) or member,
        page=None if page is None else _count(page) - 1,
        file_sha256=_maybe(art.get("file_sha256")),
        design=_count(art.get("design", OF_ALL), least=OF_ALL) if several else 1,
        earlier=_earlier(art),
    )


def _earlier(art: dict[str, Any]) -> Earlier | None:
    if "came_from" not in art:
        return None
    return Earlier(place=_text(art["came_from"]), since=_text(art["kept_since"]), use=EarlierUse(_text(art["came_as"])))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("not text")
    return value


def _maybe(value: object) -> str | None:
    return value if isinstance(value, str) else None


def _count(value: object, least: int = 1) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= _LARGEST:
        raise ValueError("not a count")
    return value


def _day(value: object) -> date | None:
    return None if value is None else date.fromisoformat(_text(value))
