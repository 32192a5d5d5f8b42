"""Answers of workers as JSON, and how they are read: the records of an answer, whatever a worker sends.

A worker that a hostile file has taken over can send any bytes. Reading a pickle may call functions and change classes;
from JSON come plain values alone, and each is held against what its record says of the field.
"""

import base64
import dataclasses
import enum
import functools
import json
from collections.abc import Mapping
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

from watcher.archive.ticket_file import TICKET_SUFFIX
from watcher.inbox.inside import Inside
from watcher.outbox.product import is_product_name
from watcher.work.answer import Answer
from watcher.work.gang_model import Examination, Examined, RunJob, RunMade, RunSpoiled
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Checked, Job, Made, OrderCheck

MOST_ANSWER_BYTES = 8 * 1024**2  # one of 10,000 findings has 3 MB. Reading takes 30 times as much memory at most

_RESULTS = {kind.__name__: kind for kind in (Inside, Checked, Made, Examined, RunMade, RunSpoiled)}
_KIND = "record"
_GIVES: dict[type, tuple[type, ...]] = {
    InspectFile: (Inside,),
    OrderCheck: (Checked,),
    Examination: (Examined,),
    RunJob: (RunMade, RunSpoiled),
    Job: (Made,),
}
_LARGEST = 2**63 - 1  # number, of those that the journal can keep
_LONGEST = 20_000  # signs of one text; the longest that a task gives is the small picture of a card, in letters


def write_answer(answer: Answer) -> bytes:
    """Write an answer as bytes."""
    return json.dumps(_plain(answer), default=_plain).encode()


def read_answer(data: bytes) -> Answer:
    """Read an answer.

    Raises:
        ValueError: the bytes are no answer, or hold what no answer holds.
    """
    try:
        answer: Answer = _typed(Answer, json.loads(data))
    except Exception as error:  # bytes from outside: reading them may fail in any way, and nothing else is guarded
        raise ValueError(f"no answer of a worker: {type(error).__name__}: {error}") from error
    return answer


def is_answer_to(message: object, answer: Answer) -> bool:
    """Whether what a worker gives is what its task gives; an answer without a result says why there is none.

    A finished product has its ticket, for what is archived is known by that, and names its files by names of ours.
    """
    result = answer.result
    if result is None:
        return _says_why(answer)
    if not isinstance(result, _GIVES[type(message)]):
        return False
    if isinstance(message, Job) and isinstance(result, Made):
        return _is_product(result.product, message.name) and result.sheets > 0 and result.up > 0
    if isinstance(message, RunJob) and isinstance(result, RunMade):
        return not result.words or (_is_product(result.product, *result.words) and result.sheets > 0)
    return not isinstance(result, RunSpoiled) or _says_why(result.answer)


def _says_why(answer: Answer) -> bool:
    return bool(answer.reasons or answer.died or answer.trouble)


def _is_product(product: Mapping[str, int], *names: str) -> bool:
    """Whether these are the files of a product, with the tickets of all its orders."""
    has_tickets = all(name + TICKET_SUFFIX in product for name in names)
    return has_tickets and all(is_product_name(name) for name in product)


def _plain(value: Any) -> Any:
    """Give a value as JSON has it; a tuple, an enum's word, a number or None goes as it is."""
    if isinstance(value, Answer):
        return {**_fields(value), "result": _plain_result(value.result)}
    if dataclasses.is_dataclass(value):
        return _fields(value)
    if isinstance(value, bytes):
        return base64.b64encode(value).decode()
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"no answer holds a {type(value).__name__}")


def _plain_result(result: Any) -> Any:
    kind = type(result).__name__
    return {_KIND: kind, **_fields(result)} if _RESULTS.get(kind) is type(result) else result


def _fields(record: Any) -> dict[str, Any]:
    return {field.name: getattr(record, field.name) for field in dataclasses.fields(record)}


def _typed(hint: Any, value: Any) -> Any:
    """Give a value as a field of a record has it.

    Raises:
        ValueError: it is none of that kind.
    """
    if hint is Any:
        return _result(value)
    if get_origin(hint) is UnionType:
        return None if value is None and NoneType in get_args(hint) else _typed(get_args(hint)[0], value)
    if get_origin(hint) is tuple and isinstance(value, list):
        return tuple(_typed(get_args(hint)[0], one) for one in value)
    if get_origin(hint) is Mapping and isinstance(value, dict):
        return {name: _typed(get_args(hint)[1], one) for name, one in value.items()}
    if isinstance(hint, type):
        return _one(hint, value)
    raise ValueError(f"{hint} is no {type(value).__name__}")


def _one(hint: Any, value: Any) -> Any:
    if dataclasses.is_dataclass(hint) and isinstance(value, dict):
        return _record(hint, value)
    if issubclass(hint, enum.Enum):
        return hint(value)
    if hint is bytes and isinstance(value, str):
        return base64.b64decode(value, validate=True)
    if type(value) is not hint:
        raise ValueError(f"a {hint.__name__} is no {type(value).__name__}")
    if (hint is int and abs(value) > _LARGEST) or (hint is str and len(value) > _LONGEST):
        raise ValueError(f"a {hint.__name__} is larger than any answer has")
    return value


def _record(kind: Any, fields: dict[str, Any]) -> Any:
    hints = _hints(kind)
    return kind(**{name: _typed(hints[name], value) for name, value in fields.items()})


def _result(value: Any) -> Any:
    """Give what a task gives: one of the records above, or a plain value."""
    if not isinstance(value, dict) or _KIND not in value:
        return value
    return _record(_RESULTS[value.pop(_KIND)], value)


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)
