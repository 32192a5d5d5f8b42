"""Read a job ticket: a few keys in TOML, dropped beside the art. Every unknown key or wrong value is refused."""

import difflib
import re
import tomllib
import unicodedata
from collections.abc import Callable, Collection, Iterable, Iterator
from datetime import date, datetime
from typing import Any

from watcher.errors import OrderHeld
from watcher.inbox.file_names import compare_key
from watcher.inbox.zip_members import MOST_TICKET_BYTES
from watcher.orders.model import MOST_DESIGNS, Repeat, Ticket
from watcher.orders.wishes import Wishes
from watcher.records.plain_text import one_line
from watcher.settings.amounts import MOST_CARDS, parse_overs
from watcher.terms import Sequencing

LONGEST_NOTE = 500
_MOST_DIGITS = 30
LONGEST_NAME = 200
MOST_SHEETS = 10_000  # of a repeat in place of spoiled ones; more is no mishap
_WITH_REPEAT = ("sheets_only", "as_before")
PAGES = "pages"
_HIGHEST_DESIGN = 9999

# The reader of the standard library takes time in the square of a key's dots: 14 s for 30,000 (measured).
_MOST_DOTS = 1_000
_TOO_DEEP = "nested too deeply (a ticket has one line for each key)"
_LINE = re.compile(r"at line ([0-9]+)")
_Reader = Callable[[Any], Any]


class TicketRefused(OrderHeld):
    """A job ticket cannot be used; all its faults are listed."""

    code = "ticket-refused"

    def __init__(self, shown: str, faults: list[str]) -> None:
        super().__init__(f"{shown}: {'; '.join(faults)}. Correct the ticket and drop it again.")
        self.shown, self.faults = shown, faults

    def __reduce__(self) -> tuple[type, tuple[str, list[str]]]:
        return type(self), (self.shown, self.faults)


def read_ticket(data: bytes, shown: str, card_names: Iterable[str], *, any_card: bool = False) -> Ticket:
    """Read a job ticket.

    Keys: `quantity` (1 to 1,000,000), `card` (one of the settings', in any case), `sheet`, `overs` ("5 %", 3,
    "1 sheet"), `due` (a date), `note` (text, control signs become spaces), `approve` (true or false: whether the
    customer is to see a picture of the card first), `now` (true: it waits for no other orders to share its sheets),
    `repeat` (an archived order's name), and with it `sheets_only` (1 to 10,000) and `as_before` (true or false);
    `designs` (how many different cards, or "pages": the pages are many cards, front and back in turn), `sequence`
    ("across" or "stacks"), `only` (the numbers of the designs that are wanted).

    Args:
        data: the file's bytes, UTF-8, with or without a byte order mark.
        shown: its name for people.
        card_names: the cards of the settings.
        any_card: the card may be any: it is not looked at.

    Raises:
        TicketRefused: too large, no TOML, unknown keys, or values of the wrong kind; all of them at once.
    """
    values = _parse(data, shown)
    readers = _readers(tuple(card_names)) | ({"card": str} if any_card else {})
    read: dict[str, Any] = {}
    faults: list[str] = []
    for key, value in values.items():
        reader = readers.get(key)
        if reader is None:
            faults.append(_unknown(key, readers))
            continue
        try:
            read[key] = reader(value)
        except ValueError as fault:
            faults.append(f"{key} is {_as_written(value)} ({fault})")
    if "repeat" in read or "repeat" not in values:
        faults += _together(read.keys())
    if faults:
        raise TicketRefused(shown, faults)
    return _ticket(read)


def _ticket(read: dict[str, Any]) -> Ticket:
    """Make the record of the values that a ticket has, by their keys."""
    designs, name = read.pop("designs", None), read.pop("repeat", None)
    way = {key: read.pop(key) for key in _WITH_REPEAT if key in read}
    return Ticket(
        wishes=Wishes(**read),
        designs=None if designs == PAGES else designs,
        in_turn=designs == PAGES,
        repeat=None if name is None else Repeat(order=name, **way),
    )


def _together(keys: Collection[str]) -> Iterator[str]:
    """Check keys that are right by themselves but not together."""
    if "repeat" not in keys:
        yield from (f'{key} goes with repeat = "ORDER" alone' for key in _WITH_REPEAT if key in keys)
    elif "card" in keys:
        yield "card and repeat exclude each other (an order is made again on the card it was made for)"
    if {"sheet", "as_before"} <= set(keys):
        yield "sheet and as_before exclude each other (as before is on the sheet of the first time)"
    if "sheets_only" in keys:
        also = [key for key in ("quantity", "overs") if key in keys]
        yield from (f"sheets_only and {key} exclude each other (leave one of them out)" for key in also)


