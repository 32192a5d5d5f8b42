"""Split a dropped file into what it holds: art of one side or of several pages, a job ticket, or a ZIP of these."""

from dataclasses import dataclass, replace

from watcher.errors import ArtUnreadable
from watcher.inbox.inside import Inside, Member
from watcher.inbox.names import CONTAINER, TICKET, NameParts, read_name, split_number
from watcher.inbox.scan import SeenFile
from watcher.records.plain_text import one_line
from watcher.settings.model import NameSettings
from watcher.terms import EarlierUse, Side

_NAMES_SHOWN = 5
_NUMBERED_SIDES = {1: Side.FRONT, 2: Side.BACK}


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
class Found:
    """One usable thing in a dropped file.

    Attributes:
        file: the file it is in.
        parts: what its name says; for numbered pages in a ZIP, what the ZIP's name and the number say.
        member: the ZIP's member, or None when the file itself is meant.
        pages: how many pages a PDF has, or a TIFF of several; None for other images and tickets.
        design: the number that its name gives it among the designs of an order, or None.
        earlier: where it lies when it came with an earlier try at its order; None for what lies new in the inbox.
    """

    file: SeenFile
    parts: NameParts
    member: Member | None = None
    pages: int | None = None
    design: int | None = None
    earlier: Earlier | None = None

    @property
    def is_newer(self) -> bool:
        """Whether it goes before what came with an earlier try."""
        return self.earlier is None or self.earlier.use is EarlierUse.ACCEPTED

    @property
    def is_numbered(self) -> bool:
        """Whether it is a page in a ZIP that is named by its number alone."""
        return self.parts.page_number is not None and self.member is not None

    @property
    def is_ticket(self) -> bool:
        """Whether it is a job ticket rather than art."""
        return self.parts.extension == TICKET

    @property
    def shown(self) -> str:
        """Its name for people."""
        return f"{self.member.name} in {self.file.name}" if self.member else self.file.name


def unfold(file: SeenFile, inside: Inside | None, words: NameSettings) -> tuple[Found, ...]:
    """List the usable things in a dropped file.

    Args:
        file: a file that has rested.
        inside: what looking into a ZIP, PDF or TIFF showed; None for other files.
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
    if unnamed:
        return _named_for_the_zip(parts, members, unnamed)
    return _with_quantity_of(parts, members)


def _names_no_order(found: Found) -> bool:
    return found.parts.bare_side or found.parts.page_number is not None


def _with_quantity_of(zip_parts: NameParts, members: list[Found]) -> tuple[Found, ...]:
    """Files named for an order in a ZIP whose own name gives a quantity: it is that of the one order inside."""
    if zip_parts.quantity is None and zip_parts.fault is None:
        return tuple(members)
    if len({_order_key(found, members) for found in members}) > 1:
        raise ArtUnreadable(
            members[0].file.name,
            "gives a quantity in its own name but holds more than one order",
            "Give the quantity in the name of each order's front or back",
        )
    return tuple(replace(found, parts=_counted(found, zip_parts)) for found in members)


def _order_key(found: Found, members: list[Found]) -> str:
    """The order that a member belongs to: a numbered one to that of the ticket beside it, when it is named so."""
    split = split_number(found.parts.key)
    if split and any(other.is_ticket and other.parts.key == split[0] for other in members):
        return split[0]
    return found.parts.key


def _counted(found: Found, zip_parts: NameParts) -> NameParts:
    """The member's parts with the ZIP's quantity; two that differ are a fault."""
    parts, asked = found.parts, zip_parts.quantity
    fault = parts.fault or zip_parts.fault
    if asked is not None and parts.quantity is not None and asked != parts.quantity:
        fault = (
            f"{one_line(_name(found))} asks for {parts.quantity} cards, but {one_line(found.file.name)} for {asked};"
            " make them the same, or leave one out"
        )
    return replace(parts, quantity=asked if parts.quantity is None else parts.quantity, fault=fault)


def _named_for_the_zip(zip_parts: NameParts, members: list[Found], unnamed: list[Found]) -> tuple[Found, ...]:
    """Pages `1.png`, `2.png`, … or `front.png`, `back.png` take the ZIP's own name.

    Two numbered pages may be a front and a back; what more of them are, their card tells.
    """
    file = members[0].file
    art = [found for found in members if not found.is_ticket]
    tickets = [found for found in members if found.is_ticket]
    if len(art) != len(unnamed):
        raise ArtUnreadable(
            file.name,
            f"holds {one_line(_name(unnamed[0]))} beside files that are named for an order",
            "Name every file ORDER_front or ORDER_back, or put only one order into the ZIP",
        )
    if _are_many(zip_parts, art) and len(tickets) <= 1:
        return tuple(replace(found, parts=_renamed(found, zip_parts, None)) for found in members)
    sides = [_side_of(found, zip_parts) for found in art]
    if len(art) > 2 or len(set(sides)) != len(sides) or None in sides or len(tickets) > 1:
        raise ArtUnreadable(
            file.name,
            _what_it_holds(zip_parts, art, tickets) + "; as one order it can hold a front and a back, or numbers",
            "Put 1 and 2, or front and back, into one ZIP that says no side itself, with at most one ticket, or name"
            " the files ORDER_front and ORDER_back",
        )
    named = [replace(found, parts=_renamed(found, zip_parts, side)) for found, side in zip(art, sides, strict=True)]
    return (*named, *(replace(ticket, parts=_renamed(ticket, zip_parts, None)) for ticket in tickets))


def _are_many(zip_parts: NameParts, art: list[Found]) -> bool:
    """Whether these are numbered pages that cannot be a front and a back: more than two, or not 1 and 2."""
    numbers = [found.parts.page_number for found in art]
    return (
        zip_parts.side is None
        and len(art) > 1
        and None not in numbers
        and sorted(map(int, filter(None, numbers))) != [1, 2]
    )


def _what_it_holds(zip_parts: NameParts, art: list[Found], tickets: list[Found]) -> str:
    names = ", ".join(one_line(_name(found)) for found in art[:_NAMES_SHOWN])
    more = f" and {len(art) - _NAMES_SHOWN} more" if len(art) > _NAMES_SHOWN else ""
    called = f"is called a {zip_parts.side} and " if zip_parts.side else ""
    beside = f" and {len(tickets)} job tickets" if len(tickets) > 1 else ""
    return f"{called}holds {names}{more}{beside}"


def _name(found: Found) -> str:
    return found.member.name if found.member else found.file.name


def _side_of(found: Found, zip_parts: NameParts) -> Side | None:
    """The side of a page, None when it is not clear: no side word and no number 1 or 2, or two that disagree."""
    own = found.parts.side
    if zip_parts.side is None:
        return own or _NUMBERED_SIDES.get(found.parts.page_number or 0)
    if own in (None, zip_parts.side) and found.parts.page_number in (None, 1):
        return zip_parts.side
    return None


def _renamed(found: Found, zip_parts: NameParts, side: Side | None) -> NameParts:
    """The member's parts under the ZIP's name. A page whose side the ZIP's name gives is no longer a mere number."""
    return replace(
        _counted(found, zip_parts),
        order=zip_parts.order,
        key=zip_parts.key,
        side=side,
        bare_side=zip_parts.bare_side,
        copy=zip_parts.copy,
        page_number=None if zip_parts.side else found.parts.page_number,
    )
