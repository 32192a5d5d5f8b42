"""A worker's process is started with what it needs of the environment, and with no secret."""

import contextlib
import os
import subprocess
import sys

import pytest

from watcher.work.environment import environment_of_a_worker


def _seen_by_a_process() -> str:
    script = "import os; print(sorted(os.environ))"
    return subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("name", ["PATH", "LC_ALL", "PYTHONPATH", "TZ"])
def test_what_the_system_reads_is_kept(name, monkeypatch):
    monkeypatch.setenv(name, os.environ.get(name, "C"))
    with environment_of_a_worker():
        assert f"'{name}'" in _seen_by_a_process()


@pytest.mark.parametrize("name", ["API_TOKEN", "HOME", "SSH_AUTH_SOCK", "XDG_RUNTIME_DIR"])
def test_what_may_be_a_secret_is_not_passed_on(name, monkeypatch):
    monkeypatch.setenv(name, "of-this-user")
    with environment_of_a_worker():
        assert f"'{name}'" not in _seen_by_a_process()


def test_afterwards_all_is_as_before_also_after_an_error(monkeypatch):
    monkeypatch.setenv("API_TOKEN", "of-this-user")
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "7")
    before = dict(os.environ)
    with contextlib.suppress(OSError), environment_of_a_worker():
        assert os.environ["OPENBLAS_NUM_THREADS"] == "1"
        raise OSError
    assert dict(os.environ) == before
