"""`print-folder align`: the conversation by which a printer's backs come to land behind their fronts."""

from pathlib import Path
from typing import Annotated

import typer

from watcher.align.turn.test_answers import Face, FirstPrinted, Letter, WhoseBack
from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load
from watcher.errors import WrongUsage
from watcher.terms import Flip


def align(
    printer: Annotated[str, typer.Argument(metavar="PRINTER", help="The printer, as the settings call it.")],
    more_scans: Annotated[
        list[Path] | None, typer.Argument(metavar="[FRONT BACK]...", help="Scans of further sheets, after --scans.")
    ] = None,
    sheet: Annotated[str | None, typer.Option(help="The sheet, where the printer takes several.")] = None,
    arrow: Annotated[Letter | None, typer.Option(case_sensitive=False, help="Turn test: behind the arrow.")] = None,
    one_face: Annotated[bool, typer.Option("--one-face", help="Turn test: arrow and letters are on one face.")] = False,
    first: Annotated[Letter | None, typer.Option(case_sensitive=False, help="Turn test: the letter at the 1.")] = None,
    guide: Annotated[Letter | None, typer.Option(case_sensitive=False, help="Turn test: the letter at the 2.")] = None,
    printed_first: Annotated[
        FirstPrinted | None, typer.Option(help="Turn test, automatic duplex: the side that was printed first.")
    ] = None,
    stack_face: Annotated[
        Face | None, typer.Option(help="Turn test, manual duplex: how the letters faced when the sheet went back in.")
    ] = None,
    stack_first: Annotated[
        Letter | None,
        typer.Option(case_sensitive=False, help="Turn test, manual duplex: the edge that then went first."),
    ] = None,
    first_sheet: Annotated[
        WhoseBack | None, typer.Option(help="Turn test, manual duplex: whose back the first sheet has.")
    ] = None,
    chosen: Annotated[
        Flip | None, typer.Option(help="Turn test, automatic duplex: the edge chosen in the print dialog.")
    ] = None,
    reading: Annotated[
        list[str] | None, typer.Option(metavar="MARK:RIGHT,UP", help="Register target, mm: 1:+0.8,-0.5. Repeat it.")
    ] = None,
    sheets_measured: Annotated[
        int | None, typer.Option(min=1, help="How many sheets these readings are averages of.")
    ] = None,
    scans: Annotated[
        tuple[Path, Path] | None,
        typer.Option(metavar="FRONT BACK", help="Register target: two flatbed scans of a sheet."),
    ] = None,
    keep_doubtful: Annotated[
        bool, typer.Option("--keep-doubtful", help="Keep it although something speaks against it: you have looked.")
    ] = False,
    show: Annotated[bool, typer.Option("--show", help="Tell what is kept.")] = False,
    forget: Annotated[bool, typer.Option("--forget", help="Drop what is kept.")] = False,
    proof: Annotated[
        bool, typer.Option("--proof", help="Only write the target with the correction, to see it.")
    ] = False,
    print_only: Annotated[bool, typer.Option("--print-only", help="Only write the sheets to print.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Make the backs land behind their fronts: turn test and register."""
    from watcher.align.conversation import align as do_align
    from watcher.align.request import AlignRequest, TurnOptions
    from watcher.align.talk import Talk
    from watcher.records.moments import local_now

    if more_scans and not scans:
        raise WrongUsage(f"{more_scans[0]} is one word too many; scans come after --scans, options behind --.")
    turn = TurnOptions(
        arrow=arrow,
        one_face=one_face,
        first=first,
        guide=guide,
        printed_first=printed_first,
        stack_face=stack_face,
        stack_first=stack_first,
        first_sheet=first_sheet,
        chosen=chosen,
    )
    request = AlignRequest(
        printer=printer,
        sheet=sheet,
        turn=turn,
        readings=tuple(reading or ()),
        sheets_measured=sheets_measured,
        scans=(*(scans or ()), *(more_scans or ())),
        keep_doubtful=keep_doubtful,
        show=show,
        forget=forget,
        proof=proof,
        print_only=print_only,
    )
    raise typer.Exit(
        do_align(load(settings), request, Talk(say=print, listen=input), local_now().replace(microsecond=0))
    )
