"""What a hostile file might do once it has taken a worker over; runs as the work of a worker's task."""

import contextlib
import ctypes
import fcntl
import os
import pickle
import re
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, NoReturn

from watcher.outbox.product import begin_product
from watcher.work.answer import Answer
from watcher.work.gang_model import Examination, Examined
from watcher.work.job import Job


def _tried(deed: Callable[[], object]) -> str:
    try:
        return f"done: {deed()!r}"
    except OSError as error:
        return f"refused: {error.errno}"


def _fork() -> int:
    child = os.fork()
    if child == 0:
        os._exit(0)
    return child


def _answers() -> int:
    """The pipe by which this process gives its answer."""
    return next(one for one in range(3, 64) if os.path.exists(f"/proc/self/fd/{one}"))  # noqa: PTH110


def _trace(process: int) -> int:
    library = ctypes.CDLL(None, use_errno=True)
    if library.ptrace(16, process, 0, 0) < 0:  # PTRACE_ATTACH
        raise OSError(ctypes.get_errno(), "ptrace")
    return process


def try_everything(job: Job) -> Answer:
    """Try what no task may do, and the little that this one may; gives what came of each, by name."""
    other = job.folder.parent / ".taking-2" / "other.png"
    mine = job.building / "made.txt"
    deeds: dict[str, Callable[[], Any]] = {
        "read own art": lambda: (job.folder / "front.png").read_bytes(),
        "write own product": lambda: mine.write_text("made"),
        "remove own product": mine.unlink,
        "read another's art": other.read_bytes,
        "list the archive": lambda: sorted(job.folder.parent.iterdir()),
        "write own art": lambda: (job.folder / "front.png").write_bytes(b""),
        "write beside own art": lambda: (job.folder / "new.txt").write_text("new"),
        "link out of the product": lambda: (job.building / "link").symlink_to("/etc/passwd"),
        "leave a program with the owner's rights": lambda: os.open(
            job.building / "suid", os.O_CREAT | os.O_WRONLY, 0o4755
        ),
        "read the home": lambda: sorted(Path.home().iterdir()),
        "read passwords": Path("/etc/passwd").read_bytes,
        "write to the temporary folder": lambda: (Path(tempfile.gettempdir()) / "foreign").write_text("here"),
        "open a socket": lambda: socket.socket(socket.AF_INET),
        "open a local socket": lambda: socket.socket(socket.AF_UNIX),
        "start a program": lambda: subprocess.run([sys.executable, "-c", ""], check=True),
        "become a program": lambda: os.execv("/bin/true", ["true"]),
        "make a process": _fork,
        "end the service": lambda: os.kill(os.getppid(), 0),
        "have the kernel end the service": lambda: fcntl.fcntl(_answers(), fcntl.F_SETOWN, os.getppid()),
        "trace the service": lambda: _trace(os.getppid()),
        "read the service's memory": lambda: os.open(f"/proc/{os.getppid()}/mem", os.O_RDONLY),
        "raise own limits": _raise_limits,
    }
    return Answer(result={name: _tried(deed) for name, deed in deeds.items()})


def _raise_limits() -> None:
    import resource

    try:
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    except ValueError as error:  # what Python makes of EPERM here
        raise PermissionError(1, str(error)) from error


class _Calls:
    """Has whoever unpickles it call a function."""

    def __init__(self, argument: str) -> None:
        self._argument = argument

    def __reduce__(self) -> tuple[Callable[[str], object], tuple[str]]:
        return os.system, (self._argument,)


def answer_with_a_call(job: Job) -> Answer:
    """Answer with bytes that run a program where they are read without care."""
    _answer_with(pickle.dumps(Answer(result=_Calls(f"touch {job.folder.parent / 'called'}"))))


def _answer_with(answer: bytes) -> NoReturn:
    for one in range(3, 64):
        with contextlib.suppress(OSError):
            os.write(one, answer)
    os._exit(0)


_MARKED = re.compile(rb"[M]ARKED-[0-9]{6}")


def find_marks(_job: Job) -> Answer:
    """Look through all own memory for what is marked, as words of another's order."""
    found = set()
    memory = os.open("/proc/self/mem", os.O_RDONLY)
    for line in Path("/proc/self/maps").read_text().splitlines():
        begin, end = (int(place, 16) for place in line.split()[0].split("-"))
        for place in range(begin, end, 1 << 20):
            with contextlib.suppress(OSError, OverflowError):  # of the kernel's own pages
                found |= set(_MARKED.findall(os.pread(memory, min(1 << 20, end - place), place)))
    return Answer(result=sorted(mark.decode() for mark in found))


def say_the_note(job: Job) -> Answer:
    """Say something of one's own order, at length."""
    return Answer(result=f"{job.order.wishes.note} " * 999, reasons=(), detail=job.order.wishes.note)


def answer_without_end(_job: Job) -> Answer:
    """Write past the end of any answer."""
    for one in range(3, 64):
        with contextlib.suppress(OSError):
            while os.write(one, b"x" * 65536):
                pass
    return Answer()


def write_to_all(_job: Job) -> Answer:
    """Write a byte to all that is open, the pipe by whose end the service knows of the end of the process among it."""
    for one in range(3, 64):
        with contextlib.suppress(OSError):
            os.write(one, b"x")
    return Answer()


def kill_itself(_job: Job) -> Answer:
    """End as a process does that the kernel stops."""
    return Answer(result=ctypes.string_at(0))


_ALL = (try_everything, answer_with_a_call, answer_without_end, write_to_all, kill_itself, find_marks, say_the_note)
DEEDS: dict[str, Callable[[Job], Answer]] = {deed.__name__: deed for deed in _ALL}


def do_as_named(task: Job | Examination) -> Answer:
    """Do the deed that an order is named for, or examine it: one worker for all tests."""
    return DEEDS[task.name](task) if isinstance(task, Job) else examine_and_draw(task)


def examine_and_draw(task: Examination) -> Answer:
    """Begin as an examination does, and leave a picture as one does that holds its order."""
    begin_product(task.job.building)
    (task.job.building / "picture.png").write_bytes(b"picture")
    return Answer(result=Examined())
