"""Pair fronts and backs: put what lies under one name together as an order, without guessing.

What is unclear ends as a `Planned.fault` in one plain sentence with the way out.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from watcher.errors import OrderHeld
from watcher.inbox.file_names import compare_key
from watcher.inbox.names import split_number
from watcher.inbox.unpack import Found
from watcher.orders.designs import (
    awaits_designs,
    draw_together,
    is_open_ended,
    ticket_key,
    what_is_lacking,
)
from watcher.orders.job_ticket import read_ticket
from watcher.orders.mended import MadeBefore, supersede, with_earlier, with_made
from watcher.orders.model import GroupKey, Piece, Planned, Repeat, Ticket, design_numbers
from watcher.orders.pieces import one_a_side, pieces_of, sides_wanted
from watcher.settings.model import CardSettings, Settings
from watcher.settings.values import NO_OVERS, Overs, OversKind
from watcher.terms import EarlierUse, Side


def group_key(folder: str | None, key: str) -> GroupKey:
    """Give what the files of one order have in common: the card folder and the order's name, in any case."""
    return (folder or "").casefold(), key


@dataclass(frozen=True, kw_only=True)
class Table:
    """What pairing works on.

    Attributes:
        found: everything usable that has rested, from the inbox and from orders set aside earlier.
        arriving: names of which something is still being written.
        tickets_arriving: names of which a job ticket is still being written.
        accepted: names whose soft findings the person has accepted, with the marks of those that were seen.
        overruled: names of whose sheets the person has said that they are right, whatever the check by sight says.
    """

    found: Sequence[Found]
    arriving: frozenset[GroupKey] = frozenset()
    tickets_arriving: frozenset[GroupKey] = frozenset()
    accepted: Mapping[GroupKey, tuple[str, ...]] = field(default_factory=dict)
    overruled: frozenset[GroupKey] = frozenset()


def pair_sides(table: Table, settings: Settings, read: Callable[[Found], bytes]) -> tuple[Planned, ...]:
    """Plan an order for each name that lies there.

    Args:
        table: what lies there.
        settings: cards, sheets and side words.
        read: gives the bytes of a find; used for job tickets and for telling identical copies.
    """
    groups: dict[GroupKey, list[Found]] = {}
    for found in table.found:
        groups.setdefault(group_key(found.file.folder, found.parts.key), []).append(found)
    draw_together(groups, read)
    designs_arriving = awaits_designs(table.arriving)
    plans: list[Planned] = []
    for key, members in groups.items():
        if all(_waits_in_held(found) for found in members):
            continue  # what it was to go with belongs to another order
        plan = _put_together(members, settings, read)
        # a repeat lies under the name of its ticket's file, but was set aside under that of the order it repeats
        names = {key, group_key(plan.folder, plan.key)}
        arriving = not table.arriving.isdisjoint(names) or ticket_key(key) in table.tickets_arriving
        arriving = arriving or (key in designs_arriving and not plan.repeat and _is_for_designs(members))
        seen = [table.accepted[name] for name in sorted(names) if name in table.accepted]
        overruled = not table.overruled.isdisjoint(names)
        plan = replace(plan, arriving=plan.arriving or arriving, overruled=overruled)
        plans.append(replace(plan, accepted=bool(seen), seen=seen[0] if seen else ()))
    return tuple(plans)


def _waits_in_held(found: Found) -> bool:
    return found.earlier is not None and found.earlier.use in (EarlierUse.MENDED, EarlierUse.AWAITED)


def _is_for_designs(members: Sequence[Found]) -> bool:
    """Whether it is a job ticket for numbered designs, or for nothing yet."""
    return all(found.is_ticket or found.design is not None for found in members)


def bundles(plans: Iterable[Planned]) -> list[tuple[Planned, ...]]:
    """Group orders that share a file, such as a ZIP of several: they must be taken together."""
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


