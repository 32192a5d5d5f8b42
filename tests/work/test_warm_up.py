"""A worker's process has gone the way of an order before it copies itself for the first one."""

import subprocess
import sys
import tempfile

import pytest

from watcher.work import make_order, warm_up

WITHOUT_AN_ORDER = """
import sys
import watcher.work.make_gang_run
before = set(sys.modules)
from watcher.work import warm_up
from watcher.work.make_order import rehearse
from pathlib import Path
import tempfile
warm_up.warm_up()
between = set(sys.modules)
with tempfile.TemporaryDirectory() as folder:
    rehearse(warm_up._job(Path(folder)))
print(len(between - before) > 0, sorted(set(sys.modules) - between))
"""


def test_what_an_order_loads_is_loaded_after_it():
    """So late as in an order came the codecs of fonts and the readers of pictures."""
    ran = subprocess.run([sys.executable, "-c", WITHOUT_AN_ORDER], capture_output=True, text=True, check=True)
    assert ran.stdout.split(maxsplit=1) == ["True", "[]\n"]


def test_the_order_goes_all_the_way_and_leaves_nothing_behind(monkeypatch: pytest.MonkeyPatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    told: list[bytes] = []
    text_of = make_order.ticket_text
    monkeypatch.setattr(make_order, "ticket_text", lambda said: told.append(text_of(said)) or told[-1])
    warm_up.warm_up()
    assert b'card = "card"' in told[0]
    assert list(tmp_path.iterdir()) == []


def test_without_room_for_temporary_files_a_worker_starts_all_the_same(monkeypatch: pytest.MonkeyPatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    warm_up.warm_up()
