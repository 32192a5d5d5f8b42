"""One usable thing that lies in the inbox or in held: a file, or a member of a ZIP, with what its name says."""

from dataclasses import dataclass
from pathlib import Path

from watcher.inbox.formats import TICKET
from watcher.inbox.inside import Member
from watcher.inbox.name_parts import NameParts
from watcher.inbox.scan import SeenFile
from watcher.terms import EarlierUse


@dataclass(frozen=True, kw_only=True)
class Earlier:
    """Where a file lies that came with an earlier try at its order, and how it may be used now.

    Attributes:
        place: the folder for people: `held/A17`, `archive/A17`.
        since: when it was put there, ISO 8601.
        use: what must happen before it is used with newer files.
        before: where it lay before that, when it went with newer files at that try: no newer one had come for it.
    """

    place: str
    since: str
    use: EarlierUse
    before: "Earlier | None" = None


@dataclass(frozen=True, kw_only=True)
class Folder:
    """A folder that is an order.

    Attributes:
        path: where it lies.
        name: the name that says what is wanted: its own; of a held order that by which it was dropped.
        arrived_ns: when it was last changed, as its file system tells.
    """

    path: Path
    name: str
    arrived_ns: int


@dataclass(frozen=True, kw_only=True)
class Found:
    """One usable thing in a dropped file or folder.

    Attributes:
        file: the file it is in.
        parts: what its name says; for numbered pages in a ZIP, what the ZIP's name and the number say.
        member: the ZIP's member, or None when the file itself is meant.
        pages: how many pages a PDF has, or a TIFF of several; None for other images and tickets.
        design: the number that its name gives it among the designs of an order, or None.
        earlier: where it lies when it came with an earlier try at its order; None for what lies new in the inbox.
        container: the folder that is an order and that it lies in, or None.
        text: the job ticket that the name of its folder says (`again spring-menu x40`), or None.
    """

    file: SeenFile
    parts: NameParts
    member: Member | None = None
    pages: int | None = None
    design: int | None = None
    earlier: Earlier | None = None
    container: Folder | None = None
    text: bytes | None = None

    @property
    def is_newer(self) -> bool:
        """Whether it goes before what came with an earlier try."""
        return self.earlier is None or self.earlier.use is EarlierUse.ACCEPTED

    @property
    def is_numbered(self) -> bool:
        """Whether it is a page in a ZIP or a folder that is named by its number alone."""
        return self.parts.page_number is not None and (self.member is not None or self.container is not None)

    @property
    def is_ticket(self) -> bool:
        """Whether it is a job ticket rather than art."""
        return self.parts.extension == TICKET

    @property
    def shown(self) -> str:
        """Its name for people."""
        if self.member is not None:
            return f"{self.member.name} in {self.file.name}"
        is_inside = self.container is not None and self.text is None
        return f"{self.file.name} in {self.container.name}" if self.container and is_inside else self.file.name
