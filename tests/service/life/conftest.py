"""A run of two orders, taken and not begun."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import TAG_PX
from watcher.service.life.cases import RunCase, run_of
from watcher.service.loop import Service


@pytest.fixture
def run(service: Service, draw_card: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> RunCase:
    """Two orders that may share a sheet, taken out of the inbox, and out of the queue."""
    for name in ("apple", "birch"):
        draw_card(service.shop.inbox / f"tag/{name}.png", TAG_PX, word=name)
    monkeypatch.setattr(service.scheduling, "_give_all", lambda: None)
    for now in range(100):
        if len(service.making.queue) < 2:
            service.step(now * 10.0)
    orders = sorted(service.making.queue, key=lambda order: order.name)
    for order in orders:
        service.making.queue.take(order)
    return run_of(orders)
