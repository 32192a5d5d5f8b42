"""An order packed for another machine, made there, and unpacked here; no cluster is needed."""

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from watcher.commands.at_work import service_for
from watcher.settings.load import load_settings
from watcher.work.answer import Answer
from watcher.work.local_worker import LocalWorker
from watcher.work.packing import PackedAnswer, make_packed, pack, unpack

Drop = Callable[..., None]


@pytest.fixture
def job(print_folder: Path, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch):
    """What a worker is told about an order that has been taken."""
    drop_pair(print_folder / "inbox", "alder")
    service = service_for(load_settings(print_folder / "settings.toml"), once=True, to_screen=False)
    told = []
    monkeypatch.setattr(LocalWorker, "start", lambda _self, _task, message: told.append(message))
    service.start()
    service.step(time.monotonic())
    yield told[0]
    service.stop()


def test_bytes_in_bytes_out(job, monkeypatch: pytest.MonkeyPatch) -> None:
    """What comes back is what a worker here makes; nothing of it depends on where it was made."""
    from watcher.work import make_order as pipeline

    monkeypatch.setattr("watcher.work.packing._answer_of", lambda moved: Answer(result=pipeline.make(moved)))
    packed = make_packed(pack(job))
    pipeline.make(job)
    assert {file.name: file.read_bytes() for file in job.building.iterdir()} == packed.product
    assert list(packed.product)[-1] == "alder_ticket.toml"


def test_another_version_there_is_refused_in_plain_words(job) -> None:
    answer = make_packed(replace(pack(job), software="0.0.1")).answer
    assert answer.trouble is not None
    assert "0.0.1" in answer.trouble
    assert "Install the same on all" in answer.trouble


@pytest.mark.parametrize("name", ["../settings.toml", "/etc/motd", "a/b", ".."])
def test_a_name_that_leads_elsewhere_is_refused(job, name: str) -> None:
    with pytest.raises(ValueError, match="another machine sent"):
        unpack(PackedAnswer(answer=Answer(), product={name: b""}), job)
