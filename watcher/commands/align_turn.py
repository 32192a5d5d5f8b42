"""`print-folder align PRINTER turn`: find how the printer turns a sheet, from options or by asking."""

from typing import Annotated

import typer

from watcher.align.turn.turning import Face, FirstPrinted, Letter, WhoseBack
from watcher.commands.align_session import session_of
from watcher.commands.options import SettingsOption, SheetOption, word_option
from watcher.errors import WrongUsage
from watcher.terms import Flip

ArrowOption = Annotated[Letter | None, word_option("--arrow", Letter, "Behind the arrow.", "LETTER")]
OneFaceOption = Annotated[bool, typer.Option("--one-face", help="Arrow and letters are on one face.")]
FirstOption = Annotated[Letter | None, word_option("--first", Letter, "At the edge with the pencilled 1.", "LETTER")]
GuideOption = Annotated[Letter | None, word_option("--guide", Letter, "At the edge with the pencilled 2.", "LETTER")]
PrintedFirstOption = Annotated[
    FirstPrinted | None,
    word_option("--printed-first", FirstPrinted, "Automatic duplex: the side that was printed first."),
]
StackFaceOption = Annotated[
    Face | None,
    word_option("--stack-face", Face, "Manual duplex: how the letters faced when the sheet went back in."),
]
StackFirstOption = Annotated[
    Letter | None, word_option("--stack-first", Letter, "Manual duplex: the edge that then went first.", "LETTER")
]
FirstSheetOption = Annotated[
    WhoseBack | None, word_option("--first-sheet", WhoseBack, "Manual duplex: whose back the first sheet has.")
]
ChosenOption = Annotated[
    Flip | None, word_option("--chosen", Flip, "Automatic duplex: the edge chosen in the print dialog.")
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
