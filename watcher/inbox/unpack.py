"""Split what was dropped into what it holds: art of a side or of several pages, a job ticket; ZIPs and folders."""

from collections.abc import Sequence
from dataclasses import replace

from watcher.errors import ArtUnreadable
from watcher.inbox.formats import CONTAINER, TICKET
from watcher.inbox.found import Folder, Found
from watcher.inbox.inside import Inside
from watcher.inbox.name_parts import NameParts, split_number
from watcher.inbox.names import read_folder_name, read_name
from watcher.inbox.scan import SeenFile
from watcher.records.plain_text import one_line
from watcher.settings.names import NameSettings
from watcher.terms import Side

_NAMES_SHOWN = 5
_NUMBERED_SIDES = {1: Side.FRONT, 2: Side.BACK}


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
        return (_single(file, parts, inside),)
    parts = parts.at_its_end
    members = _members_of(file, inside, words)
    unnamed = [found for found in members if not found.is_ticket and _names_no_order(found)]
    if unnamed:
        return _named_for(parts, file.name, members, unnamed)
    return _with_wishes_of(parts, file.name, members)


def _members_of(file: SeenFile, inside: Inside, words: NameSettings) -> list[Found]:
    return [
        Found(file=file, parts=read_name(member.name, words), member=member, pages=member.pages)
        for member in inside.members
    ]


def unfold_folder(
    folder: Folder, files: Sequence[tuple[SeenFile, Inside | None]], words: NameSettings
) -> tuple[Found, ...]:
    """List the usable things in a folder that is an order.

    All of them are the order of the folder's name, whatever they are called; but for files that say their sides of
    several orders, which keep their names.

    Args:
        folder: the folder.
        files: each with what looking into a ZIP, PDF or TIFF showed; None for other files.
        words: the side words of the settings.

    Raises:
        ArtUnreadable: pages that cannot be told apart.
    """
    parts = read_folder_name(folder.name, words).at_its_end
    members: list[Found] = []
    for file, inside in files:
        name = read_name(file.name, words)
        is_zip = name.extension == CONTAINER and inside is not None
        members += _members_of(file, inside, words) if is_zip and inside else [_single(file, name, inside)]
    members = [replace(found, container=folder) for found in members]
    art = [found for found in members if not found.is_ticket]
    numbered = _numbered_designs(art)
    if numbered or _is_one_order(art):
        return tuple(_in_folder(found, parts, folder.name, numbered.get(id(found))) for found in members)
    if unnamed := [found for found in art if _names_no_order(found)]:
        return _named_for(parts, folder.name, members, unnamed)
    own = [replace(found, container=None) for found in members]  # of several orders each has its own name
    return _with_wishes_of(parts, folder.name, own)


def _single(file: SeenFile, parts: NameParts, inside: Inside | None) -> Found:
    pages = inside.pages if inside else None
    is_whole = parts.extension in (TICKET, CONTAINER) or (pages or 1) > 1  # that has no side but where it says so
    return Found(file=file, parts=parts.at_its_end if is_whole else parts, pages=pages)


def _is_one_order(art: Sequence[Found]) -> bool:
    """Whether art in a folder can be but one order: a front and a back, one name, or names that say no side."""
    if sorted(str(found.parts.side) for found in art) == [str(Side.BACK), str(Side.FRONT)]:
        return True
    if any(found.parts.page_number is not None for found in art):
        return False
    named = [found for found in art if not _names_no_order(found)]
    is_one_name = len({found.parts.key for found in named}) <= 1 and len(named) in (0, len(art))
    return (bool(named) or len(art) <= 1) and (is_one_name or not any(found.parts.side for found in named))


def _in_folder(found: Found, parts: NameParts, shown: str, design: int | None) -> Found:
    """A find under the name of its folder; of a side that the folder's name gives where its own gives none."""
    side = None if found.is_ticket else found.parts.side or parts.side
    return replace(found, parts=_renamed(found, parts, side, shown), design=design)


def _numbered_designs(art: Sequence[Found]) -> dict[int, int]:
    """The number of the design that each find is, where all are numbered under one name; else nothing."""
    split = {id(found): split_number(found.parts.key) for found in art}
    bases = {one[0] if one else None for one in split.values()}
    if len(bases) != 1 or None in bases or len({one[1] for one in split.values() if one}) < 2:
        return {}
    return {key: one[1] for key, one in split.items() if one}


def _names_no_order(found: Found) -> bool:
    return found.parts.bare_side or found.parts.page_number is not None


