"""Finished runs: delivered now or, after a pause, later; or undone, so that their orders wait for another."""

from loguru import logger

from watcher.orders.model import Order
from watcher.orders.quantity import counted
from watcher.outbox.product import drop_product
from watcher.outbox.publish import NameTaken, TakenTooSoon, make_sure_of_room
from watcher.outbox.run_folder import deliver_run
from watcher.records.plain_text import one_line
from watcher.service.delivery import MADE_AGAIN, ROBBED, Delivery
from watcher.service.gang_runs import RunTask
from watcher.service.gang_waiting import Sharing
from watcher.service.in_hand import InHand
from watcher.service.journal_writing import Book
from watcher.service.returning import WRITTEN_TO, Back
from watcher.service.shop import Shop
from watcher.steps import Step, reached
from watcher.work.gang_model import RunMade


class RunDelivery:
    """Delivers runs; each of their orders is finished as one that was made singly."""

    def __init__(
        self, shop: Shop, in_hand: InHand, *, book: Book, back: Back, delivery: Delivery, sharing: Sharing
    ) -> None:
        self._shop, self._runs, self._book = shop, in_hand.runs, book
        self._back, self._delivery, self._sharing = back, delivery, sharing
        self._robbed = 0  # runs in a row whose product was taken away

    def deliver(self, task: RunTask, made: RunMade) -> bool:
        """Deliver, now or later; False when it is to be tried again."""
        orders = [task.order(name)[0] for name in made.words]
        try:
            self._shop.roots.check()
            spoiled = [order for order in orders if self._back.was_written_to(order)]
            if spoiled:
                self._undo(task, orders, spoiled)
            elif self._runs.is_lost(task, made, orders):
                return self._share_again(task, orders)
            else:
                make_sure_of_room(made.product, archive=self._shop.archive, outbox=self._shop.outbox)
                self._deliver(task, made)
        except NameTaken:
            self._undo(task, orders, [])
        except OSError as error:
            if self._runs.is_lost(task, made, orders):
                return self._share_again(task, orders)
            self._runs.undelivered.insert(0, (task, made))
            self._book.pause(error)
            return False
        except Exception:
            logger.exception("the delivery of a run broke down; its orders are made singly")
            drop_product(task.told.building)
            self._sharing.make_singly(self._sharing.not_held(orders))
        return True

    def deliver_late(self) -> bool:
        """Try again what could not be delivered; False while that is still so."""
        while self._runs.undelivered:
            if not self.deliver(*self._runs.undelivered.pop(0)):
                return False
            self._book.go_on()
        return True

    def _share_again(self, task: RunTask, orders: list[Order]) -> bool:
        """A run whose product is not whole any more is made again; False when that happens again and again."""
        logger.warning("{run}: files were taken out of what was made; made again", run=one_line(task.told.run))
        drop_product(task.told.building)
        self._sharing.share_again(orders)
        self._robbed += 1
        if self._robbed % MADE_AGAIN:
            return True
        self._book.pause(TakenTooSoon(ROBBED.format(order=one_line(task.told.run), folder=self._shop.archive)))
        return False

    def _undo(self, task: RunTask, orders: list[Order], spoiled: list[Order]) -> None:
        """A run that cannot be delivered as it is goes; its orders wait for another."""
        drop_product(task.told.building)
        for order in spoiled:
            self._back.give_back(order, WRITTEN_TO)
        self._sharing.share_again(order for order in orders if order not in spoiled)

    def _deliver(self, task: RunTask, made: RunMade) -> None:
        entries = self._runs.entries(task, made)
        for entry in entries:
            self._book.write(entry)
        reached(Step.DELIVERING)
        deliver_run(task.folder_of(made), archive=self._shop.archive, outbox=self._shop.outbox)
        for entry in entries:
            self._delivery.finish(entry)
        self._robbed = 0
        sheets = f"{counted(made.sheets, 'sheet')} for {len(made.words)} orders instead of {made.single_sheets}"
        self._delivery.tell_run(task.told.run, sheets)
