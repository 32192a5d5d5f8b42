"""Every rename, link and removal waits for a file that another program has open, and then does its work."""

import os
import stat
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from watcher.disk import (
    FileInUse,
    empty_folder,
    in_use,
    link_or_copy,
    make_folder_itself,
    move_file,
    move_folder,
    remove_empty_folder,
    remove_file,
    remove_folder,
    remove_tree,
    rename,
    write_atomically,
    write_durably,
)

CALLS: dict[str, Callable[[Path], object]] = {
    "write_durably": lambda shop: write_durably(shop / "a.png", b"new"),
    "write_atomically": lambda shop: write_atomically(shop / "a.png", b"new"),
    "move_file": lambda shop: move_file(shop / "a.png", shop / "there/a.png"),
    "move_folder": lambda shop: move_folder(shop / "order", shop / "there/order"),
    "remove_folder": lambda shop: remove_folder(shop / "order"),
    "remove_tree": lambda shop: remove_tree(shop / "order"),
    "remove_file": lambda shop: remove_file(shop / "a.png"),
    "remove_empty_folder": lambda shop: remove_empty_folder(shop / "empty"),
    "rename": lambda shop: rename(shop / "a.png", shop / "b.png"),
    "link_or_copy": lambda shop: link_or_copy(shop / "a.png", shop / "b.png"),
}
OF_THE_SYSTEM = ("rename", "replace", "unlink", "rmdir", "link")


def _state(folder: Path) -> set[tuple[str, bytes]]:
    files = {(str(path.relative_to(folder)), path.read_bytes()) for path in folder.rglob("*") if path.is_file()}
    return files | {(f"{path.relative_to(folder)}/", b"") for path in folder.rglob("*") if path.is_dir()}


@pytest.fixture
def make_shop(tmp_path: Path) -> Callable[[str], Path]:
    def make(name: str) -> Path:
        shop = tmp_path / name
        for folder in ("there", "order", "empty"):
            (shop / folder).mkdir(parents=True)
        (shop / "a.png").write_bytes(b"art")
        (shop / "order/a.png").write_bytes(b"ordered")
        return shop

    return make


@pytest.fixture
def scanner(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """A program that has every file open for `left` calls of the system; waiting takes no time."""
    scanner = SimpleNamespace(left=0, now=0.0)

    def refuse(call: Callable[..., object]) -> Callable[..., object]:
        def refused(*arguments: object, **named: object) -> object:
            if scanner.left > 0:
                scanner.left -= 1
                raise PermissionError(13, "in use", str(arguments[0]))
            return call(*arguments, **named)

        return refused

    def sleep(seconds: float) -> None:
        scanner.now += seconds

    for name in OF_THE_SYSTEM:
        monkeypatch.setattr(os, name, refuse(getattr(os, name)))
    monkeypatch.setattr(in_use, "waiting", in_use.Waiting(lambda: scanner.now, sleep))
    return scanner


@pytest.mark.parametrize("name", CALLS)
def test_a_file_in_use_for_a_moment_makes_no_difference(make_shop, scanner, name):
    undisturbed, disturbed = make_shop("undisturbed"), make_shop("disturbed")
    CALLS[name](undisturbed)
    assert _state(undisturbed) != _state(make_shop("untouched"))
    scanner.left = 3
    CALLS[name](disturbed)
    assert scanner.left == 0
    assert _state(disturbed) == _state(undisturbed)


@pytest.mark.parametrize("name", sorted(CALLS.keys() - {"link_or_copy"}))
def test_a_file_in_use_for_long_is_an_error_and_all_is_as_it_was(make_shop, scanner, name):
    shop, untouched = make_shop("shop"), make_shop("untouched")
    scanner.left = 1000
    with pytest.raises(FileInUse):
        CALLS[name](shop)
    scanner.left = 0
    left = {entry for entry in _state(shop) if not entry[0].endswith(".part")}
    assert left == _state(untouched)


def test_a_second_name_is_a_link_also_when_the_file_was_in_use_at_first(make_shop, scanner):
    shop = make_shop("shop")
    scanner.left = 2
    link_or_copy(shop / "a.png", shop / "b.png")
    assert (shop / "a.png").samefile(shop / "b.png")


def test_files_marked_as_read_only_are_removed_where_the_system_minds_the_mark(make_shop, monkeypatch):
    """Windows removes none (DeleteFile: "if the file is a read-only file, the function fails with access denied")."""
    shop = make_shop("shop")
    unlink = os.unlink

    def mind(path: Path, *, dir_fd: int | None = None) -> None:
        if not os.stat(path, dir_fd=dir_fd).st_mode & stat.S_IWUSR:
            raise PermissionError(13, "read-only", str(path))
        unlink(path, dir_fd=dir_fd)

    monkeypatch.setattr(os, "unlink", mind)
    for file in (shop / "a.png", shop / "order/a.png"):
        file.chmod(stat.S_IRUSR)
    remove_file(shop / "a.png")
    remove_tree(shop / "order")
    assert sorted(path.name for path in shop.iterdir()) == ["empty", "there"]


def test_a_folder_of_ours_is_emptied_but_for_what_it_keeps(tmp_path):
    (tmp_path / "ours/deep").mkdir(parents=True)
    for name in ("a.pdf", "b.pdf"):
        (tmp_path / "ours" / name).write_text(name)
    empty_folder(tmp_path / "ours", keeps=lambda name: name == "a.pdf")
    assert [file.name for file in (tmp_path / "ours").iterdir()] == ["a.pdf"]


@pytest.mark.parametrize("does", [empty_folder, make_folder_itself])
def test_a_link_in_the_place_of_a_folder_of_ours_goes_and_what_it_leads_to_stays(tmp_path, does):
    (tmp_path / "private").mkdir()
    (tmp_path / "private/letter.txt").write_text("mine")
    (tmp_path / "ours").symlink_to(tmp_path / "private")
    does(tmp_path / "ours")
    assert not (tmp_path / "ours").is_symlink()
    assert (tmp_path / "private/letter.txt").exists()
