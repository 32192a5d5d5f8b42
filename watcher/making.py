"""From taken orders to finished or held folders: hands orders to the workers and delivers what they bring back."""

import hashlib
import json
import time
from collections import deque
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from loguru import logger

from watcher.disk import free_name, sha256_of
from watcher.errors import OrderHeld
from watcher.inbox.scan import Identity, SeenFile
from watcher.intake.look import Inside
from watcher.intake.names import tidy_order_name
from watcher.job import Job, Made
from watcher.orders.claim import drop_taking, taking_folder
from watcher.orders.model import Order
from watcher.orders.pairing import GroupKey, common_art, group_key
from watcher.orders.recover import forget_note
from watcher.outbox.finished import FinishedCommands
from watcher.outbox.hold import hold
from watcher.outbox.publish import (
    NameTaken,
    building_folder,
    deliver,
    is_taken,
    point_to_newer,
    still_there,
)
from watcher.records.journal import Entry, State
from watcher.records.plain_text import one_line
from watcher.records.ticket import TICKET_SUFFIX, read_ticket_file
from watcher.settings.model import CardSettings
from watcher.shop import Shop
from watcher.steps import Step, reached
from watcher.workers import Answer, Look, Worker

_TRIES = 2  # a file that breaks its worker twice is set aside
_STARTS = 5  # an order with which the service itself dies so many times in a row is set aside
_PAUSE_S = 5.0


@dataclass(frozen=True, kw_only=True)
class _Task:
    """An order that a worker has, with what it was told."""

    order: Order
    job: Job


