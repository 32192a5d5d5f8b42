"""Read and write `state/health.toml`, which tells other processes how the service is."""

import tomllib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import tomli_w

from watcher.disk import write_atomically
from watcher.records.timestamps import parse_timestamp

FILE_NAME = "health.toml"


@dataclass(frozen=True, kw_only=True)
class Health:
    """The health of the service.

    Attributes:
        at_work: whether a service is running on this print folder.
        last_scan: when it last scanned the inbox; None where that is not known.
        paused: the reason why it is paused, or None.
    """

    at_work: bool
    last_scan: datetime | None = None
    paused: str | None = None


def write_health(state: Path, health: Health) -> None:
    """Write the health file. `at_work` is not written: the service's lock tells."""
    body = {
        **({"looked": health.last_scan.isoformat(timespec="seconds")} if health.last_scan else {}),
        **({"paused": health.paused} if health.paused else {}),
    }
    data = tomli_w.dumps(body).encode("utf-8", "backslashreplace")
    try:
        write_atomically(state / FILE_NAME, data)
    except OSError:  # on a full disk there is still room for it: over the old content
        with (state / FILE_NAME).open("r+b") as file:
            file.write(data)
            file.truncate()


def read_health(state: Path, *, at_work: bool) -> Health:
    """Read the health file; defaults where it is missing or damaged. A service that is not at work is not paused."""
    try:
        said = tomllib.loads((state / FILE_NAME).read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        said = {}
    paused = said.get("paused")
    return Health(
        at_work=at_work,
        last_scan=parse_timestamp(said.get("looked")),
        paused=paused if at_work and isinstance(paused, str) else None,
    )
