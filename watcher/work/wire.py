"""Answers of workers as bytes, and how they are read: nothing but plain records, whatever a worker sends.

A worker that a hostile file has taken over can send any bytes. Reading a pickle may call any function by its name, so
only records and enums of this package, and a few plain values, are found by their names here.
"""

import dataclasses
import enum
import io
import pickle

from watcher.work.answer import Answer

MOST_BYTES = 64 * 1024**2  # of one answer; one of 10,000 findings has 3

_PLAIN = {
    ("fractions", "Fraction"),
    ("decimal", "Decimal"),
    ("pathlib", "Path"),
    ("pathlib", "PosixPath"),
    ("pathlib", "WindowsPath"),
    ("pathlib._local", "PosixPath"),
    ("pathlib._local", "WindowsPath"),
    ("datetime", "date"),
    ("datetime", "datetime"),
    ("builtins", "set"),
    ("builtins", "frozenset"),
}


class _Reader(pickle.Unpickler):
    """Finds nothing but records and enums of this package, and plain values."""

    def find_class(self, module: str, name: str) -> object:
        found: object = super().find_class(module, name) if _may_hold(module, name) else None
        if (module, name) in _PLAIN or _is_record(found):
            return found
        raise pickle.UnpicklingError(f"an answer holds no {module}.{name}")


def write_answer(answer: Answer) -> bytes:
    """Write an answer as bytes."""
    return pickle.dumps(answer)


def read_answer(data: bytes) -> Answer:
    """Read an answer.

    Raises:
        ValueError: the bytes are no answer, or hold what no answer holds.
    """
    try:
        answer = _Reader(io.BytesIO(data)).load()
    except Exception as error:  # bytes from outside: reading them may fail in any way, and nothing else is guarded
        raise ValueError(f"no answer of a worker: {type(error).__name__}: {error}") from error
    if not isinstance(answer, Answer):
        raise ValueError(f"no answer of a worker but a {type(answer).__name__}")
    return answer


def _may_hold(module: str, name: str) -> bool:
    return (module, name) in _PLAIN or (module.startswith("watcher.") and "." not in name)


def _is_record(found: object) -> bool:
    return isinstance(found, type) and (dataclasses.is_dataclass(found) or issubclass(found, enum.Enum))
