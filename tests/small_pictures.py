"""Pictures of single cards in a third of their size, for tests that look at none: to draw and pack them takes long."""

import pytest


def show_cards_small(patch: pytest.MonkeyPatch) -> None:
    """Until the patch is undone, a card by itself is shown 300 px high instead of 900."""
    patch.setattr("watcher.sheet.check.render.CARD_HEIGHT_PX", 300)
