"""README's paragraph on backups, followed to the letter: what it says to copy is enough to go on with."""

import plistlib
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher.commands.check_report import describe_settings
from watcher.service.loop import Service
from watcher.settings.load import load_settings

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
Once = Callable[[Path], Service]
Drop = Callable[..., None]


@pytest.fixture
def paragraph() -> str:
    return README.partition("## Backups\n")[2].partition("\n## ")[0]


@pytest.fixture
def made(print_folder: Path, once: Once, drop_pair: Drop) -> Path:
    """A print folder in which fifty lanterns have been made."""
    drop_pair(print_folder / "inbox", "lantern_x50")
    once(print_folder)
    return print_folder


def restored(folder: Path, names: list[str], to: Path) -> Path:
    """A folder elsewhere with these parts of it, the first one gone as a broken disk is."""
    to.mkdir()
    for name in names:
        part = folder / name
        if part.is_dir():
            shutil.copytree(part, to / name)
        elif part.exists():
            shutil.copy2(part, to / name)
    shutil.rmtree(folder)
    return to


def test_the_least_that_it_names_makes_an_order_again_with_the_same_bytes(
    made: Path, paragraph: str, once: Once, tmp_path: Path
) -> None:
    least = re.findall(r"`([\w.]+)`", paragraph.partition("The least")[2].partition(":")[0])
    assert least == ["settings.toml", "alignment.toml", "archive"]
    before = (made / "outbox/lantern/lantern_sheets.pdf").read_bytes()
    folder = restored(made, least, tmp_path / "new disk")
    once(folder)  # makes the other folders
    (folder / "inbox" / "again.toml").write_text('repeat = "lantern"')
    assert once(folder).making.made == 1
    assert (folder / "outbox/lantern-2/lantern-2_sheets.pdf").read_bytes() == before


def test_the_whole_without_state_goes_on_where_it_was_and_makes_nothing_twice(
    made: Path, paragraph: str, once: Once, tmp_path: Path, draw_card: Callable[..., Path]
) -> None:
    assert "Copy the whole print folder, all but `state`." in paragraph
    draw_card(made / "inbox/tag/reed.png", (100, 60))  # far too small: held
    once(made)
    assert (made / "held/reed/why.txt").exists()
    folder = restored(made, [path.name for path in made.iterdir() if path.name != "state"], tmp_path / "new disk")
    assert once(folder).making.made == 0
    (folder / "held" / "reed").rename(folder / "held" / "reed ok")
    assert once(folder).making.made == 1
    assert (folder / "outbox" / "reed").is_dir()


def test_check_says_what_was_not_copied(made: Path, tmp_path: Path, once: Once) -> None:
    file = made / "settings.toml"
    file.write_text(file.read_text().replace("[cards.tag]", '[cards.tag]\nsides = 2\ncommon_back = "our-back.pdf"', 1))
    text = file.read_text().replace("sides = 1\n", "")
    file.write_text(text)
    folder = restored(made, ["settings.toml", "archive"], tmp_path / "new disk")
    said = [line.text for line in describe_settings(load_settings(folder / "settings.toml"))]
    assert any("common back of tag is not there" in line for line in said)


def test_the_file_for_the_start_on_a_mac_is_one_that_its_own_format_accepts() -> None:
    """A property list as Python's reader of that format takes it; that macOS acts on it is not tried here."""
    text = README.partition("print-folder.plist <<END\n")[2].partition("    END\n")[0]
    wanted = plistlib.loads("\n".join(line.strip() for line in text.splitlines()).encode())
    assert wanted["ProgramArguments"][1:] == ["run"]
    assert wanted["Label"] == "print-folder"
