"""How the files of sheets are printed, for people: which of them, how often, and how the first sheet is checked."""

from collections.abc import Iterable
from dataclasses import dataclass

from watcher.instructions.second_side import Stack, stack_of
from watcher.settings.printer import PrinterSettings
from watcher.sheet.draw.plan import SheetPlan
from watcher.sheet.draw.sheet_pdf import size_check
from watcher.sheet.draw.size_check import SizeCheck
from watcher.terms import Copies

LONGEST_NAME = 40  # letters of an order that are repeated before each of its files


@dataclass(frozen=True, kw_only=True)
class PrintJob:
    """What is printed in one go: a file, or fronts and then backs, and how many sheets."""

    files: tuple[str, ...]
    sheets: int


@dataclass(frozen=True, kw_only=True)
class Printing:
    """How all files of sheets are printed.

    Attributes:
        jobs: one after the other; several where kinds of sheet are printed a different number of times.
        copies: whether a file holds each page once or once a sheet.
        size_check: what shows that the sheet was printed at actual size.
        stack: the sheets that a person puts back, where they differ; None where they are all alike.
    """

    jobs: tuple[PrintJob, ...]
    copies: Copies
    size_check: SizeCheck
    stack: Stack | None = None


def printing_of(plan: SheetPlan, printer: PrinterSettings, jobs: tuple[PrintJob, ...]) -> Printing:
    """Give how the files of a plan of sheets are printed.

    Args:
        plan: the sheets.
        printer: that prints them.
        jobs: its files, with their numbers of sheets.
    """
    return Printing(jobs=jobs, copies=plan.copies, size_check=size_check(plan), stack=stack_of(printer, plan))


def file_names(order: str, suffixes: Iterable[str]) -> tuple[str, ...]:
    """Give the names of files of sheets as people look for them; of a long name only its end.

    Args:
        order: the name of the order's folder, with which each begins.
        suffixes: what stands behind it.
    """
    start = f"{order}_" if len(order) <= LONGEST_NAME else "\u2026_"
    return tuple(f"{start}{suffix}.pdf" for suffix in suffixes)
