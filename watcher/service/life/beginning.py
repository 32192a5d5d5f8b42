"""Begin an order whose turn has come, and deal with the worker's answer to it."""

from dataclasses import replace

from watcher.errors import OrderHeld
from watcher.orders.claim import drop_taking
from watcher.outbox.publish import still_there
from watcher.records.journal import Entry
from watcher.records.order_life import Event
from watcher.records.trouble import WorkerTrouble
from watcher.service.life.announcing import log_line
from watcher.service.life.cases import NOTHING, Next, OrderCase, known
from watcher.service.life.job_for import job_for_order, job_for_repeat
from watcher.service.life.journal_writing import WORKER_DEATHS
from watcher.service.life.making import Making
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.work.answer import Answer, held_answer
from watcher.work.gang_model import Examination, Examined
from watcher.work.job import Made

# -- what is done before a row is looked for ---------------------------------------------------------------------------


def check_folders(making: Making, case: OrderCase) -> OrderCase:
    """Make sure that the folders are there.

    Raises:
        OSError: one of them is not.
    """
    making.shop.roots.check()
    return case


def count_worker_death(making: Making, case: OrderCase) -> OrderCase:
    """Count the death of a worker against the art that it was at work on.

    Raises:
        OSError: the journal cannot be written now.
    """
    art, how = known(case.job).order_sha256, known(case.answer).died or ""
    return replace(case, deaths=making.journal.count_worker_death(art, case.order.name, how))


# -- conditions --------------------------------------------------------------------------------------------------------


def is_repeat(_making: Making, case: OrderCase) -> bool:
    """Whether the order repeats one of the archive."""
    return case.order.repeat is not None


def is_same_art_in_outbox(making: Making, case: OrderCase) -> bool:
    """Whether sheets of the very same art still lie in the outbox; a repeat is made all the same."""
    return case.order.repeat is None and _same(making.shop, known(case.job).order_sha256) is not None


def _same(shop: Shop, art: str) -> Entry | None:
    made = shop.journal.finished_with_fingerprint(art)
    return next((entry for entry in made if still_there(shop.outbox, entry.in_outbox)), None)


def shares_sheets(making: Making, case: OrderCase) -> bool:
    """Whether the order may share sheets with others."""
    return making.runs.kind(case.order) is not None


def is_first_death(_making: Making, case: OrderCase) -> bool:
    """Whether a worker may try the art once more."""
    return case.deaths < WORKER_DEATHS


def is_paused(making: Making, _case: OrderCase) -> bool:
    """Whether there is a pause."""
    return making.paused is not None


# -- actions: out to a worker ------------------------------------------------------------------------------------------


def prepare(making: Making, case: OrderCase) -> Next:
    """Put together what a worker is told of an order with art of its own."""
    try:
        job = job_for_order(case.order, making.shop, making.name_for)
    except OrderHeld as held:
        return not_possible(case, held)
    return [(replace(case, job=job), Event.PREPARED)]


def prepare_repeat(making: Making, case: OrderCase) -> Next:
    """Put together what a worker is told of an order of the archive."""
    try:
        order, job = job_for_repeat(case.order, known(case.order.repeat), making.shop, making.name_for)
    except OrderHeld as held:
        return not_possible(case, held)
    return [(replace(case, claimed=order, job=job), Event.PREPARED)]


def not_possible(case: OrderCase, held: OrderHeld) -> Next:
    """Have an order held that cannot even be prepared."""
    return [(replace(case, answer=held_answer(held)), Event.NOT_POSSIBLE)]


def drop_same(making: Making, case: OrderCase) -> Next:
    """Remove the files of an order whose sheets still lie in the outbox."""
    order, art = case.order, known(case.job).order_sha256
    same = known(_same(making.shop, art))
    making.journal.write(making.journal.entry(order, case.then, folder=same.folder, art=art))
    reached(Step.SAME)
    log_line(making.shop, f"{order.name}: the same art again; its sheets still lie in the outbox ({same.in_outbox})")
    drop_taking(making.shop.archive, order.number)
    reached(Step.DROPPED)
    making.journal.end(order.number)
    return NOTHING


def make(making: Making, case: OrderCase) -> Next:
    """Give an order to a worker, to be made."""
    _begin(making, case, known(case.job))
    return NOTHING


def examine(making: Making, case: OrderCase) -> Next:
    """Give an order to a worker that opens and checks its art."""
    _begin(making, case, Examination(job=known(case.job)))
    return NOTHING


def _begin(making: Making, case: OrderCase, message: object) -> None:
    job = known(case.job)
    making.journal.write(making.journal.entry(case.order, case.then, folder=job.name, art=job.order_sha256))
    reached(Step.BEGUN)
    assert case.worker is not None
    case.worker.start(replace(case, worker=None), message)


# -- back from a worker ------------------------------------------------------------------------------------------------


def answered(case: OrderCase, answer: Answer) -> tuple[OrderCase, Event]:
    """Give the event that a worker's answer is."""
    case = replace(case, answer=answer)
    if isinstance(answer.result, Made):
        return replace(case, made=answer.result), Event.MADE
    if isinstance(answer.result, Examined):
        return case, Event.EXAMINED
    if answer.trouble is not None:
        return replace(case, error=WorkerTrouble(answer.trouble)), Event.DISK_FAILED
    return case, Event.REFUSED if answer.held else Event.WORKER_DIED
