"""The commands: each calls the room that does the work and turns errors into one line and an exit code."""

import sys
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer
from typer.exceptions import Abort, TyperException

from watcher import __version__, checking, overview
from watcher.align.turn_test import Face, FirstPrinted, Letter, WhoseBack
from watcher.errors import ExitCode, PrintFolderError, SettingsRefused, WrongUsage
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.settings.starter import write_print_folder
from watcher.terms import Flip

NAME = "print-folder"

app = typer.Typer(
    name=NAME,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Put card art into the inbox of a print folder; take sheets, ready to print, out of its outbox.",
)


class Kind(StrEnum):
    """The starter settings."""

    HOME_LASER = "home-laser"
    HOME_INKJET = "home-inkjet"
    SHOP = "shop"


SettingsOption = Annotated[
    Path | None,
    typer.Option(
        "--settings",
        metavar="PATH",
        help="The settings file. Without it: settings.toml here, else print-folder/settings.toml in your home.",
    ),
]


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


@app.command()
def init(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where the print folder is to be.")],
    kind: Annotated[Kind, typer.Option("--for", help="What to start from.")] = Kind.HOME_LASER,
) -> None:
    """Make a new print folder with settings to start from."""
    write_print_folder(folder, kind)
    settings = folder / "settings.toml"
    print(f"Made {folder}. Look through {settings}, then: {NAME} check --settings {settings}")


@app.command()
def run(settings: SettingsOption = None) -> None:
    """Watch the inbox and make every order, until stopped (Ctrl-C)."""
    from watcher.service import Service

    service = Service(_load(settings), once=False, to_screen=True)
    service.mind_signals()
    service.start()
    service.run()


@app.command()
def once(settings: SettingsOption = None) -> None:
    """Make what is complete in the inbox now, then end."""
    raise typer.Exit(_run_once(_load(settings)))


@app.command()
def check(
    art: Annotated[list[Path] | None, typer.Argument(metavar="[ART]...", help="Art files to look at as well.")] = None,
    card: Annotated[str | None, typer.Option("--card", help="The card that the art is for.")] = None,
    settings: SettingsOption = None,
) -> None:
    """Check the settings, and art before it is dropped."""
    loaded = _load(settings)
    answered = ExitCode.WELL
    for line in checking.check_art(loaded, art, card) if art else checking.describe_settings(loaded):
        print(line.text)
        answered = max(answered, line.exit_code)
    raise typer.Exit(answered)


