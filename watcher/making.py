"""From taken orders to finished or held folders: hands orders to the workers and delivers what they bring back."""

import hashlib
import json
import os
from collections import Counter, deque
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from loguru import logger

from watcher.cluster import AnyWorker
from watcher.disk import free_name, sha256_of
from watcher.errors import OrderHeld
from watcher.in_force import in_force
from watcher.in_line import InLine
from watcher.inbox.file_names import compare_key
from watcher.inbox.scan import Identity, SeenFile
from watcher.intake.look import Inside
from watcher.intake.names import tidy_order_name
from watcher.job import Job, Made
from watcher.orders.claim import drop_taking, put_back, taking_folder
from watcher.orders.model import GroupKey, Order, Repeat
from watcher.orders.pairing import common_art, group_key
from watcher.orders.quantity import counted
from watcher.orders.recover import forget_note
from watcher.outbox.finished import FinishedCommands
from watcher.outbox.hold import hold
from watcher.outbox.publish import (
    NameTaken,
    building_folder,
    deliver,
    drop_product,
    is_taken,
    point_to_newer,
    sheet_files,
    still_there,
)
from watcher.outbox.run_folder import deliver_run
from watcher.pauses import Part, Patience
from watcher.records.archived import read_archived
from watcher.records.journal import Entry, State
from watcher.records.plain_text import one_line
from watcher.records.ticket import TICKET_SUFFIX, read_ticket_file
from watcher.repeat.bring import bring_art
from watcher.repeat.plan import plan_again
from watcher.runs.keeping import Runs, RunTask, kinds_of
from watcher.runs.model import Examination, Examined, RunMade, RunSpoiled
from watcher.runs.pool import Pool
from watcher.runs.share import Kind
from watcher.settings.model import CardSettings
from watcher.shop import Shop
from watcher.steps import Step, reached
from watcher.terms import HeldFor
from watcher.trouble import WorkerTrouble, is_for_want_of_room, is_of_the_disk, say_trouble
from watcher.workers import Answer, Look

_TRIES = 2  # a file that breaks its worker twice is set aside
_STARTS = 5  # an order with which the service itself dies so many times in a row is set aside
_WENT_BACK = 3  # an order whose files are written to while it is made goes back so many times, then it is set aside


@dataclass(frozen=True, kw_only=True)
class _Task:
    """An order that a worker has, with what it was told."""

    order: Order
    job: Job


