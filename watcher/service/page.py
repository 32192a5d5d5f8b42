"""The page that shows people how the print folder is: what it promises, and when it is brought up to date."""

import time
from collections.abc import Mapping
from datetime import datetime
from typing import Protocol

from watcher.inbox.inside import Inside
from watcher.inbox.scan import Identity
from watcher.records.health import Health
from watcher.service.shop import Shop
from watcher.settings.model import Settings
from watcher.work.walls.missing import missing_walls


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


class PageUpdates:
    """Brings the page up to date when something has changed, or when it wants to be.

    Args:
        page: None: nothing shows people how the print folder is.

    Attributes:
        due_at: when it is to be brought up to date even if nothing happens, by the steady clock; None: not at all.
    """

    def __init__(self, page: Page | None) -> None:
        self._page = page
        self._told: tuple[datetime | None, str | None] | None = None
        self.due_at: float | None = None

    def is_due(self, shop: Shop, looked_on: datetime | None) -> bool:
        """Whether it is to be brought up to date; `looked_on` is the last look at the inbox."""
        is_asked_for = self.due_at is not None and time.monotonic() >= self.due_at
        return is_asked_for or self._told != (looked_on, shop.pauses.first_reason)

    def ask(self) -> None:
        """Have it brought up to date at the next step."""
        if self.due_at is None:
            self.due_at = time.monotonic()

    def update(
        self,
        shop: Shop,
        looked_on: datetime | None,
        looks: Mapping[Identity, Inside | str],
        notes: tuple[str, ...],
        *,
        at_work: bool,
    ) -> None:
        """Bring it up to date; the arguments as in `Page.update`."""
        self._told = (looked_on, shop.pauses.first_reason)
        health = Health(at_work=at_work, last_scan=looked_on, paused=shop.pauses.first_reason)
        wait_s = None
        if self._page is not None:
            has_outbox, notes = shop.roots.has_outbox(), (*filter(None, (missing_walls(),)), *notes)
            wait_s = self._page.update(shop.settings, health, looks, notes, has_outbox=has_outbox, last=not at_work)
        self.due_at = None if wait_s is None else time.monotonic() + wait_s