def _with_wishes_of(around: NameParts, shown: str, members: list[Found]) -> tuple[Found, ...]:
    """Files named for an order in a ZIP or folder whose own name says what is wanted.

    A quantity is that of the one order inside; a day and a hurry are those of all of them.
    """
    if not (around.quantity or around.fault or around.due or around.now):
        return tuple(members)
    if around.quantity and len({_order_key(found, members) for found in members}) > 1:
        raise ArtUnreadable(
            shown,
            "gives a quantity in its own name but holds more than one order",
            "Give the quantity in the name of each order's front or back",
        )
    return tuple(replace(found, parts=_with_wishes(found, around, shown)) for found in members)


def _order_key(found: Found, members: list[Found]) -> str:
    """The order that a member belongs to: a numbered one to that of the ticket beside it, when it is named so."""
    split = split_number(found.parts.key)
    if split and any(other.is_ticket and other.parts.key == split[0] for other in members):
        return split[0]
    return found.parts.key


def _with_wishes(found: Found, around: NameParts, shown: str) -> NameParts:
    """The member's parts with what the ZIP or folder asks for; two quantities or days that differ are a fault."""
    parts = found.parts
    fault = parts.fault or around.fault
    if around.quantity is not None and parts.quantity is not None and around.quantity != parts.quantity:
        fault = (
            f"{one_line(_name(found))} asks for {parts.quantity} cards, but {one_line(shown)} for {around.quantity};"
            " make them the same, or leave one out"
        )
    if around.due is not None and parts.due is not None and around.due != parts.due:
        fault = f"{one_line(_name(found))} and {one_line(shown)} say different days; leave one of them out"
    return replace(
        parts,
        quantity=around.quantity if parts.quantity is None else parts.quantity,
        due=parts.due or around.due,
        now=parts.now or around.now,
        fault=fault,
    )


def _named_for(around: NameParts, shown: str, members: list[Found], unnamed: list[Found]) -> tuple[Found, ...]:
    """Pages `1.png`, `2.png`, … or `front.png`, `back.png` take the name of their ZIP or folder.

    Two numbered pages may be a front and a back; what more of them are, their card tells.
    """
    art = [found for found in members if not found.is_ticket]
    tickets = [found for found in members if found.is_ticket]
    if len(art) != len(unnamed):
        raise ArtUnreadable(
            shown,
            f"holds {one_line(_name(unnamed[0]))} beside files that are named for an order",
            "Name every file ORDER_front or ORDER_back, or put only one order into it",
        )
    if _are_many(around, art) and len(tickets) <= 1:
        return tuple(replace(found, parts=_renamed(found, around, None, shown)) for found in members)
    sides = [_side_of(found, around) for found in art]
    if len(art) > 2 or len(set(sides)) != len(sides) or None in sides or len(tickets) > 1:
        raise ArtUnreadable(
            shown,
            _what_it_holds(around, art, tickets) + "; as one order it can hold a front and a back, or numbers",
            "Put 1 and 2, or front and back, into one that says no side itself, with at most one ticket, or name"
            " the files ORDER_front and ORDER_back",
        )
    named = [replace(found, parts=_renamed(found, around, side, shown)) for found, side in zip(art, sides, strict=True)]
    return (*named, *(replace(ticket, parts=_renamed(ticket, around, None, shown)) for ticket in tickets))


def _are_many(around: NameParts, art: list[Found]) -> bool:
    """Whether these are numbered pages that cannot be a front and a back: more than two, or not 1 and 2."""
    numbers = [found.parts.page_number for found in art]
    return (
        around.side is None
        and len(art) > 1
        and None not in numbers
        and sorted(map(int, filter(None, numbers))) != [1, 2]
    )


def _what_it_holds(around: NameParts, art: list[Found], tickets: list[Found]) -> str:
    names = ", ".join(one_line(_name(found)) for found in art[:_NAMES_SHOWN])
    more = f" and {len(art) - _NAMES_SHOWN} more" if len(art) > _NAMES_SHOWN else ""
    called = f"is called a {around.side} and " if around.side else ""
    beside = f" and {len(tickets)} job tickets" if len(tickets) > 1 else ""
    return f"{called}holds {names}{more}{beside}"


def _name(found: Found) -> str:
    return found.member.name if found.member else found.file.name


def _side_of(found: Found, around: NameParts) -> Side | None:
    """The side of a page, None when it is not clear: no side word and no number 1 or 2, or two that disagree."""
    own = found.parts.side
    if around.side is None:
        return own or _NUMBERED_SIDES.get(found.parts.page_number or 0)
    if own in (None, around.side) and found.parts.page_number in (None, 1):
        return around.side
    return None


def _renamed(found: Found, around: NameParts, side: Side | None, shown: str) -> NameParts:
    """The member's parts under the name around it. A page whose side that name gives is no longer a mere number."""
    return replace(
        _with_wishes(found, around, shown),
        order=around.order,
        key=around.key,
        side=side,
        bare_side=around.bare_side,
        copy=around.copy or found.parts.copy,
        page_number=None if around.side else found.parts.page_number,
        plain=None,
    )
