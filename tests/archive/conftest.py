"""Fixtures of the archive's tests."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.archive.decided_order import SETTINGS, face_of
from tests.orders.an_order import an_order
from watcher.archive.effective_settings import EffectiveSettings
from watcher.archive.order_ticket import Decided
from watcher.orders.model import ArtSource
from watcher.settings.load import load_settings
from watcher.terms import Side
from watcher.work.arrange import lay_out_order


@pytest.fixture
def decide(tmp_path: Path) -> Callable[..., Decided]:
    """An order of a card of `SETTINGS`, decided."""
    (tmp_path / "settings.toml").write_text(SETTINGS)
    settings = load_settings(tmp_path / "settings.toml")

    def decided(card_name: str = "invitation", **changes: Any) -> Decided:
        card = settings.card(card_name)
        sheet = settings.sheet_for(card)
        made_with = EffectiveSettings(
            card=card,
            sheet=sheet,
            printer=settings.printer_for(sheet),
            cutter=settings.cutter_for(sheet),
            sha256="cd" * 32,
        )
        asked = {key: changes.pop(key) for key in ("due", "note") if key in changes}
        order = an_order("A", quantity=25, overs="1 sheet", **asked)
        layout, count = lay_out_order(made_with, order.wishes)
        sides = list(Side)[: card.sides]
        plain: dict[str, Any] = {
            "folder": "a",
            "order": order,
            "settings": made_with,
            "count": count,
            "layout": layout,
            "faces": [face_of(side) for side in sides],
            "sources": [ArtSource(side=side, file=f"a_{side}.png", sha256="ab" * 32) for side in sides],
            "findings": [],
            "made_at": "2026-05-01T10:11:12+02:00",
            "software": "print-folder-watcher 0.1.0",
            "order_sha256": "ef" * 32,
        }
        return Decided(**{**plain, **changes})

    return decided
