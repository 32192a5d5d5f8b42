"""Folders of held orders that a sync program brings back file by file: taken once, when all of it is there."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

Drop = Callable[..., None]


def assert_made_once(driven) -> None:
    assert (driven.orders, driven.held, driven.inbox) == (["lantern"], [], [])
    assert sorted(path.name for path in (driven.folder / "archive").iterdir()) == ["lantern"]
    assert driven.left_lying() == []


@pytest.fixture
def held_order(driven, drop_pair: Drop) -> Path:
    """A pair of 30 ppi, set aside; the settings then ask for less. Gives its folder, away from the print folder."""
    driven.start()
    drop_pair(driven.folder / "inbox", size=(158, 218))
    driven.go_on(20)
    assert driven.held == ["lantern"]
    phone = driven.folder.parent / "on its way"
    (driven.folder / "held/lantern").rename(phone)
    return phone


ARRIVALS = {
    "note first": ["held.toml", "why.txt", "lantern_back.png", "lantern_front.png"],
    "note last": ["why.txt", "lantern_back.png", "lantern_front.png", "held.toml"],
}


@pytest.mark.parametrize("place", ["held", "inbox"])
@pytest.mark.parametrize("arrival", ARRIVALS)
def test_an_accepted_folder_that_comes_file_by_file_is_made_once_when_all_is_there(
    driven, held_order: Path, place: str, arrival: str
) -> None:
    """`ORDER ok`, with its note before or after the art, each file growing for a while."""
    target = driven.folder / place / "lantern ok"
    target.mkdir()
    for name in ARRIVALS[arrival]:
        data = (held_order / name).read_bytes()
        (target / name).write_bytes(data[: len(data) // 2])
        driven.go_on(30)
        assert driven.orders == []
        (target / name).write_bytes(data)
        driven.go_on(15)
    driven.go_on(30)
    assert_made_once(driven)


@pytest.mark.parametrize("arrival", ARRIVALS)
def test_a_returned_folder_that_comes_file_by_file_is_tried_again_once_when_all_is_there(
    driven, held_order: Path, arrival: str
) -> None:
    target = driven.folder / "inbox/lantern"
    target.mkdir()
    for name in ARRIVALS[arrival]:
        shutil.copyfile(held_order / name, target / name)
        driven.go_on(60)
    driven.go_on(30)
    assert (driven.orders, driven.held, driven.inbox) == ([], ["lantern"], [])
    assert sum("lantern: held:" in line for line in driven.log) == 2


def test_an_accepted_folder_must_rest_before_it_is_taken(driven, held_order: Path) -> None:
    """Renamed in place while the sync program still writes: art that looks whole may be written to still."""
    settings = driven.folder / "settings.toml"
    settings.write_text(settings.read_text().replace('quiet = "0 s"', 'quiet = "20 s"'))
    driven.service.stop()
    driven.start()
    target = driven.folder / "held/lantern ok"
    shutil.copytree(held_order, target)
    for _ in range(4):
        (target / "lantern_back.png").write_bytes((held_order / "lantern_back.png").read_bytes())  # once more
        driven.go_on(15)
        assert driven.orders == []
    driven.go_on(30)
    assert_made_once(driven)


def test_a_folder_renamed_by_a_sync_program_is_for_a_while_there_twice(driven, held_order: Path) -> None:
    """First the new name with all its files, then the old one goes: made once, and nothing of the old stays."""
    shutil.copytree(held_order, driven.folder / "held/lantern")
    shutil.copytree(held_order, driven.folder / "held/lantern ok")
    driven.go_on(30)
    assert driven.orders == ["lantern"]
    for file in sorted((driven.folder / "held/lantern").glob("*")):
        file.unlink()
    shutil.rmtree(driven.folder / "held/lantern", ignore_errors=True)
    driven.go_on(60)
    assert_made_once(driven)