class Making:
    """The queue, the workers and what becomes of their answers."""

    def __init__(self, shop: Shop, workers: Sequence[AnyWorker], *, in_haste: bool = False) -> None:
        self._shop = shop
        self._runs = Runs(shop=shop, pool=Pool(in_haste=in_haste))
        self._workers = workers
        self._queue = InLine()
        self._to_look: deque[SeenFile] = deque()
        self._undelivered: list[tuple[_Task, Made]] = []
        self._alone: set[int] = set()
        self._unwritten: list[Entry] = []
        self._patience = Patience([shop.outbox, shop.archive, shop.held, shop.state])
        self._may_start = True
        self._reserved: set[str] = set()  # names for the orders of a run that is about to begin
        self._tried: object = None  # what a worker was given to see whether the pause is over
        self._went_back: Counter[str] = Counter()
        self._went_well = 0  # tasks
        self._failed_looks: dict[Identity, int] = {}  # how many had gone well when this one failed last
        self._commands = FinishedCommands()
        self.looks: dict[Identity, Inside | str] = {}
        self.made = self.held = 0
        self.more_to_come = False  # whether the inbox holds more that is complete, or may be

    # -- what the service asks -------------------------------------------------------------------------------------

    @property
    def paused(self) -> str | None:
        """Why nothing can be made, or None."""
        return self._shop.pauses.why(Part.MAKING)

    @property
    def is_idle(self) -> bool:
        """Whether nothing is queued or in hand."""
        return not (self._queue or self._to_look or self._undelivered or self._runs.waiting) and not self.in_hand

    @property
    def in_hand(self) -> bool:
        """Whether a worker is busy."""
        return any(not worker.is_idle for worker in self._workers)

    @property
    def has_room(self) -> bool:
        """Whether more orders may be taken out of the inbox."""
        return len(self._queue) < 4 * len(self._workers)

    @property
    def last_due(self) -> str:
        """When the last order in line is due, ISO 8601; `in_line.NEVER` where it is due at no date."""
        return self._queue.last_due

    def busy_keys(self) -> set[GroupKey]:
        """The names of all orders queued or in hand, or that wait for others."""
        return {group_key(order.folder, order.key) for order in [*self._queue, *self._under_way()]}

    def _under_way(self) -> Iterator[Order]:
        """Orders that are out of the line but not finished."""
        for worker in self._workers:
            if isinstance(worker.task, _Task):
                yield worker.task.order
            elif isinstance(worker.task, RunTask):
                yield from worker.task.orders
        yield from (task.order for task, _ in self._undelivered)
        yield from self._runs.waiting

    def pipes(self) -> "list[Connection[Any, Any]]":
        """What becomes readable when a worker has something to say."""
        return [worker.pipe for worker in self._workers if worker.pipe is not None and not worker.is_idle]

    def next_step_in(self, now: float) -> float | None:
        """Seconds until something must be looked after even if no worker speaks; None when nothing."""
        times = [worker.deadline - now for worker in self._workers if not worker.is_idle]
        if self._commands.under_way:
            times.append(0.5)
        if self.paused and self._may_start:
            times.append(self._patience.next_in())
        elif self._may_start and (until_run := self._runs.next_in()) is not None:
            times.append(until_run)
        return min((max(0.0, left) for left in times), default=None)

    # -- what the service does -------------------------------------------------------------------------------------

    def add(self, order: Order) -> None:
        """Queue a taken order."""
        self._queue.add(order)
        self._remember(self._entry(order, State.TAKEN))
        reached(Step.QUEUED)

    def resume(self, order: Order, entry: Entry | None) -> None:
        """Queue an order again that was on its way when the service stopped.

        One that was in hand when the service died may be why it died: it is tried alone, before all others, and set
        aside when that has gone wrong `_STARTS` times in a row. A death before a worker was at work on it, or after it
        had made the sheets, says nothing against it.
        """
        if entry is None or entry.state is not State.MAKING or not entry.art:
            self.add(order)
            return
        # a death before a worker was at work on it says nothing; a run is made singly after any two
        counts = bool(entry.run) or self._was_at_work(order)
        deaths = self._shop.journal.count_service_death(entry.art) if counts else 0
        if entry.run and deaths < _TRIES:  # a power cut, most likely: it goes back to those it shared with
            self.add(order)
            return
        if entry.run:
            self._runs.singly.add(order.number)
        if deaths >= _STARTS:
            files = _files(order)
            self._shop.journal.forgive(entry.art)
            self.add(replace(order, fault=f"The service died {_STARTS} times while it made this order ({files})."))
            return
        self._remember(self._entry(order, State.TAKEN, art=entry.art))
        self._alone.add(order.number)
        self._queue.add_again(order)

    def _was_at_work(self, order: Order) -> bool:
        """Whether a worker had begun with the order and had not come to its end."""
        building = building_folder(self._shop.outbox, order.number)
        return building.is_dir() and _name_in(building) is None

    def look_inside(self, files: tuple[SeenFile, ...], present: frozenset[Identity]) -> None:
        """Have the inside of these files looked at; forget insides of files that are gone."""
        self.looks = {identity: inside for identity, inside in self.looks.items() if identity in present}
        self._failed_looks = {one: count for one, count in self._failed_looks.items() if one in present}
        under_way = {file.identity for file in self._to_look}
        under_way |= {worker.task.identity for worker in self._workers if isinstance(worker.task, SeenFile)}
        self._to_look.extend(file for file in files if file.identity not in under_way)

    def step(self, *, start_new: bool) -> bool:
        """Collect answers and, unless the service is stopping, give idle workers their next task.

        Returns:
            Whether anything ended.
        """
        self._commands.look()
        self._may_start, ended = start_new, False
        for worker in self._workers:
            if not worker.is_idle:
                task, answer = worker.task, worker.answer()
                if answer is not None:
                    worker.task, ended = None, True
                    went_well = self._take_answer(task, answer)
                    self._went_well += went_well
                    self._has_been_tried(task, went_well=went_well)
        if start_new and self._may_go_on():
            self._give_all()
        if self.is_idle:
            self._runs.forget_word()
        return ended

    def _may_go_on(self) -> bool:
        """Whether tasks may be given out. While paused: whether it is time to try, and what can be tried works."""
        if self.paused is None:
            return True
        if not self._patience.is_time():
            return False
        try:
            self._shop.roots.check()
            self._write_late()
        except OSError as error:
            self._pause(error)
            return False
        if not self._deliver_late():
            return False
        if not (self._queue or self._to_look or self._tried):
            self._go_on()
        return True

    def _has_been_tried(self, task: object, *, went_well: bool) -> None:
        """A pause is over when what was given to a worker during it went well."""
        if task is self._tried:
            self._tried = None
            if went_well:
                self._go_on()

    def _give_all(self) -> None:
        for worker in self._workers:
            while worker.is_idle and self._give_run(worker):
                pass
            while worker.is_idle and (self._to_look or self._next()) and not self._must_wait():
                if self._tried is not None or not self._give(worker):
                    return

    def _next(self) -> Order | None:
        """The order that is made next, or None while there is none, or only one that repeats an order in hand."""
        names = {order.key for order in self._under_way()} | {compare_key(name) for name in self._names_in_hand()}
        return self._queue.next(names)

    def _names_in_hand(self) -> Iterator[str]:
        """The names that folders of orders and runs in hand will have."""
        for task in [*(worker.task for worker in self._workers), *(task for task, _ in self._undelivered)]:
            if isinstance(task, _Task):
                yield task.job.name
        for task in [*(worker.task for worker in self._workers), *(task for task, _ in self._runs.undelivered)]:
            if isinstance(task, RunTask):
                yield from (task.told.run, *task.told.numbers)

    def _must_wait(self) -> bool:
        """Whether an order that is tried alone is in hand, or comes next while others are in hand."""
        if not self._alone:
            return False
        in_hand = {order.number for order in self._with_workers()}
        order = self._next()
        comes_next = {order.number} if order else set()
        return bool(in_hand & self._alone) or (bool(in_hand) and bool(comes_next & self._alone))

    def _with_workers(self) -> Iterator[Order]:
        for worker in self._workers:
            if isinstance(worker.task, _Task | RunTask):
                yield from worker.task.orders if isinstance(worker.task, RunTask) else (worker.task.order,)

    def stop(self, commands_s: float) -> None:
        """End the workers; queued orders stay taken and are resumed at the next start.

        Args:
            commands_s: how long the shop's own commands under way may go on.
        """
        for worker in self._workers:
            worker.stop()
        self._commands.finish(commands_s)

    def finish_delivery(self, order: Order, entry: Entry | None) -> None:
        """Complete what a crash cut short after the art had its final place in the archive or in held."""
        building = building_folder(self._shop.outbox, order.number)
        name = _name_in(building)
        if name is not None and read_ticket_file(self._shop.archive / name / (name + TICKET_SUFFIX)) is not None:
            deliver(order.number, name, archive=self._shop.archive, outbox=self._shop.outbox)
        forget_note(self._shop.archive, order.number)
        if entry is None or entry.state in (State.DONE, State.HELD, State.SAME):
            return
        if entry.state is State.DELIVERING:
            self._finish(entry)
        else:
            self._shop.journal.write(replace(entry, state=State.HELD))

    def close(self, entry: Entry) -> None:
        """An order that the journal says is on its way, but of which nothing is on its way any more, has arrived."""
        ticket = self._shop.archive / entry.folder / (entry.folder + TICKET_SUFFIX)
        if entry.state is State.DELIVERING and ticket.is_file():
            self._finish(entry)
        else:
            self._shop.journal.forget(entry.number)

    # -- one order -------------------------------------------------------------------------------------------------

    def _give(self, worker: AnyWorker) -> bool:
        """Give a worker its next task; False when there was trouble and all must wait.

        While there is a pause, one task alone is given, to see whether it is over.
        """
        order = self._next()
        if order is None or (self._to_look and not self.paused):
            went_well = self._give_look(worker, self._to_look.popleft())
        else:
            self._queue.take(order)
            went_well = self._give_order(worker, order)
        if self.paused and went_well:
            if worker.is_idle:  # it came to its end without a worker
                self._go_on()
            else:
                self._tried = worker.task
        return went_well

    def _give_look(self, worker: AnyWorker, file: SeenFile) -> bool:
        try:
            worker.start(file, Look(path=file.path))
        except OSError as error:
            return self._look_later(file, error)
        return True

    def _give_order(self, worker: AnyWorker, order: Order) -> bool:
        try:
            self._shop.roots.check()
            self._begin(worker, order)
        except OSError as error:
            self._put_off(order, error)
            return False
        except Exception as error:
            self._hold_for_fault(order, error)
        return True

    def _begin(self, worker: AnyWorker, order: Order) -> None:
        """Start an order, or end it at once: held, or the same as one that still lies in the outbox."""
        if order.fault:
            self._hold(order, (order.fault,), soft=False)
            return
        try:
            order, job = (order, self._job(order)) if order.repeat is None else self._again(order, order.repeat)
        except OrderHeld as held:
            self._hold(order, (str(held),), soft=False)
            return
        made = self._shop.journal.made_of(job.order_sha256) if order.repeat is None else []
        same = next((entry for entry in made if self._still_there(entry)), None)
        if same is not None:
            self._drop_same(order, same, job.order_sha256)
            return
        self._shop.journal.write(self._entry(order, State.MAKING, folder=job.name, art=job.order_sha256))
        reached(Step.BEGUN)
        shares = self._runs.kind(order) is not None
        worker.start(_Task(order=order, job=job), Examination(job=job) if shares else job)

    def _job(self, order: Order) -> Job:
        settings = self._shop.settings
        card = settings.cards.get(order.card)
        if card is None or (order.sheet and order.sheet not in settings.sheets):
            raise OrderHeld(
                f"The card {order.card} or the sheet {order.sheet} is no longer in the settings. Put it back there, or"
                " move the art into the folder of another card."
            )
        sheet = settings.sheet_for(card, order.sheet)
        force = in_force(settings, card, sheet)
        art = _fingerprint(order, card)
        name, stamp = self._name_for(order), self._shop.stamp()
        shown, day = self._first_made(art) or (name, stamp[:10])
        return Job(
            folder=taking_folder(self._shop.archive, order.number),
            building=building_folder(self._shop.outbox, order.number),
            name=name,
            written=order.name,
            shown=shown,
            date=day,
            card=card,
            sheet=sheet,
            printer=force.shaping.printer,
            cutter=force.shaping.cutter,
            correction=force.correction,
            quantity=order.quantity,
            overs=order.overs,
            sources=order.wanted_art,
            sequence=order.sequence or card.sequence,
            several=len(order.designs) > 1 or bool(order.only),
            only=order.only,
            common=tuple(common_art(card).items()),
            accepted=order.accepted,
            made_at=stamp,
            settings_sha256=force.sha256,
            order_sha256=art,
            due=order.due,
            note=order.note,
            approve=card.approve if order.approve is None else order.approve,
            read_back=settings.service.read_back,
        )

    def _again(self, order: Order, repeat: Repeat) -> tuple[Order, Job]:
        """An order out of the archive, its art beside its ticket, and what a worker is told of it."""
        again = plan_again(order, repeat, self._shop.settings, self._shop.archive)
        folder = taking_folder(self._shop.archive, order.number)
        bring_art(again.found, self._shop.archive, folder, {file.name for file in order.files})
        order, found, force = again.order, again.found, again.in_force
        job = Job(
            folder=folder,
            building=building_folder(self._shop.outbox, order.number),
            name=self._name_for(order),
            written=order.name,
            shown=found.printed_as,
            date=found.printed_on,
            card=force.shaping.card,
            sheet=force.shaping.sheet,
            printer=force.shaping.printer,
            cutter=force.shaping.cutter,
            correction=force.correction,
            quantity=order.quantity,
            overs=order.overs,
            sources=order.wanted_art,
            sequence=order.sequence or force.shaping.card.sequence,
            several=len(order.designs) > 1 or bool(order.only),
            only=order.only,
            common=(),
            accepted=order.accepted,
            made_at=self._shop.stamp(),
            settings_sha256=force.sha256,
            order_sha256=again.sha256,
            due=order.due,
            note=order.note,
            approve=force.shaping.card.approve if order.approve is None else order.approve,
            read_back=self._shop.settings.service.read_back,
            repeat_of=found.first,
            sheets_only=again.sheets_only,
            as_before=repeat.as_before,
            said=again.said,
        )
        return order, job

    def _name_for(self, order: Order) -> str:
        """A free name for the order's folder, whose ticket takes no name of the order's own files either."""
        own = {compare_key(file.name) for file in order.files}
        return free_name(
            tidy_order_name(order.name),
            lambda name: self._is_taken(name) or compare_key(name + TICKET_SUFFIX) in own,
        )

    def _first_made(self, art: str) -> tuple[str, str] | None:
        """Name and day of the first making of this art, as they stand on its sheets; None when this is the first."""
        made = self._shop.journal.made_of(art)
        if not made:
            return None
        kept = read_archived(self._shop.archive / made[-1].folder)
        return (kept.printed_as, kept.printed_on) if kept else (made[-1].folder, made[-1].since[:10])

    def _is_taken(self, name: str) -> bool:
        in_hand = self._reserved.union(self._names_in_hand())
        return name in in_hand or is_taken(name, [self._shop.outbox, self._shop.archive])

    def _still_there(self, entry: Entry) -> bool:
        return still_there(self._shop.outbox, entry.in_outbox)

    def _drop_same(self, order: Order, same: Entry, art: str) -> None:
        self._shop.journal.write(self._entry(order, State.SAME, folder=same.folder, art=art))
        reached(Step.SAME)
        drop_taking(self._shop.archive, order.number)
        reached(Step.DROPPED)
        self._shop.log.add(f"{order.name}: the same art again; its sheets still lie in the outbox ({same.in_outbox})")

    def _take_answer(self, task: object, answer: Answer) -> bool:
        """Do what an answer asks for; False when disk, rights or mounts stood in the way."""
        if isinstance(task, SeenFile):
            return self._take_look(task, answer)
        if isinstance(task, RunTask):
            return self._take_run(task, answer)
        assert isinstance(task, _Task)
        try:
            return self._take_order(task, answer)
        except OSError as error:
            self._put_off(task.order, error)
            return False
        except Exception as error:
            self._hold_for_fault(task.order, error)
            return True

    def _take_look(self, file: SeenFile, answer: Answer) -> bool:
        if answer.result is not None:
            self.looks[file.identity] = answer.result
        elif answer.held:
            self.looks[file.identity] = answer.held[0]
        elif answer.died is not None:
            try:
                if self._broke_again(_look_key(file.identity), file.name, answer.died):
                    self.looks[file.identity] = f"{file.name} cannot be opened safely ({answer.died}). Export it again."
            except OSError as error:
                return self._look_later(file, error)
        elif _is_as_seen(file):
            return self._look_later(file, WorkerTrouble(answer.trouble))
        # else: gone, changed or closed to the service; the next look at the inbox asks again
        return True

    def _look_later(self, file: SeenFile, error: OSError) -> bool:
        """A file that could not be looked into: again after a pause.

        When other work has gone well since it failed before, it is the file's own trouble, which must not keep the
        others: it counts as one that cannot be used.
        """
        before = self._failed_looks.get(file.identity)
        self._failed_looks[file.identity] = self._went_well
        if before is not None and before != self._went_well:
            self.looks[file.identity] = f"{file.name} cannot be read ({say_trouble(error)}). Copy or export it again."
            return True
        self._to_look.appendleft(file)
        self._pause(error)
        return False

    def _take_order(self, task: _Task, answer: Answer) -> bool:
        order = task.order
        if isinstance(answer.result, Made):
            reached(Step.MADE)
            return self._try_to_deliver(task, answer.result)
        if isinstance(answer.result, Examined):
            self._let_share(order, task.job)
            return True
        if answer.trouble is not None:
            self._put_off(order, WorkerTrouble(answer.trouble))
            return False
        if not answer.held and not self._broke_again(task.job.order_sha256, order.name, answer.died or ""):
            self._queue.add(order)
        elif not answer.soft and self._was_written_to(order, every_byte=True):
            self._give_back(order, "was written to while it was made")
        elif answer.held:
            self._hold_as_answered(task, answer)
        else:
            self._hold(
                order, (f"{_files(order)} cannot be opened safely ({answer.died}). Export it again.",), soft=False
            )
        return True

    def _broke_again(self, what: str, name: str, how: str) -> bool:
        """Count a worker's death, across restarts too; whether it is enough."""
        logger.error("{name} broke a worker: {how}", name=one_line(name), how=one_line(how))
        if self._shop.journal.count_worker_death(what) < _TRIES:
            return False
        self._shop.journal.forgive(what)
        return True

    def _deliver_late(self) -> bool:
        """Try again what could not be delivered; False while that is still so."""
        while self._undelivered:
            task, made = self._undelivered.pop(0)
            if not self._try_to_deliver(task, made):
                return False
            self._go_on()
        while self._runs.undelivered:
            run, run_made = self._runs.undelivered.pop(0)
            if not self._try_to_deliver_run(run, run_made):
                return False
            self._go_on()
        return True

    def _try_to_deliver(self, task: _Task, made: Made) -> bool:
        """Deliver, now or later; False when it is to be tried again."""
        try:
            self._shop.roots.check()
            if self._was_written_to(task.order):
                self._give_back(task.order, "was written to while it was made")
                return True
            self._deliver(task, made)
        except NameTaken:
            self._queue.add_again(task.order)  # somebody else made a folder of that name: make it under another
        except OSError as error:
            if self._is_product_lost(task):
                self._queue.add_again(task.order)
                return True
            self._undelivered.insert(0, (task, made))
            self._pause(error)
            return False
        return True

    def _is_product_lost(self, task: _Task) -> bool:
        """Whether the outbox is there, but not what was made for it: it was made anew, or its drive came back."""
        art = taking_folder(self._shop.archive, task.order.number)
        return self._shop.roots.are_there() and art.exists() and not task.job.building.exists()

    def _deliver(self, task: _Task, made: Made) -> None:
        order, job = task.order, task.job
        says = made.words if job.repeat_of is None else f"{made.words}; {job.repeat_of} again"
        entry = self._entry(
            order, State.DELIVERING, folder=job.name, art=job.order_sha256, sheets=made.sheets, says=says
        )
        self._shop.journal.write(entry)
        reached(Step.DELIVERING)
        deliver(order.number, job.name, archive=self._shop.archive, outbox=self._shop.outbox)
        self._finish(entry)

    def _finish(self, entry: Entry) -> None:
        """What is left to do about an order that lies in archive and outbox."""
        with suppress(OSError):  # a note that cannot be left harms nothing
            self._note_newer(entry)
        self._remember(replace(entry, state=State.DONE, since=self._shop.stamp()))
        reached(Step.DONE)
        self._end(entry.number, entry.art)
        self.made += 1
        self._shop.log.add(f"{entry.folder}: made: {entry.says}")
        if not entry.run:
            self._tell(entry.folder)
        elif entry.run not in self._runs.untold:
            self._runs.untold.append(entry.run)

    def _tell(self, folder: str) -> None:
        """Start the shop's own command for the sheets in a folder of the outbox."""
        sheets = sheet_files(self._shop.outbox, folder)
        if sheets:  # else somebody was very quick to collect them
            self._commands.start(self._shop.settings.service.on_finished, sheets, folder)

    def _note_newer(self, made: Entry) -> None:
        """Uncollected earlier orders of this name with other art get a note."""
        art = _art_in(self._shop.archive, made.folder)
        for entry in self._shop.journal.made_as(made.key):
            if entry.folder == made.folder or entry.in_outbox == made.in_outbox or not self._still_there(entry):
                continue
            if _art_in(self._shop.archive, entry.folder) != art:
                name = one_line(entry.name) if entry.run else None
                point_to_newer(self._shop.outbox, entry.in_outbox, made.in_outbox, name)

    def _hold_as_answered(self, task: _Task, answer: Answer) -> None:
        pictures = tuple(task.job.building / name for name in answer.pictures)
        self._hold(task.order, answer.held, soft=answer.soft, needs=answer.needs, pictures=pictures)

    def _hold(
        self,
        order: Order,
        reasons: tuple[str, ...],
        *,
        soft: bool,
        needs: HeldFor = HeldFor.ART,
        pictures: tuple[Path, ...] = (),
    ) -> None:
        note = hold(
            order,
            reasons,
            soft=soft,
            needs=needs,
            pictures=pictures,
            archive=self._shop.archive,
            held=self._shop.held,
            since=self._shop.stamp(),
        )
        self._remember(self._entry(order, State.HELD, folder=note.folder, says=note.why))
        reached(Step.HELD_KEPT)
        before = self._shop.journal.find(order.number)
        self._end(order.number, before.art if before else "")
        self.held += 1
        kind = "waits for a yes" if needs is HeldFor.YES else "held"
        self._shop.log.add(f"{note.folder}: {kind}: {note.why}")

    def _end(self, number: int, art: str) -> None:
        self._alone.discard(number)
        self._runs.singly.discard(number)
        drop_product(building_folder(self._shop.outbox, number))  # of a try that broke down
        if art:
            with suppress(OSError):
                self._shop.journal.forgive(art)

    def _hold_for_fault(self, order: Order, error: Exception) -> None:
        """A fault of ours over one order: it is logged and the order set aside next, and the others go on."""
        logger.exception("order {number} broke down", number=order.number)
        if order.fault:
            logger.error("order {number} stays in the archive as it was taken", number=order.number)
            return
        reason = f"An internal fault ({type(error).__name__}) kept this order from being made; service.log has more."
        self._queue.add_again(replace(order, fault=reason))

    # -- runs ------------------------------------------------------------------------------------------------------

    def _let_share(self, order: Order, job: Job) -> None:
        """An order whose art is good waits for others to share its sheets with."""
        self._alone.discard(order.number)
        drop_product(job.building)
        self._runs.let_wait(order)
        self._remember(self._entry(order, State.SHARING, art=job.order_sha256))
        reached(Step.SHARING)

    def _is_coming(self, kind: Kind) -> bool:
        """Whether orders that may share with those that wait are on their way."""
        seen = [worker.task.order for worker in self._workers if isinstance(worker.task, _Task)]
        return self.more_to_come or kind in kinds_of([*self._queue, *seen], self._runs)

    def _give_run(self, worker: AnyWorker) -> bool:
        """Give a worker the run whose time has come; False when there is none, or when all must wait."""
        if self.paused or self._alone:
            return False
        orders = self._runs.ready(self._is_coming)
        if len(orders) < 2 or self._runs.kind(orders[0]) is None:
            self._make_singly(orders)
            return bool(orders)
        try:
            self._shop.roots.check()
            self._begin_run(worker, orders)
        except OSError as error:
            self._share_again(self._not_held(orders))
            self._pause(error)
            return False
        except Exception:
            logger.exception("a run broke down; its orders are made singly")
            self._make_singly(self._not_held(orders))
        finally:
            self._reserved.clear()
        return True

    def _not_held(self, orders: Iterable[Order]) -> list[Order]:
        """Those whose files have gone neither to held nor to the archive."""
        return [order for order in orders if taking_folder(self._shop.archive, order.number).exists()]

    def _begin_run(self, worker: AnyWorker, orders: tuple[Order, ...]) -> None:
        told: list[tuple[Order, Job]] = []
        for order in orders:
            try:
                told.append((order, self._job(order)))
                self._reserved.add(told[-1][1].name)
            except OrderHeld as held:
                self._hold(order, (str(held),), soft=False)
        if len(told) < 2:
            self._make_singly([order for order, _ in told])
            return
        run = self._runs.told(told, self._is_taken)
        for order, job in told:
            self._shop.journal.write(
                self._entry(order, State.MAKING, folder=job.name, art=job.order_sha256, run=run.run)
            )
        reached(Step.RUN_BEGUN)
        worker.start(RunTask(orders=tuple(order for order, _ in told), told=run), run)

    def _make_singly(self, orders: Collection[Order]) -> None:
        """Orders that share with none are made next, in their order."""
        for order in reversed(tuple(orders)):
            self._runs.singly.add(order.number)
            self._queue.add_again(order)

    def _share_again(self, orders: Iterable[Order]) -> None:
        """Orders whose run was not made wait for another; what they have waited already counts."""
        for order in orders:
            self._runs.let_wait(order)
            with suppress(OSError):  # what it says is for people; the order is taken up from its note
                entry = self._shop.journal.find(order.number)
                if entry is not None:
                    self._remember(replace(entry, state=State.SHARING, folder="", run=""))

    def _take_run(self, task: RunTask, answer: Answer) -> bool:
        """Do what the answer to a run asks for; False when disk, rights or mounts stood in the way."""
        made = answer.result
        if not isinstance(made, RunMade):
            drop_product(task.told.building)
        if isinstance(made, RunSpoiled):
            order, job = task.order(made.order)
            self._share_again(other for other in task.orders if other is not order)
            return self._take_answer(_Task(order=order, job=job), made.answer)
        if isinstance(made, RunMade):
            shares = {task.told.numbers[name] for name in made.words}
            self._make_singly([order for order in task.orders if order.number not in shares])
            if not shares:
                return True
            reached(Step.RUN_MADE)
            return self._try_to_deliver_run(task, made)
        if answer.trouble is not None:
            self._share_again(task.orders)
            self._pause(WorkerTrouble(answer.trouble))
            return False
        why = answer.died or " ".join(answer.held)
        logger.error("a run was not made, its orders are made singly: {why}", why=one_line(why))
        self._make_singly(task.orders)
        return True

    def _try_to_deliver_run(self, task: RunTask, made: RunMade) -> bool:
        """Deliver, now or later; False when it is to be tried again."""
        orders = [task.order(name)[0] for name in made.words]
        try:
            self._shop.roots.check()
            spoiled = [order for order in orders if self._was_written_to(order)]
            if spoiled:
                self._undo_run(task, orders, spoiled)
            else:
                self._deliver_run(task, made)
        except NameTaken:
            self._undo_run(task, orders, [])
        except OSError as error:
            if self._runs.is_lost(task, orders):
                self._share_again(orders)
                return True
            self._runs.undelivered.insert(0, (task, made))
            self._pause(error)
            return False
        except Exception:
            logger.exception("the delivery of a run broke down; its orders are made singly")
            drop_product(task.told.building)
            self._make_singly(self._not_held(orders))
        return True

    def _undo_run(self, task: RunTask, orders: list[Order], spoiled: list[Order]) -> None:
        """A run that cannot be delivered as it is goes; its orders wait for another."""
        drop_product(task.told.building)
        for order in spoiled:
            self._give_back(order, "was written to while it was made")
        self._share_again(order for order in orders if order not in spoiled)

    def _deliver_run(self, task: RunTask, made: RunMade) -> None:
        entries = self._runs.entries(task, made)
        for entry in entries:
            self._shop.journal.write(entry)
        reached(Step.DELIVERING)
        deliver_run(task.folder_of(made), archive=self._shop.archive, outbox=self._shop.outbox)
        for entry in entries:
            self._finish(entry)
        self._shop.log.add(
            f"{task.told.run}: made: {counted(made.sheets, 'sheet')} for {len(made.words)} orders"
            f" instead of {made.single_sheets}"
        )
        self.tell_runs()

    def finish_runs(self) -> None:
        """Complete the delivery of runs that a crash cut short, before anything else is looked after."""
        self._runs.complete_cut_short()

    def tell_runs(self) -> None:
        """Start the shop's own command for runs that have been delivered, once for each."""
        while self._runs.untold:
            self._tell(self._runs.untold.pop(0))

    # -- what others do to files in hand ---------------------------------------------------------------------------

    def _put_off(self, order: Order, error: OSError) -> None:
        """An order that cannot be gone on with now: later, when disk, rights and mounts are well again."""
        if not is_of_the_disk(error):
            self._hold_for_fault(order, error)
        elif self._is_robbed(order):
            self._give_back(order, "was taken away while it was made")
        else:
            drop_product(building_folder(self._shop.outbox, order.number))  # nobody is at work on it now
            self._queue.add_again(order)
            self._pause(error)

    def _is_robbed(self, order: Order) -> bool:
        """Whether somebody has taken files of the order out of the archive, which is there."""
        folder = taking_folder(self._shop.archive, order.number)
        return self._shop.roots.are_there() and not all((folder / file.name).is_file() for file in order.files)

    def _was_written_to(self, order: Order, *, every_byte: bool = False) -> bool:
        """Whether a program that had a file open has gone on writing to it after it was taken."""
        folder = taking_folder(self._shop.archive, order.number)
        there = [(folder / file.name, file) for file in order.files if (folder / file.name).exists()]
        changed = any(path.stat().st_size != file.size for path, file in there)
        changed = changed or (every_byte and any(sha256_of(path) != file.sha256 for path, file in there))
        return changed and self._went_back[order.key] < _WENT_BACK

    def _give_back(self, order: Order, why: str) -> None:
        """An order that is not any more what was taken goes back to the inbox, where it must rest again."""
        try:
            self._shop.roots.check()
            put_back(order, self._shop.archive)
            self._shop.journal.forget(order.number)
        except OSError as error:
            self._queue.add_again(order)
            self._pause(error)
            return
        self._went_back[order.key] += 1
        self._alone.discard(order.number)
        drop_product(building_folder(self._shop.outbox, order.number))
        self._shop.log.add(f"{order.name}: {why}; what is there of it lies in the inbox again")

    # -- pauses ----------------------------------------------------------------------------------------------------

    def _remember(self, entry: Entry) -> None:
        """Write a state that may be written late: what it tells can be seen from the folders too."""
        self._unwritten.append(entry)
        try:
            self._write_late()
        except OSError as error:
            self._pause(error)

    def _write_late(self) -> None:
        while self._unwritten:
            self._shop.journal.write(self._unwritten[0])
            self._unwritten.pop(0)

    def _pause(self, error: OSError) -> None:
        self._shop.pauses.begin(Part.MAKING, say_trouble(error))
        self._patience.begin(for_want_of_room=is_for_want_of_room(error))

    def _go_on(self) -> None:
        if self.paused and not self._unwritten:
            self._patience.end()
            self._shop.pauses.end(Part.MAKING)

    def _entry(
        self,
        order: Order,
        state: State,
        *,
        folder: str = "",
        art: str = "",
        sheets: int = 0,
        says: str = "",
        run: str = "",
    ) -> Entry:
        return Entry(
            number=order.number,
            name=order.name,
            key=order.key,
            card=order.card,
            state=state,
            since=self._shop.stamp(),
            folder=folder,
            art=art,
            sheets=sheets,
            says=says,
            run=run,
        )


