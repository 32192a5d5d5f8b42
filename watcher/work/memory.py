"""Tell glibc how much freed memory a worker keeps; other C libraries decide for themselves."""

import ctypes
import gc
import os
import sys
from pathlib import Path

KEPT_BYTES = 32 * 1024**2  # the most that mallopt takes for a single block
LITTLE_BYTES, USUAL_BYTES = 200 * 1000**2, 400 * 1000**2  # in use between two orders; 5 x 7 in at 300 ppi leaves 250
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3  # <malloc.h>


def keep_freed() -> None:
    """Keep freed memory for the next order, up to `KEPT_BYTES` in one block.

    Left to itself glibc gives the memory of every picture back to the system and asks for it again, page by page: half
    of the time that opening two JPEGs took (5,000 page faults; mallopt(3), M_MMAP_THRESHOLD and M_TRIM_THRESHOLD).
    """
    library = _c_library()
    if library is not None:
        for option in (_MMAP_THRESHOLD, _TRIM_THRESHOLD):
            library.mallopt(option, KEPT_BYTES)


def give_back_after_large() -> None:
    """Return the memory of large art to the system.

    Objects of a PDF refer to their file and it to them, so only the garbage collector frees them; malloc_trim(3).
    """
    if sys.platform == "linux" and _c_library() is not None:
        resident = int(Path("/proc/self/statm").read_bytes().split()[1]) * os.sysconf("SC_PAGE_SIZE")
        if resident > USUAL_BYTES:
            give_back()
        elif resident > LITTLE_BYTES:
            gc.collect()  # takes 2 to 3 ms; else the sheets of ten orders stay in memory


def give_back() -> None:
    """Return all memory that is not in use to the system."""
    gc.collect()
    library = _c_library()
    if library is not None:
        library.malloc_trim(0)


def _c_library() -> ctypes.CDLL | None:
    library = ctypes.CDLL(None) if sys.platform == "linux" else None
    return library if library is not None and hasattr(library, "malloc_trim") else None
