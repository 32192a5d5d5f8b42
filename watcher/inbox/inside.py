"""What a ZIP, a PDF or a TIFF was found to hold; `inspection` finds it."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Member:
    """One usable file in a ZIP.

    Attributes:
        name: for people and for pairing: without folders, composed.
        stored_as: its name inside the ZIP, to read it by.
        size: unpacked, bytes.
        sha256: of the unpacked bytes, hex.
        pages: of a PDF, or of a TIFF of several; None for others.
        text: all of a job ticket; None for art.
    """

    name: str
    stored_as: str
    size: int
    sha256: str
    pages: int | None
    text: bytes | None = None


@dataclass(frozen=True, kw_only=True)
class Inside:
    """What a file holds.

    Attributes:
        members: of a ZIP, in the order in which they were packed.
        pages: of a PDF, or of a TIFF of several; None for others.
    """

    members: tuple[Member, ...] = ()
    pages: int | None = None
