"""What the settings of a product are, in one short word: the same word, the same sheets."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, is_dataclass
from enum import Enum
from fractions import Fraction
from pathlib import PurePath

from pydantic import BaseModel

# An order's quantity and overs are told by its ticket, and which sheet was chosen by the sheet itself. Whether orders
# share sheets does not change how a card looks.
TOLD_ELSEWHERE = {
    "card": {"quantity", "overs", "sheet", "approve"},
    "sheet": {"gang", "gang_wait", "gang_layouts"},
    "printer": {"align"},
}


def fingerprint(
    card: BaseModel, sheet: BaseModel, printer: BaseModel, align: BaseModel | None, cutter: BaseModel | None = None
) -> str:
    """The sha256, in hex, over exactly the settings that shape a card's sheets, preview and instructions.

    Stable across processes, hash seeds and working folders: keys are sorted, fractions written out, files named
    without their folder. A setting at its default counts for nothing, whether it is written in the file or not.
    """
    parts = {"card": card, "sheet": sheet, "printer": printer}
    dump: dict[str, object] = {kind: _differing(part, TOLD_ELSEWHERE[kind]) for kind, part in parts.items()}
    dump["align"] = _differing(align, set()) if align else {}
    if cutter:
        dump["cutter"] = _differing(cutter, set())
    text = json.dumps(dump, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _differing(table: BaseModel, without: set[str]) -> dict[str, object]:
    """The settings of a table that are not at their default, in plain form."""
    known = type(table).model_fields
    return {
        key: _plain(value)
        for key, value in table
        if key not in without and (known[key].is_required() or value != known[key].default)
    }


def _plain(value: object) -> object:
    """A value as JSON can hold it, without loss."""
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, PurePath):
        return value.name
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    if is_dataclass(value) and not isinstance(value, type):
        return _plain(asdict(value))
    if isinstance(value, Mapping):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(part) for part in value]
    return value
