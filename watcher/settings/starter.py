"""Make a new print folder: its first settings and its folders."""

from importlib import resources
from pathlib import Path

from watcher.errors import ServiceStopped, WrongUsage
from watcher.settings.load import load_settings
from watcher.settings.model import Settings

STARTERS = ("home-laser", "home-inkjet", "shop")
SETTINGS_NAME = "settings.toml"


def config_file(name: str) -> Path:
    """The path of a data file of the program: beside the code in an installed package, in config/ in a checkout.

    Raises:
        WrongUsage: no such file is shipped.
    """
    package = Path(str(resources.files("watcher")))
    for folder in (package / "_config", package.parent / "config"):
        if (folder / name).is_file():
            return folder / name
    raise WrongUsage(f"{name} is missing from this installation. Install print-folder-watcher again.")


def starter_text(kind: str) -> str:
    """The commented settings for one kind of shop; WrongUsage when the kind is none of `STARTERS`."""
    if kind not in STARTERS:
        raise WrongUsage(f'There are no starter settings "{kind}". Use one of: {", ".join(STARTERS)}.')
    return config_file(f"{kind}.toml").read_text(encoding="utf-8")


def write_print_folder(folder: Path, kind: str, text: str | None = None) -> list[Path]:
    """Make a print folder: its settings, and the folders with one subfolder of the inbox for each card.

    Args:
        folder: where it is to be.
        kind: the starter settings.
        text: those settings with something filled in; None: as they are.

    Returns:
        The files and folders of it, those that were there before included; the settings file first.

    Raises:
        WrongUsage: the folder has settings already, or is a file, or the kind is none of `STARTERS`.
        ServiceStopped: it cannot be written.
    """
    text = starter_text(kind) if text is None else text
    path = folder / SETTINGS_NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
        return [path, *_make_folders(load_settings(path))]
    except FileExistsError:
        raise WrongUsage(_taken(folder, path)) from None
    except OSError as error:
        raise ServiceStopped(f"{folder} cannot be made: {error.strerror}. Choose another place.") from error


def _make_folders(settings: Settings) -> list[Path]:
    folders = settings.folders
    inbox = [folders.inbox, *(folders.inbox / name for name in settings.cards)]
    made = [*inbox, folders.outbox, folders.held, folders.archive, folders.state]
    for place in made:
        place.mkdir(parents=True, exist_ok=True)
    return made


def _taken(folder: Path, path: Path) -> str:
    if path.exists():
        return f"{path} is there already and stays as it is. Choose another folder, or edit that file."
    return f"{folder} or a part of it is a file. Choose another folder."
