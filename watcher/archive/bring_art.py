"""Put the art of an archived order beside the job ticket that repeats it; the archive keeps its own."""

from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from watcher.archive.archived import Archived
from watcher.disk import FileInUse, empty_folder, link_or_copy, sha256_of, sync_folder
from watcher.errors import OrderHeld
from watcher.inbox.file_names import compare_key
from watcher.records.plain_text import one_line
from watcher.steps import Step, reached


class ArtGone(OrderHeld):
    """The archive has not all of the art any more, or not as it was."""

    def __init__(self, order: str, faults: tuple[str, ...]) -> None:
        super().__init__(
            f"{one_line(order)} cannot be made again: {'; '.join(faults)}. Put the files of then back into"
            f" archive/{one_line(order)}, or drop the art again."
        )
        self.order, self.faults = order, faults

    def __reduce__(self) -> tuple[type, tuple[str, tuple[str, ...]]]:
        return type(self), (self.order, self.faults)


def bring_art(order: Archived, archive: Path, folder: Path, own: Collection[str]) -> None:
    """Link (or copy) each file of art into `folder` and compare it with its SHA-256 of the first time.

    What an earlier try left there goes first, so that it may be called again after a kill at any line.

    Args:
        order: whose art it is.
        archive: where it lies, in a folder of its name.
        folder: the taking folder of the order that repeats it.
        own: names of the files that are that order's own.

    Raises:
        ArtGone: files are missing or not what they were; all of them are told, and none stays in `folder`.
        OSError: disk or rights.
    """
    _clear(folder, own)
    faults = tuple(_bring(order.folder, files_of(order), archive, folder))
    if faults:
        _clear(folder, own)
        raise ArtGone(order.folder, faults)
    sync_folder(folder)
    reached(Step.LINKED)


def files_of(order: Archived) -> Mapping[str, str | None]:
    """Give each file of art with its SHA-256; None where only that of a part is known (early tickets of ZIP art)."""
    return {one.file: one.sha256 if one.member is None else one.file_sha256 for one in order.art}


def _bring(order: str, files: Mapping[str, str | None], archive: Path, folder: Path) -> Iterator[str]:
    for name, digest in files.items():
        source, target = archive / order / name, folder / name
        if source.is_symlink() or not source.is_file():
            yield f"{one_line(name)} is missing in archive/{one_line(order)}"
            continue
        try:
            link_or_copy(source, target)
            is_altered = digest is not None and sha256_of(target) != digest
        except FileInUse:
            raise  # it can be read when the other program is done
        except PermissionError:
            yield f"{one_line(name)} in archive/{one_line(order)} may not be read"
            continue
        if is_altered:
            yield f"{one_line(name)} in archive/{one_line(order)} was altered since"


def _clear(folder: Path, own: Collection[str]) -> None:
    names = {compare_key(name) for name in own}
    empty_folder(folder, keeps=lambda name: compare_key(name) in names)
