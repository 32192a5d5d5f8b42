"""Options that commands share, and readers of their values whose errors are in our own words."""

from collections.abc import Callable
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, TypeVar

import typer

from watcher.errors import WrongUsage

NAME = "print-folder"

_Word = TypeVar("_Word", bound=StrEnum)

SettingsOption = Annotated[
    Path | None,
    typer.Option(
        "--settings",
        metavar="PATH",
        help="The settings file. Without it: settings.toml here, else print-folder/settings.toml in your home.",
    ),
]
SheetOption = Annotated[
    str | None, typer.Option("--sheet", metavar="NAME", help="The sheet, where the printer takes several.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="The same facts for machines.")]
ArchivedArgument = Annotated[
    str, typer.Argument(metavar="ORDER", help="The order, as its folder in the archive is called.")
]


def whole_number(what: str, *, most: int = 1_000_000) -> Callable[[str | int], int]:
    """Give a parser of a whole number of at least 1.

    Args:
        what: the option or argument, for the message.
        most: the largest that is accepted.
    """

    def read(text: str | int) -> int:
        digits = str(text).strip()
        if not (digits.isascii() and digits.isdecimal() and 1 <= int(digits[:12]) <= most):
            raise WrongUsage(f'{what} is "{text}"; write a whole number from 1 to {most:,}, such as {what} 2.')
        return int(digits)

    return read


def day(what: str) -> Callable[[str | date], date]:
    """Give a parser of a date written as year, month and day (ISO 8601)."""

    def read(text: str | date) -> date:
        try:
            return text if isinstance(text, date) else date.fromisoformat(text.strip())
        except ValueError:
            raise WrongUsage(f'{what} is "{text}"; write year, month and day, such as {what} 2026-01-31.') from None

    return read


def one_of(what: str, words: type[_Word]) -> Callable[[str], _Word]:
    """Give a parser of one of some words, ignoring case."""

    def read(text: str) -> _Word:
        for word in words:
            if word.value.casefold() == text.strip().casefold():
                return word
        raise WrongUsage(f'{what} is "{text}"; write one of: {", ".join(words)}.')

    return read


def word_option(name: str, words: type[_Word], text: str, metavar: str = "") -> Any:
    """Give an option that takes one of some words.

    Args:
        name: with its dashes.
        words: that are taken.
        text: its help.
        metavar: what stands for its value in the help; empty for the words themselves.
    """
    return typer.Option(name, metavar=metavar or "|".join(words), parser=one_of(name, words), help=text)
