"""Queue an order: as it comes, once more, or alone because it may be what the service died of."""

from dataclasses import replace

from loguru import logger

from watcher.outbox.product import building_folder, drop_product
from watcher.outbox.publish import TakenTooSoon
from watcher.records.plain_text import one_line
from watcher.records.trouble import WorkerTrouble, is_of_the_disk, say_trouble
from watcher.service.life.cases import NOTHING, Next, OrderCase, known
from watcher.service.life.holding import files_of
from watcher.service.life.making import Making
from watcher.steps import Step, reached

STARTS = 5  # an order with which the service itself dies so many times in a row is held
STARTS_OF_A_RUN = 2  # one of a run is made singly before

_ABOUT_ONE_ORDER = (WorkerTrouble, TakenTooSoon)  # what a file that has taken a worker over can bring about


# -- conditions --------------------------------------------------------------------------------------------------------


def has_fault(_making: Making, case: OrderCase) -> bool:
    """Whether the order is to be held for a fault."""
    return bool(case.claimed and case.claimed.fault)


def is_not_the_disk(_making: Making, case: OrderCase) -> bool:
    """Whether an error is about one file alone."""
    return isinstance(case.error, OSError) and not is_of_the_disk(case.error)


def is_its_own_trouble(making: Making, case: OrderCase) -> bool:
    """Whether what a worker says of the disk can be about this order alone: it said so before, and others went on."""
    before = making.troubled.get(case.number)
    return isinstance(case.error, _ABOUT_ONE_ORDER) and before is not None and before < making.finished


def is_first_death_in_a_run(_making: Making, case: OrderCase) -> bool:
    """Whether the service died over a run only once: a power cut, most likely."""
    return bool(known(case.entry).run) and case.deaths < STARTS_OF_A_RUN


def died_too_often(_making: Making, case: OrderCase) -> bool:
    """Whether the service died over the order so often that it is held."""
    return case.deaths >= STARTS


# -- actions -----------------------------------------------------------------------------------------------------------


def queue(making: Making, case: OrderCase) -> Next:
    """Queue an order by its due date, and write so."""
    making.queue.add(case.order)
    making.journal.remember(making.journal.entry(case.order, case.then))
    reached(Step.QUEUED)
    return NOTHING


def queue_again(making: Making, case: OrderCase) -> Next:
    """Queue an order by its due date once more."""
    making.queue.add(case.order)
    return NOTHING


def queue_first(making: Making, case: OrderCase) -> Next:
    """Queue an order before all others."""
    making.queue.add_again(case.order)
    return NOTHING


def queue_first_and_pause(making: Making, case: OrderCase) -> Next:
    """Queue an order before all others; it is its turn when disk, rights and mounts are well again.

    What a worker says may be a lie of the file that took it over: where others wait, one of them is tried at once.
    """
    assert isinstance(case.error, OSError)
    drop_product(building_folder(making.shop.archive, case.number))  # nobody is at work on it now
    others = making.in_trouble() - {case.number}
    if isinstance(case.error, _ABOUT_ONE_ORDER):
        making.note_trouble([case.number])
    is_doubtful = isinstance(case.error, WorkerTrouble) and bool(making.queue) and not (others or making.paused)
    making.queue.add_again(case.order)
    if is_doubtful:
        logger.warning("{order}: {why}", order=one_line(case.order.name), why=one_line(say_trouble(case.error)))
    else:
        making.journal.pause(case.error)
    return NOTHING


def hold_for_trouble(making: Making, case: OrderCase) -> Next:
    """Queue an order to be held with what stood in its way; others were finished meanwhile."""
    assert isinstance(case.error, OSError)
    drop_product(building_folder(making.shop.archive, case.number))
    reason = (
        f"{files_of(case.order)} could not be made twice while other orders could: {say_trouble(case.error)}. When that"
        " is set right, move this folder back into the inbox."
    )
    making.queue.add_again(replace(case.order, fault=reason))
    return NOTHING


def hold_next(making: Making, case: OrderCase) -> Next:
    """Log a fault of the program over one order, and queue the order to be held; other orders continue."""
    _log_fault(case)
    kind = type(case.error).__name__
    reason = f"An internal fault ({kind}) kept this order from being made; service.log has more."
    making.queue.add_again(replace(case.order, fault=reason))
    return NOTHING


def leave(_making: Making, case: OrderCase) -> Next:
    """Log a fault over an order that is left as it is: its note tells the next start what is left to do."""
    _log_fault(case)
    logger.error("order {number} stays as it is until the next start", number=case.number)
    return NOTHING


def _log_fault(case: OrderCase) -> None:
    logger.opt(exception=case.error).error("order {number} broke down", number=case.number)


def queue_to_be_held(making: Making, case: OrderCase) -> Next:
    """Queue an order to be held: the service died over it again and again."""
    making.shop.journal.clear_deaths(known(case.entry).art)
    fault = f"The program died {STARTS} times while it made this order ({files_of(case.order)})."
    return queue(making, replace(case, claimed=replace(case.order, fault=fault)))


def queue_alone(making: Making, case: OrderCase) -> Next:
    """Queue an order before all others and make it alone, for it may be what the service died of."""
    entry = known(case.entry)
    if entry.run:
        making.runs.singly.add(case.number)
    making.journal.remember(making.journal.entry(case.order, case.then, art=entry.art))
    making.tried_alone.add(case.number)
    making.queue.add_again(case.order)
    return NOTHING
