"""Find and read the settings that a command works with."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from watcher.commands.options import NAME
from watcher.errors import WrongUsage

if TYPE_CHECKING:
    from watcher.settings.model import Settings


def load(path: Path | None) -> "Settings":
    """Read settings that may be put in force.

    Args:
        path: the file; None: `settings.toml` here, else in `print-folder` in the home folder.

    Raises:
        WrongUsage: there is none.
        SettingsRefused: it has faults.
        NotTrusted: they lead out of the print folder, and nobody has said yes to that.
    """
    from watcher.settings.trusted import check_places

    settings = load_any(path)
    check_places(settings)
    return settings


def load_any(path: Path | None) -> "Settings":
    """Read the settings to show or to judge them; arguments and errors as of `load`, but for the last.

    From then on new files are as private as the settings say.
    """
    from watcher.settings.load import load_settings

    settings = load_settings(path or _found())
    os.umask(settings.service.readable_by.umask)
    return settings


def _found() -> Path:
    here, home = Path("settings.toml"), Path.home() / "print-folder" / "settings.toml"
    if not here.exists() and not home.exists():
        raise WrongUsage(
            f"There is no settings.toml here and none in {home.parent}. Make a print folder with: {NAME} init DIR"
        )
    return here if here.exists() else home
