"""`print-folder init`: a new print folder with settings to start from."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from watcher.commands.options import NAME, one_of
from watcher.errors import WrongUsage


class Starter(StrEnum):
    """Settings to start from."""

    HOME_LASER = "home-laser"
    HOME_INKJET = "home-inkjet"
    SHOP = "shop"


def init(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where the print folder is to be.")],
    starter: Annotated[
        str,
        typer.Option("--for", metavar="|".join(Starter), parser=one_of("--for", Starter), help="What to start from."),
    ] = Starter.HOME_LASER,
    printer: Annotated[
        str | None,
        typer.Option("--printer", metavar="URI", help="Ask this printer, and fill the settings with what it says."),
    ] = None,
    fingerprint: Annotated[
        str | None,
        typer.Option("--fingerprint", metavar="DIGITS", help="The certificate of that printer, which you trust."),
    ] = None,
) -> None:
    """Make a new print folder with settings to start from."""
    from watcher.settings.starter import write_print_folder

    if fingerprint and not printer:
        raise WrongUsage("--fingerprint is of the printer that --printer names. Give both, or neither.")
    text = _filled_in(starter, printer, fingerprint) if printer else None
    write_print_folder(folder, starter, text)
    settings = folder / "settings.toml"
    print(f"Made {folder}. Look through {settings}, then: {NAME} check --settings {settings}")


def _filled_in(starter: str, printer: str, fingerprint: str | None) -> str:
    """The starter settings with what a printer says in them; the printer is asked."""
    from watcher.outbox.printing.ipp_client import connect_unnamed
    from watcher.outbox.printing.new_settings import fill_in
    from watcher.settings.starter import starter_text

    connection = connect_unnamed(printer, fingerprint)
    text = starter_text(starter)
    address, trusted = connection.transport.address, connection.transport.fingerprint
    return fill_in(text, address.uri, connection.says(), trusted)
