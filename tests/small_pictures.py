"""Pictures of single cards in a third of their size, or none at all, for tests that look at none: they take long."""

import io
from typing import Any

import pytest
from PIL import Image


def show_cards_small(patch: pytest.MonkeyPatch) -> None:
    """Until the patch is undone, a card by itself is shown 300 px high instead of 900."""
    patch.setattr("watcher.sheet.check.render.CARD_HEIGHT_PX", 300)


def show_nothing(patch: pytest.MonkeyPatch) -> None:
    """Until the patch is undone, finished sheets are checked in numbers alone, and each picture is of one pixel.

    Each file of a product is there all the same, in this process and in those that it forks off.
    """
    dot = Image.new("RGB", (1, 1))
    file = io.BytesIO()
    dot.save(file, "PNG")
    for name in ("make_order.card_png", "make_gang_run.card_png", "held_art.why_png"):
        patch.setattr(f"watcher.work.{name}", lambda *_, **__: file.getvalue())
    patch.setattr("watcher.work.order_sheets.preview_picture", lambda *_: dot)
    patch.setattr("watcher.work.order_sheets.SheetRenderer", _SeesNothing)


class _SeesNothing:
    """Stands in for the renderer of finished sheets."""

    def __init__(self, *_: Any, **__: Any) -> None:
        pass

    def cards(self, *_: Any) -> tuple[()]:
        return ()

    def pages(self, **_: Any) -> tuple[()]:
        return ()


def tell_nothing(patch: pytest.MonkeyPatch) -> None:
    """Until the patch is undone, the instructions are an empty file."""
    for name in ("make_order", "make_gang_run"):
        patch.setattr(f"watcher.work.{name}.write_instructions", lambda *_: b"%PDF-1.6\n%%EOF\n")
