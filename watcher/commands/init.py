"""`print-folder init`: a new print folder with settings to start from."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from watcher.commands.options import NAME, one_of


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
) -> None:
    """Make a new print folder with settings to start from."""
    from watcher.settings.starter import write_print_folder

    write_print_folder(folder, starter)
    settings = folder / "settings.toml"
    print(f"Made {folder}. Look through {settings}, then: {NAME} check --settings {settings}")
