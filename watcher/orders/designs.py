"""Group numbered files as the designs of one order: `ORDER_01_front`, `ORDER_02_front`, … beside `ORDER.toml`.

Without a ticket numbered names are orders of their own. A ticket draws them together when it has no art under its own
name, asks for no repeat, and they have no ticket of theirs.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from watcher.errors import OrderHeld
from watcher.inbox.found import Found
from watcher.inbox.name_parts import split_number
from watcher.orders.job_ticket import read_ticket
from watcher.orders.model import DESIGNS, GroupKey, Piece, Ticket, refuse_unknown_designs, show_numbers
from watcher.terms import Side


@dataclass(frozen=True, kw_only=True)
class Lack:
    """What is missing from an order: `missing` as in `Planned`, and the same in words."""

    missing: str
    words: str | None = None


NOTHING = Lack(missing="")


def ticket_key(key: GroupKey) -> GroupKey | None:
    """Give the name of the job ticket that a numbered name could belong to; None for a name without a number."""
    split = split_number(key[1])
    return (key[0], split[0]) if split else None


def draw_together(groups: dict[GroupKey, list[Found]], read: Callable[[Found], bytes]) -> None:
    """Move numbered names to the group of their ticket, each find with its number.

    Args:
        groups: what lies under each name; changed in place.
        read: gives the bytes of a find.
    """
    drawing: dict[GroupKey, bool] = {}
    for key in list(groups):
        base = ticket_key(key)
        if base is None or base not in groups or any(found.is_ticket for found in groups[key]):
            continue
        if base not in drawing:
            drawing[base] = _draws(groups[base], read)
        if drawing[base]:
            split = split_number(key[1])
            assert split is not None
            groups[base] += [replace(found, design=split[1]) for found in groups.pop(key)]


def _draws(members: Sequence[Found], read: Callable[[Found], bytes]) -> bool:
    """Whether what lies under a name is a job ticket that may have numbered designs."""
    if not all(found.is_ticket for found in members):
        return False
    try:
        return all(read_ticket(read(found), found.shown, (), any_card=True).repeat is None for found in members)
    except (OrderHeld, OSError):
        return True  # a ticket with a fault holds all that it is for


def awaits_designs(arriving: Iterable[GroupKey]) -> frozenset[GroupKey]:
    """The names of tickets for which a numbered file is still being written."""
    return frozenset(base for key in arriving if (base := ticket_key(key)) is not None)


def is_open_ended(art: Sequence[Found], ticket: Ticket, wanted: Sequence[Side]) -> bool:
    """Whether more designs may come and nothing says how many: the files are numbered, and the ticket is silent.

    So too for numbered pages in a folder that may still be filled, where each is a card; `now` in its name ends that.
    """
    if ticket.designs is not None or ticket.wishes.only or any(found.parts.now for found in art):
        return False
    many_a_page = len(wanted) == 1 or ticket.in_turn
    pages = (found for found in art if found.container is not None and found.member is None and found.is_numbered)
    return any(found.design is not None for found in art) or (many_a_page and any(pages))


def what_is_lacking(pieces: Sequence[Piece], wanted: Sequence[Side], art: Sequence[Found], ticket: Ticket) -> Lack:
    """Find what has not arrived yet.

    Raises:
        OrderHeld: there are more designs than the ticket says, or fewer where no more can come, or not the one asked
            for.
    """
    if not art:
        return Lack(missing="art")
    there = _by_design(pieces)
    comes_by_file = any(found.design is not None for found in art)
    if not comes_by_file and not ticket.designs and len(there) == 1:
        _refuse_only(ticket, there)
        return _one_card(next(iter(there.values())), wanted)
    if ticket.designs is not None:
        _refuse_wrong_number(ticket.designs, len(there), art, whole=not comes_by_file)
    if ticket.wishes.only and not comes_by_file:
        _refuse_only(ticket, there)
    return _many(there, wanted, ticket)


def _by_design(pieces: Sequence[Piece]) -> dict[int, set[Side]]:
    there: dict[int, set[Side]] = {}
    for piece in pieces:
        there.setdefault(piece.design, set()).add(piece.side)
    return there


def _refuse_only(ticket: Ticket, there: Mapping[int, set[Side]]) -> None:
    refuse_unknown_designs(ticket.wishes.only, sorted(there))


def _one_card(there: set[Side], wanted: Sequence[Side]) -> Lack:
    missing = next((side for side in wanted if side not in there), None)
    return NOTHING if missing is None else Lack(missing=str(missing))


def _refuse_wrong_number(said: int, found: int, art: Sequence[Found], *, whole: bool) -> None:
    if found > said or (whole and found < said):
        raise OrderHeld(
            f"{art[0].file.name} and what belongs to it make {found} design{'' if found == 1 else 's'}, but the job"
            f" ticket says designs = {said}. Correct the ticket, or put the right art beside it."
        )


def _many(there: Mapping[int, set[Side]], wanted: Sequence[Side], ticket: Ticket) -> Lack:
    numbers, only = range(min(there), max(there) + 1), ticket.wishes.only
    gaps = list(only or numbers)
    gaps = [number for number in gaps if number not in there]
    short = 0 if ticket.designs is None or only else ticket.designs - len(there) - len(gaps)
    if short > 0 and numbers[0] == 1:
        gaps += range(numbers[-1] + 1, numbers[-1] + 1 + short)
        short = 0
    said = [f"{show_numbers(gaps)} {_is(len(gaps))} missing"] if gaps else []
    if short > 0:
        said.append(f"{short} more {_is(short)} missing")
    for side in wanted:
        bare = [number for number in sorted(there) if side not in there[number]]
        if bare and (not only or set(bare) & set(only)):
            said.append(f"the {side} of {show_numbers(bare)} {_is(1)} missing")
    return Lack(missing=DESIGNS, words="; ".join(said)) if said else NOTHING


def _is(number: int) -> str:
    return "is" if number == 1 else "are"
