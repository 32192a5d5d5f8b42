"""Start the service for a command: for good, or for one round of work."""

from typing import TYPE_CHECKING

from watcher.errors import ExitCode
from watcher.service.lock import is_locked
from watcher.settings.model import Settings

if TYPE_CHECKING:
    from watcher.service.loop import Service


def service_for(settings: Settings, *, once: bool, to_screen: bool) -> "Service":
    """Give the service of a print folder, not started yet.

    Args:
        settings: of the print folder.
        once: it makes what is complete now, then ends.
        to_screen: whether events are also shown on standard error.
    """
    from watcher.service.loop import Service  # costs time that an order left to a service at work need not wait for
    from watcher.status.page_writer import PageWriter

    return Service(settings, once=once, to_screen=to_screen, page=PageWriter(settings.folders.outbox))


def work_once(settings: Settings) -> ExitCode:
    """Make what is complete now, print what was made and what was not, and give the exit code."""
    service = service_for(settings, once=True, to_screen=False)
    service.mind_signals()
    service.start()
    service.run()
    for line in service.came_to():
        print(line)
    if service.trouble or service.making.paused:
        return ExitCode.CANNOT_RUN
    return ExitCode.HELD if service.making.held or service.looked.waiting else ExitCode.WELL


def leave_or_make(settings: Settings, said: str) -> ExitCode:
    """Leave the work to the service where one is at work, else do it now.

    Args:
        settings: of the print folder.
        said: what to print when a service is at work.
    """
    if is_locked(settings.folders.state):
        print(said)
        return ExitCode.WELL
    return work_once(settings)
