"""Read the colour profile of a press and check its header. Source: ICC.1:2010 7.2 (profile header)."""

import hashlib
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

LARGEST = 16_000_000  # bytes; the largest press profiles have about 4 million (our own choice)
_HEAD = 128
_SPACES = {b"GRAY": 1, b"RGB ": 3, b"CMYK": 4}
_CLASSES = {
    b"mntr": "of a screen",
    b"scnr": "of a scanner or camera",
    b"spac": "of a colour space",
    b"link": "that links two devices",
    b"abst": "for effects",
    b"nmcl": "of named colours",
}


class Inks(Enum):
    """The colours that a press prints with; the value is their number."""

    GREY = 1
    RGB = 3
    CMYK = 4


@dataclass(frozen=True, kw_only=True)
class PressProfile:
    """A colour profile of a press.

    Attributes:
        data: the file's bytes.
        inks: what it prints with.
    """

    data: bytes
    inks: Inks

    @property
    def sha256(self) -> str:
        """The hash of its bytes, hexadecimal: another profile may bear the same name."""
        return hashlib.sha256(self.data).hexdigest()


class NoPressProfile(ValueError):
    """The file is no colour profile of a press; the message says what it is, to follow a name."""


def read_press_profile(path: Path) -> PressProfile:
    """The profile in a file.

    Raises:
        NoPressProfile: there is none, or it is not of class output (`prtr`) for grey, RGB or CMYK.
    """
    try:
        if not path.is_file():
            raise NoPressProfile("is not there")
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST else b""
    except OSError as error:
        raise NoPressProfile(f"cannot be read ({error.strerror})") from error
    if len(data) < _HEAD or data[36:40] != b"acsp":
        raise NoPressProfile("is no colour profile")
    if int.from_bytes(data[:4]) > len(data):
        raise NoPressProfile(f"is not complete ({len(data)} of {int.from_bytes(data[:4])} bytes)")
    if data[12:16] != b"prtr":
        kind = _CLASSES.get(data[12:16], "of another kind")
        raise NoPressProfile(f"is a profile {kind}, not of a press")
    if data[16:20] not in _SPACES:
        raise NoPressProfile("is made for other inks than grey, RGB or CMYK")
    return PressProfile(data=data, inks=Inks(_SPACES[data[16:20]]))
