"""Pair fronts and backs: put what lies under one name together as an order, without guessing.

What is unclear ends as a `Planned.fault` in one plain sentence with the way out.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path

from watcher.errors import NameUnclear, OrderHeld
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
from watcher.orders.pieces import SideUnsaid, one_a_side, pieces_of, sides_wanted
from watcher.orders.readings import (
    OTHER,
    alike_names,
    group_by_name,
    group_key,
    name_in_common,
    others_like,
    say_missing,
    say_no_side,
)
from watcher.records.timestamps import local_now, moment_of_ns, parse_timestamp
from watcher.settings.model import CardSettings, Settings
from watcher.settings.values import NO_OVERS, Overs, OversKind
from watcher.terms import EarlierUse, Side

_SIDES = tuple(map(str, Side))
_MOST_FAULTS = 4  # names of one order that are said to be unclear; the others are counted


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
    groups = group_by_name(table.found, settings)
    draw_together(groups, read)
    alike_in = alike_names(groups)
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
        if plan.missing in _SIDES:
            like = others_like(key, OTHER[Side(plan.missing)], groups, alike_in)
            plan = replace(plan, hint=_hint(plan, like, settings))
        seen = [table.accepted[name] for name in sorted(names) if name in table.accepted]
        overruled = not table.overruled.isdisjoint(names)
        plan = replace(plan, arriving=plan.arriving or arriving, overruled=overruled)
        plans.append(replace(plan, accepted=bool(seen), seen=seen[0] if seen else ()))
    return tuple(_join_unsaid(plans, settings))


def _hint(plan: Planned, likely: Sequence[Found], settings: Settings) -> str:
    """Under which name the side that is missing is sure to be found; `likely` is art of that side that may be meant."""
    there = next((piece.found for piece in plan.pieces), None)
    return "" if there is None else say_missing(Side(plan.missing or ""), there, likely, settings.names)


def _join_unsaid(plans: Sequence[Planned], settings: Settings) -> Iterator[Planned]:
    """Hold two pictures that say no side and look like the two sides of one card together, with one sentence."""
    alone = [plan for plan in plans if plan.unsaid and len(plan.beside) == 1 and not plan.accepted]
    like: dict[object, list[Planned]] = {}
    for plan in alone:
        like.setdefault((plan.folder, name_in_common(plan.unsaid[0])), []).append(plan)
    joined: dict[int, Planned | None] = {}
    for one, *others in like.values():
        if len(others) == 1:
            fault = say_no_side([one.unsaid[0], others[0].unsaid[0]], [], settings.names)
            joined[id(one)] = replace(one, beside=(*one.beside, *others[0].beside), fault=fault)
            joined[id(others[0])] = None
    yield from (kept for each in plans if (kept := joined.get(id(each), each)) is not None)


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
    bare = Planned(
        name=first.parts.order,
        key=first.parts.key,
        folder=first.file.folder,
        beside=tuple(members),
        came_in=first.container.name if first.container else "",
    )
    if made is not None:
        bare = replace(bare, name=made.name, key=made.key)
    try:
        return _plan(bare, art, tickets, settings, read, made)
    except SideUnsaid as held:
        unsaid = tuple(found for found in art if found.parts.side is None and not found.is_numbered) or held.found
        beside = [found for found in art if found not in unsaid]
        fault = say_no_side(unsaid[:2], beside, settings.names)
        return replace(bare, fault=fault, fault_code=held.code, unsaid=unsaid)
    except OrderHeld as held:
        return replace(bare, fault=str(held), fault_code=held.code)
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
    asked = _asked(art, ticket, tickets)
    wishes = replace(
        ticket.wishes,
        card=card.name,
        sheet=_sheet_of(card, ticket, settings),
        quantity=asked or card.quantity,
        quantity_from_card=asked is None,
        overs=ticket.wishes.overs or _overs_of(card, pieces),
        due=_due(art, ticket, tickets),
        now=ticket.wishes.now or any(found.parts.now for found in [*art, *tickets]),
    )
    return replace(
        bare,
        wishes=wishes,
        pieces=tuple(pieces),
        beside=(*tickets, *copies),
        missing=lack.missing or None,
        lacks=lack.words,
        open_ended=is_open_ended(art, ticket, sides_wanted(card)),
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
    if faults := [found.parts.fault for found in members if found.parts.fault]:
        more = len(faults) - _MOST_FAULTS
        and_more = (f"The names of {more} more are like these.",) if more > 0 else ()
        raise NameUnclear(" ".join((*(f"{fault}." for fault in faults[:_MOST_FAULTS]), *and_more)))
    for found in members:
        if found.parts.bare_side or not found.parts.key:
            raise NameUnclear(
                f"{found.shown} names no order. Name it ORDER_front or ORDER_back, with the order's name in front; or"
                " put the front and the back into a folder that has the order's name."
            )


def _only_ticket(tickets: list[Found], settings: Settings, read: Callable[[Found], bytes]) -> Ticket:
    if not tickets:
        return Ticket()
    different = {read(found): found for found in tickets}
    if len(different) > 1:
        raise NameUnclear(f"There are two different job tickets, {_both(list(different.values()))}. Keep one of them.")
    return read_ticket(read(tickets[0]), tickets[0].shown, tuple(settings.cards))


def _repeated(bare: Planned, ticket: Ticket, repeat: Repeat, art: list[Found], tickets: list[Found]) -> Planned:
    """An order that is made again out of the archive; what it is, is looked up there when it is made."""
    if art:
        raise OrderHeld(
            f"{tickets[0].shown} asks to repeat {repeat.order}, but there is art beside it: {art[0].shown}. Leave out"
            " the art, or take repeat out of the ticket."
        )
    # it is made singly, so that it waits for none, and on the card and in the sequence of the first time
    wishes = replace(
        ticket.wishes,
        quantity=_asked(art, ticket, tickets) or 0,
        due=_due(art, ticket, tickets),
        now=False,
        sequence=None,
    )
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
        raise NameUnclear(f"The quantities differ: {said}. Make them the same, or leave one out.")
    return next(iter(asked), None)


def _due(art: list[Found], ticket: Ticket, tickets: list[Found]) -> date | None:
    """The day that names and job ticket say, or None."""
    said = {_day_of(found): found.shown for found in [*art, *tickets] if found.parts.due is not None}
    if ticket.wishes.due is not None:
        said.setdefault(ticket.wishes.due, tickets[0].shown if tickets else "its ticket in the archive")
    if len(said) > 1:
        days = ", ".join(f"{name} says {day.isoformat()}" for day, name in said.items())
        raise NameUnclear(f"The days on which the cards are due differ: {days}. Make them the same, or leave one out.")
    return next(iter(said), None)


def _day_of(found: Found) -> date:
    """The day that a name says; without a year the next one after the file came, or was held before."""
    assert found.parts.due is not None
    since = parse_timestamp(found.earlier.since) if found.earlier else None
    arrived_ns = max(found.file.identity.ctime_ns, found.container.arrived_ns if found.container else 0)
    came = since or moment_of_ns(arrived_ns)
    return found.parts.due.on_or_after(came.date() if came else local_now().date())


def _both(found: Sequence[Found]) -> str:
    return " and ".join(one.shown for one in found[:2])


def common_art(card: CardSettings) -> Mapping[Side, Path]:
    """Give the files of art that every order of a card shares, by side."""
    common = {Side.FRONT: card.common_front, Side.BACK: card.common_back}
    return {side: path for side, path in common.items() if path is not None and (card.sides == 2 or side is Side.FRONT)}
