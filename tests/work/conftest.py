"""The job of an order, drawn and put together as the service does it."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.orders.an_order import an_order
from watcher.archive.effective_settings import settings_now
from watcher.orders.model import ArtSource
from watcher.settings.load import load_settings
from watcher.terms import Side
from watcher.work.job import Job, job_for


@pytest.fixture
def job_of(print_folder: Path, draw_card: Callable[..., Path], tmp_path: Path) -> Callable[..., Job]:
    """The job of an order of tags, each design drawn at a size; nothing is compared by sight."""
    settings = load_settings(print_folder / "settings.toml")
    card = settings.cards["tag"]

    def make_job(*sizes: tuple[int, int], **values: object) -> Job:
        art = []
        for number, size in enumerate(sizes, 1):
            data = draw_card(tmp_path / f"taking/tag-{number}.png", size, word=str(number)).read_bytes()
            digest = hashlib.sha256(data).hexdigest()
            art.append(ArtSource(side=Side.FRONT, file=f"tag-{number}.png", sha256=digest, design=number))
        order = an_order("tag", **{"card": "tag", "sheet": "a4", "quantity": 12, "art": tuple(art), **values})
        made_with = settings_now(settings, card, settings.sheet_for(card, "a4"))
        job = job_for(order, made_with, tmp_path / "taking", "2026-03-01T09:05:07+00:00")
        return replace(job, building=tmp_path / "building", read_back=False)

    return make_job
