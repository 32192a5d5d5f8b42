"""`print-folder repeat`: drops the job ticket that a person could write, for the holder of the lock to act on."""

import secrets
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from watcher.commands.options import ArchivedArgument, SettingsOption, whole_number
from watcher.commands.settings_file import load
from watcher.errors import OrderHeld, WrongUsage

if TYPE_CHECKING:
    from watcher.archive.archived import Archived
    from watcher.orders.model import Repeat
    from watcher.orders.wishes import Wishes

_MOST_SHEETS = 10_000
_HIGHEST_DESIGN = 9_999


def repeat(
    order: ArchivedArgument,
    quantity: Annotated[
        int | None, typer.Option(metavar="N", parser=whole_number("--quantity"), help="So many cards this time.")
    ] = None,
    sheets: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            parser=whole_number("--sheets", most=_MOST_SHEETS),
            help="So many sheets in place of spoiled ones, without overs.",
        ),
    ] = None,
    as_before: Annotated[
        bool, typer.Option("--as-before", help="With the card, sheet and printer settings of the first time.")
    ] = False,
    only: Annotated[
        list[int] | None,
        typer.Option(
            metavar="N",
            parser=whole_number("--only", most=_HIGHEST_DESIGN),
            help="This design of several alone; may be repeated.",
        ),
    ] = None,
    settings: SettingsOption = None,
) -> None:
    """Make an archived order again."""
    from watcher.commands.at_work import leave_or_make
    from watcher.orders.model import Repeat
    from watcher.orders.wishes import Wishes

    loaded = load(settings)
    asked = Repeat(order=order, sheets_only=sheets, as_before=as_before)
    wishes = Wishes(quantity=quantity or 0, only=tuple(only or ()))
    found = ask_again(asked, wishes, archive=loaded.folders.archive, inbox=loaded.folders.inbox)
    said = f"{found.folder} is asked for again; the program that is running makes it."
    raise typer.Exit(leave_or_make(loaded, said))


def ask_again(repeat: "Repeat", wishes: "Wishes", *, archive: Path, inbox: Path) -> "Archived":
    """Put the job ticket into the inbox; gives the archived order that it means.

    Raises:
        WrongUsage: there is no such order, or several, or what was asked for cannot be.
        OSError: the inbox cannot be written to.
    """
    import tomli_w

    from watcher.archive.find import find_archived
    from watcher.disk import write_durably
    from watcher.inbox.formats import TICKET_END
    from watcher.orders.job_ticket import TicketRefused, read_ticket

    text = tomli_w.dumps({key: value for key, value in _keys(repeat, wishes).items() if value}).encode("utf-8")
    try:
        read_ticket(text, "repeat", ())
        found = find_archived(repeat.order, archive)
    except TicketRefused as refused:
        raise WrongUsage(f"{'; '.join(refused.faults)}.") from refused
    except OrderHeld as held:
        raise WrongUsage(str(held)) from held
    # digits alone: in a file's name nothing else is sure to be no side word
    write_durably(inbox / f"repeat-order-{secrets.randbelow(10**9):09d}.toml", text + TICKET_END)
    return found


def _keys(repeat: "Repeat", wishes: "Wishes") -> dict[str, str | int | bool | list[int] | None]:
    return {
        "repeat": repeat.order,
        "quantity": wishes.quantity,
        "sheets_only": repeat.sheets_only,
        "as_before": repeat.as_before,
        "only": list(wishes.only),
    }
