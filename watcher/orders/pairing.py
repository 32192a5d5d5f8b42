"""Front and back become an order: what lies under one name, put together and never guessed.

What is unclear ends as a `Planned.fault` in one plain sentence with the way out.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from watcher.errors import OrderHeld
from watcher.inbox.file_names import compare_key
from watcher.intake.unpack import Found
from watcher.orders.model import Piece, Planned, Repeat, Ticket
from watcher.orders.ticket import read_ticket
from watcher.settings.model import CardSettings, Settings
from watcher.terms import Side

GroupKey = tuple[str, str]


def group_key(folder: str | None, key: str) -> GroupKey:
    """What two files must share to belong to one order: the card folder and the order's name, in any case."""
    return (folder or "").casefold(), key


@dataclass(frozen=True, kw_only=True)
class Table:
    """What pairing works on.

    Attributes:
        found: everything usable that has rested, from the inbox and from lone halves set aside earlier.
        arriving: names of which something is still being written.
        accepted: names whose soft findings the person has accepted.
    """

    found: Sequence[Found]
    arriving: frozenset[GroupKey] = frozenset()
    accepted: frozenset[GroupKey] = frozenset()


def pair_sides(table: Table, settings: Settings, read: Callable[[Found], bytes]) -> tuple[Planned, ...]:
    """Put everything under its order's name.

    Args:
        table: what lies there.
        settings: cards, sheets and side words.
        read: gives the bytes of a find; used for job tickets and for telling identical copies.
    """
    groups: dict[GroupKey, list[Found]] = {}
    for found in table.found:
        groups.setdefault(group_key(found.file.folder, found.parts.key), []).append(found)
    plans = ((key, _put_together(members, settings, read)) for key, members in groups.items())
    # a repeat lies under the name of its ticket's file, but was set aside under that of the order it repeats
    return tuple(
        replace(
            plan,
            arriving=plan.arriving or not table.arriving.isdisjoint({key, group_key(plan.folder, plan.key)}),
            accepted=not table.accepted.isdisjoint({key, group_key(plan.folder, plan.key)}),
        )
        for key, plan in plans
    )


def bundles(plans: Iterable[Planned]) -> list[tuple[Planned, ...]]:
    """Orders that share a file (a ZIP of several) must be taken together: give them in such bundles."""
    bundle_at: dict[Path, list[Planned]] = {}
    for plan in plans:
        joined: list[Planned] = []
        for file in plan.files:
            other = bundle_at.get(file.path)
            if other is not None and other is not joined:
                absorbed, joined = sorted((joined, other), key=len)  # the smaller moves: many orders take no long
                joined += absorbed
                bundle_at.update((moved.path, joined) for one in absorbed for moved in one.files)
        joined.append(plan)
        bundle_at.update((file.path, joined) for file in plan.files)
    return [tuple(bundle) for bundle in {id(bundle): bundle for bundle in bundle_at.values()}.values()]


def _put_together(members: list[Found], settings: Settings, read: Callable[[Found], bytes]) -> Planned:
    art = [found for found in members if not found.is_ticket]
    tickets = [found for found in members if found.is_ticket]
    first = min(art or tickets, key=lambda found: (found.parts.side is not Side.FRONT, found.file.name))
    bare = Planned(name=first.parts.order, key=first.parts.key, folder=first.file.folder, beside=tuple(members))
    try:
        return _plan(bare, art, tickets, settings, read)
    except OrderHeld as held:
        return replace(bare, fault=str(held))
    except OSError:
        return replace(bare, arriving=True)  # gone or locked at this moment; the next look asks again


def _plan(
    bare: Planned, art: list[Found], tickets: list[Found], settings: Settings, read: Callable[[Found], bytes]
) -> Planned:
    _refuse_faulty_names([*art, *tickets])
    ticket = _only_ticket(tickets, settings, read)
    if ticket.repeat is not None:
        return _repeat(bare, ticket, ticket.repeat, art, tickets)
    card = _card_of(bare, ticket, settings)
    pieces, copies = _one_a_side(_sides(art, card), read)
    wanted = _sides_wanted(card)
    missing = [side for side in wanted if side not in {piece.side for piece in pieces}]
    return replace(
        bare,
        card=card.name,
        sheet=_sheet_of(card, ticket, settings),
        quantity=_asked(art, ticket, tickets) or card.quantity,
        overs=ticket.overs or card.overs,
        due=ticket.due,
        note=ticket.note,
        approve=ticket.approve,
        now=ticket.now,
        pieces=tuple(pieces),
        beside=(*tickets, *copies),
        missing=_say_missing(missing, has_art=bool(art)),
    )


