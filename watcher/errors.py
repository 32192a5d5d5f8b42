"""The errors of this program: one tree with two branches, each error with its exit code.

`OrderHeld` concerns one order, and the service goes on. `ServiceStopped` concerns the service. An error carries data
and builds its own one-line message. Errors of libraries are mapped where they are met.
"""

from enum import IntEnum
from pathlib import Path


class ExitCode(IntEnum):
    """The exit codes of the commands."""

    WELL = 0  # for `once`: everything found was made
    HELD = 1  # something is held or still waits for its other side
    USAGE = 2  # wrong usage or settings
    CANNOT_RUN = 3  # disk, rights, second instance


class PrintFolderError(Exception):
    """An error that is shown as one plain line, without a trace."""

    exit_code = ExitCode.CANNOT_RUN


class OrderHeld(PrintFolderError):
    """An order that cannot be made as it is; other orders continue.

    Attributes:
        code: stable word for machines, kebab-case; `held.toml` and `status --json` give it.
    """

    exit_code = ExitCode.HELD
    code = "order-unclear"


class ArtUnreadable(OrderHeld):
    """A file of the order that cannot be opened safely; accepting it does not help."""

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
    """A settings file with faults; the message lists all of them, a line each."""

    exit_code = ExitCode.USAGE

    def __init__(self, path: Path, faults: list[str]) -> None:
        super().__init__("\n".join(f"{path.name}: {fault}" for fault in faults))
        self.path, self.faults = path, faults


class WrongUsage(PrintFolderError):
    """A command called with something that does not exist or does not fit."""

    exit_code = ExitCode.USAGE


class PrinterError(PrintFolderError):
    """A printer that did not do what it was asked.

    Attributes:
        may_have_heard: whether the request may have reached it, so that nobody knows whether it was done.
    """

    def __init__(self, message: str, *, may_have_heard: bool = False) -> None:
        super().__init__(message)
        self.may_have_heard = may_have_heard


class PrinterGone(PrinterError):
    """A printer that is off, out of reach, or does not answer as a printer does."""


class PrinterBusy(PrinterError):
    """A printer that did not take the request now and may take it later."""


class PrinterRefused(PrinterError):
    """A printer that will not do what it was asked, or that is not talked to because it is not the one meant.

    Attributes:
        status: the status code of RFC 8011 appendix B, or None where it never came to a request.
        words: what the printer said, one line, or empty.
    """

    def __init__(self, message: str, *, status: int | None = None, words: str = "") -> None:
        super().__init__(message)
        self.status, self.words = status, words


class AlreadyRunning(ServiceStopped):
    """Another instance holds this print folder."""
