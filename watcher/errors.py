"""Everything that can go wrong, as one tree with two branches and an exit code each.

`OrderHeld` concerns one order and the service goes on; `ServiceStopped` concerns the service. An error carries data
and builds its own one-line message; foreign errors are mapped at the border of the stage that meets them.
"""

from enum import IntEnum
from pathlib import Path


class ExitCode(IntEnum):
    """What the command line answers to its caller."""

    WELL = 0  # for `once`: everything found was made
    HELD = 1  # something is held or still waits for its other side
    USAGE = 2  # wrong usage or settings
    CANNOT_RUN = 3  # disk, rights, second instance


class PrintFolderError(Exception):
    """Anything this program says in one plain line."""

    exit_code = ExitCode.CANNOT_RUN


class OrderHeld(PrintFolderError):
    """This order cannot be made as it is; the others go on.

    Attributes:
        code: stable word for machines, kebab-case; `held.toml` and `status --json` give it.
    """

    exit_code = ExitCode.HELD
    code = "order-unclear"


class ArtUnreadable(OrderHeld):
    """A file of the order cannot be opened safely; no acceptance by the person changes that."""

    code = "art-unreadable"

    def __init__(self, file: str, reason: str, way_out: str = "Export it again") -> None:
        super().__init__(f"{file} {reason}. {way_out}.")
        self.file, self.reason, self.way_out = file, reason, way_out

    def __reduce__(self) -> tuple[type, tuple[str, str, str]]:
        return type(self), (self.file, self.reason, self.way_out)


class NoCardFits(OrderHeld):
    """Not one card fits into the printable part of the sheet."""

    code = "no-card-fits"


class ServiceStopped(PrintFolderError):
    """The service cannot start or go on."""


class SettingsRefused(ServiceStopped):
    """The settings file has faults; all of them are listed, a line each."""

    exit_code = ExitCode.USAGE

    def __init__(self, path: Path, faults: list[str]) -> None:
        super().__init__("\n".join(f"{path.name}: {fault}" for fault in faults))
        self.path, self.faults = path, faults


class WrongUsage(PrintFolderError):
    """The command was called with something that does not exist or does not fit."""

    exit_code = ExitCode.USAGE


class AlreadyRunning(ServiceStopped):
    """Another instance holds this print folder."""
