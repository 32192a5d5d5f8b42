"""A finished order's folder while it is built."""

import pytest

from watcher.outbox.product import begin_product, building_folder, drop_others, drop_product, is_whole, write_product


@pytest.fixture
def folder(tmp_path):
    return building_folder(tmp_path, 7)


def test_it_is_hidden_and_known_by_the_orders_number(folder, tmp_path):
    assert folder == tmp_path / ".making-7"


def test_files_are_written_and_their_sizes_told(folder):
    sizes = write_product(folder, {"a.pdf": b"sheets", "a.toml": lambda: b"ticket!"})
    assert sizes == {"a.pdf": 6, "a.toml": 7}
    assert is_whole(folder, sizes)


@pytest.mark.parametrize("damage", ["gone", "shorter", "a link"])
def test_a_product_that_lost_something_is_not_whole(folder, damage):
    sizes = write_product(folder, {"a.pdf": b"sheets", "a.toml": b"ticket"})
    if damage == "shorter":
        (folder / "a.pdf").write_bytes(b"she")
    else:
        (folder / "a.pdf").unlink()
    if damage == "a link":
        (folder / "a.pdf").symlink_to(folder / "a.toml")
    assert not is_whole(folder, sizes)


def test_what_an_earlier_try_left_is_removed(folder):
    begin_product(folder)
    (folder / "old.pdf").write_bytes(b"old")
    write_product(folder, {"a.pdf": b"new"})
    assert [file.name for file in folder.iterdir()] == ["a.pdf"]


def test_an_error_leaves_nothing_behind(folder):
    def fail() -> bytes:
        raise ValueError("no picture")

    with pytest.raises(ValueError, match="no picture"):
        write_product(folder, {"a.pdf": b"sheets", "a.png": fail, "a.toml": b"ticket"})
    assert not folder.exists()


def test_dropping_what_is_not_there_is_no_error(folder):
    drop_product(folder)


def test_what_is_not_of_the_product_goes_before_it_is_delivered(folder):
    sizes = write_product(folder, {"a.pdf": b"sheets", "a.toml": b"ticket"})
    for name in ("run.desktop", "-rf", "a\nb.html", ".hidden"):
        (folder / name).write_text("left by what took a worker over")
    drop_others(folder, sizes)
    assert sorted(file.name for file in folder.iterdir()) == ["a.pdf", "a.toml"]
    folder.rename(folder.with_name("delivered"))
    drop_others(folder, sizes)
