"""The environment variables that a worker's process is started with: those of the system, and none with a secret."""

import contextlib
import os
from collections.abc import Iterator

# What the program loader, the C library, Python and the system's own libraries read; of ours, what the tests set.
_NAMES = frozenset(
    ("PATH", "LANG", "LANGUAGE", "TZ", "TMPDIR", "TEMP", "TMP", "SYSTEMROOT", "SYSTEMDRIVE", "WINDIR", "VIRTUAL_ENV")
)
_BEGINNINGS = ("PYTHON", "LC_", "LD_", "DYLD_", "MALLOC_", "GLIBC_", "PRINT_FOLDER_", "COVERAGE_")
_OF_A_WORKER = {"OPENBLAS_NUM_THREADS": "1"}  # numpy starts no threads: the process copies itself for each task


@contextlib.contextmanager
def environment_of_a_worker() -> Iterator[None]:
    """Give a process that is started meanwhile what it needs of this one's environment.

    Passwords and tokens are often kept there, and a file that takes a task over could write them into a picture.
    """
    before = dict(os.environ)
    kept = {name: value for name, value in before.items() if _is_kept(name)}
    try:
        _set(kept | _OF_A_WORKER)
        yield
    finally:
        _set(before)


def _is_kept(name: str) -> bool:
    return name.upper() in _NAMES or name.upper().startswith(_BEGINNINGS)


def _set(wanted: dict[str, str]) -> None:
    for name in os.environ.keys() - wanted.keys():
        del os.environ[name]
    os.environ.update({name: value for name, value in wanted.items() if os.environ.get(name) != value})
