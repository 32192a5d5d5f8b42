"""Write the settings of one product into a ticket, read them back, and compare them with those of today.

Everything is written, defaults too, because a later version may have other defaults. Reading gives back exactly the
same values; of files only the names are written.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from pathlib import PurePath
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from watcher.layout.geometry import Margins, Size
from watcher.settings.amounts import Overs, Pile
from watcher.settings.card import CardSettings
from watcher.settings.cutter import CutterSettings
from watcher.settings.fields import MOST_LAYOUTS
from watcher.settings.fingerprint import NOT_SHAPING, SENDING
from watcher.settings.printer import PrinterSettings
from watcher.settings.sheet import SheetSettings
from watcher.settings.values import show_exact

Tables = dict[str, dict[str, object]]
_Table = TypeVar("_Table", bound=BaseModel)
# Nothing of the sheets: how they are sent, and prices and labels, which are those of the day on which an order is made.
_NOT_WRITTEN = {"align", "price", "click", "label", "bundle", *SENDING}
_PERCENT = {"ink_limit"}
# What a key is called in a sentence; where none stands here, the key itself, its `_` as spaces.
_CALLED = {
    "trim": "size",
    "least_bleed": "least bleed",
    "backs": "way up of the back",
    "flip": "edge it is flipped on",
    "dialog_flip": "edge to choose in the dialog",
    "backs_order": "order of the backs",
    "size": "size",
    "unprintable": "rim it cannot print",
    "unprintable_back": "rim it cannot print on the back",
    "gutter": "space between cards",
}
_NOT_SET = "not set"


@dataclass(frozen=True, kw_only=True)
class SheetSetup:
    """The settings that shape the sheets of one card on one sheet."""

    card: CardSettings
    sheet: SheetSettings
    printer: PrinterSettings
    cutter: CutterSettings

    @property
    def parts(self) -> Mapping[str, BaseModel]:
        """The settings, each record under the name of its table."""
        return {"card": self.card, "sheet": self.sheet, "printer": self.printer, "cutter": self.cutter}


def write_settings(setup: SheetSetup) -> Tables:
    """The settings as TOML tables with values as in `settings.toml`; what is not set is left out."""
    return {kind: _written(part) for kind, part in setup.parts.items()}


def _written(part: BaseModel) -> dict[str, object]:
    return {key: _plain(key, value) for key, value in part if value is not None and key not in _NOT_WRITTEN}


def _plain(key: str, value: object) -> object:
    match value:
        case bool() | int() | float():
            return value
        case Enum():
            return str(value.value)
        case str():
            return value
        case Fraction():
            return f"{show_exact(value)} {'%' if key in _PERCENT else 'mm'}"
        case Size():
            return f"{show_exact(value.width)} mm x {show_exact(value.height)} mm"
        case Margins():
            return [f"{show_exact(side)} mm" for side in (value.top, value.right, value.bottom, value.left)]
        case Overs() | Pile():
            return str(value)
        case PurePath():
            return value.name
    raise TypeError(f"{key}: nobody has said how {type(value).__name__} is written")


def read_settings(tables: object) -> SheetSetup:
    """Read the tables of `write_settings`; files are bare names. Keys of a later version are ignored.

    Raises:
        ValueError: the tables are incomplete or have wrong values.
    """
    if not isinstance(tables, Mapping):
        raise ValueError("no settings")
    return SheetSetup(
        card=_read(tables.get("card"), CardSettings),
        sheet=_read(tables.get("sheet"), SheetSettings),
        printer=_read(tables.get("printer"), PrinterSettings),
        cutter=_read(tables.get("cutter"), CutterSettings),
    )


def _read(table: object, kind: type[_Table]) -> _Table:
    if not isinstance(table, Mapping):
        raise ValueError("a table is missing")
    known = {key: value for key, value in table.items() if key in kind.model_fields and key not in _NOT_WRITTEN}
    if isinstance(layouts := known.get("gang_layouts"), int):
        known["gang_layouts"] = min(layouts, MOST_LAYOUTS)  # earlier versions allowed four
    try:
        model = kind.model_validate(known)
    except ValidationError as error:
        raise ValueError(f"settings that cannot be: {error.error_count()}") from error
    if any(isinstance(value, PurePath) and value.name != str(value) for _, value in model):
        raise ValueError("a file that is no bare name")  # a ticket that somebody else wrote leads nowhere
    return model


def what_changed(before: SheetSetup, now: SheetSetup) -> tuple[str, ...]:
    """The differences that shape the product, in words: `bleed of the card 0 mm -> 3 mm`; names first."""
    return tuple(
        change
        for kind, part in before.parts.items()
        for change in _changes(kind, part, now.parts[kind], NOT_SHAPING.get(kind, set()))
    )


def _changes(kind: str, before: BaseModel, now: BaseModel, passed_over: set[str]) -> Iterator[str]:
    for key in (key for key in type(before).model_fields if key not in passed_over):
        was, is_now = (_shown(getattr(part, key), key) for part in (before, now))
        if was != is_now:
            yield f"{kind} {was} -> {is_now}" if key == "name" else f"{_called(key)} of the {kind} {was} -> {is_now}"


def _called(key: str) -> str:
    return _CALLED.get(key, key.replace("_", " "))


def _shown(value: object, key: str) -> str:
    """A value for people."""
    if value is None or value == "":
        return _NOT_SET
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Size):
        return f"{show_exact(value.width)} x {show_exact(value.height)} mm"
    plain = _plain(key, value)
    return ", ".join(plain) if isinstance(plain, list) else str(plain)