def _files(order: Order) -> str:
    """The art of an order for people; where it lies in the archive still, the ticket that asks for it."""
    return order.shown_art or ", ".join(file.name for file in order.files)


def _is_as_seen(file: SeenFile) -> bool:
    """Whether a file is there, unchanged, and may be read: what kept it from being looked into is not its own fault."""
    try:
        return Identity.of(file.path.lstat()) == file.identity and os.access(file.path, os.R_OK)
    except OSError:
        return False


def _look_key(identity: Identity) -> str:
    """What a file that was looked into is known by in the journal."""
    return f"look {identity.device} {identity.inode} {identity.size} {identity.mtime_ns}"


def _name_in(building: Path) -> str | None:
    """The order that a finished product in its building folder is for; None while it is not finished."""
    for file in building.glob(f"*{TICKET_SUFFIX}"):
        ticket = read_ticket_file(file)
        if ticket is not None:
            return str(ticket["order"])
    return None


def _fingerprint(order: Order, card: CardSettings) -> str:
    """What makes two orders "the same art again": name, card, sheet, quantity, overs and bytes."""
    several = len(order.designs) > 1
    art: list[tuple[object, ...]] = [
        (source.side, source.sha256, source.page, *([source.design] if several else ())) for source in order.art
    ]
    for side, path in common_art(card).items():
        try:
            art.append((side, sha256_of(path), None))
        except OSError as error:
            raise OrderHeld(
                f"The common {side} of the card {card.name} cannot be read: {path}. Put it there, or correct"
                f" cards.{card.name}.common_{side} in the settings, and try again."
            ) from error
    body = [order.key, order.card, order.sheet, order.quantity, order.overs, sorted(art, key=str)]
    if told_apart := order.told_apart(card.sequence):
        body.append(told_apart)
    return hashlib.sha256(json.dumps(body).encode("ascii")).hexdigest()


def _art_in(archive: Path, folder: str) -> set[tuple[str, str, int]]:
    """What art an archived order was made from."""
    ticket = read_ticket_file(archive / folder / (folder + TICKET_SUFFIX)) or {}
    return {(art["side"], art["sha256"], art.get("page", 0)) for art in ticket.get("art", ())}