def _parse(data: bytes, shown: str) -> dict[str, Any]:
    if len(data) > MOST_TICKET_BYTES:
        raise TicketRefused(shown, [f"a job ticket of {len(data):,} bytes; {MOST_TICKET_BYTES:,} is the most"])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TicketRefused(shown, ["not plain UTF-8 text; save it as UTF-8"]) from error
    if sum(line.count(".") for line in text.splitlines() if not line.startswith("#")) > _MOST_DOTS:
        raise TicketRefused(shown, [_TOO_DEEP])
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise TicketRefused(shown, [_TOO_DEEP]) from error
    except ValueError as error:  # a fault of the form, or a number of thousands of digits
        raise TicketRefused(shown, [f'{_where(error)} (write key = value, text in "quotes")']) from error


def _where(error: ValueError) -> str:
    if str(error).startswith("Cannot "):  # overwrite a value, declare a table, mutate one: the same key once more
        return "one of its keys stands in it twice"
    line = _LINE.search(str(error))
    if line:
        return f"line {line[1]} cannot be read"
    return "it ends too early" if "end of document" in str(error) else "a value cannot be read"


def _readers(card_names: tuple[str, ...]) -> dict[str, _Reader]:
    return {
        "quantity": _quantity,
        "card": lambda value: _card(value, card_names),
        "sheet": _name,
        "overs": parse_overs,
        "due": _due,
        "note": _note,
        "repeat": _archived,
        "sheets_only": _sheets,
        "as_before": _yes_or_no,
        "approve": _yes_or_no,
        "now": _yes_or_no,
        "designs": _designs,
        "sequence": _sequence,
        "only": _only,
    }


def _unknown(key: str, known: Iterable[str]) -> str:
    words = list(known)
    near = difflib.get_close_matches(key.casefold(), words, n=1)
    advice = f"did you mean {near[0]}?" if near else f"a ticket takes {', '.join(words)}"
    return f"{one_line(key, 40)} is not known ({advice})"


def _quantity(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST_CARDS:
        raise ValueError(f"write a whole number from 1 to {MOST_CARDS}, without quotes")
    return value


def _card(value: object, card_names: tuple[str, ...]) -> str:
    cards = {compare_key(name): name for name in card_names}
    if isinstance(value, str) and compare_key(value.strip()) in cards:
        return cards[compare_key(value.strip())]
    raise ValueError(f"write one of {', '.join(card_names)}" if card_names else "no card is set up")


def _name(value: object) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_NAME:
        raise ValueError(f'write a name in quotes, such as "letter", of at most {LONGEST_NAME} signs')
    return value.strip()


def _archived(value: object) -> str:
    name = _name(value)
    if set(name) & set("/\\\0") or name.startswith("."):
        raise ValueError("write the order's name alone, as its folder in the archive is called, and no path")
    return name


def _sheets(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST_SHEETS:
        raise ValueError(f"write a whole number of sheets from 1 to {MOST_SHEETS:,}, without quotes")
    return value


def _due(value: object) -> date:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    try:
        if isinstance(value, str) and len(value.strip()) == len("2026-12-24"):
            return date.fromisoformat(value.strip())
    except ValueError:
        pass
    raise ValueError("write a date as year-month-day, such as 2026-12-24")


def _note(value: object) -> str | None:
    if not isinstance(value, str):
        raise ValueError("write text in quotes")
    shown = "".join(" " if unicodedata.category(sign) in {"Cc", "Zl", "Zp"} else sign for sign in value)
    note = " ".join("".join(sign for sign in shown if unicodedata.category(sign) not in {"Cf", "Cs"}).split())
    if len(note) > LONGEST_NOTE:
        raise ValueError(f"use at most {LONGEST_NOTE} signs; this one has {len(note)}")
    return note or None


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError("write true or false, without quotes")
    return value


def _designs(value: object) -> int | str:
    if value == PAGES:
        return PAGES
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST_DESIGNS:
        raise ValueError(f'write how many, from 1 to {MOST_DESIGNS}, or "{PAGES}": fronts and backs in turn')
    return value


def _sequence(value: object) -> Sequencing:
    if not isinstance(value, str) or value not in [word.value for word in Sequencing]:
        raise ValueError('use "across" or "stacks"')
    return Sequencing(value)


def _only(value: object) -> tuple[int, ...]:
    numbers = value if isinstance(value, list) else [value]
    wanted = "write the numbers of the designs in brackets, such as [17] or [3, 17]"
    if not numbers or len(numbers) > MOST_DESIGNS:
        raise ValueError(wanted)
    for number in numbers:
        if not isinstance(number, int) or isinstance(number, bool) or not 1 <= number <= _HIGHEST_DESIGN:
            raise ValueError(wanted)
    return tuple(sorted(set(numbers)))


def _as_written(value: object) -> str:
    """A value for people, about as the ticket has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{one_line(value, 40)}"'
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    if isinstance(value, int) and abs(value) >= 10**_MOST_DIGITS:
        return f"a number of more than {_MOST_DIGITS} digits"  # one of thousands cannot even be written out
    return one_line(str(value), 40)
