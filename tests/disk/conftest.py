"""Fixtures of the disk's tests."""

import os
from pathlib import Path

import pytest


@pytest.fixture
def there(tmp_path: Path) -> Path:
    """Another folder."""
    (tmp_path / "there").mkdir()
    return tmp_path / "there"


@pytest.fixture
def source(tmp_path: Path) -> Path:
    (tmp_path / "a.png").write_bytes(b"art" * 1_000_000)
    os.utime(tmp_path / "a.png", ns=(1, 1_700_000_000_123_456_789))
    return tmp_path / "a.png"
