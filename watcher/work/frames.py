"""Pass a message on through memory that the system takes back at once.

What Python reads stays in freed memory until something else is written there. A worker's process, which copies itself
for each task, would hand each copy what it had read of the orders before.
"""

import errno
import mmap
import os
import select
import struct
import sys
from collections.abc import Callable

_NOT_HERE = "only where a process copies itself"
_HEADER = struct.Struct("!i")  # what `multiprocessing.connection.Connection` writes before the bytes of a message


def read_frame(pipe: int) -> memoryview:
    """Read what `Connection.send_bytes` has sent.

    Args:
        pipe: the file number of the other end.

    Raises:
        EOFError: the sender has ended.
        OSError: it cannot be read, or there is no memory for it.
    """
    header = bytearray(_HEADER.size)
    _fill(pipe, memoryview(header))
    (size,) = _HEADER.unpack(header)
    if size <= 0:
        raise EOFError
    view = _memory(size)
    if _fill(pipe, view) < size:
        raise EOFError
    return view


def write_frame(pipe: int, message: memoryview | bytes) -> None:
    """Send bytes so that `Connection.recv_bytes` reads them.

    Raises:
        OSError: the other end is closed.
    """
    write_all(pipe, _HEADER.pack(len(message)))
    write_all(pipe, message)


def read_to_end(
    pipe: int, most: int, *, meanwhile: Callable[[], object] = lambda: None, every_s: float | None = None
) -> memoryview:
    """Read all that comes until the sender closes its end, but no more than `most` bytes.

    Args:
        pipe: the file number of the reading end.
        most: bytes.
        meanwhile: called again and again while nothing comes.
        every_s: after so many seconds each time; None: never.

    Raises:
        OSError: it cannot be read, or there is no memory for it.
    """
    view = _memory(most)
    filled = 0
    while filled < len(view):
        while not select.select([pipe], [], [], every_s)[0]:
            meanwhile()
        came = _read_into(pipe, view[filled:])
        if not came:
            break
        filled += came
    return view[:filled]


def write_all(pipe: int, message: memoryview | bytes) -> None:
    """Write bytes, however many go at a time.

    Raises:
        OSError: the other end is closed.
    """
    left = memoryview(message)
    while left:
        left = left[os.write(pipe, left) :]


def _memory(size: int) -> memoryview:
    """Give memory that is its own, and is gone as soon as nobody refers to it."""
    if sys.platform == "win32":
        raise OSError(errno.ENOSYS, _NOT_HERE)
    return memoryview(mmap.mmap(-1, size, flags=mmap.MAP_PRIVATE | mmap.MAP_ANONYMOUS))


def _fill(pipe: int, view: memoryview) -> int:
    """Read until a view is full, or all is read; gives how many bytes came."""
    filled = 0
    while filled < len(view) and (came := _read_into(pipe, view[filled:])):
        filled += came
    return filled


def _read_into(pipe: int, view: memoryview) -> int:
    """Read what is there, waiting for it; 0 when nothing more will come."""
    if sys.platform == "win32":
        raise OSError(errno.ENOSYS, _NOT_HERE)
    return os.readv(pipe, [view])
