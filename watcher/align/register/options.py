"""The measurements of the register target as options of a command."""

from dataclasses import dataclass
from pathlib import Path

from watcher.errors import WrongUsage


@dataclass(frozen=True, kw_only=True)
class RegisterOptions:
    """The options of `print-folder align PRINTER register`.

    Attributes:
        readings: as typed, such as `1:+0.8,-0.5`; mm.
        scans: front and back of each sheet in turn.
        sheets_measured: how many sheets the readings are averages of; None: one each.
        keep_doubtful: save a correction although something speaks against it.
    """

    readings: tuple[str, ...] = ()
    scans: tuple[Path, ...] = ()
    sheets_measured: int | None = None
    keep_doubtful: bool = False

    @property
    def are_given(self) -> bool:
        """Whether there is anything to measure by."""
        return bool(self.readings or self.scans)

    def check(self) -> None:
        """Check that the options go together.

        Raises:
            WrongUsage: they do not.
        """
        if self.readings and self.scans:
            raise WrongUsage("Give either --reading or --scans, not both.")
        if self.sheets_measured is not None and not self.readings:
            raise WrongUsage("--sheets-measured goes with --reading.")
        if self.keep_doubtful and not self.are_given:
            raise WrongUsage("--keep-doubtful goes with --reading or --scans.")
        if len(self.scans) % 2:
            raise WrongUsage("--scans takes the front and the back of each sheet: an even number of files.")
