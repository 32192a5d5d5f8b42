"""`print-folder align PRINTER turn`: find how the printer turns a sheet, from options or by asking."""

from typing import Annotated

import typer

from watcher.align.turn.turning import Face, FirstPrinted, Letter, WhoseBack
from watcher.commands.align_session import session_of
from watcher.commands.options import SettingsOption, SheetOption, one_of
from watcher.errors import WrongUsage
from watcher.terms import Flip

ArrowOption = Annotated[
    Letter | None, typer.Option(metavar="LETTER", parser=one_of("--arrow", Letter), help="Behind the arrow.")
]
OneFaceOption = Annotated[bool, typer.Option("--one-face", help="Arrow and letters are on one face.")]
FirstOption = Annotated[
    Letter | None,
    typer.Option(metavar="LETTER", parser=one_of("--first", Letter), help="At the edge with the pencilled 1."),
]
GuideOption = Annotated[
    Letter | None,
    typer.Option(metavar="LETTER", parser=one_of("--guide", Letter), help="At the edge with the pencilled 2."),
]
PrintedFirstOption = Annotated[
    FirstPrinted | None,
    typer.Option(
        metavar="|".join(FirstPrinted),
        parser=one_of("--printed-first", FirstPrinted),
        help="Automatic duplex: the side that was printed first.",
    ),
]
StackFaceOption = Annotated[
    Face | None,
    typer.Option(
        metavar="|".join(Face),
        parser=one_of("--stack-face", Face),
        help="Manual duplex: how the letters faced when the sheet went back in.",
    ),
]
StackFirstOption = Annotated[
    Letter | None,
    typer.Option(
        metavar="LETTER",
        parser=one_of("--stack-first", Letter),
        help="Manual duplex: the edge that then went first.",
    ),
]
FirstSheetOption = Annotated[
    WhoseBack | None,
    typer.Option(
        metavar="|".join(WhoseBack),
        parser=one_of("--first-sheet", WhoseBack),
        help="Manual duplex: whose back the first sheet has.",
    ),
]
ChosenOption = Annotated[
    Flip | None,
    typer.Option(
        metavar="|".join(Flip),
        parser=one_of("--chosen", Flip),
        help="Automatic duplex: the edge chosen in the print dialog.",
    ),
]
WriteOption = Annotated[
    bool, typer.Option("--write", help="Write what was found into settings.toml; the file as it was is kept.")
]


def turn(
    context: typer.Context,
    arrow: ArrowOption = None,
    one_face: OneFaceOption = False,
    first: FirstOption = None,
    guide: GuideOption = None,
    printed_first: PrintedFirstOption = None,
    stack_face: StackFaceOption = None,
    stack_first: StackFirstOption = None,
    first_sheet: FirstSheetOption = None,
    chosen: ChosenOption = None,
    write: WriteOption = False,
    sheet: SheetOption = None,
    settings: SettingsOption = None,
) -> None:
    """Give the answers of the turn test, or be asked."""
    from watcher.align.conversation import run_dialogue
    from watcher.align.turn.conversation import ask_turning, take_turn_answers
    from watcher.align.turn.options import TurnOptions

    options = TurnOptions(
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
    if write and not options.are_given:
        raise WrongUsage("--write goes with the answers of the turn test, such as --arrow A; asked, you say it then.")
    session = session_of(context, sheet, settings)
    if not options.are_given:
        raise typer.Exit(run_dialogue(session, ask_turning, "turn"))
    raise typer.Exit(take_turn_answers(session, options, write=write))
