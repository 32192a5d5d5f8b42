"""Hash the settings that shape a product: the same fingerprint means the same sheets."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, is_dataclass
from enum import Enum
from fractions import Fraction
from pathlib import PurePath

from pydantic import BaseModel

# How sheets reach a printer: no part of what they are, and nothing for a ticket that may be passed on.
SENDING = {"queue", "send", "fingerprint", "login_file", "tray", "stock", "quality"}
# The ticket has an order's quantity and overs, and the sheet itself says which one was chosen. Whether orders share
# sheets does not change how a card looks.
NOT_SHAPING = {
    "card": {"quantity", "overs", "sheet", "approve"},
    "sheet": {"gang", "gang_wait", "gang_layouts", *SENDING},
    "printer": {"align", *SENDING},
}


def fingerprint(
    card: BaseModel, sheet: BaseModel, printer: BaseModel, align: BaseModel | None, cutter: BaseModel | None = None
) -> str:
    """The SHA-256, in hex, of exactly the settings that shape a card's sheets, preview and instructions.

    Stable across processes, hash seeds and working folders: keys are sorted, fractions written out, files named
    without their folder. A setting at its default is left out, whether it is written in the file or not.
    """
    parts = {"card": card, "sheet": sheet, "printer": printer}
    dump: dict[str, object] = {kind: _differing(part, NOT_SHAPING[kind]) for kind, part in parts.items()}
    dump["align"] = _differing(align, set()) if align else {}
    if cutter:
        dump["cutter"] = _differing(cutter, set())
    text = json.dumps(dump, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _differing(table: BaseModel, without: set[str]) -> dict[str, object]:
    """The settings of a table that are not at their default, as JSON values."""
    known = type(table).model_fields
    return {
        key: _plain(value)
        for key, value in table
        if key not in without and (known[key].is_required() or value != known[key].default)
    }


def _plain(value: object) -> object:
    """A value as JSON can store it, without loss."""
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
