"""Let the service of a print folder start whenever its person logs in: the user unit of systemd."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from watcher.disk import write_durably
from watcher.errors import ServiceStopped
from watcher.settings.starter import config_file

UNIT = "print-folder.service"
BOOTED_WITH_SYSTEMD = Path("/run/systemd/system")  # sd_booted(3): it is there exactly where systemd runs the machine
_TIMEOUT_S = 60
_EXEC_START = re.compile(r"^ExecStart=.*$", re.MULTILINE)


def install_unit(settings: Path) -> Iterator[str]:
    """Install the unit for one person, start it, and say so line by line.

    Args:
        settings: the settings file of the print folder, absolute.

    Raises:
        ServiceStopped: this machine has no systemd, the unit already starts another print folder, or it cannot be
            written or started.
    """
    if not BOOTED_WITH_SYSTEMD.is_dir() or shutil.which("systemctl") is None:
        raise ServiceStopped(
            "It cannot be set to start at log-in from here: that needs systemd, which runs most Linux desktops. How it "
            f'is done elsewhere stands in README.md under "Starting with the computer". By hand: {_words(settings)}'
        )
    path = _unit_folder() / UNIT
    text = _EXEC_START.sub(lambda _: f"ExecStart={_command_line(settings)}", config_file(UNIT).read_text("utf-8"))
    yield from _put(path, text, settings)
    _systemctl("daemon-reload")
    _systemctl("enable", "--now", UNIT)
    yield "It is running now, and starts whenever you log in."
    yield f"To stop it for good: systemctl --user disable --now {UNIT}"
    yield "To have it start with the computer, before anybody logs in: loginctl enable-linger"


def _put(path: Path, text: str, settings: Path) -> Iterator[str]:
    there = path.read_text("utf-8") if path.exists() else None
    if there == text:
        return
    if there is not None and _quoted(str(settings)) not in there and not _is_default(there, settings):
        started = _EXEC_START.search(there)
        raise ServiceStopped(
            f"{path} already starts another print folder: {started[0] if started else 'look into it'}. It stays as it "
            "is. Delete that file first, or copy it under another name for a second print folder."
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if there is not None:
            kept = path.with_name(f"{path.name}.before")
            write_durably(kept, there.encode("utf-8"))
            yield f"What was there before is kept as {kept}."
        write_durably(path, text.encode("utf-8"))
    except OSError as error:
        raise ServiceStopped(f"{error.filename or path} cannot be written: {error.strerror}.") from error
    yield f"Wrote {path}."


def _is_default(text: str, settings: Path) -> bool:
    """Whether a unit as it is shipped starts this print folder."""
    return "%h/print-folder/settings.toml" in text and settings == Path.home() / "print-folder" / "settings.toml"


def _unit_folder() -> Path:
    """The folder of a person's own units (systemd.unit(5))."""
    config = os.environ.get("XDG_CONFIG_HOME")
    return (Path(config) if config else Path.home() / ".config") / "systemd" / "user"


def _command(settings: Path) -> list[str]:
    program = Path(sys.executable).parent / "print-folder"
    start = [str(program)] if program.exists() else [sys.executable, "-m", "watcher"]
    return [*start, "run", "--settings", str(settings)]


def _command_line(settings: Path) -> str:
    return " ".join(_quoted(word) for word in _command(settings))


def _words(settings: Path) -> str:
    return " ".join(f'"{word}"' if " " in word else word for word in _command(settings))


def _quoted(word: str) -> str:
    """A word of a command line as systemd reads it (systemd.service(5)): in quotes, with % and $ doubled."""
    escaped = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return escaped if re.fullmatch(r"[\w./%$-]+", escaped) else f'"{escaped}"'


def _systemctl(*words: str) -> None:
    command = ["systemctl", "--user", *words]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=_TIMEOUT_S, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise ServiceStopped(f"{' '.join(command)} did not work: {error}.") from error
    if done.returncode:
        said = " ".join(done.stderr.split()) or f"it ended with {done.returncode}"
        raise ServiceStopped(
            f"The file is in place, but it could not be started: {' '.join(command)} says: {said}. Log out and in "
            "again, or give that command in a terminal of your desktop."
        )
