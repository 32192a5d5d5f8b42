"""Report for `print-folder gang`: which orders wait for others, what would be made of them now, and what that saves."""

import sqlite3
from collections.abc import Iterator
from datetime import datetime

from watcher.errors import NoCardFits
from watcher.instructions.gang_words import saving_line
from watcher.orders.model import Order
from watcher.orders.quantity import counted
from watcher.records.journal import read_journal
from watcher.records.order_life import State
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_moment
from watcher.service.life.gang_pool import Moment, Pool
from watcher.settings.model import Settings
from watcher.settings.to_toml import SheetSetup
from watcher.status.gang_waiting import pool_of
from watcher.work.gang_kind import Kind
from watcher.work.gang_plan import Wanted, choose_orders

NOTHING = "No order waits for others to share its sheets with."


def lines_of_gang(settings: Settings, now: datetime) -> Iterator[str]:
    """List which orders wait to share sheets, in lines for people."""
    try:
        pool = _pool(settings, now)
    except (sqlite3.Error, OSError, ValueError) as error:
        notes = settings.folders.state.name
        yield f"What waits cannot be read ({one_line(str(error))}): the notes in {notes} are damaged."
        return
    latest = pool.latest(settings, Moment(steady=0.0, wall=now))
    if not len(pool):
        yield NOTHING
    for kind, orders in pool.groups(settings).items():
        until = say_moment(max(latest[orders[0].number], now), now)
        wait = "waits" if len(orders) == 1 else "wait"
        yield f"{counted(len(orders), 'order')} {wait} for {kind.sheet}; made by {until} at the latest."
        for order in orders:
            due = f", due {order.wishes.due}" if order.wishes.due else ""
            yield f"  {one_line(order.name)}: {counted(order.wishes.quantity, 'card')}{due}"
        yield from (f"  {line}" for line in _made_now(orders, kind, settings))


def _pool(settings: Settings, now: datetime) -> Pool:
    journal = read_journal(settings.folders.state)
    if journal is None:
        return Pool()
    try:
        return pool_of([entry.number for entry in journal.in_state(State.SHARING)], settings, now)
    finally:
        journal.close()


def _made_now(orders: tuple[Order, ...], kind: Kind, settings: Settings) -> Iterator[str]:
    wanted = [Wanted(order=order.name, wishes=order.wishes) for order in orders]
    try:
        _, choice = choose_orders(wanted, _shaping(orders[0], kind, settings))
    except NoCardFits as unfit:
        yield f"Made now: none. {unfit}"
        return
    yield f"Made now: {saving_line(choice)}"
    if choice.ganged:
        together, singly = (
            ", ".join(one_line(orders[order].name) for order in some) for some in (choice.ganged, choice.singly)
        )
        yield f"Together: {together}." + (f" Singly: {singly}." if singly else "")


def _shaping(order: Order, kind: Kind, settings: Settings) -> SheetSetup:
    sheet = settings.sheets[kind.sheet]
    return SheetSetup(
        card=settings.cards[order.wishes.card],
        sheet=sheet,
        printer=settings.printer_for(sheet),
        cutter=settings.cutter_for(sheet),
    )
