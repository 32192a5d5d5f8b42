"""The file taken apart table by table, so that a fault in one place hides none in another."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Generic, TypeVar

from pydantic import BaseModel, ValidationError

from watcher.layout.geometry import Size
from watcher.settings import faults
from watcher.settings.fields import LONGEST_NAME, fold
from watcher.settings.model import (
    AlignSettings,
    CardSettings,
    CutterSettings,
    DefaultsSettings,
    FolderSettings,
    NameSettings,
    PrinterSettings,
    ServiceSettings,
    SheetSettings,
)

TableT = TypeVar("TableT", bound=BaseModel)

_SINGLE = ("defaults", "folders", "names", "service")
_NAMED = ("cards", "sheets", "printers", "cutters")
_INNER_TABLES: Mapping[str, type[BaseModel]] = {"align": AlignSettings}
# What takes the place of a value that must be there and is not or cannot be read; no check ever looks at it.
_STAND_INS: Mapping[str, object] = {
    "name": "?",
    "trim": Size(Fraction(100), Fraction(100)),
    "sheet": "?",
    "size": Size(Fraction(1000), Fraction(1000)),
    "printer": "?",
}
# Cards are folders in the inbox, so their names must suit every file system; one rule for all names is easier to keep.
_NO_FOLDER = re.compile(r'[\x00-\x1f/\\:*?"<>|]|^[. ]|[. ]$|^(con|prn|aux|nul|com[0-9]|lpt[0-9])$', re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class Read(Generic[TableT]):
    """One table as it was read.

    Attributes:
        key: where it stands, such as ("cards", "invitation").
        written: what the file says.
        model: the record; where the file cannot be used, with defaults and stand-ins.
        faulty: keys of the record that hold no value of the file's.
    """

    key: tuple[str, ...]
    written: Mapping[str, object]
    model: TableT
    faulty: frozenset[str]

    def sound(self, *keys: str) -> bool:
        """Whether all these values can be relied on."""
        return self.faulty.isdisjoint(keys)

    def fault(self, key: str, way_out: str) -> str:
        """A fault of one value of this table, as it was written or by default."""
        if key in self.written:
            return faults.fault((*self.key, key), self.written[key], way_out)
        return faults.missing((*self.key, key), way_out)


@dataclass(frozen=True, kw_only=True)
class Reading:
    """The whole file as it was read, whatever its faults."""

    path: Path
    defaults: Read[DefaultsSettings]
    folders: Read[FolderSettings]
    names: Read[NameSettings]
    service: Read[ServiceSettings]
    cards: Mapping[str, Read[CardSettings]]
    sheets: Mapping[str, Read[SheetSettings]]
    printers: Mapping[str, Read[PrinterSettings]]
    cutters: Mapping[str, Read[CutterSettings]]


def take_apart(data: Mapping[str, object], path: Path) -> tuple[Reading, list[str]]:
    """Each table as a record, and every fault that a table shows by itself.

    Args:
        data: the parsed file.
        path: the file, absolute; relative paths in it start at its folder.
    """
    found: list[str] = []
    known = (*_SINGLE, *_NAMED)
    found.extend(faults.unknown((key,), value, known) for key, value in data.items() if key not in known)
    reader = _Reader(data=data, folder=path.parent, found=found)
    reading = Reading(
        path=path,
        defaults=reader.single("defaults", DefaultsSettings),
        folders=reader.single("folders", FolderSettings),
        names=reader.single("names", NameSettings),
        service=reader.single("service", ServiceSettings),
        cards=reader.named("cards", CardSettings),
        sheets=reader.named("sheets", SheetSettings),
        printers=reader.named("printers", PrinterSettings),
        cutters=reader.named("cutters", CutterSettings),
    )
    return reading, found


@dataclass(frozen=True, kw_only=True)
class _Reader:
    """Reads tables and collects what is wrong with them."""

    data: Mapping[str, object]
    folder: Path
    found: list[str]

    def single(self, key: str, kind: type[TableT]) -> Read[TableT]:
        """A table that stands once in the file; an empty one when it is not there."""
        return self._table((key,), self.data.get(key, {}), kind, {})

    def named(self, key: str, kind: type[TableT]) -> dict[str, Read[TableT]]:
        """The tables below a heading, by their names."""
        tables = self.data.get(key, {})
        if not isinstance(tables, Mapping):
            self.found.append(faults.no_table((key,), tables, "NAME"))
            return {}
        self.found.extend(_name_faults(key, list(tables)))
        return {name: self._table((key, name), table, kind, {"name": _usable(name)}) for name, table in tables.items()}

    def _table(
        self, key: tuple[str, ...], written: object, kind: type[TableT], extra: Mapping[str, object]
    ) -> Read[TableT]:
        if not isinstance(written, Mapping):
            self.found.append(faults.no_table(key, written))
            return Read(key=key, written={}, model=self._make(kind, {}), faulty=frozenset(kind.model_fields))
        if "name" in written and extra:
            self.found.append(faults.unknown((*key, "name"), written["name"], kind.model_fields.keys() - {"name"}))
        values = {**written, **extra}
        try:
            model = kind.model_validate(values, context={"folder": self.folder})
        except ValidationError as error:
            self.found.extend(faults.table_faults(error, key, kind, _INNER_TABLES))
            faulty = frozenset(str(item["loc"][0]) for item in error.errors(include_url=False))
            good = {name: value for name, value in values.items() if name not in faulty}
            return Read(key=key, written=written, model=self._make(kind, good), faulty=faulty)
        return Read(key=key, written=written, model=model, faulty=frozenset())

    def _make(self, kind: type[TableT], good: Mapping[str, object]) -> TableT:
        """A record of what is good, stand-ins for what must be there."""
        needed = {name: _STAND_INS[name] for name, field in kind.model_fields.items() if field.is_required()}
        return kind.model_validate({**needed, **good}, context={"folder": self.folder})


def _name_faults(key: str, names: list[str]) -> Iterator[str]:
    """Headings whose names no folder can have, or that differ in capitals alone."""
    seen: dict[str, str] = {}
    for name in names:
        if _usable(name) != name:
            heading = faults.show_heading((key, name))
            yield f"{heading} cannot be used as a name; use letters, digits, spaces, - and _, at most {LONGEST_NAME}"
        twin = seen.setdefault(fold(name), name)
        if twin != name:
            both = f"{faults.show_heading((key, twin))} and {faults.show_heading((key, name))}"
            yield f"{both} differ in capitals alone; use another name for one of them"


def _usable(name: str) -> str:
    """The name, or a stand-in for one that no folder can have."""
    usable = name.strip() and len(name) <= LONGEST_NAME and name.isprintable() and not _NO_FOLDER.search(name)
    return name if usable else str(_STAND_INS["name"])
