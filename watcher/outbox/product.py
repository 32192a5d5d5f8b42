"""Build a finished order's folder: in the archive, under a hidden name, each file durable.

Not in the outbox: what empties that (a sync program, a script that collects sheets) often takes hidden folders too,
and would take files out of a product that is not finished.
"""

import os
import stat
from collections.abc import Callable, Collection, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from types import TracebackType

from watcher.disk import empty_folder, is_bare_name, make_folder_itself, remove_empty_folder, sync_folder

BUILDING = ".making-"
NUMBERS = ".numbers.json"  # of a gang run, until it is delivered
_ENDINGS = (".pdf", ".png", ".toml")
_PENS = 8
_LARGEST_READ = 512 * 1024**2  # bytes

Content = bytes | Callable[[], bytes]  # of a file: its bytes, or what makes them when it is written


def building_folder(archive: Path, number: int) -> Path:
    """Where the product of order `number` is built."""
    return archive / f"{BUILDING}{number}"


def is_whole(folder: Path, files: Mapping[str, int]) -> bool:
    """Whether each of these files can be read in a building folder, with the size that it was written with, bytes."""
    try:
        return all(
            _size_of(folder / name) == size and os.access(folder / name, os.R_OK) for name, size in files.items()
        )
    except FileNotFoundError:
        return False


def is_product_name(name: str) -> bool:
    """Whether a file of a product may have this name: it lies in its folder, and is only looked at."""
    return is_bare_name(name) and (Path(name).suffix in _ENDINGS or name == NUMBERS)


def drop_others(folder: Path, files: Collection[str]) -> None:
    """Remove all from a building folder that is not of its product: a file that took a worker over may leave anything.

    Nothing is done where the folder has been delivered already.

    Raises:
        OSError: disk or rights.
    """
    empty_folder(folder, keeps=files.__contains__)


def built_file(folder: Path, name: str) -> Path | None:
    """Give a file of a building folder; None for a name of no product, and for what is no file to be read whole.

    A worker that a file has taken over may name anything, and write what no memory has room for.
    """
    file = folder / name
    if not is_product_name(name):
        return None
    try:
        size = _size_of(file)
    except OSError:
        return None
    return None if size is None or size > _LARGEST_READ else file


def _size_of(file: Path) -> int | None:
    status = file.lstat()
    return status.st_size if stat.S_ISREG(status.st_mode) else None


def make_building_folder(folder: Path) -> None:
    """Make a building folder where it is not there; what is no folder in its place, a link too, is removed first.

    Raises:
        OSError: disk or rights.
    """
    make_folder_itself(folder)  # no parents: where the archive itself is gone, its disk is not there now


def begin_product(folder: Path) -> None:
    """Make the building folder, empty: it tells that a worker is at work on the order.

    Raises:
        OSError: disk or rights.
    """
    make_building_folder(folder)
    empty_folder(folder)


def drop_product(folder: Path, *, at_once: bool = False) -> None:
    """Remove a building folder, as far as that is possible; the folder `at_once` or not at all."""
    with suppress(OSError):
        empty_folder(folder)
        remove_empty_folder(folder, at_once=at_once)


def drop_if_empty(folder: Path) -> None:
    """Remove a building folder in which nothing was built."""
    with suppress(OSError):  # it is not empty: there is a product
        remove_empty_folder(folder)


def write_product(folder: Path, files: Mapping[str, Content]) -> Mapping[str, int]:
    """Write the files of a product into its building folder, durably; the last one when all others are there.

    Returns:
        The size of each file, bytes.

    Raises:
        OSError: disk or rights; nothing of it is left.
    """
    *most, last = files.items()
    with Product(folder) as product:
        for name, content in most:
            product.put(name, content)
        product.finish(*last)
    return product.files


class Product:
    """Writes the files of a product in the background, each from the moment it is put.

    They wait for the disk together and not one after the other, and what makes its bytes when it is written does so
    beside everything else: packing pictures is done outside of Python. Left by an error, it leaves nothing behind, so
    that a full disk is no fuller for it.

    Args:
        folder: its building folder; what is in there is removed.

    Attributes:
        files: the size of each file, bytes, once it is finished.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._pens = ThreadPoolExecutor(_PENS)
        self._under_way: dict[str, Future[int]] = {}
        self.files: Mapping[str, int] = {}

    def __enter__(self) -> "Product":
        begin_product(self._folder)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._pens.shutdown(cancel_futures=kind is not None)
        if kind is not None:
            drop_product(self._folder, at_once=True)  # behind a worker's walls no folder may be removed

    def put(self, name: str, content: Content) -> None:
        """Begin to write a file."""
        self._under_way[name] = self._pens.submit(_write, self._folder / name, content)

    def finish(self, name: str, content: Content) -> None:
        """Write the last file, when all others are there.

        Raises:
            OSError: disk or rights, of any of the files; and whatever making one of them raised.
        """
        sizes = {earlier: pen.result() for earlier, pen in self._under_way.items()}
        self.files = {**sizes, name: _write(self._folder / name, content)}
        sync_folder(self._folder)


def _write(file: Path, content: Content) -> int:
    """Write a file durably; gives its size, bytes."""
    data = content if isinstance(content, bytes) else content()
    try:
        with file.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as error:
        error.filename = error.filename or str(file)  # writing itself does not tell where
        raise
    return len(data)
