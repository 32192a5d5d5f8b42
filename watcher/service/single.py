"""One order: given to a worker, or ended at once, and what is done about the worker's answer."""

from watcher.errors import OrderHeld
from watcher.orders.claim import drop_taking
from watcher.orders.model import Order
from watcher.outbox.publish import still_there
from watcher.records.journal import Entry, State
from watcher.records.trouble import WorkerTrouble
from watcher.service.announcing import Announcing
from watcher.service.delivery import Delivery
from watcher.service.gang_waiting import Sharing
from watcher.service.holding import Aside, files_of
from watcher.service.in_hand import InHand, OrderTask
from watcher.service.job_for import job_for_order, job_for_repeat
from watcher.service.journal_writing import Book
from watcher.service.returning import WRITTEN_TO, Back
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.work.answer import Answer
from watcher.work.cluster import AnyWorker
from watcher.work.gang_model import Examination, Examined
from watcher.work.job import Made


class Single:
    """Has orders made one by one; of those that may share sheets, has the art examined."""

    def __init__(
        self,
        shop: Shop,
        in_hand: InHand,
        *,
        book: Book,
        aside: Aside,
        back: Back,
        delivery: Delivery,
        sharing: Sharing,
        announcing: Announcing,
    ) -> None:
        self._shop, self._in_hand, self._book = shop, in_hand, book
        self._aside, self._back, self._delivery, self._sharing = aside, back, delivery, sharing
        self._announcing = announcing

    # -- out to a worker -------------------------------------------------------------------------------------------

    def give(self, worker: AnyWorker, order: Order) -> bool:
        """Give a worker an order whose turn it is; False when there was trouble and all must wait."""
        self._in_hand.line.take(order)
        try:
            self._shop.roots.check()
            self._begin(worker, order)
        except OSError as error:
            self._back.put_off(order, error)
            return False
        except Exception as error:
            self._aside.hold_for_fault(order, error)
        return True

    def _begin(self, worker: AnyWorker, order: Order) -> None:
        """Start an order, or end it at once: held, or the same as one that still lies in the outbox."""
        if order.fault:
            self._aside.hold(order, (order.fault,))
            return
        try:
            task = self._task(order)
        except OrderHeld as held:
            self._aside.hold(order, (str(held),))
            return
        art = task.job.order_sha256
        if task.order.repeat is None and (same := self._same(art)) is not None:
            self._drop_same(task.order, same, art)
            return
        self._book.write(self._book.entry(task.order, State.MAKING, folder=task.job.name, art=art))
        reached(Step.BEGUN)
        shares = self._in_hand.runs.kind(task.order) is not None
        worker.start(task, Examination(job=task.job) if shares else task.job)

    def _task(self, order: Order) -> OrderTask:
        if order.repeat is None:
            return OrderTask(order=order, job=job_for_order(order, self._shop, self._in_hand.name_for))
        resolved, job = job_for_repeat(order, order.repeat, self._shop, self._in_hand.name_for)
        return OrderTask(order=resolved, job=job)

    def _same(self, art: str) -> Entry | None:
        """The order of the same art whose sheets still lie in the outbox."""
        made = self._shop.journal.made_of(art)
        return next((entry for entry in made if still_there(self._shop.outbox, entry.in_outbox)), None)

    def _drop_same(self, order: Order, same: Entry, art: str) -> None:
        self._book.write(self._book.entry(order, State.SAME, folder=same.folder, art=art))
        reached(Step.SAME)
        self._announcing.log(f"{order.name}: the same art again; its sheets still lie in the outbox ({same.in_outbox})")
        drop_taking(self._shop.archive, order.number)
        reached(Step.DROPPED)

    # -- back from a worker ----------------------------------------------------------------------------------------

    def take(self, task: OrderTask, answer: Answer) -> bool:
        """Do what an answer asks for; False when disk, rights or mounts stood in the way."""
        try:
            return self._take(task, answer)
        except OSError as error:
            self._back.put_off(task.order, error)
            return False
        except Exception as error:
            self._aside.hold_for_fault(task.order, error)
            return True

    def deliver_made(self) -> bool:
        """Deliver what has been made, once the workers have their next orders; whether anything was delivered."""
        before = self._delivery.made
        while self._in_hand.undelivered and not self._book.paused:
            task, made = self._in_hand.undelivered.pop(0)
            try:
                self._delivery.deliver(task, made)
            except Exception as error:
                self._aside.hold_for_fault(task.order, error)
        return self._delivery.made > before

    def _take(self, task: OrderTask, answer: Answer) -> bool:
        order = task.order
        if isinstance(answer.result, Made):
            reached(Step.MADE)
            if self._book.paused:  # it tells whether the pause is over
                return self._delivery.deliver(task, answer.result)
            self._in_hand.undelivered.append((task, answer.result))
            return True
        if isinstance(answer.result, Examined):
            self._sharing.let_share(order, task.job)
            return True
        if answer.trouble is not None:
            self._back.put_off(order, WorkerTrouble(answer.trouble))
            return False
        if not answer.held and not self._book.broke_again(task.job.order_sha256, order.name, answer.died or ""):
            self._in_hand.line.add(order)
        elif not answer.soft and self._back.was_written_to(order, every_byte=True):
            self._back.give_back(order, WRITTEN_TO)
        elif answer.held:
            self._aside.hold_as_answered(task, answer)
        else:
            self._aside.hold(order, (f"{files_of(order)} cannot be opened safely ({answer.died}). Export it again.",))
        return True
