"""The health file, which tells other processes how the service is."""

import errno
from datetime import UTC, datetime

import pytest

from watcher.records import health
from watcher.records.health import FILE_NAME, Health, read_health, write_health

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
PAUSED = Health(at_work=True, last_scan=NOON, paused="the disk is full")


def test_what_is_written_is_read_again(tmp_path):
    write_health(tmp_path, PAUSED)
    assert read_health(tmp_path, at_work=True) == PAUSED


def test_a_service_that_is_not_at_work_is_not_paused(tmp_path):
    write_health(tmp_path, PAUSED)
    assert read_health(tmp_path, at_work=False) == Health(at_work=False, last_scan=NOON)


@pytest.mark.parametrize("content", [None, b"", b"looked = [", b"looked = 5\npaused = 3\n", b"\xff"])
def test_a_file_that_is_missing_or_damaged_tells_nothing(tmp_path, content):
    if content is not None:
        (tmp_path / FILE_NAME).write_bytes(content)
    assert read_health(tmp_path, at_work=True) == Health(at_work=True)


def test_a_full_disk_still_takes_it_over_the_old_content(tmp_path, monkeypatch):
    write_health(tmp_path, PAUSED)

    def full(path, data):
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(health, "write_atomically", full)
    write_health(tmp_path, Health(at_work=True, paused="full"))
    assert read_health(tmp_path, at_work=True) == Health(at_work=True, paused="full")
