"""Printing as the service's loop sees it: one step after the other, and nothing waits for a printer."""

import os
import time
from collections.abc import Iterator
from pathlib import Path

from loguru import logger

from watcher.archive.folder_words import PRINTED, Word
from watcher.outbox.printing.notes import open_notes
from watcher.outbox.printing.order_folder import OrderFolder, find_by_key, read_order_folder
from watcher.outbox.printing.order_printing import OrderPrinting
from watcher.outbox.printing.printer_threads import PrinterThreads
from watcher.outbox.printing.record_file import read_record
from watcher.outbox.printing.sending import Sending
from watcher.outbox.printing.sending_life import JobStage
from watcher.outbox.printing.stacks import NotSent
from watcher.outbox.printing.standing import is_anything_noted
from watcher.records.trouble import say_trouble
from watcher.service.printing.desk import Desk, printer_of
from watcher.service.printing.keeping import Keeping
from watcher.service.printing.settling import drop_documents, settle
from watcher.service.printing.supplies import DOCUMENTS, ServiceSupplies
from watcher.service.printing.wishes import MADE, answer, drop_fronts, send_made
from watcher.service.shop import Shop
from watcher.terms import Send
from watcher.work.contract import Pipe

_TROUBLE_S = 5.0  # between two tries while notes or folders cannot be written
_COMING_S = 1.0  # until a folder is looked at again whose files are still coming
_RESCAN_S = 30.0
_SHARE = 10  # a look over thousands of folders takes time: at most a tenth of it all


