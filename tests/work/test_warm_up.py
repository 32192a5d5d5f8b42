"""A worker's process has gone the way of an order before it copies itself for the first one."""

import subprocess
import sys
import tempfile
import tomllib
from dataclasses import replace

import pytest

from watcher.work import make_order, warm_up
from watcher.work.job import Job
from watcher.work.task_head import OrderKind, head_of

WITHOUT_AN_ORDER = """
import sys
import watcher.work.make_gang_run
before = set(sys.modules)
from watcher.work import warm_up
from watcher.work.make_order import rehearse
warm_up.warm_up()
between = set(sys.modules)
rehearse(warm_up._any_job())
print(len(between - before) > 0, sorted(set(sys.modules) - between))
"""


def test_what_an_order_loads_is_loaded_after_it():
    """So late as in an order came the codecs of fonts and the readers of pictures."""
    ran = subprocess.run([sys.executable, "-c", WITHOUT_AN_ORDER], capture_output=True, text=True, check=True)
    assert ran.stdout.split(maxsplit=1) == ["True", "[]\n"]


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """The tickets of what was rehearsed."""
    told: list[bytes] = []
    text_of = make_order.ticket_text
    monkeypatch.setattr(make_order, "ticket_text", lambda said: told.append(text_of(said)) or told[-1])
    return told


def test_the_order_goes_all_the_way_and_leaves_nothing_behind(told, monkeypatch: pytest.MonkeyPatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    before = sorted(warm_up._ART.iterdir())
    warm_up.warm_up()
    assert b'card = "card"' in told[0]
    assert list(tmp_path.iterdir()) == []
    assert sorted(warm_up._ART.iterdir()) == before


def _kind(job: Job) -> OrderKind:
    kind = head_of(job).kind
    assert kind is not None
    return kind


@pytest.mark.parametrize(("ending", "as_what"), [("pdf", "pdf"), ("jpeg", "jpg"), ("webp", "png")])
def test_an_order_like_another_has_its_settings_quantity_and_kind_of_file(told, ending, as_what):
    job = warm_up._any_job()
    art = tuple(replace(source, file=f"menu.{ending}") for source in job.order.art)
    wishes = replace(job.order.wishes, quantity=37)
    warm_up.warm_up(_kind(replace(job, order=replace(job.order, art=art, wishes=wishes), read_back=True)))
    ticket = tomllib.loads(told[0].decode())
    assert ticket["quantity"] == 37
    assert f"side.{as_what}" in told[0].decode()


def test_a_press_profile_is_not_opened(told, tmp_path):
    """It is a file from outside, and no walls are up yet."""
    job = warm_up._any_job()
    printer = job.settings.printer.model_copy(update={"output_profile": tmp_path / "hostile.icc"})
    warm_up.warm_up(_kind(replace(job, settings=replace(job.settings, printer=printer))))
    assert len(told) == 1
