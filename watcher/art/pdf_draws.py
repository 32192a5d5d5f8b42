"""How often a page draws things within things: the check that keeps a small file from costing hours and gigabytes.

A form that draws itself, or a handful of forms that draw each other by doublings, makes a reader run without end
(library-notes 5: 576 bytes took 24 GB). Only names followed by `Do` are counted; what hides them better than that still
meets the limits of the worker process.
"""

import re

from pypdf import PageObject
from pypdf.generic import DictionaryObject, StreamObject

MOST_DRAWN = 100_000  # things drawn by one page in all; honest pages stay below a few thousand (our own choice)
_DRAWS = re.compile(rb"/([^\s/<>\[\](){}%]+)\s+Do\b")
_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")  # ISO 32000-1 7.3.5


class DrawsWithoutEnd(Exception):
    """A form draws itself, or all forms together are drawn too often."""


def count_drawn(page: PageObject) -> int:
    """How many images and forms the page draws, those within forms included.

    Raises:
        DrawsWithoutEnd: more than `MOST_DRAWN`, or a form within itself.
    """
    own = _forms_of(page, {})
    if not own:
        return 0  # images alone cannot nest
    contents = page.get_contents()
    return _count(b"" if contents is None else contents.get_data(), own, {}, ())


def _count(contents: bytes, forms: dict[str, StreamObject], known: dict[int, int], within: tuple[int, ...]) -> int:
    total = 0
    for found in _DRAWS.finditer(contents):
        total += 1 + _count_in(forms.get(_name(found[1])), forms, known, within)
        if total > MOST_DRAWN:
            raise DrawsWithoutEnd
    return total


def _count_in(
    form: StreamObject | None, around: dict[str, StreamObject], known: dict[int, int], within: tuple[int, ...]
) -> int:
    if form is None:
        return 0
    key = id(form)
    if key in within:
        raise DrawsWithoutEnd
    if key not in known:
        known[key] = _count(form.get_data(), _forms_of(form, around), known, (*within, key))
    return known[key]


def _forms_of(owner: DictionaryObject, around: dict[str, StreamObject]) -> dict[str, StreamObject]:
    """The forms that an owner's contents may draw, by name; without resources of its own, those around it."""
    if "/Resources" not in owner:
        return around
    resources = owner["/Resources"]
    named = resources["/XObject"] if isinstance(resources, DictionaryObject) and "/XObject" in resources else None
    if not isinstance(named, DictionaryObject):
        return {}
    things = {name: named[name] for name in named}
    return {
        name: thing
        for name, thing in things.items()
        if isinstance(thing, StreamObject) and thing.get("/Subtype") == "/Form"
    }


def _name(written: bytes) -> str:
    plain = _ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), written)
    return "/" + plain.decode("utf-8", "replace")
