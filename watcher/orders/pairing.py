"""Pair fronts and backs: put what lies under one name together as an order, without guessing."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from watcher.inbox.found import Found
from watcher.orders.designs import awaits_designs, draw_together, ticket_key
from watcher.orders.mended import with_earlier
from watcher.orders.model import GroupKey, Planned
from watcher.orders.planning import plan_order
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
from watcher.settings.model import Settings
from watcher.terms import EarlierUse, Side

_SIDES = tuple(map(str, Side))


@dataclass(frozen=True, kw_only=True)
class Table:
    """What pairing works on.

    Attributes:
        found: everything usable that has rested, from the inbox and from orders held earlier.
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
        # a repeat lies under the name of its ticket's file, but was held under that of the order it repeats
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


def _put_together(members: list[Found], settings: Settings, read: Callable[[Found], bytes]) -> Planned:
    newer = [found for found in members if found.is_newer]
    if not newer or len(newer) == len(members):
        return plan_order(members, settings, read)
    earlier = [found for found in members if not found.is_newer]
    return with_earlier(newer, earlier, partial(plan_order, settings=settings, read=read))


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
