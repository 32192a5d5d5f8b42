"""`print-folder align PRINTER register`: measure the correction, from readings, from scans or by asking."""

from pathlib import Path
from typing import Annotated

import typer

from watcher.commands.align_session import session_of
from watcher.commands.options import SettingsOption, SheetOption, whole_number
from watcher.errors import WrongUsage


def register(
    context: typer.Context,
    more_scans: Annotated[
        list[Path] | None, typer.Argument(metavar="FRONT BACK", help="Scans of further sheets, behind --scans.")
    ] = None,
    reading: Annotated[
        list[str] | None, typer.Option(metavar="MARK:RIGHT,UP", help="A mark's reading, mm: 1:+0.8,-0.5. Repeat it.")
    ] = None,
    scans: Annotated[
        tuple[Path, Path] | None, typer.Option(metavar="FRONT BACK", help="Two flatbed scans of a sheet.")
    ] = None,
    sheets_measured: Annotated[
        int | None,
        typer.Option(
            metavar="N", parser=whole_number("--sheets-measured"), help="How many sheets the readings are averages of."
        ),
    ] = None,
    keep_doubtful: Annotated[
        bool, typer.Option("--keep-doubtful", help="Keep it although something speaks against it: you have looked.")
    ] = False,
    sheet: SheetOption = None,
    settings: SettingsOption = None,
) -> None:
    """Give readings or scans of the target, or be asked."""
    from watcher.align.conversation import run_dialogue
    from watcher.align.register.conversation import ask_register
    from watcher.align.register.measure import measure_register
    from watcher.align.register.options import RegisterOptions

    if more_scans and not scans:
        raise WrongUsage(f"{more_scans[0]} is one word too many; scans stand behind --scans.")
    options = RegisterOptions(
        readings=tuple(reading or ()),
        scans=(*(scans or ()), *(more_scans or ())),
        sheets_measured=sheets_measured,
        keep_doubtful=keep_doubtful,
    )
    options.check()
    session = session_of(context, sheet, settings)
    raise typer.Exit(
        measure_register(session, options) if options.are_given else run_dialogue(session, ask_register, "register")
    )
