"""Refuse to work with the folder `state` where a sync program would spoil it."""

from pathlib import Path

from watcher.errors import ServiceStopped
from watcher.records.sync_marks import synced_folder
from watcher.settings.model import Settings


def refuse_synced_state(settings: Settings) -> None:
    """Make sure that the folder `state` lies in no synced folder.

    Raises:
        ServiceStopped: it does; the message has the line to write.
    """
    if said := say_synced_state(settings):
        raise ServiceStopped(said)


def say_synced_state(settings: Settings) -> str | None:
    """Tell that the folder `state` lies in a synced folder, and the line to write; None where it does not."""
    state, marks = settings.folders.state, settings.service.sync_marks
    found = synced_folder(state, marks)
    if found is None:
        return None
    place, mark = found
    return (
        f"The program's own notes (state) lie in {place}, which a sync program keeps: {mark} is there. They would be"
        f" spoiled. {_way_out(settings.folder, marks)}, then: print-folder trust --settings {settings.path}"
    )


def _way_out(folder: Path, marks: tuple[str, ...]) -> str:
    elsewhere = Path.home() / f"{folder.name}-state"
    if synced_folder(elsewhere, marks) is None and not elsewhere.is_relative_to(folder):
        return f'Write under [folders]: state = "~/{elsewhere.name}"'
    return "Write state under [folders], with a folder of this computer that is not synced"
