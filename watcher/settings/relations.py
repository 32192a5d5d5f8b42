"""Check settings against each other: each check yields the faults of settings that do not agree.

A check is a small function over the whole parsed file. It passes over values that are already refused by themselves.
"""

from collections.abc import Callable, Iterator

from watcher.settings.card_relations import CARD_CHECKS
from watcher.settings.name_relations import NAME_CHECKS
from watcher.settings.printer_relations import PRINTER_CHECKS
from watcher.settings.tables import ParsedFile

Check = Callable[[ParsedFile], Iterator[str]]

CHECKS: tuple[Check, ...] = (*NAME_CHECKS, *CARD_CHECKS, *PRINTER_CHECKS)


def relation_faults(parsed: ParsedFile) -> list[str]:
    """Every fault that shows only when settings are compared with each other."""
    return [fault for check in CHECKS for fault in check(parsed)]
