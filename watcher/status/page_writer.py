"""Keep `outbox/status.html` up to date while the service works."""

import time
from collections.abc import Mapping
from pathlib import Path

from loguru import logger

from watcher.inbox.inside import Inside
from watcher.inbox.scan import Identity
from watcher.records.health import Health, write_health
from watcher.records.plain_text import one_line
from watcher.records.timestamps import local_now
from watcher.settings.model import Settings
from watcher.status.overview import OverviewReader
from watcher.status.page import FILE_NAME, StatusPage

SOONEST_S = 1.0  # between two looks
_SHARE = 20  # a look over thousands of orders takes time: at most a twentieth of it all

_KEPT_FOR_S = 60.0  # the time of the last look that other processes are told is at most so old


class PageWriter:
    """Reads the overview and writes the page.

    Args:
        outbox: where the page lies.
    """

    def __init__(self, outbox: Path) -> None:
        self._page = StatusPage(outbox / FILE_NAME)
        self._reader = OverviewReader(keeps=True)
        self._next = float("-inf")
        self._keep_at = float("-inf")
        self._paused: str | None = None
        self._fault = ""

    def update(
        self,
        settings: Settings,
        health: Health,
        looks: Mapping[Identity, Inside | str] | None = None,
        notes: tuple[str, ...] = (),
        *,
        has_outbox: bool = True,
        last: bool = False,
    ) -> float | None:
        """Bring the page up to date, at most once a second. What keeps it from being written is logged, no more.

        What `print-folder status` says of the service is kept at once: a pause is to be seen before the page has time.

        Args:
            settings: in force.
            health: of the service, as it knows itself.
            looks: insides of ZIP and PDF files that are known.
            notes: what is to be said beside what the folders show.
            has_outbox: whether the outbox is there; below a drive that is gone no page is begun.
            last: the service stops; it is written now or never.

        Returns:
            Seconds until it wants to be called again even if nothing happens; None when the page is up to date.
        """
        self._keep(settings.folders.state, health, at_once=last)
        began = time.monotonic()
        if began < self._next and not last:
            return self._next - began
        done = not has_outbox or self._write(settings, health, looks or {}, notes, last=last)
        ended = time.monotonic()
        self._next = max(began + SOONEST_S, ended + (ended - began) * _SHARE)
        return None if done else self._next - ended

    def _write(
        self,
        settings: Settings,
        health: Health,
        looks: Mapping[Identity, Inside | str],
        notes: tuple[str, ...],
        *,
        last: bool,
    ) -> bool:
        try:
            seen = self._reader.read(settings, health, looks, notes)
            done = self._page.update(seen, local_now(), at_once=last)
        except (OSError, ValueError) as error:  # the disk; something in the folders that nobody thought of
            self._say(str(error))
            return True  # the next round of the service tries again
        self._fault = ""
        return done

    def _keep(self, state: Path, health: Health, *, at_once: bool) -> None:
        """Keep the health for `print-folder status`, now and then: an idle service does not keep a disk awake."""
        now = time.monotonic()
        if not (at_once or health.paused != self._paused or now >= self._keep_at):
            return
        try:
            write_health(state, health)
        except OSError as error:  # the next round of the service tries again
            logger.debug("what status says could not be kept: {fault}", fault=one_line(str(error)))
            return
        self._paused, self._keep_at = health.paused, now + _KEPT_FOR_S

    def _say(self, fault: str) -> None:
        if fault != self._fault:
            logger.warning("the status page could not be written: {fault}", fault=one_line(fault))
        self._fault = fault