def join_made(
    plans: Sequence[Planned],
    made_before: Callable[[GroupKey], MadeBefore | None],
    settings: Settings,
    read: Callable[[Found], bytes],
) -> tuple[Planned, ...]:
    """Complete orders that lack a side with the art of the archived order that was made without waiting for them.

    Args:
        plans: everything that `pair_sides` put together.
        made_before: gives the last order of a name when it was made so; else None.
        settings: as in `pair_sides`.
        read: as there.
    """
    late: dict[GroupKey, list[Planned]] = {}
    for plan in plans:
        for key in _may_complete(plan):
            late.setdefault(key, []).append(plan)
    joined: dict[int, tuple[Planned, ...]] = {}
    for key, parts in late.items():
        made = made_before(key)
        if made is None or any(id(part) in joined for part in parts):
            continue
        newer = [_as_design_of(found, made) for part in parts for found in _founds(part)]
        whole = with_made(newer, partial(_try_with, made, settings, read))
        if whole is not None:
            joined |= {id(part): () for part in parts} | {id(parts[0]): (whole,)}
    return tuple(one for plan in plans for one in joined.get(id(plan), (plan,)))


def _try_with(
    made: MadeBefore, settings: Settings, read: Callable[[Found], bytes], members: Sequence[Found]
) -> Planned:
    return _try(list(members), settings, read, made)


def _may_complete(plan: Planned) -> Iterator[GroupKey]:
    """The names of orders in the archive that may lack it."""
    if plan.fault or plan.arriving or plan.repeat or plan.earlier_pieces or not plan.pieces:
        return
    key = group_key(plan.folder, plan.key)
    if plan.missing:
        yield key
    base = ticket_key(key)
    if base is not None and not any(found.is_ticket for found in plan.beside):
        yield base


def _founds(plan: Planned) -> tuple[Found, ...]:
    of_pieces = {id(piece.found): piece.found for piece in plan.pieces}
    return (*of_pieces.values(), *plan.beside)


def _as_design_of(found: Found, made: MadeBefore) -> Found:
    base = ticket_key(("", found.parts.key))
    is_design = base is not None and base[1] == made.key and not found.is_ticket
    split = split_number(found.parts.key) if is_design else None
    return replace(found, design=split[1]) if split else found


def _put_together(members: list[Found], settings: Settings, read: Callable[[Found], bytes]) -> Planned:
    newer = [found for found in members if found.is_newer]
    if not newer or len(newer) == len(members):
        return _try(members, settings, read)
    earlier = [found for found in members if not found.is_newer]
    return with_earlier(newer, earlier, lambda finds: _try(list(finds), settings, read))


def _try(
    members: list[Found], settings: Settings, read: Callable[[Found], bytes], made: MadeBefore | None = None
) -> Planned:
    art = [found for found in members if not found.is_ticket]
    tickets = [found for found in members if found.is_ticket]
    of_ticket = tickets and art and art[0].design is not None  # numbered designs go by the name of their ticket
    first = min(
        tickets if of_ticket else art or tickets,
        key=lambda found: (found.parts.side is not Side.FRONT, found.file.name),
    )
    bare = Planned(name=first.parts.order, key=first.parts.key, folder=first.file.folder, beside=tuple(members))
    if made is not None:
        bare = replace(bare, name=made.name, key=made.key)
    try:
        return _plan(bare, art, tickets, settings, read, made)
    except OrderHeld as held:
        return replace(bare, fault=str(held))
    except OSError:
        return replace(bare, arriving=True)  # gone or locked at this moment; the next look asks again


def _plan(
    bare: Planned,
    art: list[Found],
    tickets: list[Found],
    settings: Settings,
    read: Callable[[Found], bytes],
    made: MadeBefore | None = None,
) -> Planned:
    _refuse_faulty_names([*art, *tickets])
    tickets, old_tickets = _newest_tickets(tickets)
    ticket = _only_ticket(tickets, settings, read) if tickets or made is None else made.ticket
    if ticket.repeat is not None:
        return _repeated(bare, ticket, ticket.repeat, art, tickets)
    card = _card_of(bare, ticket, settings)
    there, superseded = _pieces(art, card, ticket, read, made)
    pieces, copies = one_a_side(there, read)
    art = list({id(piece.found): piece.found for piece in there}.values())
    lack = what_is_lacking(pieces, sides_wanted(card), art, ticket)
    wishes = replace(
        ticket.wishes,
        card=card.name,
        sheet=_sheet_of(card, ticket, settings),
        quantity=_asked(art, ticket, tickets) or card.quantity,
        quantity_from_card=_asked(art, ticket, tickets) is None,
        overs=ticket.wishes.overs or _overs_of(card, pieces),
    )
    return replace(
        bare,
        wishes=wishes,
        pieces=tuple(pieces),
        beside=(*tickets, *copies),
        missing=lack.missing or None,
        lacks=lack.words,
        open_ended=is_open_ended(art, ticket),
        superseded=(*superseded, *old_tickets),
    )


