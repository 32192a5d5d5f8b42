"""The loop: start, one step after the other, stop. Owns signals, threads and the clock."""

import errno
import multiprocessing.connection
import os
import signal
import sqlite3
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import IO, Protocol

from loguru import logger

from watcher.archive.forget import AT_A_TIME, Forgetting
from watcher.archive.rebuild_journal import open_or_rebuild
from watcher.archive.rebuilding import Rebuilding
from watcher.errors import ServiceStopped
from watcher.inbox.inside import Inside
from watcher.inbox.scan import Identity
from watcher.inbox.watch import FolderWatch, InboxWatch
from watcher.orders.model import Order
from watcher.orders.recover import highest_number
from watcher.outbox.finished import HURRY_S, LIMIT_S
from watcher.records.health import Health
from watcher.records.journal import Journal, JournalTrouble
from watcher.records.local_disk import network_kind
from watcher.records.log import EventLog, set_up_service_log
from watcher.records.machine import this_machine
from watcher.records.order_life import Event
from watcher.records.plain_text import one_line
from watcher.records.timestamps import local_now
from watcher.records.trouble import say_trouble
from watcher.service import systemd as supervisor
from watcher.service.life.cases import case_of
from watcher.service.life.executor import happen
from watcher.service.life.gang_pool import Pool
from watcher.service.life.gang_runs import Runs
from watcher.service.life.journal_writing import JournalWriting
from watcher.service.life.making import Making
from watcher.service.lock import take_lock
from watcher.service.memory_budget import MemoryBudget
from watcher.service.pauses import Part, Pauses
from watcher.service.printing.printing import Printing
from watcher.service.recovery import recover
from watcher.service.reread import Rereading, log_alignment_notes
from watcher.service.roots import Roots
from watcher.service.scheduling import Scheduling
from watcher.service.shop import Shop
from watcher.service.synced import refuse_synced_state
from watcher.service.taking import Taking, TakingResult
from watcher.settings.model import Settings
from watcher.settings.trusted import check_places
from watcher.terms import Events
from watcher.work.limits import low_limits
from watcher.work.walls.missing import missing_walls
from watcher.work.workers import is_local, spare_worker_for, workers_for

_NOTHING_SEEN = TakingResult(taken=(), to_look=(), waiting=(), left_alone=())
_SOONEST_S = 0.2  # between two looks at something that is being written
_SOONEST_RESCAN_S = 1.0  # `rescan = "0 s"` is allowed, a busy loop is not
_ALL = 1_000_000_000
_TROUBLE_S = 5.0  # between two tries while a folder is missing or full


class Page(Protocol):
    """What shows people how the print folder is, brought up to date by the service."""

    def update(
        self,
        settings: Settings,
        health: Health,
        looks: Mapping[Identity, Inside | str],
        notes: tuple[str, ...] = (),
        *,
        has_outbox: bool,
        last: bool,
    ) -> float | None:
        """Bring it up to date.

        Args:
            settings: in force.
            health: of the service, as it knows itself.
            looks: insides of ZIP and PDF files that are known.
            notes: what is to be said beside what the folders show.
            has_outbox: whether the outbox is there.
            last: the service stops.

        Returns:
            Seconds until it wants to be called again even if nothing happens; None when it is up to date.
        """
        ...