class Making:
    """The queue, the workers and what becomes of their answers."""

    def __init__(self, shop: Shop, workers: int) -> None:
        self._shop = shop
        self._workers = [Worker() for _ in range(workers)]
        self._queue: deque[Order] = deque()
        self._to_look: deque[SeenFile] = deque()
        self._undelivered: list[tuple[_Task, Made]] = []
        self._alone: set[int] = set()
        self._unwritten: list[Entry] = []
        self._retry_at = 0.0
        self._commands = FinishedCommands()
        self.looks: dict[Identity, Inside | str] = {}
        self.paused: str | None = None
        self.made = self.held = 0

    # -- what the service asks -------------------------------------------------------------------------------------

    @property
    def is_idle(self) -> bool:
        """Whether nothing is queued or in hand."""
        return not (self._queue or self._to_look or self._undelivered) and not self.in_hand

    @property
    def in_hand(self) -> bool:
        """Whether a worker is busy."""
        return any(not worker.is_idle for worker in self._workers)

    @property
    def has_room(self) -> bool:
        """Whether more orders may be taken out of the inbox."""
        return len(self._queue) < 4 * len(self._workers)

    def busy_keys(self) -> set[GroupKey]:
        """The names of all orders queued or in hand."""
        tasks = [worker.task.order for worker in self._workers if isinstance(worker.task, _Task)]
        finished = [task.order for task, _ in self._undelivered]
        return {group_key(order.folder, order.key) for order in [*self._queue, *tasks, *finished]}

    def pipes(self) -> "list[Connection[Any, Any]]":
        """What becomes readable when a worker has something to say."""
        return [worker.pipe for worker in self._workers if worker.pipe is not None and not worker.is_idle]

    def next_step_in(self, now: float) -> float | None:
        """Seconds until something must be looked after even if no worker speaks; None when nothing."""
        times = [worker.deadline - now for worker in self._workers if not worker.is_idle]
        if self._commands.under_way:
            times.append(0.5)
        if self.paused and not self.is_idle:
            times.append(self._retry_at - now)
        return min((max(0.0, left) for left in times), default=None)

    # -- what the service does -------------------------------------------------------------------------------------

    def add(self, order: Order) -> None:
        """Queue a taken order."""
        self._queue.append(order)
        self._remember(self._entry(order, State.TAKEN))
        reached(Step.QUEUED)

    def resume(self, order: Order, entry: Entry | None) -> None:
        """Queue an order again that was on its way when the service stopped.

        One that was in hand when the service died may be why it died: it is tried alone, before all others, and set
        aside when that has gone wrong `_STARTS` times in a row.
        """
        if entry is None or entry.state is not State.MAKING or not entry.art:
            self.add(order)
            return
        if self._shop.journal.count_service_death(entry.art) >= _STARTS:
            files = ", ".join(source.shown for source in order.art)
            self._shop.journal.forgive(entry.art)
            self.add(replace(order, fault=f"The service died {_STARTS} times while it made this order ({files})."))
            return
        self._remember(self._entry(order, State.TAKEN, art=entry.art))
        self._alone.add(order.number)
        self._queue.appendleft(order)

    def look_inside(self, files: tuple[SeenFile, ...], present: frozenset[Identity]) -> None:
        """Have the inside of these files looked at; forget insides of files that are gone."""
        self.looks = {identity: inside for identity, inside in self.looks.items() if identity in present}
        under_way = {file.identity for file in self._to_look}
        under_way |= {worker.task.identity for worker in self._workers if isinstance(worker.task, SeenFile)}
        self._to_look.extend(file for file in files if file.identity not in under_way)

    def step(self, *, start_new: bool) -> bool:
        """Collect answers and, unless the service is stopping, give idle workers their next task.

        Returns:
            Whether anything ended.
        """
        self._commands.look()
        ended = False
        for worker in self._workers:
            if not worker.is_idle:
                task, answer = worker.task, worker.answer()
                if answer is not None:
                    worker.task, ended = None, True
                    self._take_answer(task, answer)
        if start_new and not (self.paused and time.monotonic() < self._retry_at) and self._deliver_late():
            self._give_all()
        return ended

    def _give_all(self) -> None:
        for worker in self._workers:
            while worker.is_idle and (self._to_look or self._queue) and not self._must_wait():
                if not self._give(worker):
                    return

    def _must_wait(self) -> bool:
        """Whether an order that is tried alone is in hand, or comes next while others are in hand."""
        if not self._alone:
            return False
        in_hand = {worker.task.order.number for worker in self._workers if isinstance(worker.task, _Task)}
        comes_next = {self._queue[0].number} if self._queue else set()
        return bool(in_hand & self._alone) or (bool(in_hand) and bool(comes_next & self._alone))

    def stop(self) -> None:
        """End the workers; queued orders stay taken and are resumed at the next start."""
        for worker in self._workers:
            worker.stop()
        self._commands.finish()

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
            self._journal_done(order, entry.folder, entry.art, entry.sheets, entry.says)
        else:
            self._shop.journal.write(replace(entry, state=State.HELD))

    # -- one order -------------------------------------------------------------------------------------------------

    def _give(self, worker: Worker) -> bool:
        """Give a worker its next task; False when there was trouble and all must wait."""
        if self._to_look:
            file = self._to_look.popleft()
            worker.start(file, Look(path=file.path))
            return True
        order = self._queue[0]
        try:
            self._begin(worker, order)
        except OSError as error:
            self._pause(str(error))
            return False
        except Exception as error:
            self._hold_for_fault(order, error)
        self._queue.popleft()
        self._resume()
        return True

    def _begin(self, worker: Worker, order: Order) -> None:
        """Start an order, or end it at once: held, or the same as one that still lies in the outbox."""
        if order.fault:
            self._hold(order, (order.fault,), soft=False)
            return
        try:
            job = self._job(order)
        except OrderHeld as held:
            self._hold(order, (str(held),), soft=False)
            return
        same = next((entry for entry in self._shop.journal.made_of(job.order_sha256) if self._still_there(entry)), None)
        if same is not None:
            self._drop_same(order, same, job.order_sha256)
            return
        self._shop.journal.write(self._entry(order, State.MAKING, folder=job.name, art=job.order_sha256))
        reached(Step.BEGUN)
        worker.start(_Task(order=order, job=job), job)

    def _job(self, order: Order) -> Job:
        settings = self._shop.settings
        card = settings.cards.get(order.card)
        if card is None or (order.sheet and order.sheet not in settings.sheets):
            raise OrderHeld(
                f"The card {order.card} or the sheet {order.sheet} is no longer in the settings. Put it back there, or"
                " move the art into the folder of another card."
            )
        sheet = settings.sheet_for(card, order.sheet)
        art = _fingerprint(order, card)
        first = self._shop.journal.made_of(art)
        name = free_name(tidy_order_name(order.name), self._is_taken)
        stamp = self._shop.stamp()
        return Job(
            folder=taking_folder(self._shop.archive, order.number),
            building=building_folder(self._shop.outbox, order.number),
            name=name,
            written=order.name,
            shown=first[-1].folder if first else name,
            date=(first[-1].since if first else stamp)[:10],
            card=card,
            sheet=sheet,
            printer=settings.printer_for(sheet),
            quantity=order.quantity,
            overs=order.overs,
            sources=order.art,
            common=tuple(common_art(card).items()),
            accepted=order.accepted,
            made_at=stamp,
            settings_sha256=settings.fingerprint(card.name, sheet.name),
            order_sha256=art,
            due=order.due,
            note=order.note,
        )

    def _is_taken(self, name: str) -> bool:
        in_hand = {worker.task.job.name for worker in self._workers if isinstance(worker.task, _Task)}
        return name in in_hand or is_taken(name, [self._shop.outbox, self._shop.archive])

    def _still_there(self, entry: Entry) -> bool:
        return still_there(self._shop.outbox, entry.folder)

    def _drop_same(self, order: Order, same: Entry, art: str) -> None:
        self._shop.journal.write(self._entry(order, State.SAME, folder=same.folder, art=art))
        reached(Step.SAME)
        drop_taking(self._shop.archive, order.number)
        reached(Step.DROPPED)
        self._shop.log.add(f"{order.name}: the same art again; its sheets still lie in the outbox ({same.folder})")

    def _take_answer(self, task: object, answer: Answer) -> None:
        if isinstance(task, SeenFile):
            self._take_look(task, answer)
            return
        assert isinstance(task, _Task)
        try:
            self._take_order(task, answer)
        except OSError as error:
            self._pause(str(error))
            self._queue.appendleft(task.order)
        except Exception as error:
            self._hold_for_fault(task.order, error)

    def _take_look(self, file: SeenFile, answer: Answer) -> None:
        if answer.result is not None:
            self.looks[file.identity] = answer.result
        elif answer.held:
            self.looks[file.identity] = answer.held[0]
        elif answer.died is not None and self._broke_again(_look_key(file.identity), file.name, answer.died):
            self.looks[file.identity] = f"{file.name} cannot be opened safely ({answer.died}). Export it again."
        # else: trouble with the disk, or the file is gone; the next look asks again

    def _take_order(self, task: _Task, answer: Answer) -> None:
        order = task.order
        if isinstance(answer.result, Made):
            reached(Step.MADE)
            self._try_to_deliver(task, answer.result)
        elif answer.held:
            self._hold(order, answer.held, soft=answer.soft)
        elif answer.trouble is not None:
            self._pause(answer.trouble)
            self._queue.appendleft(order)
        elif self._broke_again(task.job.order_sha256, order.name, answer.died or ""):
            files = ", ".join(source.shown for source in order.art)
            self._hold(order, (f"{files} cannot be opened safely ({answer.died}). Export it again.",), soft=False)
        else:
            self._queue.append(order)

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
            self._try_to_deliver(task, made)
            if self._undelivered:
                return False
            self._resume()
        return True

    def _try_to_deliver(self, task: _Task, made: Made) -> None:
        try:
            self._deliver(task, made)
        except NameTaken:
            self._queue.appendleft(task.order)  # somebody else made a folder of that name: make it under another
        except OSError as error:
            self._undelivered.insert(0, (task, made))
            self._pause(str(error))

    def _deliver(self, task: _Task, made: Made) -> None:
        order, job = task.order, task.job
        entry = self._entry(
            order, State.DELIVERING, folder=job.name, art=job.order_sha256, sheets=made.sheets, says=made.words
        )
        self._shop.journal.write(entry)
        reached(Step.DELIVERING)
        deliver(order.number, job.name, archive=self._shop.archive, outbox=self._shop.outbox)
        self._journal_done(order, job.name, job.order_sha256, made.sheets, made.words)
        self._commands.start(
            self._shop.settings.service.on_finished,
            [self._shop.outbox / job.name / file for file in made.files],
            job.name,
        )

    def _journal_done(self, order: Order, folder: str, art: str, sheets: int, words: str) -> None:
        with suppress(OSError):  # a note that cannot be left harms nothing
            self._note_newer(order, folder)
        self._remember(self._entry(order, State.DONE, folder=folder, art=art, sheets=sheets, says=words))
        reached(Step.DONE)
        self._end(order, art)
        self.made += 1
        self._shop.log.add(f"{folder}: made: {words}")

    def _note_newer(self, order: Order, folder: str) -> None:
        """Uncollected earlier orders of this name with other art get a note."""
        art = _art_in(self._shop.archive, folder)
        for entry in self._shop.journal.made_as(order.key):
            if entry.folder != folder and self._still_there(entry) and _art_in(self._shop.archive, entry.folder) != art:
                point_to_newer(self._shop.outbox, entry.folder, folder)

    def _hold(self, order: Order, reasons: tuple[str, ...], *, soft: bool) -> None:
        note = hold(
            order,
            reasons,
            soft=soft,
            archive=self._shop.archive,
            held=self._shop.held,
            since=self._shop.stamp(),
        )
        self._remember(self._entry(order, State.HELD, folder=note.folder, says=note.why))
        reached(Step.HELD_KEPT)
        before = self._shop.journal.find(order.number)
        self._end(order, before.art if before else "")
        self.held += 1
        self._shop.log.add(f"{note.folder}: held: {note.why}")

    def _end(self, order: Order, art: str) -> None:
        self._alone.discard(order.number)
        if art:
            with suppress(OSError):
                self._shop.journal.forgive(art)

    def _hold_for_fault(self, order: Order, error: Exception) -> None:
        """A fault of ours over one order: it is logged and set aside, and the others go on."""
        logger.exception("order {number} broke down", number=order.number)
        reason = f"An internal fault ({type(error).__name__}) kept this order from being made; service.log has more."
        try:
            self._hold(order, (reason,), soft=False)
        except Exception:
            logger.exception("order {number} stays in the archive as it was taken", number=order.number)

    def _remember(self, entry: Entry) -> None:
        """Write a state that may be written late: what it tells can be seen from the folders too."""
        self._unwritten.append(entry)
        try:
            while self._unwritten:
                self._shop.journal.write(self._unwritten[0])
                self._unwritten.pop(0)
        except OSError as error:
            self._pause(str(error))

    # -- pauses ----------------------------------------------------------------------------------------------------

    def _pause(self, why: str) -> None:
        if self.paused is None:
            self._shop.log.add(f"paused: {why}")
        self.paused, self._retry_at = one_line(why), time.monotonic() + _PAUSE_S

    def _resume(self) -> None:
        if self.paused is not None:
            self._shop.log.add("going on")
        self.paused = None

    def _entry(
        self, order: Order, state: State, *, folder: str = "", art: str = "", sheets: int = 0, says: str = ""
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
        )


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
    art = [(source.side, source.sha256, source.page) for source in order.art]
    for side, path in common_art(card).items():
        try:
            art.append((side, sha256_of(path), None))
        except OSError as error:
            raise OrderHeld(
                f"The common {side} of the card {card.name} cannot be read: {path}. Put it there, or correct"
                f" cards.{card.name}.common_{side} in the settings, and try again."
            ) from error
    body = [order.key, order.card, order.sheet, order.quantity, order.overs, sorted(art, key=str)]
    return hashlib.sha256(json.dumps(body).encode("ascii")).hexdigest()


def _art_in(archive: Path, folder: str) -> set[tuple[str, str, int]]:
    """What art an archived order was made from."""
    ticket = read_ticket_file(archive / folder / (folder + TICKET_SUFFIX)) or {}
    return {(art["side"], art["sha256"], art.get("page", 0)) for art in ticket.get("art", ())}
