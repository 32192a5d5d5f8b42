"""What a person finds in a print folder, and a change of its settings."""

import tomllib
from pathlib import Path
from typing import Any


def change(folder: Path, old: str, new: str) -> None:
    """Replace a text in the settings that must be there."""
    file = folder / "settings.toml"
    text = file.read_text()
    assert old in text
    file.write_text(text.replace(old, new))


def ticket(folder: Path, order: str = "lantern", where: str = "outbox") -> dict[str, Any]:
    """The ticket of a finished order, also of one that shares the folder of a run."""
    (file,) = (folder / where).glob(f"*/{order}_ticket.toml")
    return tomllib.loads(file.read_text("utf-8"))


def why(folder: Path, order: str = "lantern") -> str:
    """Why an order is held, its lines joined."""
    return " ".join((folder / "held" / order / "why.txt").read_text("utf-8").split())


def log(folder: Path) -> str:
    """The log for people."""
    return (folder / "outbox/log.txt").read_text("utf-8")
