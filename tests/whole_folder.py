"""A whole print folder looked at after a crash: every byte that is in it, and what should not be lying about."""

import hashlib
from pathlib import Path


def contents(folder: Path, *parts: str) -> set[str]:
    """The SHA-256 of every file below parts of the print folder."""
    return {
        hashlib.sha256(file.read_bytes()).hexdigest()
        for part in parts
        for file in (folder / part).rglob("*")
        if file.is_file()
    }


def left_lying(folder: Path) -> list[str]:
    """Temporary files and folders of ours."""
    return [
        str(path.relative_to(folder))
        for part in ("inbox", "outbox", "held", "archive")
        for path in (folder / part).rglob("*")
        if path.name.startswith(".")
    ]
