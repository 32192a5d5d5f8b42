"""The loop: start, one step after the other, stop. Owns signals, threads and the clock."""

import multiprocessing.connection
import signal
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import datetime

from loguru import logger

from watcher.archive.forget import AT_A_TIME, Forgetting
from watcher.errors import ServiceStopped
from watcher.inbox.watch import FolderWatch, InboxWatch
from watcher.orders.model import Order
from watcher.outbox.finished import HURRY_S, LIMIT_S
from watcher.records.order_life import Event
from watcher.records.plain_text import one_line
from watcher.records.trouble import say_trouble
from watcher.service import systemd as supervisor
from watcher.service.assemble import open_making, open_shop
from watcher.service.life.cases import case_of
from watcher.service.life.executor import happen
from watcher.service.page import Page, PageUpdates
from watcher.service.pauses import Part
from watcher.service.printing.printing import Printing
from watcher.service.recovery import recover
from watcher.service.reread import Rereading, log_alignment_notes
from watcher.service.scheduling import Scheduling
from watcher.service.state_folder import StateFolder
from watcher.service.taking import Taking, TakingResult
from watcher.settings.model import Settings
from watcher.terms import Events
from watcher.work.workers import spare_worker_for

_NOTHING_SEEN = TakingResult(taken=(), to_look=(), waiting=(), left_alone=())
_SOONEST_S = 0.2  # between two looks at something that is being written
_SOONEST_RESCAN_S = 1.0  # `rescan = "0 s"` is allowed, a busy loop is not
_ALL = 1_000_000_000
_TROUBLE_S = 5.0  # between two tries while a folder is missing or full


