"""The libraries that shape a sheet's bytes, and what a repeat with other versions of them says."""

import functools
from collections.abc import Mapping
from importlib import metadata

from watcher.records.plain_text import one_line
from watcher.terms import Finding, Level

SHAPING = ("pillow", "pypdf", "reportlab", "pypdfium2", "numpy", "isal")


@functools.cache
def shaping_libraries() -> Mapping[str, str]:
    """Give the versions of the libraries that sheets, preview and instructions are made with, by their names."""
    return {name: metadata.version(name) for name in SHAPING}


def libraries_in(ticket: object) -> Mapping[str, str]:
    """Give the versions that a ticket tells; empty in tickets of early versions."""
    told = ticket if isinstance(ticket, dict) else {}
    return {name: version for name in SHAPING if isinstance(version := told.get(name), str)}


def libraries_changed(then: Mapping[str, str], made_at: str) -> Finding | None:
    """Say which libraries are not those of then; None where all are, or nothing was told.

    Args:
        then: versions by name, as the archived ticket tells them.
        made_at: of the earlier making, ISO 8601.
    """
    now = shaping_libraries()
    changed = [f"{name} {one_line(then[name])} then, {now[name]} now" for name in then if then[name] != now[name]]
    if not changed:
        return None
    said = (
        f"The program draws with other versions of its libraries than on {made_at[:10]} ({'; '.join(changed)}): the"
        " sheets look the same, but may differ in their bytes. For the same bytes, install the versions of then."
    )
    return Finding(level=Level.NOTE, code="libraries-changed", message=said)