@app.command()
def status(
    as_json: Annotated[bool, typer.Option("--json", help="The same facts for machines.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Show what waits, is being made, is held, is finished."""
    from watcher.status.show import show

    seen = overview.look_over(_load(settings))
    show(seen, as_json=as_json)
    raise typer.Exit(ExitCode.HELD if seen.needs_somebody else ExitCode.WELL)


@app.command()
def retry(
    order: Annotated[str, typer.Argument(metavar="ORDER", help="The held order, as its folder in held is called.")],
    anyway: Annotated[bool, typer.Option("--anyway", help="Print it in spite of what was found.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Take up a held order again."""
    from watcher.lock import is_locked
    from watcher.outbox.hold import give_back

    loaded = _load(settings)
    folder = give_back(order, held=loaded.folders.held, inbox=loaded.folders.inbox, accepted=anyway)
    if is_locked(loaded.folders.state):
        print(f"{folder.name} is back in the inbox; the service that is at work takes it up.")
        return
    raise typer.Exit(_run_once(loaded))


@app.command()
def repeat(
    order: Annotated[str, typer.Argument(metavar="ORDER", help="The order, as its folder in the archive is called.")],
    quantity: Annotated[int | None, typer.Option(min=1, help="So many cards this time.")] = None,
    sheets: Annotated[
        int | None, typer.Option(min=1, help="So many sheets in place of spoiled ones, without overs.")
    ] = None,
    as_before: Annotated[
        bool, typer.Option("--as-before", help="With the card, sheet and printer settings of the first time.")
    ] = False,
    only: Annotated[
        list[int] | None, typer.Option(min=1, help="This design of several alone; may be repeated.")
    ] = None,
    settings: SettingsOption = None,
) -> None:
    """Make an archived order again."""
    from watcher.lock import is_locked
    from watcher.orders.model import Repeat
    from watcher.repeat.ask import ask_again

    loaded = _load(settings)
    wanted = Repeat(order=order, quantity=quantity, sheets_only=sheets, as_before=as_before, only=tuple(only or ()))
    found = ask_again(wanted, archive=loaded.folders.archive, inbox=loaded.folders.inbox)
    if is_locked(loaded.folders.state):
        print(f"{found.folder} is asked for again; the service that is at work makes it.")
        return
    raise typer.Exit(_run_once(loaded))


@app.command()
def orders(
    text: Annotated[list[str] | None, typer.Argument(metavar="[TEXT]...", help="Only those that have it.")] = None,
    since: Annotated[
        datetime | None, typer.Option(metavar="DATE", formats=["%Y-%m-%d"], help="Made on this day or later.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="The same facts for machines.")] = False,
    settings: SettingsOption = None,
) -> None:
    """List what was made, and the paper that it took."""
    from watcher.shelf.listing import look_through
    from watcher.shelf.show import show

    archive = _load(settings).folders.archive
    show(look_through(archive, " ".join(text or ()), since.date() if since else None), as_json=as_json)


@app.command()
def remove(
    order: Annotated[str, typer.Argument(metavar="ORDER", help="The order, as its folder in the archive is called.")],
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Take an order out of the archive for good."""
    from loguru import logger

    from watcher.records.log import EventLog
    from watcher.shelf.remove import look_up, take_out
    from watcher.shop import local_now

    logger.remove()  # what is said on the screen is printed
    folders = _load(settings).folders
    going = look_up(order, folders)
    print(going.says)
    if yes or typer.confirm("Remove it?"):
        take_out(going, EventLog(folders.outbox / "log.txt", local_now, folders.outbox.is_dir))
        print("It is removed.")
    else:
        print("Nothing was removed.")


@app.command()
def gang(
    now: Annotated[bool, typer.Option("--now", help="Make now what waits.")] = False,
    settings: SettingsOption = None,
) -> None:
    """Show which orders wait to share sheets, and what that saves."""
    from watcher.lock import is_locked
    from watcher.runs.ask import lines_of_gang, make_now
    from watcher.shop import local_now

    loaded = _load(settings)
    for line in lines_of_gang(loaded, local_now()):
        print(line)
    if not now:
        return
    if is_locked(loaded.folders.state):
        make_now(loaded)
        print("The service that is at work makes them at its next look.")
        return
    raise typer.Exit(_run_once(loaded))


@app.command()
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
    from watcher.shop import local_now

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
        do_align(_load(settings), request, Talk(say=print, listen=input), local_now().replace(microsecond=0))
    )


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(metavar="[DIR]", help="Where to make it.")] = Path("print-folder-demo"),
) -> None:
    """Make a print folder with invented art, and its sheets."""
    from watcher.demo import make_demo

    make_demo(folder)
    code = _run_once(load_settings(folder / "settings.toml"))
    print(f"The art came from {folder / 'archive'}; the sheets are in {folder / 'outbox'}:")
    for order in sorted((folder / "outbox").iterdir()):
        if order.is_dir():
            print(f"  {order}")
    raise typer.Exit(code)


def _run_once(settings: Settings) -> ExitCode:
    from watcher.service import Service

    service = Service(settings, once=True, to_screen=False)
    service.mind_signals()
    service.start()
    service.run()
    for line in service.came_to():
        print(line)
    if service.trouble or service.making.paused:
        return ExitCode.CANNOT_RUN
    return ExitCode.HELD if service.making.held or service.looked.waiting else ExitCode.WELL


def _load(path: Path | None) -> Settings:
    if path is not None:
        return load_settings(path)
    here, home = Path("settings.toml"), Path.home() / "print-folder" / "settings.toml"
    if not here.exists() and not home.exists():
        raise WrongUsage(
            f"There is no settings.toml here and none in {home.parent}. Make a print folder with: {NAME} init DIR"
        )
    return load_settings(here if here.exists() else home)


def main() -> None:
    """Run the command line; every error is one plain line on standard error."""
    try:
        code = app(sys.argv[1:] or ["--help"], prog_name=NAME, standalone_mode=False)
    except TyperException as error:
        _say(f"{error.format_message()} See {NAME} --help.")
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


def _say(message: str) -> None:
    print(f"{NAME}: {message}", file=sys.stderr)
