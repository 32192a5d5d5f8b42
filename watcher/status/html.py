"""Escape text, names, links and times for HTML. Nothing else turns text from outside into mark-up."""

import html
import os
from datetime import datetime
from urllib.parse import quote

from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_moment
from watcher.status.model import Picture

_LONGEST = 2000


def text(said: str) -> str:
    """Escape text from outside, for between tags and for a quoted attribute, on one line."""
    return html.escape(one_line(said, most=_LONGEST), quote=True)


def named(name: str) -> str:
    """A name from outside; one that is written from right to left does not reorder what stands around it."""
    return f"<bdi>{text(name)}</bdi>"


def href(*parts: str) -> str:
    """A relative address from names on disk, whatever bytes they have: every sign of meaning is percent-encoded.

    Source: RFC 3986 2.3 (what may stand as it is) and 3.3 (a colon in a first segment would be a scheme).
    """
    return "/".join(quote(os.fsencode(part), safe="") for part in parts)


def time_tag(moment: datetime, now: datetime) -> str:
    """A time for people, and in the tag for machines."""
    return f'<time datetime="{moment.isoformat(timespec="seconds")}">{say_moment(moment, now)}</time>'


def bullets(items: list[str], kind: str = "") -> str:
    """A list of finished mark-up."""
    start = f'<ul class="{kind}">' if kind else "<ul>"
    return start + "".join(f"<li>{item}</li>" for item in items) + "</ul>"


def embedded(picture: Picture, said: str) -> str:
    """A picture that the page carries in itself; `said` is what it shows, empty where the name beside it says that."""
    return f'<img src="data:{picture.kind};base64,{picture.letters}" alt="{text(said)}">'


def lying_beside(steps: tuple[str, ...], said: str) -> str:
    """A picture that lies beside the page; where it cannot be had, there is nothing to see."""
    return f'<img src="{href(*steps)}" alt="{text(said)}">'
