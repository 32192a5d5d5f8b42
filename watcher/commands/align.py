"""`print-folder align PRINTER`: bring a printer's backs into register, in a conversation or by sub-commands."""

from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from watcher.commands.align_register import register
from watcher.commands.align_session import AlignArguments, arguments_of, dialogue_on_screen, session_of, to_the_second
from watcher.commands.align_turn import turn
from watcher.commands.options import SettingsOption, SheetOption
from watcher.errors import WrongUsage

_WITH_VALUE = {"--sheet", "--settings"}


def options_first(words: list[str]) -> list[str]:
    """Move the options between PRINTER and the sub-command to before PRINTER.

    The library reads `laser --sheet a4 turn` as the sub-command `--sheet`; `--sheet a4 laser turn` it reads rightly.
    """
    options: list[str] = []
    printer: list[str] = []
    rest = list(words)
    while rest and rest[0] != "--":
        if rest[0] in _WITH_VALUE and len(rest) > 1:
            options += [rest.pop(0), rest.pop(0)]
        elif rest[0].startswith("-") and rest[0] not in _WITH_VALUE:
            options.append(rest.pop(0))
        elif not printer and rest[0] not in _WITH_VALUE:
            printer.append(rest.pop(0))
        else:
            break
    return [*options, *printer, *rest]


class _PrinterThenOptions(TyperGroup):
    """A group whose options may also stand behind its argument."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        return super().parse_args(ctx, options_first(args))


align = typer.Typer(
    cls=_PrinterThenOptions,
    invoke_without_command=True,
    subcommand_metavar="[COMMAND]",
    help="Make the backs land behind their fronts: turn test and register.",
)


@align.callback()
def _align(
    context: typer.Context,
    printer: Annotated[str, typer.Argument(metavar="PRINTER", help="The printer, as the settings call it.")],
    colours: Annotated[bool, typer.Option("--colours", help="The same as the command colours.")] = False,
    sheet: SheetOption = None,
    settings: SettingsOption = None,
) -> None:
    context.obj = AlignArguments(printer=printer, sheet=sheet, settings=settings)
    if colours and context.invoked_subcommand is not None:
        raise WrongUsage(f"--colours and {context.invoked_subcommand} are two things; ask for one at a time.")
    if colours:
        _write_colours(context.obj)
        return
    if context.invoked_subcommand is None:
        from watcher.align.conversation import converse

        raise typer.Exit(converse(context.obj.load(), printer, sheet, dialogue_on_screen(), to_the_second()))


align.command()(turn)
align.command()(register)


@align.command()
def show(context: typer.Context, sheet: SheetOption = None, settings: SettingsOption = None) -> None:
    """Show what was measured and when."""
    from watcher.align.show import show_alignments

    meant = arguments_of(context, sheet, settings)
    show_alignments(meant.load(), meant.printer, meant.sheet, dialogue_on_screen(), to_the_second())


@align.command(name="colours")
def colour_strips(context: typer.Context, sheet: SheetOption = None, settings: SettingsOption = None) -> None:
    """Only write a strip of greys and skin tones, to keep beside the printer."""
    _write_colours(arguments_of(context, sheet, settings))


def _write_colours(meant: AlignArguments) -> None:
    from watcher.align.printouts import print_colour_strips

    print_colour_strips(meant.load(), meant.printer, meant.sheet, dialogue_on_screen(), to_the_second())


@align.command()
def forget(context: typer.Context, sheet: SheetOption = None, settings: SettingsOption = None) -> None:
    """Drop what was measured."""
    from watcher.align.forget import forget_alignment

    forget_alignment(session_of(context, sheet, settings))


@align.command()
def proof(context: typer.Context, sheet: SheetOption = None, settings: SettingsOption = None) -> None:
    """Only write the target with the correction, to see it."""
    from watcher.align.printouts import print_proof

    print_proof(session_of(context, sheet, settings))


@align.command(name="print")
def print_sheets(context: typer.Context, sheet: SheetOption = None, settings: SettingsOption = None) -> None:
    """Only write the sheets to print."""
    from watcher.align.printouts import print_test_sheets

    print_test_sheets(session_of(context, sheet, settings))
