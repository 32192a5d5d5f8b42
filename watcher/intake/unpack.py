"""What a dropped file holds: one side's art, a two-page PDF, a job ticket, or a ZIP of these."""

from dataclasses import dataclass, replace

from watcher.errors import ArtUnreadable
from watcher.inbox.scan import SeenFile
from watcher.intake.look import Inside, Member
from watcher.intake.names import CONTAINER, TICKET, NameParts, read_name
from watcher.settings.model import NameSettings
from watcher.terms import Side

_NUMBERED_SIDES = {1: Side.FRONT, 2: Side.BACK}


@dataclass(frozen=True, kw_only=True)
class Found:
    """One usable thing in a dropped file.

    Attributes:
        file: the file it is in.
        parts: what its name says; for numbered pages in a ZIP, what the ZIP's name and the number say.
        member: the ZIP's member, or None when the file itself is meant.
        pages: how many pages a PDF has; None for images and tickets.
    """

    file: SeenFile
    parts: NameParts
    member: Member | None = None
    pages: int | None = None

    @property
    def is_ticket(self) -> bool:
        """Whether it is a job ticket rather than art."""
        return self.parts.extension == TICKET

    @property
    def shown(self) -> str:
        """Its name for people."""
        return f"{self.member.name} in {self.file.name}" if self.member else self.file.name


def unfold(file: SeenFile, inside: Inside | None, words: NameSettings) -> tuple[Found, ...]:
    """Give what a dropped file holds.

    Args:
        file: a file that has rested.
        inside: what looking into a ZIP or PDF showed; None for other files.
        words: the side words of the settings.

    Raises:
        ArtUnreadable: a ZIP whose pages cannot be told apart or belong to no order.
    """
    parts = read_name(file.name, words)
    if parts.extension != CONTAINER or inside is None:
        return (Found(file=file, parts=parts, pages=inside.pages if inside else None),)
    members = [
        Found(file=file, parts=read_name(member.name, words), member=member, pages=member.pages)
        for member in inside.members
    ]
    unnamed = [found for found in members if not found.is_ticket and _names_no_order(found)]
    if not unnamed:
        return tuple(members)
    return _named_for_the_zip(parts, members, unnamed)


def _names_no_order(found: Found) -> bool:
    return found.parts.bare_side or found.parts.page_number is not None


def _named_for_the_zip(zip_parts: NameParts, members: list[Found], unnamed: list[Found]) -> tuple[Found, ...]:
    """Pages `1.png`, `2.png` or `front.png`, `back.png` take the ZIP's own name."""
    file = members[0].file
    art = [found for found in members if not found.is_ticket]
    tickets = [found for found in members if found.is_ticket]
    if len(art) != len(unnamed):
        raise ArtUnreadable(
            file.name,
            f"holds {unnamed[0].member.name if unnamed[0].member else ''} beside files that are named for an order",
            "Name every file ORDER_front or ORDER_back, or put only one order into the ZIP",
        )
    sides = [_side_of(found, zip_parts, alone=len(art) == 1) for found in art]
    names = ", ".join(found.member.name for found in art if found.member)
    if len(art) > 2 or len(set(sides)) != len(sides) or None in sides or len(tickets) > 1:
        raise ArtUnreadable(
            file.name,
            f"holds {len(art)} pages named {names}; as one order it"
            " can hold a front and a back",
            "Put 1 and 2, or front and back, into one ZIP, with at most one ticket, or name the files"
            " ORDER_front and ORDER_back",
        )
    named = [
        replace(found, parts=_renamed(found.parts, zip_parts, side)) for found, side in zip(art, sides, strict=True)
    ]
    return (*named, *(replace(ticket, parts=_renamed(ticket.parts, zip_parts, None)) for ticket in tickets))


def _side_of(found: Found, zip_parts: NameParts, *, alone: bool) -> Side | None:
    if found.parts.side is not None:
        return found.parts.side
    if alone and zip_parts.side is not None:
        return zip_parts.side
    return _NUMBERED_SIDES.get(found.parts.page_number or 0)


def _renamed(parts: NameParts, zip_parts: NameParts, side: Side | None) -> NameParts:
    """The member's parts under the ZIP's name; a quantity may stand on the ZIP."""
    return replace(
        parts,
        order=zip_parts.order,
        key=zip_parts.key,
        side=side,
        quantity=zip_parts.quantity if parts.quantity is None else parts.quantity,
        fault=zip_parts.fault or parts.fault,
        bare_side=False,
    )

