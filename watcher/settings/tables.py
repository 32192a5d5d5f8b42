"""Parse the settings table by table, so that a fault in one place hides none in another."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Generic, TypeVar

from pydantic import BaseModel, ValidationError

from watcher.layout.geometry import Size
from watcher.settings import faults
from watcher.settings.card import CardSettings
from watcher.settings.cutter import CutterSettings
from watcher.settings.defaults import DefaultsSettings
from watcher.settings.fields import LONGEST_NAME, fold
from watcher.settings.folders import FolderSettings
from watcher.settings.names import NameSettings
from watcher.settings.printer import AlignSettings, PrinterSettings
from watcher.settings.service import ServiceSettings
from watcher.settings.sheet import SheetSettings

TableT = TypeVar("TableT", bound=BaseModel)

_SINGLE = ("defaults", "folders", "names", "service")
_NAMED = ("cards", "sheets", "printers", "cutters")
_INNER_TABLES: Mapping[str, type[BaseModel]] = {"align": AlignSettings}
# The stand-ins for required values that are missing or wrong; no check ever uses them.
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
class ParsedTable(Generic[TableT]):
    """One parsed table.

    Attributes:
        key: its place in the file, such as ("cards", "invitation").
        written: the values as they are written in the file.
        model: the record; wrong values are replaced by defaults and stand-ins.
        faulty: the keys whose values were replaced.
    """

    key: tuple[str, ...]
    written: Mapping[str, object]
    model: TableT
    faulty: frozenset[str]

    def sound(self, *keys: str) -> bool:
        """Whether none of these values was replaced."""
        return self.faulty.isdisjoint(keys)

    def fault(self, key: str, way_out: str) -> str:
        """The fault of a value of this table, whether it is written or missing."""
        if key in self.written:
            return faults.fault((*self.key, key), self.written[key], way_out)
        return faults.missing((*self.key, key), way_out)


@dataclass(frozen=True, kw_only=True)
class ParsedFile:
    """The whole parsed file, whatever its faults."""

    path: Path
    defaults: ParsedTable[DefaultsSettings]
    folders: ParsedTable[FolderSettings]
    names: ParsedTable[NameSettings]
    service: ParsedTable[ServiceSettings]
    cards: Mapping[str, ParsedTable[CardSettings]]
    sheets: Mapping[str, ParsedTable[SheetSettings]]
    printers: Mapping[str, ParsedTable[PrinterSettings]]
    cutters: Mapping[str, ParsedTable[CutterSettings]]


def pick(tables: Mapping[str, ParsedTable[TableT]], name: str) -> ParsedTable[TableT] | None:
    """The table of that name, whatever its case."""
    return next((table for known, table in tables.items() if fold(known) == fold(name)), None)


def parse_tables(data: Mapping[str, object], path: Path) -> tuple[ParsedFile, list[str]]:
    """Parse each table into a record, and list every fault that a table has by itself.

    Args:
        data: the parsed file.
        path: the file, absolute; relative paths in it start at its folder.
    """
    found: list[str] = []
    known = (*_SINGLE, *_NAMED)
    found.extend(faults.unknown((key,), value, known) for key, value in data.items() if key not in known)
    reader = _TableParser(data=data, folder=path.parent, found=found)
    parsed = ParsedFile(
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
    return parsed, found


@dataclass(frozen=True, kw_only=True)
class _TableParser:
    """Parses tables and collects their faults."""

    data: Mapping[str, object]
    folder: Path
    found: list[str]

    def single(self, key: str, kind: type[TableT]) -> ParsedTable[TableT]:
        """A table that is once in the file; an empty one when it is missing."""
        return self._table((key,), self.data.get(key, {}), kind, {})

    def named(self, key: str, kind: type[TableT]) -> dict[str, ParsedTable[TableT]]:
        """The tables below a heading, by name."""
        tables = self.data.get(key, {})
        if not isinstance(tables, Mapping):
            self.found.append(faults.no_table((key,), tables, "NAME"))
            return {}
        self.found.extend(_name_faults(key, list(tables)))
        return {name: self._table((key, name), table, kind, {"name": _usable(name)}) for name, table in tables.items()}

    def _table(
        self, key: tuple[str, ...], written: object, kind: type[TableT], extra: Mapping[str, object]
    ) -> ParsedTable[TableT]:
        if not isinstance(written, Mapping):
            self.found.append(faults.no_table(key, written))
            return ParsedTable(key=key, written={}, model=self._make(kind, {}), faulty=frozenset(kind.model_fields))
        if "name" in written and extra:
            self.found.append(faults.unknown((*key, "name"), written["name"], kind.model_fields.keys() - {"name"}))
        values = {**written, **extra}
        try:
            model = kind.model_validate(values, context={"folder": self.folder})
        except ValidationError as error:
            self.found.extend(faults.table_faults(error, key, kind, _INNER_TABLES, self._there()))
            faulty = frozenset(str(item["loc"][0]) for item in error.errors(include_url=False))
            good = {name: value for name, value in values.items() if name not in faulty}
            return ParsedTable(key=key, written=written, model=self._make(kind, good), faulty=faulty)
        return ParsedTable(key=key, written=written, model=model, faulty=frozenset())

    def _there(self) -> dict[str, list[str]]:
        """The names of the sheets and printers of the file, by the key that names one."""
        tables = {"sheet": self.data.get("sheets"), "printer": self.data.get("printers")}
        return {key: list(table) for key, table in tables.items() if isinstance(table, Mapping)}

    def _make(self, kind: type[TableT], good: Mapping[str, object]) -> TableT:
        """A record of the good values, with stand-ins for required ones that are missing."""
        needed = {name: _STAND_INS[name] for name, field in kind.model_fields.items() if field.is_required()}
        return kind.model_validate({**needed, **good}, context={"folder": self.folder})


def _name_faults(key: str, names: list[str]) -> Iterator[str]:
    """The faults of names that no folder can have, or that differ in case alone."""
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
