"""Fill the starter settings with what a printer says; comments and all other lines stay as they are."""

import re
from collections.abc import Iterable

from watcher.layout.geometry import Size
from watcher.outbox.printing.media import SAME_SIZE_MM, Media
from watcher.outbox.printing.paper_words import rim_line
from watcher.outbox.printing.printer_says import PrinterSays
from watcher.settings.papers import paper_name
from watcher.settings.values import parse_size
from watcher.terms import Duplex, Flip

SMALLEST_SHEET_MM = 140  # the shorter side; what is smaller is a card or an envelope, no sheet to cut cards from
COLUMN, WIDEST = 38, 120  # where the starters' comments begin, and where their lines end

_HEADING = re.compile(r"^\[(?P<kind>\w+)\.(?P<name>[\w-]+)\]", re.MULTILINE)
_ANY_HEADING = re.compile(r"^(?:# )?\[", re.MULTILINE)
_TURNS = {
    Duplex.AUTOMATIC: '# the printer can turn the sheets; "manual": you put the stack back in',
    Duplex.MANUAL: "# you put the stack back in; the printer says that it prints one side",
}


def fill_in(text: str, queue: str, says: PrinterSays, fingerprint: str | None = None) -> str:
    """Give the starter settings with the printer's address, sides, sheets and rims in them.

    A sheet that the printer does not know goes to sleep, one that lies in it is added, and cards go on a sheet that it
    knows.

    Args:
        text: starter settings with one printer.
        queue: its address.
        says: what it says.
        fingerprint: the certificate that its owner trusts, or None.
    """
    (printer,) = _names(text, "printers")
    text = _set(text, f"printers.{printer}", "queue", f'"{queue}"')
    if fingerprint:
        text = _set(text, f"printers.{printer}", "fingerprint", f'"{fingerprint}"')
    if says.sides:
        turns = [flip for flip in Flip if flip.sides in says.sides]
        duplex = Duplex.AUTOMATIC if turns else Duplex.MANUAL
        text = _set(text, f"printers.{printer}", "duplex", f'"{duplex}"', _TURNS[duplex])
        if len(turns) == 1:
            text = _set(text, f"printers.{printer}", "flip", f'"{turns[0]}"')
    return _with_sheets(text, printer, says) if _sheets(says.sheets) else text


# -- sheets ------------------------------------------------------------------------------------------------------------


def _with_sheets(text: str, printer: str, says: PrinterSays) -> str:
    sizes = {name: _size_of(text, name) for name in _names(text, "sheets")}
    known = [name for name, size in sizes.items() if says.sheets_for(size)]
    lying = _others(says.ready or (), [sizes[name] for name in known])
    if not known and not lying:
        lying = _sheets(says.sheets)[:1]
    for name in known:
        text = _set_rim(text, name, sizes[name], says)
    tables = [_table_of(one, printer, says) for one in lying]
    have = [*(sizes[name] for name in known), *(one.size for one in lying if one.size)]
    text = _insert(text, "".join(tables) + _takes_too(_others(says.sheets, have)))
    for name in sizes.keys() - set(known):
        text = _put_to_sleep(text, name)
    return _move_cards(text, [*(_table_name(one) for one in lying), *known])


def _size_of(text: str, sheet: str) -> Size:
    start, end = _place(text, f"sheets.{sheet}")
    written = re.search(r'^size = "(?P<size>[^"]+)"', text[start:end], re.MULTILINE)
    assert written, sheet
    return parse_size(written["size"])


def _set_rim(text: str, sheet: str, size: Size, says: PrinterSays) -> str:
    rim = says.rim_for(size)
    return text if rim is None else _set(text, f"sheets.{sheet}", "unprintable", rim_line(rim))


def _sheets(media: Iterable[Media]) -> list[Media]:
    """The entries of one size that are large enough to be sheets, each size once."""
    found: dict[Size, Media] = {}
    for one in media:
        if one.size and one.up_to is None and min(one.size.width, one.size.height) >= SMALLEST_SHEET_MM:
            found.setdefault(one.size, one)
    return list(found.values())


