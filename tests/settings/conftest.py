"""Settings files written for one test."""

from pathlib import Path

import pytest

from tests.a_shop import LEAST, PRINTERS
from watcher.errors import SettingsRefused
from watcher.settings.load import load_settings
from watcher.settings.model import Settings


@pytest.fixture
def least():
    """The shortest file that is complete."""
    return LEAST


@pytest.fixture
def profile_head():
    """The first 128 bytes of a colour profile. Source: ICC.1:2010 7.2: size, class, colour space, signature."""

    def build(kind=b"prtr", space=b"CMYK", size=128, signature=b"acsp"):
        return size.to_bytes(4) + bytes(8) + kind + space + bytes(16) + signature + bytes(88)

    return build


@pytest.fixture
def write(tmp_path):
    """Write a settings file (text or bytes) and give its path."""

    def write_text(text=LEAST, name="settings.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
        return path

    return write_text


@pytest.fixture
def load(write):
    """Load settings from a text."""
    return lambda text=LEAST: load_settings(write(text))


@pytest.fixture
def changed(load):
    """Load the shortest complete file with lines added: keys are headings, values what is put below them."""

    def load_changed(lines, more=""):
        text = LEAST
        for table, added in lines.items():
            text = text.replace(f"[{table}]", f"[{table}]\n{added}")
        return load(f"{text}\n{more}")

    return load_changed


@pytest.fixture
def faults(changed):
    """The faults of the shortest complete file with lines added; an empty list when there are none."""

    def faults_of(lines, more=""):
        try:
            changed(lines, more)
        except SettingsRefused as refused:
            return refused.faults
        return []

    return faults_of


@pytest.fixture
def faults_in(load):
    """The faults of a whole text."""

    def faults_of(text):
        try:
            load(text)
        except SettingsRefused as refused:
            return refused.faults
        return []

    return faults_of


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A print folder with a laser printer fed by hand and a press that turns sheets itself."""
    (tmp_path / "settings.toml").write_text(PRINTERS)
    return tmp_path


@pytest.fixture
def settings(shop: Path) -> Settings:
    return load_settings(shop / "settings.toml")
