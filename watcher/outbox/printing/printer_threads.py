"""One thread for each printer, with one call at a time: nothing else waits for a printer that does not answer."""

import multiprocessing.connection
import queue
import threading
from collections.abc import Callable
from contextlib import suppress

from loguru import logger

from watcher.errors import PrinterError
from watcher.outbox.printing.contract import Printer
from watcher.outbox.printing.printer_calls import Call, Outcome
from watcher.outbox.printing.sending_life import Event

_STOP_S = 1.0  # a call under way is not waited for: the notes tell the next start how far it can have come


class PrinterThreads:
    """Carries out calls, one at a time for each printer.

    Attributes:
        pipe: becomes readable when a call has ended.
    """

    def __init__(self) -> None:
        self.pipe, self._poke = multiprocessing.Pipe(duplex=False)
        self._threads: dict[str, _PrinterThread] = {}
        self._ended: queue.SimpleQueue[tuple[str, int, Outcome]] = queue.SimpleQueue()
        self._busy: dict[str, int] = {}

    def is_busy(self, printer: str) -> bool:
        """Whether a call to the printer is under way."""
        return printer in self._busy

    @property
    def any_busy(self) -> bool:
        """Whether any call is under way."""
        return bool(self._busy)

    def start(self, printer: str, number: int, connect: Callable[[], Printer], call: Call) -> None:
        """Begin a call.

        Args:
            printer: whose thread; it must not be busy.
            number: of the job.
            connect: gives the connection.
            call: what is asked.
        """
        self._busy[printer] = number
        if printer not in self._threads:
            self._threads[printer] = _PrinterThread(lambda number, outcome: self._end(printer, number, outcome))
        self._threads[printer].calls.put((number, connect, call))

    def ended(self) -> list[tuple[int, Outcome]]:
        """Give the calls that have ended, with the number of the job of each."""
        with suppress(OSError):
            while self.pipe.poll():
                self.pipe.recv_bytes()
        found = []
        with suppress(queue.Empty):
            while True:
                printer, number, outcome = self._ended.get_nowait()
                self._busy.pop(printer, None)
                found.append((number, outcome))
        return found

    def stop(self) -> None:
        """End the threads, at the latest when their calls have ended."""
        for thread in self._threads.values():
            thread.calls.put(None)
        for thread in self._threads.values():
            thread.join(_STOP_S)
        self.pipe.close()
        self._poke.close()

    def _end(self, printer: str, number: int, outcome: Outcome) -> None:
        self._ended.put((printer, number, outcome))
        with suppress(OSError):  # the service has stopped meanwhile
            self._poke.send_bytes(b"!")


class _PrinterThread(threading.Thread):
    """Makes one call after the other."""

    def __init__(self, on_end: Callable[[int, Outcome], None]) -> None:
        super().__init__(name="printer", daemon=True)
        self.calls: queue.Queue[tuple[int, Callable[[], Printer], Call] | None] = queue.Queue(maxsize=2)
        self._on_end = on_end
        self.start()

    def run(self) -> None:
        while (task := self.calls.get()) is not None:
            number, connect, call = task
            self._on_end(number, _outcome(connect, call))


def _outcome(connect: Callable[[], Printer], call: Call) -> Outcome:
    try:
        return call(connect())
    except PrinterError as error:  # from connecting: a login that cannot be used
        return Outcome(event=Event.NOT_NOW, says=str(error))
    except Exception as error:  # a fault of ours in this thread: the job stays as its note tells, and is tried again
        logger.exception("a call to a printer broke down")
        return Outcome(event=Event.NOT_NOW, says=f"an internal fault ({type(error).__name__}); see service.log")
