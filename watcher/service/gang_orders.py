"""Orders on shared sheets: a run given to a worker when its time has come, and what is done about the answer."""

from collections.abc import Callable

from loguru import logger

from watcher.errors import OrderHeld
from watcher.orders.model import Order
from watcher.outbox.product import drop_product
from watcher.records.journal import State
from watcher.records.plain_text import one_line
from watcher.records.trouble import WorkerTrouble
from watcher.service.gang_runs import RunTask
from watcher.service.gang_waiting import Sharing
from watcher.service.holding import Aside
from watcher.service.in_hand import InHand, OrderTask
from watcher.service.job_for import job_for_order
from watcher.service.journal_writing import Book
from watcher.service.run_delivery import RunDelivery
from watcher.service.shop import Shop
from watcher.service.single import Single
from watcher.steps import Step, reached
from watcher.work.answer import Answer
from watcher.work.cluster import AnyWorker
from watcher.work.gang_kind import Kind
from watcher.work.gang_model import RunMade, RunSpoiled
from watcher.work.job import Job


class Shared:
    """Has orders made that share sheets."""

    def __init__(
        self,
        shop: Shop,
        in_hand: InHand,
        *,
        book: Book,
        aside: Aside,
        single: Single,
        sharing: Sharing,
        delivery: RunDelivery,
    ) -> None:
        self._shop, self._in_hand, self._runs, self._book = shop, in_hand, in_hand.runs, book
        self._aside, self._single, self._sharing, self._delivery = aside, single, sharing, delivery

    # -- out to a worker -------------------------------------------------------------------------------------------

    def give(self, worker: AnyWorker, is_coming: Callable[[Kind], bool]) -> bool:
        """Give a worker the run whose time has come; False when there is none, or when all must wait.

        Args:
            worker: an idle one.
            is_coming: whether orders that may share with those that wait are on their way.
        """
        if self._book.paused or self._in_hand.alone:
            return False
        orders = self._runs.ready(is_coming)
        if len(orders) < 2 or self._runs.kind(orders[0]) is None:
            self._sharing.make_singly(orders)
            return bool(orders)
        try:
            self._shop.roots.check()
            self._begin(worker, orders)
        except OSError as error:
            self._sharing.share_again(self._sharing.not_held(orders))
            self._book.pause(error)
            return False
        except Exception:
            logger.exception("a run broke down; its orders are made singly")
            self._sharing.make_singly(self._sharing.not_held(orders))
        finally:
            self._in_hand.reserved.clear()
        return True

    def _begin(self, worker: AnyWorker, orders: tuple[Order, ...]) -> None:
        members = self._members(orders)
        if len(members) < 2:
            self._sharing.make_singly([order for order, _ in members])
            return
        run = self._runs.told(members, self._in_hand.is_taken)
        for order, job in members:
            self._book.write(self._book.entry(order, State.MAKING, folder=job.name, art=job.order_sha256, run=run.run))
        reached(Step.RUN_BEGUN)
        worker.start(RunTask(orders=tuple(order for order, _ in members), told=run), run)

    def _members(self, orders: tuple[Order, ...]) -> list[tuple[Order, Job]]:
        """Those that can be made, each under a name of its own; the others are set aside."""
        members: list[tuple[Order, Job]] = []
        for order in orders:
            try:
                members.append((order, job_for_order(order, self._shop, self._in_hand.name_for)))
                self._in_hand.reserved.add(members[-1][1].name)
            except OrderHeld as held:
                self._aside.hold(order, (str(held),))
        return members

    # -- back from a worker ----------------------------------------------------------------------------------------

    def take(self, task: RunTask, answer: Answer) -> bool:
        """Do what the answer to a run asks for; False when disk, rights or mounts stood in the way."""
        made = answer.result
        if isinstance(made, RunMade):
            return self._take_made(task, made)
        drop_product(task.told.building)
        if isinstance(made, RunSpoiled):
            order, job = task.order(made.order)
            self._sharing.share_again(other for other in task.orders if other is not order)
            return self._single.take(OrderTask(order=order, job=job), made.answer)
        if answer.trouble is not None:
            self._sharing.share_again(task.orders)
            self._book.pause(WorkerTrouble(answer.trouble))
            return False
        why = answer.died or " ".join(answer.held)
        logger.error("a run was not made, its orders are made singly: {why}", why=one_line(why))
        self._sharing.make_singly(task.orders)
        return True

    def _take_made(self, task: RunTask, made: RunMade) -> bool:
        shares = {task.told.numbers[name] for name in made.words}
        self._sharing.make_singly([order for order in task.orders if order.number not in shares])
        if not shares:
            return True
        reached(Step.RUN_MADE)
        return self._delivery.deliver(task, made)
