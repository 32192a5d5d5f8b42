"""Load `settings.toml` into `Settings`, or refuse it with every fault of the file at once."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from watcher.disk import has_endless_key
from watcher.errors import SettingsRefused
from watcher.settings.card import CardSettings
from watcher.settings.defaults import DefaultsSettings
from watcher.settings.faults import WrittenNumber, show
from watcher.settings.model import Settings
from watcher.settings.relations import relation_faults
from watcher.settings.tables import ParsedFile, parse_tables

_MOST_FAULTS = 50  # that are told at a time
LARGEST_FILE = 1_000_000  # bytes; a file of hundreds of cards is a tenth of it
LONGEST_LINE = 80

_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_BARE_TEXT = re.compile(r"\s*[A-Za-z0-9_.-]+\s*=\s*+(?![\"'\[{])(?P<text>[^#]*[^#\s])")
_CURLY = "“”„‟«»‹›‘’‚‛″′＂"
_CURLY_VALUE = re.compile(rf"[=\[,]\s*[{_CURLY}]")
_STRAIGHT = str.maketrans(dict.fromkeys(_CURLY, '"'))
_COMMA_NUMBER = re.compile(r"\s*([A-Za-z0-9_.-]+\s*=\s*)([+-]?[0-9]+),([0-9]+)\s*(?:#|$)")


def load_settings(path: Path) -> Settings:
    """Load the settings from a file.

    Args:
        path: the file; relative paths in it start at its folder.

    Raises:
        SettingsRefused: the file is not there, cannot be read, or has faults; all of them are listed.
    """
    path = path.absolute()
    return settings_from(_read(path), path)


def settings_from(text: str, path: Path) -> Settings:
    """Read the settings from the text of a file; arguments and errors as of `load_settings`."""
    data = _parse(text, path)
    parsed, faults = parse_tables(data, path)
    faults += relation_faults(parsed)
    if faults:
        raise SettingsRefused(path, [*_told(faults)])
    return _settings(parsed)


def _told(faults: list[str]) -> Iterator[str]:
    yield from faults[:_MOST_FAULTS]
    if len(faults) > _MOST_FAULTS:
        yield f"{len(faults) - _MOST_FAULTS:,} more lines are wrong; correct these first"


def _settings(parsed: ParsedFile) -> Settings:
    return Settings(
        path=parsed.path,
        folder=parsed.path.parent,
        defaults=parsed.defaults.model,
        folders=parsed.folders.model,
        names=parsed.names.model,
        service=parsed.service.model,
        cards={name: _with_label(card.model, parsed.defaults.model) for name, card in parsed.cards.items()},
        sheets={name: sheet.model for name, sheet in parsed.sheets.items()},
        printers={name: printer.model for name, printer in parsed.printers.items()},
        cutters={name: cutter.model for name, cutter in parsed.cutters.items()},
    )


def _with_label(card: CardSettings, defaults: DefaultsSettings) -> CardSettings:
    """The card with the labels of `[defaults]` where it has none of its own."""
    label = card.label or defaults.label
    if label is None:
        return card
    return card.model_copy(update={"label": label, "bundle": card.bundle or defaults.bundle})


def _read(path: Path) -> str:
    """The text of the file, without a byte order mark."""
    if path.is_fifo():  # reading would wait without end
        raise SettingsRefused(path, ["is a pipe and no file; take it away"])
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        way_out = "make a print folder with its settings first: print-folder init DIR"
        raise SettingsRefused(path, [f"there is no such file in {path.parent}; {way_out}"]) from None
    except IsADirectoryError:
        raise SettingsRefused(path, ["is a folder; name the settings file in it"]) from None
    except OSError as error:
        raise SettingsRefused(path, [f"cannot be opened: {error.strerror}; check its rights"]) from error
    if len(data) > LARGEST_FILE:
        raise SettingsRefused(path, [f"is larger than {LARGEST_FILE:,} bytes; this cannot be a settings file"])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SettingsRefused(path, ["cannot be read as text; save it as UTF-8 in your editor"]) from error


def _parse(text: str, path: Path) -> dict[str, object]:
    if has_endless_key(text):
        raise SettingsRefused(path, ["holds a name with thousands of dots; take it out"])
    try:
        return tomllib.loads(text, parse_float=WrittenNumber)
    except tomllib.TOMLDecodeError as error:
        raise SettingsRefused(path, [_syntax_fault(str(error), text)]) from error
    except (ValueError, RecursionError) as error:  # a number of thousands of digits, thousands of brackets
        raise SettingsRefused(path, ["holds a number or list that is far too long; take it out"]) from error


def _syntax_fault(said: str, text: str) -> str:
    """The fault of a TOML syntax error: the line and the likely remedy."""
    found = _LINE.search(said)
    lines = text.split("\n")
    number = min(int(found[1]), len(lines)) if found else len(lines)
    line = lines[number - 1].strip()
    shown = line if len(line) <= LONGEST_LINE else line[:LONGEST_LINE] + "…"
    return f"line {number} cannot be read: {_one_line(shown)}; {next(_remedies(said, line))}"


def _remedies(said: str, line: str) -> Iterator[str]:
    """The likely remedies of a syntax error, the likeliest first."""
    if _CURLY_VALUE.search(line):
        straight = re.split(r"\s+#", line.translate(_STRAIGHT))[0]
        yield f"these are the quotes of a text program; write straight ones: {_one_line(straight[:LONGEST_LINE])}"
    if found := _COMMA_NUMBER.match(line):
        yield f"write a point, not a comma, before the decimals: {found[1]}{found[2]}.{found[3]}"
    if "\N{NO-BREAK SPACE}" in line:
        yield "it has a no-break space in it; write that space again with the space bar"
    if "\\" in line:
        yield "write a Windows path in single quotes, such as 'C:\\Cards\\inbox'"
    if "overwrite" in said or "twice" in said or "mutate" in said:
        yield "this name stands in the file twice; take one of them out"
    bare = _BARE_TEXT.match(line)
    if bare:
        yield f"text must stand in quotes: {show(bare['text'])}"
    if line.count('"') % 2 or line.count("'") % 2:
        yield "a closing quote is missing"
    if line.startswith("["):
        yield "write a heading as [cards.invitation]"
    yield 'write key = "text", key = 3 or key = true'


def _one_line(text: str) -> str:
    return show(text)[1:-1] if not text.isprintable() else text
