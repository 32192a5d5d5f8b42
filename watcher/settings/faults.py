"""Word faults in the settings, one line each: the key, the value as it was written, and what would be right."""

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError

LONGEST_SHOWN = 60

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_WANTED = {
    ("cards", "trim"): 'write the finished size, such as trim = "5 x 7 in"',
    ("cards", "sheet"): 'write the name of the sheet it is printed on, such as sheet = "letter"',
    ("sheets", "size"): 'write the size of the paper, such as size = "letter"',
    ("sheets", "printer"): 'write the name of the printer, such as printer = "laser"',
}


class WrittenNumber(float):
    """A decimal number that remembers how it was written."""

    written: str

    def __new__(cls, written: str) -> "WrittenNumber":
        """Read a number from the text of a TOML float."""
        number = super().__new__(cls, written)
        number.written = written
        return number

    def __reduce__(self) -> tuple[type, tuple[str]]:
        return type(self), (self.written,)


def fault(key: Sequence[str], value: object, way_out: str) -> str:
    """One fault: `sheets.letter.gutter is "-2 mm"; use 0 or more`."""
    return f"{show_key(key)} is {show(value)}; {way_out}"


def missing(key: Sequence[str], way_out: str) -> str:
    """The fault of a key that must be there."""
    return f"{show_key(key)} is missing; {way_out}"


def unknown(key: Sequence[str], value: object, known: Iterable[str]) -> str:
    """The fault of an unknown key, with the nearest known one."""
    names = sorted(known)
    near = difflib.get_close_matches(key[-1], names, n=1, cutoff=0.6)
    way_out = f"did you mean {near[0]}?" if near else f"known here: {', '.join(names)}"
    return fault(key, value, f"there is no setting of this name; {way_out}")


def not_there(key: Sequence[str], value: str, kind: str, there: Iterable[str]) -> str:
    """The fault of a reference to a table that does not exist."""
    names = sorted(there, key=lambda name: (-difflib.SequenceMatcher(None, name, value).ratio(), name))
    choices = " or ".join(show(name) for name in names[:6])
    if names:
        return fault(key, value, f"use {choices}")
    first_line = ', with flip = "long-edge" in it' if kind == "printer" else ""
    return fault(key, value, f"write a table {show_heading((f'{kind}s', value))} first{first_line}")


def show_heading(key: Sequence[str]) -> str:
    """The heading of a table: `[cards.invitation]`."""
    return f"[{show_key(key)}]"


def show_key(key: Sequence[str]) -> str:
    """A key with its tables, as TOML writes it."""
    return ".".join(part if _BARE_KEY.fullmatch(part) else show(part) for part in key)


def show(value: object) -> str:
    """A value as it was written, on one line, cut when long."""
    if isinstance(value, Mapping):
        return "a table"
    text = _as_toml(value)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


def table_faults(
    error: ValidationError,
    key: Sequence[str],
    kind: type[BaseModel],
    parts: Mapping[str, type[BaseModel]],
    there: Mapping[str, Sequence[str]],
) -> Iterator[str]:
    """Word all faults that pydantic found in one table.

    Args:
        error: what the record refused.
        key: where the table stands in the file.
        kind: the record.
        parts: the records of tables inside it, by key.
        there: the names that the file has for a key that names another table, such as `printer`.
    """
    for item in error.errors(include_url=False):
        place = [str(step) for step in item["loc"]]
        inner = parts.get(place[0]) if len(place) > 1 else None
        names = there.get(place[-1], ())
        sentence = _sentence(item, (*key, *place), inner or kind, names)
        if sentence:
            yield sentence


def _sentence(item: Any, key: Sequence[str], kind: type[BaseModel], names: Sequence[str]) -> str | None:
    """One error of pydantic as a fault; None for one that only follows from another."""
    match item["type"]:
        case "default_factory_not_called":
            return None
        case "missing" if names and (key[0], key[-1]) in _WANTED:
            example = " or ".join(f"{key[-1]} = {show(name)}" for name in names[:6])
            return missing(key, f"{_WANTED[key[0], key[-1]].partition(', such as')[0]}, here {example}")
        case "missing":
            return missing(key, _WANTED.get((key[0], key[-1]), "write it"))
        case "extra_forbidden":
            return unknown(key, item["input"], kind.model_fields.keys() - {"name"})
        case "value_error":
            return fault(key, item["input"], str(item["ctx"]["error"]))
        case "dict_type" | "model_type":
            return no_table(key, item["input"])
        case _:
            return fault(key, item["input"], "use another value")


def no_table(key: Sequence[str], value: object, *below: str) -> str:
    """The fault of a value where a table belongs, or tables `below` it."""
    return fault(key, value, f"write a table of its own, with the heading {show_heading((*key, *below))}")


def _as_toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, WrittenNumber):
        return value.written
    if isinstance(value, str):
        return '"' + "".join(sign if sign.isprintable() else _escaped(sign) for sign in value) + '"'
    if isinstance(value, Mapping):
        return "{…}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_as_toml(part) for part in value)}]"
    return str(value)


def _escaped(sign: str) -> str:
    return sign.encode("unicode_escape").decode("ascii")
