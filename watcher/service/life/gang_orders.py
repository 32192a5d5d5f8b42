"""Begin a run of orders whose time has come, and deal with the worker's answer to it."""

from dataclasses import replace

from watcher.errors import OrderHeld
from watcher.orders.model import Order
from watcher.records.order_life import Event
from watcher.records.trouble import WorkerTrouble
from watcher.service.life.beginning import answered, not_possible
from watcher.service.life.cases import Case, Next, RunCase, case_of, known
from watcher.service.life.gang_waiting import drop_run, let_wait_again, queue_singly
from watcher.service.life.job_for import job_for_order
from watcher.service.life.making import Making
from watcher.steps import Step, reached
from watcher.work.answer import Answer
from watcher.work.gang_model import RunMade, RunSpoiled
from watcher.work.job import Job


def check_folders(making: Making, case: RunCase) -> RunCase:
    """Make sure that the folders are there.

    Raises:
        OSError: one of them is not.
    """
    making.shop.roots.check()
    return case


# -- conditions --------------------------------------------------------------------------------------------------------


def has_nobody_to_share_with(making: Making, case: RunCase) -> bool:
    """Whether the orders are made singly all the same."""
    return len(case.orders) < 2 or making.runs.kind(case.orders[0]) is None


def saves_nothing(_making: Making, case: RunCase) -> bool:
    """Whether a worker found that sharing saves no sheet."""
    return not known(case.made).words


# -- actions: out to a worker ------------------------------------------------------------------------------------------


def make_run(making: Making, case: RunCase) -> Next:
    """Give a run to a worker; orders that cannot be made are held."""
    members, refused = _members(making, case.orders)
    if len(members) < 2:
        queue_singly(making, [order for order, _ in members])
        return refused
    orders = tuple(order for order, _ in members)
    run = making.runs.job_for(members, making.is_taken)
    for order, job in members:
        entry = making.journal.entry(order, case.then, folder=job.name, art=job.order_sha256, run=run.run)
        making.journal.write(entry)
    reached(Step.RUN_BEGUN)
    assert case.worker is not None
    case.worker.start(replace(case, orders=orders, worker=None, job=run, run=run.run), run)
    return refused


def _members(making: Making, orders: tuple[Order, ...]) -> tuple[list[tuple[Order, Job]], Next]:
    """The orders that can be made, each under a name of its own; and what happens to the others."""
    members: list[tuple[Order, Job]] = []
    refused: list[tuple[Case, Event]] = []
    try:
        for order in orders:
            try:
                members.append((order, job_for_order(order, making.shop, making.name_for)))
                making.reserved.add(members[-1][1].name)
            except OrderHeld as held:
                refused += not_possible(case_of(order), held)
    finally:
        making.reserved.clear()
    return members, refused


# -- back from a worker ------------------------------------------------------------------------------------------------


def run_answered(case: RunCase, answer: Answer) -> tuple[RunCase, Event]:
    """Give the event that a worker's answer to a run is."""
    case = replace(case, answer=answer)
    if isinstance(answer.result, RunMade):
        return replace(case, made=answer.result), Event.RUN_MADE
    if isinstance(answer.result, RunSpoiled):
        return case, Event.RUN_SPOILED
    if answer.trouble is not None:
        return replace(case, error=WorkerTrouble(answer.trouble)), Event.RUN_DISK_FAILED
    return case, Event.RUN_NOT_MADE


def leave_out(making: Making, case: RunCase) -> Next:
    """Make the orders singly that save nothing by sharing; the run of the others is delivered."""
    shares = {order.number for order in case.sharing}
    queue_singly(making, [order for order in case.orders if order.number not in shares])
    reached(Step.RUN_MADE)
    return [(replace(case, orders=case.sharing), Event.RUN_DELIVERY_DUE)]


def handle_spoiled(making: Making, case: RunCase) -> Next:
    """Treat an order whose art cannot be used as if it had been made alone; the others wait for another run."""
    spoiled: RunSpoiled = known(case.answer).result
    order, job = case.order(spoiled.order)
    drop_run(case)
    let_wait_again(making, (other for other in case.orders if other is not order))
    return [answered(replace(case_of(order), job=job), spoiled.answer)]
