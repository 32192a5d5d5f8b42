"""The answer of a worker: how a task ended."""

import errno
import sys
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from watcher.errors import OrderHeld, PrintFolderError
from watcher.records.plain_text import one_line
from watcher.records.trouble import say_trouble
from watcher.terms import Finding, HeldFor, Level

FILE_BYTES = 2 * 1024**3  # the largest file that a worker may write

_MOST_SIGNS, _MOST_PLACES = 1000, 50  # of an error that are told: a recursion has a thousand places
_TOO_MUCH_MEMORY = "it needed too much memory"
# Errors of the system that come from the content of a file, not from the disk: without a number (Pillow), a place in
# the file that cannot be (a damaged ZIP), a result beyond FILE_BYTES.
_NO_TROUBLE = frozenset({None, errno.EINVAL, errno.EOVERFLOW, errno.EFBIG, errno.ENAMETOOLONG})


@dataclass(frozen=True, kw_only=True)
class Answer:
    """How a task ended.

    Attributes:
        result: what the task gives, or None.
        reasons: why the order cannot be made, the gravest first; empty when it was made.
        soft: whether the person may accept it.
        needs: what a held order waits for.
        pictures: names of files in its building folder that are to be held with it.
        small_picture: its front, to be held with it; see `art.small_picture`.
        died: the worker broke down over it: how, in plain words; None when it did not.
        detail: the same with its place in the program, for the log.
        trouble: the disk, a right or a mount stood in the way: worth trying again later.
    """

    result: Any = None
    reasons: tuple[Finding, ...] = ()
    soft: bool = False
    needs: HeldFor = HeldFor.ART
    pictures: tuple[str, ...] = ()
    small_picture: str = ""
    died: str | None = None
    detail: str | None = None
    trouble: str | None = None

    @property
    def held(self) -> tuple[str, ...]:
        """The reasons as plain sentences."""
        return tuple(reason.message for reason in self.reasons)


def held_answer(held: OrderHeld) -> Answer:
    """Give the answer that holds an order for this reason."""
    soft = bool(getattr(held, "is_soft", False))
    said = Finding(level=Level.HOLD if soft else Level.REFUSE, code=held.code, message=str(held))
    return Answer(
        reasons=getattr(held, "findings", None) or (said,),
        soft=soft,
        needs=getattr(held, "needs", HeldFor.ART),
        pictures=held.pictures,
        small_picture=held.small_picture,
    )


def answer_to(run: Callable[[Any], Any], message: Any) -> Answer:
    """Do a task and give its answer: its result, a reason to hold the order, or what stood in the way."""
    try:
        return Answer(result=run(message))
    except OrderHeld as held:
        return held_answer(held)
    except MemoryError:
        return Answer(died=_TOO_MUCH_MEMORY)
    except PrintFolderError as error:
        return Answer(died=str(error), detail=_describe(error))
    except OSError as error:
        if error.errno not in _NO_TROUBLE:
            return Answer(trouble=say_trouble(error))
        return Answer(died=_why_died(error), detail=_describe(error))
    except Exception as error:  # the task ends here: the service logs the error and holds this order alone
        return Answer(died=_why_died(error), detail=_describe(error))


def _why_died(error: Exception) -> str:
    if isinstance(error, OSError) and error.errno == errno.EFBIG:
        return f"it would come to a file of more than {_most_bytes() / 1e6:,.0f} MB"
    return "the program could not cope with it"


def _most_bytes() -> int:
    """Give the largest file that this process may write; the service may have been started under a lower limit."""
    if sys.platform != "linux":
        return FILE_BYTES
    import resource

    limit, _ = resource.getrlimit(resource.RLIMIT_FSIZE)
    return FILE_BYTES if limit == resource.RLIM_INFINITY else limit


def _describe(error: Exception) -> str:
    """Give the error and where it arose: files and lines of the program, never the contents of variables."""
    where = [f"{one.name}:{one.lineno}" for one in reversed(traceback.extract_tb(error.__traceback__))]
    return f"{type(error).__name__}: {one_line(str(error), _MOST_SIGNS)} ({' < '.join(where[:_MOST_PLACES])})"