def _overs_of(card: CardSettings, pieces: Sequence[Piece]) -> Overs:
    """The card's overs; of several designs not in sheets, for a sheet more of each form is many times what is meant."""
    is_of_several = len(design_numbers(pieces)) > 1
    return NO_OVERS if is_of_several and card.overs.kind is OversKind.SHEETS else card.overs


def _newest_tickets(tickets: list[Found]) -> tuple[list[Found], list[Found]]:
    """The job tickets that count, and those of an earlier try in whose place a newer one has come."""
    newer = [found for found in tickets if found.is_newer]
    return (newer, [found for found in tickets if not found.is_newer]) if newer else (tickets, [])


def _pieces(
    art: list[Found], card: CardSettings, ticket: Ticket, read: Callable[[Found], bytes], made: MadeBefore | None
) -> tuple[list[Piece], tuple[Found, ...]]:
    """What each find is; and the finds of an earlier try in whose place newer ones have come."""
    newer = [found for found in art if found.is_newer]
    earlier = [found for found in art if not found.is_newer]
    if not newer or not (earlier or made):
        return pieces_of(art, card, ticket), ()
    fresh = pieces_of(newer, card, ticket)
    old = [*(pieces_of(earlier, card, ticket) if earlier else ()), *(made.pieces if made else ())]
    kept, dropped = supersede(fresh, old, read)
    return [*fresh, *kept], tuple(piece.found for piece in dropped)


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


def _repeated(bare: Planned, ticket: Ticket, repeat: Repeat, art: list[Found], tickets: list[Found]) -> Planned:
    """An order that is made again out of the archive; what it is, is looked up there when it is made."""
    if art:
        raise OrderHeld(
            f"{tickets[0].shown} asks to repeat {repeat.order}, but there is art beside it: {art[0].shown}. Leave out"
            " the art, or take repeat out of the ticket."
        )
    # it is made singly, so that it waits for none, and on the card and in the sequence of the first time
    wishes = replace(ticket.wishes, quantity=_asked(art, ticket, tickets) or 0, now=False, sequence=None)
    if repeat.sheets_only is not None and wishes.quantity:
        raise OrderHeld(f"{tickets[0].shown} asks for cards and for sheets_only. Leave one of them out.")
    return replace(
        bare,
        name=repeat.order,
        key=compare_key(repeat.order),
        wishes=wishes,
        beside=tuple(tickets),
        repeat=repeat,
    )


def _card_of(bare: Planned, ticket: Ticket, settings: Settings) -> CardSettings:
    name = ticket.wishes.card or bare.folder or settings.defaults.card
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
    asked = ticket.wishes.sheet
    if not asked:
        return card.sheet
    by_case = {name.casefold(): name for name in settings.sheets}
    name = asked if asked in settings.sheets else by_case.get(asked.casefold())
    if name is None:
        known = ", ".join(sorted(settings.sheets))
        raise OrderHeld(f"The job ticket asks for the sheet {asked!r}; the settings have {known}.")
    return name


def _asked(art: list[Found], ticket: Ticket, tickets: list[Found]) -> int | None:
    """The quantity that file names and job ticket ask for, or None."""
    asked = {found.parts.quantity: found.shown for found in [*art, *tickets] if found.parts.quantity is not None}
    if ticket.wishes.quantity:
        asked.setdefault(ticket.wishes.quantity, tickets[0].shown if tickets else "its ticket in the archive")
    if len(asked) > 1:
        said = ", ".join(f"{name} says {quantity}" for quantity, name in asked.items())
        raise OrderHeld(f"The quantities differ: {said}. Make them the same, or leave one out.")
    return next(iter(asked), None)


def _both(found: Sequence[Found]) -> str:
    return " and ".join(one.shown for one in found[:2])


def common_art(card: CardSettings) -> Mapping[Side, Path]:
    """Give the files of art that every order of a card shares, by side."""
    common = {Side.FRONT: card.common_front, Side.BACK: card.common_back}
    return {side: path for side, path in common.items() if path is not None and (card.sides == 2 or side is Side.FRONT)}
