"""Deliver a finished run, now or after a pause; or undo it, so that its orders wait for another."""

from dataclasses import replace

from loguru import logger

from watcher.orders.claim import taking_folder
from watcher.orders.quantity import counted
from watcher.orders.say import earlier_words
from watcher.outbox.product import drop_others, is_whole
from watcher.outbox.publish import NameTaken, make_sure_of_room
from watcher.outbox.run_folder import deliver_run
from watcher.records.journal import Entry
from watcher.records.order_life import Event
from watcher.records.plain_text import one_line
from watcher.service.life.cases import NOTHING, Next, OrderCase, RunCase, case_of, known
from watcher.service.life.delivery import MADE_AGAIN, taken_too_soon
from watcher.service.life.gang_waiting import drop_run, let_wait_again
from watcher.service.life.making import Making
from watcher.service.life.returning import return_order, was_written_to
from watcher.steps import Step, reached

# -- conditions --------------------------------------------------------------------------------------------------------


def are_files_changed(making: Making, case: RunCase) -> bool:
    """Whether files of an order of the run were written to after they were taken."""
    return any(was_written_to(making, order) for order in case.sharing)


def is_run_made(_making: Making, case: RunCase) -> bool:
    """Whether the product of the run is finished."""
    return case.made is not None


def is_run_not_whole(making: Making, case: RunCase) -> bool:
    """Whether the folders are there, and no art has moved yet, but not all files of what was made are."""
    if case.made is None:
        return False
    unmoved = all(taking_folder(making.shop.archive, order.number).exists() for order in case.sharing)
    is_there = making.shop.roots.are_there() and unmoved
    return is_there and not is_whole(known(case.job).building, case.made.product)


# -- actions -----------------------------------------------------------------------------------------------------------


def deliver_whole_run(making: Making, case: RunCase) -> Next:
    """Move the art of all orders of a run to the archive, and its product to the outbox.

    Raises:
        OSError: disk or rights; nothing is lost.
    """
    made, shop = known(case.made), making.shop
    make_sure_of_room(made.product, archive=shop.archive, outbox=shop.outbox)
    drop_others(known(case.job).building, made.product)
    cases = [_delivered(making, case, name) for name in made.words]
    for one in cases:
        making.journal.write(known(one.entry))
    reached(Step.DELIVERING)
    try:
        deliver_run(case.folder(), archive=shop.archive, outbox=shop.outbox)
    except NameTaken:
        return [(case, Event.RUN_NAME_TAKEN)]
    making.runs_remade = 0
    words = f"{counted(made.sheets, 'sheet')} for {len(made.words)} orders instead of {made.single_sheets}"
    numbers = tuple(one.number for one in cases)
    return [
        *((one, Event.DELIVERED) for one in cases),
        (replace(case, numbers=numbers, words=words), Event.RUN_DELIVERED),
    ]


def _delivered(making: Making, case: RunCase, name: str) -> OrderCase:
    """One order of a run, with what the journal says of it before it is delivered."""
    order, job = case.order(name)
    made = known(case.made)
    entry: Entry = making.journal.entry(
        order,
        case.then,
        folder=name,
        art=job.order_sha256,
        sheets=made.sheets,
        says=f"{made.words[name]}{earlier_words(order)}",
        run=case.run,
    )
    return replace(case_of(order), entry=entry)


def deliver_run_later(making: Making, case: RunCase) -> Next:
    """Pause; the run is the next that is delivered."""
    assert isinstance(case.error, OSError)
    making.runs.undelivered.insert(0, replace(case, error=None))
    making.journal.pause(case.error)
    return NOTHING


def make_run_again(making: Making, case: RunCase) -> Next:
    """Let the orders of a run wait again whose product is not whole any more; pause when that happens repeatedly."""
    logger.warning("{run}: files were taken out of what was made; made again", run=one_line(case.run))
    drop_run(case)
    let_wait_again(making, case.sharing)
    making.runs_remade += 1
    if making.runs_remade % MADE_AGAIN == 0:
        making.journal.pause(taken_too_soon(case.run, making.shop))
    return NOTHING


def return_changed(making: Making, case: RunCase) -> Next:
    """Put the orders of a run back into the inbox whose files were written to; the others wait for another run."""
    drop_run(case)
    changed = [order for order in case.sharing if was_written_to(making, order)]
    let_wait_again(making, (order for order in case.sharing if order not in changed))
    return [following for order in changed for following in return_order(making, case_of(order))]
