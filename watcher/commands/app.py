"""The command line: puts the commands together and turns every error into one plain line and an exit code."""

import os
import sys
from typing import Annotated

import typer
from typer.exceptions import Abort, TyperException

from watcher import __version__
from watcher.commands.align import align
from watcher.commands.check import check
from watcher.commands.demo import demo
from watcher.commands.gang import gang
from watcher.commands.init import init
from watcher.commands.once import once
from watcher.commands.options import NAME
from watcher.commands.orders import orders
from watcher.commands.print import print_order
from watcher.commands.remove import remove
from watcher.commands.repeat import repeat
from watcher.commands.retry import retry
from watcher.commands.run import run
from watcher.commands.status import status
from watcher.commands.trust import trust
from watcher.commands.usage import say_usage
from watcher.errors import ExitCode, PrintFolderError, SettingsRefused
from watcher.terms import ReadableBy

app = typer.Typer(
    name=NAME,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Put card art into the inbox of a print folder; take sheets, ready to print, out of its outbox.",
)
for _command in (init, run, once, check, status, retry, repeat, orders, remove, gang, trust, demo):
    app.command()(_command)
app.command(name="print")(print_order)
app.add_typer(align, name="align")


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
