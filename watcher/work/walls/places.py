"""The places that a task reads and writes: its own files, the program and fonts; and the walls around all else."""

import functools
import os
import site
import sys
import sysconfig
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import watcher
from watcher.archive.repeat import common_name
from watcher.work.gang_model import Examination, RunJob
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Job, OrderCheck
from watcher.work.walls.landlock import confine, landlock_version
from watcher.work.walls.seccomp import apply_filter, build_filter, processor_here

# Shared libraries, fonts, time zones, and what the C library and OpenMP ask the kernel for; a place that a machine
# does not have is passed over.
_OF_THE_SYSTEM = (
    "/usr/lib",
    "/usr/lib64",
    "/usr/local/lib",
    "/lib",
    "/lib64",
    "/usr/share/fonts",
    "/usr/share/X11/fonts",
    "/usr/local/share/fonts",
    "/usr/share/zoneinfo",
    "/usr/share/locale",
    "/etc/fonts",
    "/etc/ld.so.cache",
    "/etc/localtime",
    "/dev/urandom",
    "/sys/devices/system/cpu",
)
_WRITABLE_DEVICES = (Path("/dev/null"),)


@dataclass(frozen=True, kw_only=True)
class Places:
    """Files and folders of one task.

    Attributes:
        readable: with all that is in them.
        writable: likewise; files may be made and removed there.
        copies: files beside an order's own art that are written too: copies of common art. They must be there.
    """

    readable: tuple[Path, ...] = ()
    writable: tuple[Path, ...] = ()
    copies: tuple[Path, ...] = ()


def places_of(message: object) -> Places:
    """Give the files and folders that a task reads and writes, beside the program's own."""
    match message:
        case InspectFile():
            return Places(readable=(message.path,))
        case OrderCheck():
            return Places(readable=(*_art_of(message.job), *_shared_by(message.job)))
        case Examination():
            return Places(
                readable=tuple(_read_by(message.job)),
                writable=(message.job.building,),  # for the picture of what is held
                copies=_copies_of(message.job),
            )
        case RunJob():
            return Places(
                readable=tuple(path for job in message.jobs for path in _read_by(job)),
                writable=(message.building,),
                copies=tuple(path for job in message.jobs for path in _copies_of(job)),
            )
        case Job():
            return Places(readable=tuple(_read_by(message)), writable=(message.building,), copies=_copies_of(message))
    return Places()


def plan_walls() -> None:
    """Find out what all walls have in common, once for all tasks."""
    program_places()
    _filter()


def wall_in(places: Places) -> None:
    """Shut this process in, for good: no file but these and the program's, no network, no other process.

    What this kernel cannot do is left out; `missing_walls` says so.

    Raises:
        OSError: the kernel refuses what it can do.
    """
    if landlock_version():
        own = (*program_places(), *_WRITABLE_DEVICES, Path("/proc/self"))
        confine((*own, *places.readable), (*_WRITABLE_DEVICES, *places.writable, *places.copies))
    program = _filter()
    if program is not None:
        apply_filter(program)


@functools.cache
def program_places() -> tuple[Path, ...]:
    """Give what every task reads: Python and its packages, this program, shared libraries, fonts, time zones."""
    packages = [*site.getsitepackages(), site.getusersitepackages() or ""]
    python = [sys.prefix, sys.base_prefix, sys.exec_prefix, *sysconfig.get_paths().values(), *packages]
    found = dict.fromkeys(Path(place) for place in (*python, *_OF_THE_SYSTEM) if place)
    own = Path(watcher.__file__).resolve().parent
    there = {path.resolve() for path in (*found, own) if path.exists() and not _holds_homes(path)}
    return tuple(sorted(path for path in there if there.isdisjoint(path.parents)))


def _holds_homes(path: Path) -> bool:
    """Whether a folder of Python is so wide that homes lie in it: `/` as a prefix."""
    home = Path(os.path.expanduser("~"))  # noqa: PTH111 - Path.home() raises where there is none
    return home.is_relative_to(path)


@functools.cache
def _filter() -> bytes | None:
    processor = processor_here()
    return None if processor is None else build_filter(processor)


def _read_by(job: Job) -> Iterator[Path]:
    yield job.folder
    yield from _shared_by(job)


def _art_of(job: Job) -> tuple[Path, ...]:
    """The files of an order that is only checked: they lie where they are, each with its whole path."""
    return tuple(job.folder / source.file for source in job.order.wanted_art)


def _shared_by(job: Job) -> tuple[Path, ...]:
    """What is read for many orders: the card's common art, the press's profile."""
    profile = job.settings.printer.output_profile
    return (*(path for _, path in job.common), *(() if profile is None else (profile,)))


def _copies_of(job: Job) -> tuple[Path, ...]:
    """The copies of common art that are written beside an order's own art, as far as there is something to copy."""
    return tuple(job.folder / common_name(side, path.suffix) for side, path in job.common if path.is_file())