def _others(media: Iterable[Media], have: list[Size]) -> list[Media]:
    return [one for one in _sheets(media) if not any(one.takes(size) for size in have)]


def _table_of(one: Media, printer: str, says: PrinterSays) -> str:
    assert one.size
    rim = says.rim_for(one.size)
    name = paper_name(one.size, SAME_SIZE_MM)
    size = name or f"{float(one.size.width):g} x {float(one.size.height):g} mm"
    lines = [f"[sheets.{_table_name(one)}]".ljust(COLUMN) + "# the printer says that it takes it", f'size = "{size}"']
    lines += [f"unprintable = {rim_line(rim)}"] if rim else []
    return "\n".join([*lines, f'printer = "{printer}"', "", ""])


def _takes_too(others: Iterable[Media]) -> str:
    names = [paper_name(one.size, SAME_SIZE_MM) for one in others if one.size]
    listed = ", ".join(dict.fromkeys(name for name in names if name))
    return f"# The printer takes these too; each that you use wants a table as above: {listed}.\n\n" if listed else ""


def _table_name(one: Media) -> str:
    assert one.size
    name = paper_name(one.size, SAME_SIZE_MM) or f"{float(one.size.width):.0f}x{float(one.size.height):.0f}"
    return re.sub(r" ?x ?", "x", name.lower()).replace(" ", "-")


def _insert(text: str, more: str) -> str:
    """The text with more behind its last sheet."""
    _, end = _place(text, f"sheets.{_names(text, 'sheets')[-1]}")
    return text[:end] + more + text[end:]


def _put_to_sleep(text: str, sheet: str) -> str:
    """The text with a `#` before each line of the sheet that is awake."""
    start, end = _place(text, f"sheets.{sheet}")
    return text[:start] + re.sub(r"^(?=[^#\n])", "# ", text[start:end], flags=re.MULTILINE) + text[end:]


def _move_cards(text: str, sheets: list[str]) -> str:
    """The text with cards on the first of these sheets whose own is not among them."""

    def moved(found: re.Match[str]) -> str:
        if found["sheet"] in sheets:
            return found[0]
        line = f'sheet = "{sheets[0]}"'
        return f"{line.ljust(COLUMN)}{found['comment']}" if found["comment"] else line

    pattern = r'^sheet = "(?P<sheet>[^"]+)" *(?P<comment>#.*)?$'
    return re.sub(pattern, moved, text, flags=re.MULTILINE)


# -- lines -------------------------------------------------------------------------------------------------------------


def _set(text: str, table: str, key: str, value: str, comment: str | None = None) -> str:
    """The text with a key of a table set on its line, awake or asleep, else below the first line of the table.

    The line's own comment stays unless there is another; it goes above where the line would become too long.
    """
    start, end = _place(text, table)
    pattern = re.compile(rf"^(?:# )?{key} = (?:[^#\n]*)(?P<comment>#.*)?$", re.MULTILINE)
    part = text[start:end]
    found = pattern.search(part)
    own = comment or (found["comment"] if found else None)
    line = f"{key} = {value}"
    if own:
        beside = f"{line.ljust(COLUMN - 2)}  {own}"
        line = beside if len(beside) <= WIDEST else f"{own}\n{line}"
    if found:
        part = part[: found.start()] + line + part[found.end() :]
    else:
        first = part.index("\n", part.index("\nsize = ") + 1 if "\nsize = " in part else 0)
        part = f"{part[:first]}\n{line}{part[first:]}"
    return text[:start] + part + text[end:]


def _names(text: str, kind: str) -> list[str]:
    return [found["name"] for found in _HEADING.finditer(text) if found["kind"] == kind]


def _place(text: str, table: str) -> tuple[int, int]:
    """Where a table begins and ends: before the next heading, awake or asleep."""
    start = re.search(rf"^\[{re.escape(table)}\]", text, re.MULTILINE)
    assert start, table
    end = _ANY_HEADING.search(text, start.end())
    return start.start(), end.start() if end else len(text)
