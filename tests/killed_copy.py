"""A copy of the test's process that dies right before one of its changes on disk, as by SIGKILL."""

import os
import sys
from collections.abc import Callable

_STEPS = {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.utime", "os.truncate", "shutil.rmtree"}
_KILLED = 77  # the code that the copy ends with


def is_killed_at(step: int, work: Callable[[], object]) -> bool:
    """Run something in a copy of this process that dies right before its n-th change on disk.

    Gives whether it died; False when it came to its end. The changes are told by the interpreter's audit events
    (docs.python.org/3/library/audit_events.html), so none is missed; no handler, `finally` or buffer runs. Nothing is
    flushed to the disk meanwhile: a killed process, unlike a cut of the power, loses nothing by that.
    """
    child = os.fork()
    if child == 0:
        os.fsync = lambda _handle: None
        _die_before(step)
        code = 1
        try:
            work()
            code = 0
        finally:
            os._exit(code)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code in (0, _KILLED), f"the work itself failed with code {code}"
    return code == _KILLED


def _die_before(step: int) -> None:
    left = step

    def count(event: str, args: tuple[object, ...]) -> None:
        nonlocal left
        writes = event == "open" and isinstance(args[2], int) and args[2] & (os.O_WRONLY | os.O_RDWR)
        if event in _STEPS or writes:
            left -= 1
            if left == 0:
                os._exit(_KILLED)

    sys.addaudithook(count)
