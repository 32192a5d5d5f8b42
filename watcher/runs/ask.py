"""`print-folder gang`: what waits for others, what would be made of it now, and what that saves."""

from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime

from watcher.errors import NoCardFits
from watcher.orders.model import Order
from watcher.orders.quantity import counted
from watcher.outbox.status_words import say_moment
from watcher.records.journal import State, read_journal
from watcher.records.plain_text import one_line
from watcher.runs.keeping import WORD
from watcher.runs.plan import RunPlan, Wanted, plan_run
from watcher.runs.pool import Moment, Pool
from watcher.runs.share import Kind
from watcher.runs.waiting import pool_of
from watcher.settings.model import Settings
from watcher.settings.written import Shaping

NOTHING = "No order waits for others to share its sheets with."


def lines_of_gang(settings: Settings, now: datetime) -> Iterator[str]:
    """What waits, in lines for people.

    Raises:
        PrintFolderError: a newer version of this program has written the journal.
    """
    pool = _pool(settings, now)
    latest = pool.latest(settings, Moment(steady=0.0, wall=now))
    if not len(pool):
        yield NOTHING
    for kind, orders in pool.groups(settings).items():
        until = say_moment(max(latest[orders[0].number], now), now)
        wait = "waits" if len(orders) == 1 else "wait"
        yield f"{counted(len(orders), 'order')} {wait} for {kind.sheet}; made by {until} at the latest."
        for order in orders:
            due = f", due {order.due}" if order.due else ""
            yield f"  {one_line(order.name)}: {counted(order.quantity, 'card')}{due}"
        yield f"  Made now: {_made_now(orders, kind, settings)}"


def make_now(settings: Settings) -> None:
    """Leave word that what waits now is to be made now; who holds the lock sees it at the next look."""
    (settings.folders.state / WORD).touch()


def _pool(settings: Settings, now: datetime) -> Pool:
    journal = read_journal(settings.folders.state)
    if journal is None:
        return Pool()
    try:
        return pool_of([entry.number for entry in journal.in_state(State.SHARING)], settings, now)
    finally:
        journal.close()


def _made_now(orders: tuple[Order, ...], kind: Kind, settings: Settings) -> str:
    plan = None
    with suppress(NoCardFits):  # each is held with that reason when it is made
        plan = _plan(orders, kind, settings)
    if plan is None:
        return "each singly, for sharing saves no sheet."
    names = [one_line(one.order) for one in plan.ganged]
    said = (
        f"{', '.join(names[:-1])} and {names[-1]} share {counted(sum(plan.sheets), 'sheet')},"
        f" {plan.saved} fewer than singly ({plan.saved_percent:.0f} %)."
    )
    alone = ", ".join(one_line(one.order) for one in plan.singly)
    return f"{said} Made singly: {alone}." if alone else said


def _plan(orders: tuple[Order, ...], kind: Kind, settings: Settings) -> RunPlan | None:
    sheet = settings.sheets[kind.sheet]
    shaping = Shaping(
        card=settings.cards[orders[0].card],
        sheet=sheet,
        printer=settings.printer_for(sheet),
        cutter=settings.cutter_for(sheet),
    )
    return plan_run([Wanted(order=order.name, quantity=order.quantity, overs=order.overs) for order in orders], shaping)
