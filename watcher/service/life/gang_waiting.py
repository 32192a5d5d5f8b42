"""Let orders wait for others to share sheets with, or have them made singly."""

from collections.abc import Iterable
from dataclasses import replace

from loguru import logger

from watcher.orders.claim import taking_folder
from watcher.orders.model import Order
from watcher.outbox.product import drop_product
from watcher.records.order_life import State
from watcher.records.plain_text import one_line
from watcher.records.trouble import WorkerTrouble
from watcher.service.life.cases import NOTHING, Next, OrderCase, RunCase, known
from watcher.service.life.making import Making
from watcher.steps import Step, reached


def is_its_own_trouble(making: Making, case: RunCase) -> bool:
    """Whether what a worker says of the disk can be about this run alone: it said so before, and others went on."""
    before = [making.troubled.get(order.number, making.finished) for order in case.orders]
    return isinstance(case.error, WorkerTrouble) and max(before, default=making.finished) < making.finished


def wait_for_others(making: Making, case: OrderCase) -> Next:
    """Let an order whose art is good wait for others to share its sheets with."""
    job = known(case.job)
    making.tried_alone.discard(case.number)
    drop_product(job.building)
    making.runs.let_wait(case.order)
    making.journal.remember(making.journal.entry(case.order, case.then, art=job.order_sha256))
    reached(Step.SHARING)
    return NOTHING


def share_again(making: Making, case: RunCase) -> Next:
    """Let the orders of a run that cannot be delivered as it is wait for another."""
    drop_run(case)
    let_wait_again(making, case.sharing)
    return NOTHING


def share_again_later(making: Making, case: RunCase) -> Next:
    """Pause; let the orders of a run that was not made wait for another."""
    assert isinstance(case.error, OSError)
    making.note_trouble([order.number for order in case.orders])
    share_again(making, case)
    making.journal.pause(case.error)
    return NOTHING


def make_singly(making: Making, case: RunCase) -> Next:
    """Make the orders of a run next, one by one."""
    _log_why(case)
    drop_run(case)
    queue_singly(making, case.sharing if case.error else case.orders)
    return NOTHING


def _log_why(case: RunCase) -> None:
    """Log what went wrong with the run, if anything did."""
    if case.error is not None:
        logger.opt(exception=case.error).error("a run broke down; its orders are made singly")
    elif case.answer is not None and case.answer.result is None:
        why = one_line(case.answer.died or " ".join(case.answer.held))
        logger.error("a run was not made, its orders are made singly: {why}", why=why)


def let_wait_again(making: Making, orders: Iterable[Order]) -> None:
    """Let orders wait for another run; what they have waited already counts."""
    for order in _unfinished(making, orders):
        making.runs.let_wait(order)
        entry = making.journal.latest(order.number)
        if entry is not None:
            making.journal.remember(replace(entry, state=State.SHARING, folder="", run=""))


def queue_singly(making: Making, orders: Iterable[Order]) -> None:
    """Queue orders before all others, in their order; they share with none."""
    for order in reversed(_unfinished(making, orders)):
        making.runs.singly.add(order.number)
        making.queue.add_again(order)


def drop_run(case: RunCase) -> None:
    """Remove what was made of a run."""
    if case.job is not None:
        drop_product(case.job.building)


def _unfinished(making: Making, orders: Iterable[Order]) -> list[Order]:
    """Those whose files have gone neither to held nor to the archive."""
    return [order for order in orders if not _has_ended(making, order)]


def _has_ended(making: Making, order: Order) -> bool:
    state = making.journal.state_of(order.number)
    is_archived = state is State.DELIVERING and not taking_folder(making.shop.archive, order.number).exists()
    return is_archived or state in (State.DONE, State.HELD)
