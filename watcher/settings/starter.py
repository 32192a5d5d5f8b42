"""Make a new print folder: its first settings and its folders."""

import re
import tomllib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from watcher.errors import ServiceStopped, WrongUsage
from watcher.layout.geometry import Size
from watcher.settings.edit import with_values
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.settings.values import parse_size
from watcher.terms import Duplex

STARTERS = ("home-laser", "home-inkjet", "shop")
SETTINGS_NAME = "settings.toml"


@dataclass(frozen=True, kw_only=True)
class Choices:
    """What a new print folder is for; None: as the starter has it.

    Attributes:
        kind: one of `STARTERS`; None: the first.
        paper: the size or name of the paper that every card is printed on.
        duplex: who turns the sheet.
    """

    kind: str | None = None
    paper: str | None = None
    duplex: Duplex | None = None


def config_file(name: str) -> Path:
    """The path of a data file of the program: beside the code in an installed package, in config/ in a checkout.

    Raises:
        WrongUsage: no such file is shipped.
    """
    package = Path(str(resources.files("watcher")))
    for folder in (package / "_config", package.parent / "config", package.parent / "systemd" / "user"):
        if (folder / name).is_file():
            return folder / name
    raise WrongUsage(f"{name} is missing from this installation. Install print-folder-watcher again.")


def starter_text(kind: str) -> str:
    """The commented settings for one kind of shop; WrongUsage when the kind is none of `STARTERS`."""
    if kind not in STARTERS:
        raise WrongUsage(f'There are no starter settings "{kind}". Use one of: {", ".join(STARTERS)}.')
    return config_file(f"{kind}.toml").read_text(encoding="utf-8")


def chosen_text(choices: Choices) -> str:
    """The commented settings for what was chosen.

    Raises:
        WrongUsage: there is no such starter, or the paper is no size.
    """
    text = starter_text(choices.kind or STARTERS[0])
    if choices.paper is not None:
        text = _on_paper(text, choices.paper)
    if choices.duplex is not None:
        (printer,) = tomllib.loads(text)["printers"]
        text = with_values(text, ("printers", printer), {"duplex": str(choices.duplex)})
    return text


def check_paper(paper: str) -> Size:
    """The size of a paper; WrongUsage when it is none."""
    try:
        return parse_size(paper)
    except ValueError as error:
        raise WrongUsage(f'The paper is "{paper}"; {error}.') from None


def _on_paper(text: str, paper: str) -> str:
    """Put every card on the sheet of that size; where the starter has none, it gets one like its first."""
    size, data = check_paper(paper), tomllib.loads(text)
    sheets = {name: parse_size(sheet["size"]) for name, sheet in data["sheets"].items()}
    name = next((name for name, there in sheets.items() if there == size), None)
    if name is None:
        name = re.sub(r"[^a-z0-9]+", "-", paper.casefold()).strip("-")
        text = with_values(text, ("sheets", name), {**next(iter(data["sheets"].values())), "size": paper})
    for card, values in data["cards"].items():
        if sheets[values["sheet"]] != size:
            text = with_values(text, ("cards", card), {"sheet": name})
    return text


def refuse_taken(folder: Path) -> None:
    """WrongUsage when the folder has settings already, or is a file."""
    if (folder / SETTINGS_NAME).exists() or folder.is_file():
        raise WrongUsage(_taken(folder, folder / SETTINGS_NAME))


def write_print_folder(folder: Path, choices: Choices, text: str | None = None) -> list[Path]:
    """Make a print folder: its settings, and the folders with one subfolder of the inbox for each card.

    Args:
        folder: where it is to be.
        choices: what it is for.
        text: the settings that were chosen with something filled in; None: as they are.

    Returns:
        The files and folders of it, those that were there before included; the settings file first.

    Raises:
        WrongUsage: the folder has settings already, or is a file, or something that was chosen is not there.
        ServiceStopped: it cannot be written.
    """
    text = chosen_text(choices) if text is None else text
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