def _refuse_faulty_names(members: list[Found]) -> None:
    for found in members:
        if found.parts.fault:
            raise OrderHeld(f"{found.parts.fault}.")
        if found.parts.bare_side or not found.parts.key:
            raise OrderHeld(
                f"{found.shown} names no order. Name it ORDER_front or ORDER_back, with the order's name in front."
            )


def _only_ticket(tickets: list[Found], settings: Settings, read: Callable[[Found], bytes]) -> Ticket:
    if not tickets:
        return Ticket()
    different = {read(found): found for found in tickets}
    if len(different) > 1:
        raise OrderHeld(f"There are two different job tickets, {_both(list(different.values()))}. Keep one of them.")
    return read_ticket(read(tickets[0]), tickets[0].shown, tuple(settings.cards))


def _repeat(bare: Planned, ticket: Ticket, order: str, art: list[Found], tickets: list[Found]) -> Planned:
    """An order that is made again out of the archive; what it is, is looked up there when it is made."""
    if art:
        raise OrderHeld(
            f"{tickets[0].shown} asks to repeat {order}, but there is art beside it: {art[0].shown}. Leave out the art,"
            " or take repeat out of the ticket."
        )
    repeat = Repeat(
        order=order,
        quantity=_asked(art, ticket, tickets),
        overs=None if ticket.overs is None else str(ticket.overs),
        sheet=ticket.sheet,
        sheets_only=ticket.sheets_only,
        as_before=ticket.as_before,
    )
    if repeat.sheets_only is not None and repeat.quantity is not None:
        raise OrderHeld(f"{tickets[0].shown} asks for cards and for sheets_only. Leave one of them out.")
    return replace(
        bare,
        name=order,
        key=compare_key(order),
        quantity=repeat.quantity or 1,
        overs=ticket.overs,
        due=ticket.due,
        note=ticket.note,
        approve=ticket.approve,
        beside=tuple(tickets),
        repeat=repeat,
    )


def _card_of(bare: Planned, ticket: Ticket, settings: Settings) -> CardSettings:
    name = ticket.card or bare.folder or settings.defaults.card
    if name in settings.cards:
        return settings.cards[name]
    by_case = {known.casefold(): card for known, card in settings.cards.items()}
    if name.casefold() in by_case:
        return by_case[name.casefold()]
    folders = ", ".join(f"inbox/{card}" for card in sorted(settings.cards))
    if bare.folder:
        raise OrderHeld(
            f"{bare.name} came from the folder of the card {bare.folder!r}, which is no longer in the settings."
            f" Put it into the folder of another card: {folders}."
        )
    if len(settings.cards) == 1:
        return next(iter(settings.cards.values()))  # no default is named, but there is only this one
    raise OrderHeld(
        f"{bare.name} lies at the top of the inbox, and the settings name no default card ({name!r} is not there)."
        f" Put it into the folder of its card: {folders}."
    )


def _sheet_of(card: CardSettings, ticket: Ticket, settings: Settings) -> str:
    if ticket.sheet is None:
        return card.sheet
    by_case = {name.casefold(): name for name in settings.sheets}
    name = ticket.sheet if ticket.sheet in settings.sheets else by_case.get(ticket.sheet.casefold())
    if name is None:
        known = ", ".join(sorted(settings.sheets))
        raise OrderHeld(f"The job ticket asks for the sheet {ticket.sheet!r}; the settings have {known}.")
    return name


def _asked(art: list[Found], ticket: Ticket, tickets: list[Found]) -> int | None:
    """The quantity that file names and job ticket ask for, or None."""
    asked = {found.parts.quantity: found.shown for found in [*art, *tickets] if found.parts.quantity is not None}
    if ticket.quantity is not None:
        asked.setdefault(ticket.quantity, tickets[0].shown)
    if len(asked) > 1:
        said = ", ".join(f"{name} says {quantity}" for quantity, name in asked.items())
        raise OrderHeld(f"The quantities differ: {said}. Make them the same, or leave one out.")
    return next(iter(asked), None)


