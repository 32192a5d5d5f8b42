"""Plan one order from what lies under its name: its card and sheet, what each file is, what is wanted, what is missing.

What is unclear ends as a `Planned.fault` in one plain sentence with the way out.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from watcher.errors import NameUnclear, OrderHeld
from watcher.inbox.file_names import compare_key
from watcher.inbox.found import Found
from watcher.orders.asked import asked_day, asked_quantity
from watcher.orders.designs import is_open_ended, what_is_lacking
from watcher.orders.job_ticket import read_ticket
from watcher.orders.mended import MadeBefore, supersede
from watcher.orders.model import Piece, Planned, Repeat, Ticket, design_numbers
from watcher.orders.pieces import SideUnsaid, one_a_side, pieces_of, sides_wanted
from watcher.orders.readings import say_no_side
from watcher.settings.amounts import NO_OVERS, Overs, OversKind
from watcher.settings.card import CardSettings
from watcher.settings.model import Settings
from watcher.terms import Side

_MOST_FAULTS = 4  # names of one order that are said to be unclear; the others are counted


def plan_order(
    members: Sequence[Found], settings: Settings, read: Callable[[Found], bytes], made: MadeBefore | None = None
) -> Planned:
    """Plan the order of what lies under one name.

    Args:
        members: art and job tickets.
        settings: cards, sheets and side words.
        read: gives the bytes of a find; used for job tickets and for telling identical copies.
        made: the archived order that the art completes; None: there is none.
    """
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
    asked = asked_quantity(art, ticket, tickets)
    wishes = replace(
        ticket.wishes,
        card=card.name,
        sheet=_sheet_of(card, ticket, settings),
        quantity=asked or card.quantity,
        quantity_from_card=asked is None,
        overs=ticket.wishes.overs or _overs_of(card, pieces),
        due=asked_day(art, ticket, tickets),
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


def _both(found: Sequence[Found]) -> str:
    return " and ".join(one.shown for one in found[:2])


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
        quantity=asked_quantity(art, ticket, tickets) or 0,
        due=asked_day(art, ticket, tickets),
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
