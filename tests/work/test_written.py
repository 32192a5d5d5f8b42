"""What a task has written is counted as the kernel counts it."""

import os
import sys

import pytest

from watcher.work import written
from watcher.work.written import why_too_much

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="/proc: Linux")


def test_what_a_usual_task_has_written_may_be(tmp_path):
    (tmp_path / "sheets.pdf").write_bytes(b"%PDF")
    assert why_too_much(os.getpid(), [tmp_path]) is None


def test_bytes_count_though_the_file_is_gone(tmp_path, monkeypatch):
    before = written._written_by(os.getpid())
    (tmp_path / "gone").write_bytes(bytes(100_000))
    (tmp_path / "gone").unlink()
    monkeypatch.setattr(written, "MOST_WRITTEN_BYTES", before + 99_999)
    assert "it wrote more than" in str(why_too_much(os.getpid(), [tmp_path]))


@pytest.mark.parametrize(("most", "is_too_many"), [(3, False), (2, True)])
def test_files_and_folders_count_however_deep_they_lie(tmp_path, monkeypatch, most, is_too_many):
    (tmp_path / "one" / "two").mkdir(parents=True)
    (tmp_path / "one" / "two" / "file").touch()
    monkeypatch.setattr(written, "MOST_NAMES", most)
    assert (why_too_much(os.getpid(), [tmp_path]) is not None) == is_too_many


def test_a_process_that_is_gone_has_written_nothing(tmp_path):
    assert why_too_much(2**22 + 1, [tmp_path / "gone"]) is None