class Service:
    """One print folder at work.

    Args:
        settings: as read at start.
        once: take what is complete now, finish it, stop.
        to_screen: whether events are also shown on standard error.
        page: what shows people how the print folder is; None: nothing does.
    """

    def __init__(self, settings: Settings, *, once: bool, to_screen: bool, page: Page | None = None) -> None:
        self._settings, self._once = settings, once
        self._page = PageUpdates(page)
        self._stopping = False
        self._hint, self._hinted = multiprocessing.Pipe(duplex=False)
        self._look_at = 0.0
        self._state = StateFolder(settings.folders, to_screen=to_screen)
        self._watch: InboxWatch | None = None
        self._renames: FolderWatch | None = None
        self._rereading = Rereading(settings)
        self._soonest_at = 0.0
        self._rebuild_at = 0.0
        self._ended_meanwhile = False  # while the inbox was looked at
        self._was_full = False  # the last scan found a long queue
        self._looked_on: datetime | None = None
        self.looked = _NOTHING_SEEN

    def came_to(self) -> Iterator[str]:
        """What one run of `once` came to, line by line."""
        if stopped := self.trouble or self.making.paused:
            yield f"Stopped: {stopped}"
        yield f"{self.making.made} made, {self.making.held} held, {len(self.looked.waiting)} waiting."
        for entry in (*self.shop.log.written, *self.looked.waiting):
            yield f"  {entry}"

    @property
    def trouble(self) -> str | None:
        """Why nothing can be taken out of the inbox, or None."""
        return self.shop.pauses.why(Part.TAKING)

    @property
    def commands_s(self) -> float:
        """How long the shop's own commands under way may go on once there is nothing else to do."""
        return HURRY_S if self._stopping else LIMIT_S

    # -- start, stop -----------------------------------------------------------------------------------------------

    def start(self) -> None:
        """Make ready: folders, lock, journal, left-overs of a crash, events.

        Raises:
            ServiceStopped: folders cannot be made or used, nobody has said yes to where they are, a sync program would
            spoil `state`, or another instance is at work.
        """
        try:
            self.shop = open_shop(self._settings, self._state)
        except ServiceStopped:
            self._let_go()
            raise
        self.printing = Printing(self.shop)
        self.shop.on_made = self.printing.made
        self.making = open_making(self.shop, once=self._once)
        self.scheduling = Scheduling(self.making, spare_worker_for(self._settings.service))
        self._taking = Taking(self.shop, once=self._once)
        self._forgetting = Forgetting(self._settings.folders)
        try:
            recover(self.shop, self._taking.claiming, self.making)
        except OSError as error:
            self.stop()
            raise ServiceStopped(f"What the last run left could not be finished: {say_trouble(error)}.") from error
        if not self._once and self._settings.service.events is Events.NATIVE:
            self._watch = InboxWatch(self.shop.inbox, self.wake, self.shop.log.add)
            self._watch.start()
            self._renames = FolderWatch(self.shop.outbox, self.wake)
            self._renames.start()
        log_alignment_notes(self.shop)
        self._rereading.mind_trust(self.shop)
        supervisor.tell("READY=1")
        logger.info("at work on {folder}", folder=one_line(str(self._settings.folder)))

    def stop(self) -> None:
        """Let go of everything. Orders that were not begun stay taken and are made after the next start."""
        supervisor.tell("STOPPING=1")
        if self._watch is not None:
            self._watch.stop()
        if self._renames is not None:
            self._renames.stop()
        self.scheduling.stop(self.commands_s)
        self.printing.stop()
        self._show(at_work=False)
        self.shop.rebuilding.close()
        self.shop.journal.close()
        self._let_go()

    def _let_go(self) -> None:
        self._hint.close()
        self._hinted.close()
        self._state.close()

    def wake(self) -> None:
        """Look at the inbox soon. May be called from any thread."""
        with suppress(OSError):  # the service has stopped meanwhile
            if not self._hint.poll():
                self._hinted.send_bytes(b"!")

    def ask_to_stop(self) -> None:
        """Finish what workers have begun, then stop."""
        self._stopping = True
        self.wake()

    # -- the loop --------------------------------------------------------------------------------------------------

    def mind_signals(self) -> None:
        """Take SIGTERM and SIGINT for the wish to stop; before the start too, which may take a while after a crash."""
        for name in (signal.SIGTERM, signal.SIGINT):
            signal.signal(name, lambda _number, _frame: self.ask_to_stop())

    def run(self) -> None:
        """Go on until asked to stop (or, with `once`, until nothing is left to do)."""
        self.mind_signals()
        try:
            while not self._is_finished():
                self.step(time.monotonic())
                if not self._is_finished():
                    self.wait()
            while self._once and self.shop.rebuilding.is_for_journal and self._may_rebuild(time.monotonic()):
                self._rebuild()
                supervisor.tell("WATCHDOG=1")
            if self._once and not self._stopping:
                self._forget(time.monotonic(), _ALL)
        finally:
            self.stop()

    def step(self, now: float) -> None:
        """One round: a look at the inbox when it is time, then answers in, tasks out."""
        self.shop.log.catch_up()
        self._state.mind(self.shop, self._taking.claiming)
        if self.making.paused:
            with suppress(OSError):  # then it is still paused
                self._state.mind_the_journal(self.shop, self._taking.claiming)
        ended = self.scheduling.step(start_new=not self._stopping)
        if self._was_full and self.making.has_room:
            self._look_at, self._was_full = now, False
        if not self._once and not self.trouble and self._taking.has_changed():
            self._look_at = min(self._look_at, self._soonest_at)  # behind a long queue, events come late
        if self._may_look and now >= self._look_at:
            self._look(now)
            ended = self.scheduling.step(start_new=True) or ended or self._ended_meanwhile
            self._ended_meanwhile = False
        if ended and self.looked.blocked and not self.trouble:
            self._look_at = now
        ended = self._print() or ended
        if self._may_rebuild(now):
            self._rebuild()
        if ended or self._page.is_due(self.shop, self._looked_on):
            self._show(at_work=True)
        if self.scheduling.is_idle and not self._stopping:
            self._forget(now)
        supervisor.tell("WATCHDOG=1")

    def _print(self) -> bool:
        """Go on with what goes to printers; whether anything changed. A service that is to stop begins nothing new."""
        return not self._stopping and self.printing.step(time.monotonic())

    def _may_rebuild(self, now: float) -> bool:
        """Whether there is something of before to read, and it is time to."""
        return not self._stopping and now >= self._rebuild_at and self.shop.rebuilding.has_more

    def _rebuild(self) -> None:
        """Read a little of what was made before, for a journal that was lost and for the lists."""
        if self.shop.rebuilding.is_for_journal:
            self._page.ask()  # it says how far that is
        try:
            self.shop.rebuilding.step()
        except OSError as error:
            logger.warning("what was made before cannot be read again yet: {why}", why=say_trouble(error))
            self._rebuild_at = time.monotonic() + _TROUBLE_S

    def _forget(self, now: float, most: int = AT_A_TIME) -> None:
        """Let the archive forget what is older than the shop wants to keep."""
        try:
            self.shop.roots.check()
            for order in self._forgetting.step(self.shop.settings.service.keep, self.shop.now(), now, most):
                self.shop.log.add(f"{order.folder}: made {order.made_at[:10]}; the archive forgets it now (keep)")
        except OSError as error:
            logger.warning("the archive could not forget: {why}", why=say_trouble(error))

    @property
    def _may_look(self) -> bool:
        """Whether the inbox is looked at; behind a long queue too, for what is due sooner than its last."""
        return not self._stopping and (self.making.has_room or not self._once)

    def _show(self, *, at_work: bool) -> None:
        """Bring the status page up to date."""
        looks, notes = self.scheduling.inspections.known, self._rereading.notes
        self._page.update(self.shop, self._looked_on, looks, notes, at_work=at_work)

    def wait(self) -> None:
        """Sleep until a worker answers, something may have changed, or it is time to look."""
        now = time.monotonic()
        times = [self.scheduling.next_step_in(now), None if self._stopping else self.printing.next_in(now)]
        if self._may_look:
            times.append(self._look_at - now)
        if self._page.due_at is not None:
            times.append(self._page.due_at - now)
        if self.shop.rebuilding.has_more:
            times.append(self._rebuild_at - now)
        if (period := supervisor.watchdog_s()) is not None:
            times.append(period / 2)
        timeout = min((time_s for time_s in times if time_s is not None), default=None)
        ready = multiprocessing.connection.wait(
            [self._hint, *self.scheduling.pipes(), *self.printing.pipes], None if timeout is None else max(0.0, timeout)
        )
        if self._hint in ready:
            while self._hint.poll():
                self._hint.recv_bytes()
            # While paused, our own retries move files and would wake us again; so would every order that is taken
            # behind a long queue, where `step` sees from the folders whether anything has come.
            if not self.trouble and not self._was_full:
                self._look_at = min(self._look_at, self._soonest_at)

    def _is_finished(self) -> bool:
        if self._stopping:
            return not self.making.has_busy_worker
        if not self._once:
            return False
        if self.making.paused:
            return not self.making.has_busy_worker
        is_idle = self.scheduling.is_idle and self.printing.is_settled
        return is_idle and bool(self.trouble or self._look_at == float("inf"))

    # -- looking ---------------------------------------------------------------------------------------------------

    def _look(self, now: float) -> None:
        """Scan the inbox, take what is complete, and settle when to scan next."""
        began = time.monotonic()
        self._rereading.reload_if_changed(self.shop)
        watched = self._watch.check(now) if self._watch is not None else True
        try:
            self._state.mind_the_journal(self.shop, self._taking.claiming)
            self._was_full = not self.making.has_room
            before = self.making.queue.last_due if self._was_full else None
            self.scheduling.more_to_come = True
            looked = self._taking.take(
                self.scheduling.inspections.known, self.making.busy_keys(), now, before, self._pass_on
            )
        except ServiceStopped:
            raise
        except OSError as error:
            self._look_again_after(say_trouble(error), now)
            return
        except Exception as error:  # a fault of ours: orders in the queue go on, and the next scan may see other things
            logger.exception("the look at the inbox broke down")
            self._look_again_after(f"an internal fault ({type(error).__name__}); see service.log", now)
            return
        self.scheduling.inspections.want(looked.to_look, looked.present)
        is_resting = self._once and looked.resting_in_s is not None
        self.scheduling.more_to_come = looked.more or bool(looked.to_look) or is_resting
        self.looked, self._looked_on = looked, self.shop.now()
        if looked.trouble:
            self._look_again_after(looked.trouble, now)
            if looked.more and looked.taken:  # one order that cannot be taken does not keep the others
                self._look_at = now
        else:
            self.shop.pauses.end(Part.TAKING)
            self._look_at = now + self._next_look_in(looked, watched=watched)
        # thousands of hints in a row: at most half of the time goes into looking
        self._soonest_at = 2 * time.monotonic() - began

    def _pass_on(self, orders: Sequence[Order], more: bool) -> None:
        """Queue orders that were just taken; the workers are kept busy while more are being taken."""
        for order in orders:
            happen(self.making, case_of(order), Event.CLAIMED)
        if more:
            self._ended_meanwhile = self.scheduling.step(start_new=True) or self._ended_meanwhile

    def _look_again_after(self, trouble: str, now: float) -> None:
        self.scheduling.more_to_come = False
        self.shop.pauses.begin(Part.TAKING, trouble)
        self._look_at = now + _TROUBLE_S

    def _next_look_in(self, looked: TakingResult, *, watched: bool) -> float:
        if looked.more and not self._was_full:
            return 0.0
        resting = max(_SOONEST_S, looked.resting_in_s) if looked.resting_in_s is not None else None
        if self._once:
            return resting if resting is not None else float("inf")
        rescan = max(_TROUBLE_S if self.making.paused else _SOONEST_RESCAN_S, self.shop.settings.service.rescan)
        times = [resting, looked.waiting_in_s, rescan if watched else min(_TROUBLE_S, rescan)]
        return min(time_s for time_s in times if time_s is not None)
