"""Write values into a settings file and leave everything else in it as it was written: comments, order, blank lines.

tomlkit changes a value where it stands. A line that is asleep (`# lead = "top"`) is woken in its place; a new line
stands right behind its table's heading, so that it cannot slip below an example that is a comment.
"""

import re
import shutil
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Item

from watcher.disk import write_durably
from watcher.errors import SettingsRefused
from watcher.settings.faults import show, show_heading
from watcher.settings.load import settings_from

Values = Mapping[str, object]  # as the standard library reads TOML
_LINES = re.compile(r"(?<=\n)")
_HEADING = re.compile(r"#?\s*\[")
_MARK = "\N{BYTE ORDER MARK}"


class NotWritten(Exception):
    """The settings file was left as it was; the message is a sentence that says why."""


def write_values(path: Path, table: tuple[str, ...], values: Values, backup: Path) -> Path:
    """Write values into one table of a settings file, and keep a copy of the file as it was.

    Args:
        path: the file; where it is a link, what it points to is written.
        table: the place of the table, such as ("printers", "laser").
        values: by key.
        backup: where the copy goes; where a file is there already, the copy gets a number behind its name.

    Returns:
        Where the copy is.

    Raises:
        NotWritten: the file cannot be written, or would not be the same but for these values.
    """
    path = path.resolve()
    try:
        before = path.read_bytes().decode("utf-8")
        after = with_values(before.removeprefix(_MARK), table, values)
        settings_from(after, path)
        kept = _free_name(backup)
        shutil.copy2(path, kept)
        mode = path.stat().st_mode
        write_durably(path, (_MARK if before.startswith(_MARK) else "").encode() + after.encode("utf-8"))
        path.chmod(mode)
        return kept
    except OSError as error:
        raise NotWritten(f"{error.filename or path} cannot be written: {error.strerror}.") from error
    except (ValueError, SettingsRefused) as error:
        raise NotWritten(f"{path} would not have been right afterwards: {error}") from error


def with_values(text: str, table: tuple[str, ...], values: Values) -> str:
    """Give the text of a settings file with values written into one table.

    Raises:
        ValueError: the text is no TOML, or would differ in more than these values.
    """
    wanted = _changed(tomllib.loads(text), table, values)
    after = text
    for key, value in reversed(list(values.items())):
        after = _with_value(after, table, key, value)
    if tomllib.loads(after) != wanted:
        raise ValueError(f"these lines cannot be written under {show_heading(table)} without changing others")
    return after


def _changed(data: dict[str, Any], table: tuple[str, ...], values: Values) -> dict[str, Any]:
    changed = deepcopy(data)
    place = changed
    for name in table:
        place = place.setdefault(name, {})
    place.update(values)
    return changed


def _with_value(text: str, table: tuple[str, ...], key: str, value: object) -> str:
    """Change the value that is there, else wake the sleeping line, else write a line behind the heading."""
    there: Any = tomllib.loads(text)
    for name in table:
        there = there.get(name, {})
    lines = _LINES.split(text)
    start = next((number for number, line in enumerate(lines) if _is_heading(line, table)), None)
    if key in there or start is None:
        return _edited(text, table, key, value)
    end = next((n for n in range(start + 1, len(lines)) if _HEADING.match(lines[n])), len(lines))
    asleep = re.compile(rf"#\s?{re.escape(key)}\s*=\s*(\"[^\"]*\"|'[^']*'|[^#\s]+)?")
    for number in range(start + 1, end):
        if found := asleep.match(lines[number]):
            line, behind = f"{key} = {show(value)}", lines[number][found.end() :]
            column = len(lines[number].rstrip()) - len(behind.strip())
            lines[number] = f"{line:<{column - 1}} {behind.lstrip(' ')}" if behind.strip() else line + behind
            return "".join(lines)
    ending = "\r\n" if lines[start].endswith("\r\n") else "\n"
    heading = lines[start] if lines[start].endswith("\n") else lines[start] + ending
    return "".join([*lines[:start], heading, f"{key} = {show(value)}{ending}", *lines[start + 1 :]])


def _edited(text: str, table: tuple[str, ...], key: str, value: object) -> str:
    try:
        document = tomlkit.parse(text)
        place: Any = document
        for name in table:
            place = place[name] if name in place else place.setdefault(name, tomlkit.table())
        before = place.get(key)
        place[key] = value
        after = place[key]
        if isinstance(before, Item) and before.trivia.comment:
            room = len(before.trivia.comment_ws) + len(before.as_string()) - len(after.as_string())
            after.trivia.comment_ws = " " * max(1, room)
        return tomlkit.dumps(document)
    except TOMLKitError as error:
        raise ValueError(str(error)) from error


def _is_heading(line: str, table: tuple[str, ...]) -> bool:
    """Whether the line is the heading of the table, in whatever quotes its names stand."""
    if not line.lstrip().startswith("[") or line.lstrip().startswith("[["):
        return False
    try:
        data: Any = tomllib.loads(line)
    except tomllib.TOMLDecodeError:
        return False
    for name in table:
        data = data.get(name) if isinstance(data, dict) and list(data) == [name] else None
    return bool(data == {})


def _free_name(path: Path) -> Path:
    names = [path, *(path.with_name(f"{path.stem}-{number}{path.suffix}") for number in range(2, 1000))]
    return next((name for name in names if not name.exists()), path)