class Printing:
    """All printing of one print folder.

    Nothing is opened before somebody asks for something: a print folder whose owner prints by hand has no notes.

    Args:
        shop: folders, settings and log.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._desk: Desk | None = None
        self._threads: PrinterThreads | None = None
        self._keeping = Keeping(shop)
        self._made: list[str] = []
        self._look_at = float("-inf")
        self._soonest_at = float("-inf")
        self._is_waiting_for_files = False
        self._seen: object = None
        self._again_at = float("-inf")
        self._fault = ""

    # -- what the loop asks ----------------------------------------------------------------------------------------

    @property
    def pipes(self) -> "list[Pipe]":
        """What becomes readable when a printer has answered."""
        return [self._threads.pipe] if self._threads is not None else []

    def next_in(self, now: float) -> float | None:
        """Give the seconds until something must be done; None when nothing."""
        if now < self._again_at:
            return self._again_at - now
        times = [max(0.0, self._look_at - now)] if self._look_at > float("-inf") else []
        if self._desk is not None:
            next_question = self._desk.sending.next_in(now)
            times += [next_question] if next_question is not None else []
        return min(times, default=None)

    @property
    def is_settled(self) -> bool:
        """Whether nothing moves: all is sent, or waits for somebody."""
        if self._fault:
            return True
        if self._made or self._is_waiting_for_files or self._seen is None:
            return False
        return self._desk is None or self._desk.sending.is_settled

    def made(self, folder: str) -> None:
        """Take in that an order's folder has come into the outbox."""
        self._made.append(folder)

    # -- what the loop does ----------------------------------------------------------------------------------------

    def step(self, now: float) -> bool:
        """Read what people ask for, take in what printers answer, ask them what is next.

        Returns:
            Whether anything changed that people are shown.
        """
        if now < self._again_at or not self._shop.roots.has_outbox():
            return False
        try:
            changed = self._step(now)
        except OSError as error:
            self._pause(say_trouble(error), now)
            return False
        except Exception as error:  # a fault of ours: orders are made all the same, and the notes tell what was sent
            logger.exception("printing broke down")
            self._pause(f"an internal fault ({type(error).__name__}); see service.log", now)
            return False
        self._fault = ""
        return changed

    def stop(self) -> None:
        """Let go of everything; what is under way is found again at the next start."""
        if self._threads is not None:
            self._threads.stop()
            self._threads = None
        if self._desk is not None:
            self._desk.notes.close()
            self._desk = None

    def _pause(self, why: str, now: float) -> None:
        """Say once that printing waits. The notes are opened anew: they may have been deleted."""
        if why != self._fault:
            self._shop.log.add(f"printing waits: {why}. Nothing is sent until that is mended")
        self._fault, self._again_at = why, now + _TROUBLE_S
        if self._threads is None or not self._threads.any_busy:
            self.stop()

    def _step(self, now: float) -> bool:
        if self._desk is None and is_anything_noted(self._shop.state):
            self._open()
        if self._desk is not None:
            self._desk.notes.check()
        self._send_made()
        changed = self._scan_if_due(now)
        if self._desk is None:
            return changed
        changed = self._desk.sending.step(now) or changed
        self._end_wishes(self._desk)
        self._say_lines(self._desk)
        self._keeping.step(self._desk.notes, now)
        return changed

    def _open(self) -> Desk:
        if self._desk is None:
            notes = open_notes(self._shop.state)
            self._threads = self._threads or PrinterThreads()
            sending = Sending(notes, self._threads, ServiceSupplies(self._shop, notes), self._shop.stamp)
            self._desk = Desk(shop=self._shop, notes=notes, sending=sending)
            drop_documents(self._shop.state / DOCUMENTS, set(sending.jobs))
        return self._desk

    # -- what people say -------------------------------------------------------------------------------------------

    def _scan_if_due(self, now: float) -> bool:
        seen = _dates(self._shop.outbox)
        if seen == self._seen and now < self._look_at:
            return False
        if now < self._soonest_at:
            self._look_at = min(self._look_at, self._soonest_at)
            return False
        self._seen, self._look_at = seen, now + _RESCAN_S
        self._scan(now)
        self._soonest_at = now + _SHARE * (time.monotonic() - now)
        return True

    def _scan(self, now: float) -> None:
        self._is_waiting_for_files = False
        for folder in self._folders():
            if folder.words.word.is_answer or self._answers_a_question(folder):
                if folder.is_whole or folder.words.word is not Word.PRINT:
                    answer(self._open(), folder)
                else:
                    self._look_at, self._is_waiting_for_files = now + _COMING_S, True
        if self._desk is not None:
            self._take_back(self._desk, now)

    def _folders(self) -> Iterator[OrderFolder]:
        """The folders, of printed orders too, behind whose names something stands about printing."""
        for parent in (self._shop.outbox, self._shop.outbox / PRINTED):
            for name in _names(parent):
                if "print" in name.casefold() and not name.startswith("."):
                    folder = read_order_folder(parent / name)
                    if folder is not None:
                        yield folder

    def _answers_a_question(self, folder: OrderFolder) -> bool:
        """Whether `fronts printed` is a person's answer to fronts that are perhaps printed."""
        if folder.words.word is not Word.FRONTS_PRINTED or self._desk is None:
            return False
        printing = self._desk.notes.find(folder.key)
        return printing is not None and bool(printing.unclear)

    def _take_back(self, desk: Desk, now: float) -> None:
        """Drop wishes whose folder has its plain name again before anything has gone out; fronts likewise."""
        for printing in desk.notes.with_a_wish():
            if printing.note.wish != MADE and self._plain(printing) is not None:
                for job in printing.under_way:
                    asked = desk.sending.jobs.get(job.number, job)
                    if not desk.sending.withdraw(asked) and asked.stage is JobStage.WAITING:
                        self._look_at = now + _COMING_S  # the printer is just being asked
        for printing in desk.notes.awaiting_backs():
            plain = self._plain(printing)
            if not printing.note.wish and plain is not None and read_record(plain.path) == printing.note.record:
                drop_fronts(desk, printing)

    def _plain(self, printing: OrderPrinting) -> OrderFolder | None:
        """The folder of an order, where it has its plain name."""
        folder = find_by_key(self._shop.outbox, printing.note.name, printing.note.key)
        return folder if folder is not None and folder.words.word is Word.NONE else None

    def _send_made(self) -> None:
        while self._made:
            folder = read_order_folder(self._shop.outbox / self._made[0])
            if folder is not None and self._is_sent_when_made(folder):
                send_made(self._open(), folder)
            self._made.pop(0)

    def _is_sent_when_made(self, folder: OrderFolder) -> bool:
        try:
            return printer_of(self._shop, folder).send is Send.MADE
        except NotSent:
            return False

    # -- what came of it -------------------------------------------------------------------------------------------

    def _end_wishes(self, desk: Desk) -> None:
        for printing in desk.notes.with_a_wish():
            self._stop_the_rest(desk, printing)
            printing = desk.notes.find(printing.note.key) or printing
            if not printing.under_way:
                settle(desk, printing.note.key, _word_of(printing.note.wish))

    def _stop_the_rest(self, desk: Desk, printing: OrderPrinting) -> None:
        """Send no more for a wish of which a job did not come to paper."""
        failed = {
            job.asked for job in printing.jobs if job.stage in (JobStage.NOT_PRINTED, JobStage.PERHAPS) and job.asked
        }
        for job in printing.under_way:
            if job.asked in failed:
                desk.sending.withdraw(desk.sending.jobs.get(job.number, job))

    def _say_lines(self, desk: Desk) -> None:
        """Write into the log for people what the notes have for it, each line once."""
        for number, line, since in desk.notes.lines():
            if not self._shop.log.has_said(line, since):
                self._shop.log.add(line)
            if not self._shop.log.is_written:
                return
            desk.notes.drop_line(number)


def _word_of(wish: str) -> Word:
    """The word that a folder carries for a wish; that of a made order carries none."""
    bare = wish.rstrip("0123456789 ")
    return Word.NONE if wish == MADE else Word(bare)


def _names(folder: Path) -> list[str]:
    try:
        with os.scandir(folder) as entries:
            return sorted(entry.name for entry in entries if entry.is_dir(follow_symlinks=False))
    except OSError:
        return []


def _dates(outbox: Path) -> tuple[int, ...]:
    """When names in the outbox, and among the printed ones, changed last."""
    dates = []
    for folder in (outbox, outbox / PRINTED):
        try:
            dates.append(folder.stat().st_mtime_ns)
        except OSError:
            dates.append(0)
    return tuple(dates)