def _sides_wanted(card: CardSettings) -> tuple[Side, ...]:
    """The sides that must come with every order; a common side comes from the settings."""
    sides = (Side.FRONT,) if card.sides == 1 else (Side.FRONT, Side.BACK)
    common = {Side.FRONT: card.common_front, Side.BACK: card.common_back}
    return tuple(side for side in sides if common[side] is None)


def _sides(art: list[Found], card: CardSettings) -> list[Piece]:
    wanted = _sides_wanted(card)
    pieces: list[Piece] = []
    for found in art:
        pieces += _pages(found, card, wanted) if found.pages and found.pages > 1 else [_piece(found, card, wanted)]
    return pieces


def _pages(found: Found, card: CardSettings, wanted: tuple[Side, ...]) -> list[Piece]:
    numbered = found.parts.page_number is not None and found.member is not None
    side = None if numbered else found.parts.side
    if found.pages == 2 and len(wanted) == 2 and side is None:
        return [Piece(side=Side.FRONT, found=found, page=0), Piece(side=Side.BACK, found=found, page=1)]
    if side is not None and side not in wanted:
        raise OrderHeld(_why_not_wanted(found, side, card))
    if len(wanted) == 2 and side is None:
        raise OrderHeld(f"{found.shown} has {found.pages} pages; a card has two, front and back. Export those two.")
    raise OrderHeld(
        f"{found.shown} has {found.pages} pages, but only its {side or wanted[0]} is wanted for the card"
        f" {card.name}. Export that one page."
    )


def _piece(found: Found, card: CardSettings, wanted: tuple[Side, ...]) -> Piece:
    page = 0 if found.pages else None
    side = found.parts.side
    numbered = found.parts.page_number is not None and found.member is not None
    if side is None or (numbered and len(wanted) == 1):
        if numbered and found.parts.page_number != 1:
            raise OrderHeld(
                f"{found.shown} is a second page, but the card {card.name} takes one page an order"
                f" (its {wanted[0]}). Leave it out."
            )
        return Piece(side=_only_side(found, wanted), found=found, page=page)
    if side not in wanted:
        raise OrderHeld(_why_not_wanted(found, side, card))
    return Piece(side=side, found=found, page=page)


def _only_side(found: Found, wanted: tuple[Side, ...]) -> Side:
    if len(wanted) == 1:
        return wanted[0]
    if found.pages == 1:
        return Side.FRONT  # a one-page PDF is a front; its back comes beside it
    stem, dot, extension = found.parts.order, "." if found.parts.extension else "", found.parts.extension
    raise OrderHeld(
        f"{found.shown} does not say which side it is. Name it {stem}_front{dot}{extension} or"
        f" {stem}_back{dot}{extension}."
    )


def _why_not_wanted(found: Found, side: Side, card: CardSettings) -> str:
    if card.sides == 1:
        return (
            f"{found.shown} is a {side}, but the card {card.name} is printed on one side."
            f" Put it into the folder of a two-sided card, or name it {found.parts.order}.{found.parts.extension}."
        )
    return (
        f"{found.shown} is a {side}, but every {card.name} card has the same {side} (common_{side} in the settings)."
        " Leave it out, or put the order into the folder of another card."
    )


def _one_a_side(pieces: list[Piece], read: Callable[[Found], bytes]) -> tuple[list[Piece], list[Found]]:
    """One piece a side, and copies of the same bytes; two different files for one side are held."""
    kept: dict[Side, Piece] = {}
    copies: list[Found] = []
    for piece in sorted(pieces, key=lambda piece: (piece.found.parts.copy or 0, piece.found.file.name)):
        first = kept.setdefault(piece.side, piece)
        if first is piece:
            continue
        if first.page != piece.page or read(first.found) != read(piece.found):
            raise OrderHeld(
                f"There are two different files for the {piece.side}: {_both([first.found, piece.found])}."
                " Keep the one you mean, and put it back."
            )
        copies.append(piece.found)
    return [kept[side] for side in Side if side in kept], copies


def _both(found: Sequence[Found]) -> str:
    return " and ".join(one.shown for one in found[:2])


def _say_missing(missing: list[Side], *, has_art: bool) -> str | None:
    if not missing:
        return None
    return str(missing[0]) if has_art else "art"


def common_art(card: CardSettings) -> Mapping[Side, Path]:
    """The sides that every order of this card shares, with their files."""
    common = {Side.FRONT: card.common_front, Side.BACK: card.common_back}
    return {side: path for side, path in common.items() if path is not None and (card.sides == 2 or side is Side.FRONT)}