class Service:
    """One print folder at work.

    Args:
        settings: as read at start.
        once: take what is complete now, finish it, stop.
        to_screen: whether events are also shown on standard error.
        page: what shows people how the print folder is; None: nothing does.
    """

    def __init__(self, settings: Settings, *, once: bool, to_screen: bool, page: Page | None = None) -> None:
        self._settings, self._once, self._to_screen, self._page = settings, once, to_screen, page
        self._stopping = False
        self._hint, self._hinted = multiprocessing.Pipe(duplex=False)
        self._look_at = 0.0
        self._lock: IO[str] | None = None
        self._watch: InboxWatch | None = None
        self._renames: FolderWatch | None = None
        self._rereading = Rereading(settings)
        self._soonest_at = 0.0
        self._rebuild_at = 0.0
        self._ended_meanwhile = False  # while the inbox was looked at
        self._was_full = False  # the last scan found a long queue
        self._looked_on: datetime | None = None
        self._shown: tuple[datetime | None, str | None] | None = None  # what the page was told last
        self._show_at: float | None = None
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
        folders = self._settings.folders
        try:
            check_places(self._settings)
            refuse_synced_state(self._settings)
            for folder in (folders.inbox, folders.outbox, folders.held, folders.archive, folders.state):
                folder.mkdir(parents=True, exist_ok=True)
            self._lock = take_lock(folders.state)
            journal = self._open_records(highest_number(folders.archive) + 1)
            rebuilding = Rebuilding(journal, folders)
        except (OSError, sqlite3.Error) as error:
            self._let_go()
            why = say_trouble(error) if isinstance(error, OSError) else _say_of_journal(error, folders.state)
            raise ServiceStopped(f"The print folder cannot be used: {why}.") from error
        except ServiceStopped:
            self._let_go()
            raise
        roots = Roots(folders)
        log = EventLog(folders.outbox / "log.txt", local_now, roots.has_outbox, self._public)
        self.shop = Shop(
            settings=self._settings,
            journal=journal,
            log=log,
            roots=roots,
            pauses=Pauses(log.add),
            rebuilding=rebuilding,
        )
        self.printing = Printing(self.shop)
        self.shop.on_made = self.printing.made
        runs = Runs(shop=self.shop, pool=Pool(in_haste=self._once))
        machine, journal_writing = this_machine(), JournalWriting(self.shop)
        workers = workers_for(self._settings.service, machine)
        budget = MemoryBudget(machine.memory_bytes, folders.archive) if is_local(self._settings.service) else None
        self.making = Making(shop=self.shop, workers=workers, runs=runs, journal=journal_writing, budget=budget)
        self.scheduling = Scheduling(self.making, spare_worker_for(self._settings.service))
        self._taking = Taking(self.shop, once=self._once)
        self._forgetting = Forgetting(folders)
        try:
            recover(self.shop, self._taking.claiming, self.making)
        except OSError as error:
            self.stop()
            raise ServiceStopped(f"What the last run left could not be finished: {say_trouble(error)}.") from error
        if not self._once and self._settings.service.events is Events.NATIVE:
            self._watch = InboxWatch(folders.inbox, self.wake, log.add)
            self._watch.start()
            self._renames = FolderWatch(folders.outbox, self.wake)
            self._renames.start()
        log_alignment_notes(self.shop)
        self._rereading.mind_trust(self.shop)
        supervisor.tell("READY=1")
        logger.info("at work on {folder}", folder=one_line(str(self._settings.folder)))

    def _public(self, text: str) -> str:
        return self.shop.public(text)

    def _open_records(self, first_number: int) -> Journal:
        """The journal, numbered from there on if it must be made again, and the service's own log beside it."""
        folders = self._settings.folders
        kind = network_kind(folders.state)
        if kind is not None:
            raise ServiceStopped(
                f"The folder state ({folders.state}) lies on a network drive ({kind}), where the notes of what was made"
                " can be damaged. Set [folders] state to a path on this computer's own disk."
            )
        set_up_service_log(folders.state, to_screen=self._to_screen)
        stamp = f"{local_now():%Y-%m-%dT%H:%M:%S}"
        return open_or_rebuild(folders.state, folders.archive, folders.held, stamp, first_number)

    def _mind_the_journal(self) -> None:
        """Make it again when somebody has deleted or damaged it; its folder may have gone with it, and the lock.

        Raises:
            OSError: it cannot be made now.
            AlreadyRunning: without the lock that was deleted, another instance has begun its work.
        """
        self.shop.roots.check()
        if self.shop.journal.is_well():
            return
        if self._lock is not None:
            self._lock.close()
        self._lock = take_lock(self.shop.state)
        self.shop.journal.close()
        self.shop.rebuilding.close()
        try:
            self.shop.journal = self._open_records(self._taking.claiming.next_number)
            self.shop.rebuilding = Rebuilding(self.shop.journal, self.shop.settings.folders)
        except sqlite3.Error as error:
            raise JournalTrouble(f"the notes of what was made cannot be written: {error}") from error
        claiming = self._taking.claiming
        claiming.next_number = max(claiming.next_number, self.shop.journal.last_number() + 1)
        logger.error("the notes of what was made were deleted or damaged; they were made again from the folders")

    def _mind_state(self) -> None:
        """Make the folder `state` again when somebody has deleted it, with what is in it, and go on."""
        try:
            if self.shop.roots.make_state_again():
                self._mind_the_journal()
                self.shop.log.add("the folder state was deleted while the program was running; it was made again")
        except OSError as error:
            logger.warning("the folder state cannot be made again: {why}", why=say_trouble(error))

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
        if self._lock is not None:
            self._lock.close()

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
        self._mind_state()
        if self.making.paused:
            with suppress(OSError):  # then it is still paused
                self._mind_the_journal()
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
        is_asked_for = self._show_at is not None and time.monotonic() >= self._show_at
        if ended or is_asked_for or self._shown != (self._looked_on, self.shop.pauses.first_reason):
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
        if self.shop.rebuilding.is_for_journal and self._show_at is None:
            self._show_at = time.monotonic()  # the page says how far it is
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
        self._shown = (self._looked_on, self.shop.pauses.first_reason)
        health = Health(at_work=at_work, last_scan=self._looked_on, paused=self.shop.pauses.first_reason)
        wait_s = None
        if self._page is not None:
            has_outbox, looks = self.shop.roots.has_outbox(), self.scheduling.inspections.known
            notes = (*filter(None, (missing_walls(),)), *self._rereading.notes)
            wait_s = self._page.update(
                self.shop.settings, health, looks, notes, has_outbox=has_outbox, last=not at_work
            )
        self._show_at = None if wait_s is None else time.monotonic() + wait_s

    def wait(self) -> None:
        """Sleep until a worker speaks, something may have changed, or it is time to look."""
        now = time.monotonic()
        times = [self.scheduling.next_step_in(now), None if self._stopping else self.printing.next_in(now)]
        if self._may_look:
            times.append(self._look_at - now)
        if self._show_at is not None:
            times.append(self._show_at - now)
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
            # in trouble our own vain tries, which move files, would call for the next one at once; and behind a long
            # queue every order that is taken: there `step` sees from the folders whether anything has come
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
            self._mind_the_journal()
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


def _say_of_journal(error: sqlite3.Error, state: Path) -> str:
    """Why the journal cannot be opened, for people: it itself does not say which right or limit stands in the way."""
    if not os.access(state, os.W_OK | os.X_OK):
        return say_trouble(PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(state / "journal")))
    return f"the notes of what was made cannot be opened: {error}{low_limits()}"
