"""Complete an order that lacks a side with art of the archived order that was made without waiting for it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from watcher.inbox.found import Found
from watcher.inbox.name_parts import split_number
from watcher.orders.designs import ticket_key
from watcher.orders.mended import MadeBefore, with_made
from watcher.orders.model import GroupKey, Planned
from watcher.orders.planning import plan_order
from watcher.orders.readings import group_key
from watcher.settings.model import Settings


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
        whole = with_made(newer, partial(plan_order, settings=settings, read=read, made=made))
        if whole is not None:
            joined |= {id(part): () for part in parts} | {id(parts[0]): (whole,)}
    return tuple(one for plan in plans for one in joined.get(id(plan), (plan,)))


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
