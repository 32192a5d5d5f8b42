"""The command line: puts the commands together and turns every error into one plain line and an exit code."""

import os
import sys
from collections.abc import Callable
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.exceptions import Abort, TyperException

from watcher import __version__
from watcher.commands.options import NAME
from watcher.commands.usage import say_usage
from watcher.errors import ExitCode, PrintFolderError, SettingsRefused
from watcher.terms import ReadableBy

# Each command with its line in the help; only the one that is asked for is imported, for that takes time.
# tests/commands/test_app.py compares the lines with what the commands say of themselves.
COMMANDS = {
    "init": "Make a new print folder with settings to start from.",
    "run": "Watch the inbox and make every order, until stopped (Ctrl-C).",
    "once": "Make what is complete in the inbox now, then end.",
    "check": "Check the settings, the printers, and art before it is dropped.",
    "status": "Show what waits, is being made, is held, is finished.",
    "retry": "Take up a held order again.",
    "repeat": "Make an archived order again.",
    "orders": "List what was made, and the paper that it took.",
    "remove": "Take an order out of the archive for good.",
    "gang": "Show which orders wait to share sheets, and what that saves.",
    "trust": "Say yes to what settings run, send to and open outside.",
    "demo": "Make a print folder with invented art, and its sheets.",
    "print": "Send an order's sheets to its printer.",
    "align": "Make the backs land behind their fronts: turn test and register.",
}
_NOT_NAMED_LIKE_ITS_MODULE = {"print": "print_order"}


def find(name: str) -> Callable[..., Any] | typer.Typer:
    """Give the function of a command, or the commands below it; its module is imported."""
    module = import_module(f"watcher.commands.{name}")
    found: Callable[..., Any] | typer.Typer = getattr(module, _NOT_NAMED_LIKE_ITS_MODULE.get(name, name))
    return found


def _typer(**settings: Any) -> typer.Typer:
    return typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, **settings)


def _load(name: str) -> Any:
    """Give the command of that name as the command-line library runs it."""
    found, holder = find(name), _typer()
    if isinstance(found, typer.Typer):
        holder.add_typer(found, name=name)
    else:
        holder.command(name=name)(found)
    return typer.main.get_group(holder).commands[name]


class _Commands(TyperGroup):
    """The commands of the table: until one is run, each is there by its name and its line alone."""

    def __init__(self, **settings: Any) -> None:
        named = {name: TyperCommand(name, help=line) for name, line in COMMANDS.items()}
        super().__init__(**{**settings, "commands": named})

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name, command, rest = super().resolve_command(ctx, args)
        return name, _load(name) if name else command, rest


app = _typer(
    name=NAME,
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Put card art into the inbox of a print folder; take sheets, ready to print, out of its outbox.",
)


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"{NAME} {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Say which version this is.")
    ] = False,
) -> None:
    pass


def main() -> None:
    """Run the command line; every error is one plain line on standard error."""
    os.umask(ReadableBy.ME.umask)  # until settings say who else may read what is made
    try:
        code = app(sys.argv[1:] or ["--help"], prog_name=NAME, standalone_mode=False)
    except TyperException as error:
        _say(f"{say_usage(error.format_message())} See {_command_of(error)} --help.")
        sys.exit(ExitCode.USAGE)
    except (Abort, KeyboardInterrupt):
        sys.exit(130)
    except SettingsRefused as error:
        _say(f"{error}\nNothing was started.")
        sys.exit(error.exit_code)
    except PrintFolderError as error:
        _say(str(error))
        sys.exit(error.exit_code)
    except OSError as error:
        _say(f"{error.filename or 'The disk'} cannot be used: {error.strerror or error}.")
        sys.exit(ExitCode.CANNOT_RUN)
    sys.exit(code or 0)


def _command_of(error: TyperException) -> str:
    """Name the command that was used wrongly: `print-folder align PRINTER turn`."""
    context = getattr(error, "ctx", None)
    return context.command_path.translate({ord(sign): None for sign in "{}"}) if context else NAME


def _say(message: str) -> None:
    print(f"{NAME}: {message}", file=sys.stderr)
