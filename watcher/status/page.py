"""`outbox/status.html`: the print folder at a glance, one static page that works from a synced folder on a phone.

No script, nothing from elsewhere: a policy in the page forbids both to whatever might slip in.
"""

import base64
import hashlib
import re
import stat
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from watcher.disk import write_atomically
from watcher.records.timestamps import moment_of_ns
from watcher.status import page_parts as parts
from watcher.status.counts import count
from watcher.status.html import named, text, time_tag
from watcher.status.model import Overview
from watcher.status.page_style import STYLE
from watcher.status.words import say_call, say_pause, say_work, tiles

FILE_NAME = "status.html"
SOONEST = timedelta(seconds=1)  # between two writings
RENEWED = timedelta(minutes=15)  # how old the time of the last look may get: each writing wakes a sync program

_EMPTY = (
    "<p>Put art into the inbox: a front and a back, such as <b>lantern-walk_x50_front.png</b> and"
    " <b>lantern-walk_x50_back.png</b>. The finished sheets come out beside this page, each order in a folder of its"
    " name.</p>"
)
_FACTS = re.compile(r'data-facts="([0-9a-f]{64})"')
_START_BYTES = 400  # of the file: the fingerprint stands in its second line

# Source: W3C Content Security Policy Level 3: a hash allows this style sheet and no other; `file:` is for a page
# that is opened from disk, where not every browser takes that for the page's own source.
_POLICY = (
    "default-src 'none'; img-src data: 'self' file:; base-uri 'none'; form-action 'none'; style-src 'sha256-{}'".format(
        base64.b64encode(hashlib.sha256(STYLE.encode("utf-8")).digest()).decode("ascii")
    )
)


def render(seen: Overview, now: datetime) -> str:
    """The page.

    Args:
        seen: the facts.
        now: when it is written, with offset.
    """
    return "\n".join(
        [
            "<!DOCTYPE html>",
            f'<html lang="en" data-facts="{_facts(seen)}">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            '<meta name="referrer" content="no-referrer">',
            f"<title>{text(_title(seen))}</title>",
            f"<style>{STYLE}</style>",
            "</head>",
            "<body>",
            *_header(seen, now),
            *_main(seen, now),
            *_footer(now),
            "</body>",
            "</html>",
            "",
        ]
    )


def _title(seen: Overview) -> str:
    return f"{seen.held.count} held, {seen.finished.count} to print: {seen.name}"


def _header(seen: Overview, now: datetime) -> Iterator[str]:
    counts = count(seen, now.date())
    yield f"<header><h1>Print folder {named(seen.name)}</h1>"
    yield from _notices(seen)
    yield f'<p class="lead">{" ".join(say_call(counts, brief=True))}</p>'
    at_work = f" {say_work(seen.health)}" if seen.health.at_work else ""
    looked = f" Last look at the inbox: {time_tag(seen.health.last_scan, now)}." if seen.health.last_scan else ""
    yield f'<p class="quiet">As of {time_tag(now, now)}.{at_work}{looked}</p>'
    shown = "".join(f'<li><a href="#{key}"><b>{number}</b> {words}</a></li>' for key, number, words in tiles(counts))
    if shown:
        yield f'<nav aria-label="On this page"><ul class="jump">{shown}</ul></nav>'
    yield "</header>"


def _notices(seen: Overview) -> Iterator[str]:
    if seen.health.paused:
        yield f'<p class="notice grave"><strong>Paused:</strong> {text(say_pause(seen.health.paused))}</p>'
    if not seen.health.at_work:
        yield f'<p class="notice"><strong>{say_work(seen.health)}</strong> New art waits until it is started.</p>'
    for note in seen.notes:
        yield f'<p class="notice">{text(note)}</p>'


def _main(seen: Overview, now: datetime) -> Iterator[str]:
    week = parts.section("week", "The orders, by the day they are due", parts.week_part(seen, now))
    beside = [
        parts.section("held", parts.held_title(seen.held), parts.held_part(seen.held, now)),
        parts.section("paper", "Paper to take out", parts.paper_part(seen.paper)),
        parts.section("printed", "Printed", parts.printed_part(seen.printed, now)),
        parts.section("again", "The same again", parts.again_part(seen)),
        parts.section("left", "Left alone in the inbox", parts.left_alone_part(seen.left_alone)),
    ]
    columns = [f"<div>{part}</div>" for part in (week, "\n".join(filter(None, beside))) if part]
    yield f'<main class="columns-{len(columns)}">'
    yield from columns or [_EMPTY]
    yield "</main>"


def _footer(now: datetime) -> Iterator[str]:
    yield f'<footer class="quiet"><p>This page was written on {time_tag(now, now)}. While the program is running it is'
    yield f"written again whenever something changes, and every {RENEWED.seconds // 60} minutes at the latest. When"
    yield "that time is much older than now, the computer is off, the program is not running, or this folder has not"
    yield "been synced.</p></footer>"


class StatusPage:
    """Keeps the page in a file: written anew only when something but the clock has changed since the file was written.

    Args:
        file: where it lies; what an earlier run wrote there counts.
    """

    def __init__(self, file: Path) -> None:
        self._file = file

    def update(self, seen: Overview, now: datetime, *, at_once: bool = False) -> bool:
        """Write the page if it is time.

        Args:
            seen: the facts.
            now: the time, with offset.
            at_once: whether it is now or never.

        Returns:
            Whether the file now shows what was seen; False: it was written less than a second ago, ask again.

        Raises:
            OSError: it cannot be written.
        """
        shown, age = self._shown(now)
        if age < RENEWED and shown == _facts(seen):
            return True
        if age < SOONEST and not at_once:
            return False
        write_atomically(self._file, render(seen, now).encode("utf-8"))
        return True

    def _shown(self, now: datetime) -> tuple[str, timedelta]:
        """What the file shows, and how long it has; a clock may have been set back since."""
        try:
            status = self._file.lstat()
            if not stat.S_ISREG(status.st_mode):
                return "", RENEWED
            with self._file.open("rb") as file:
                start = file.read(_START_BYTES).decode("utf-8", "replace")
        except OSError:
            return "", RENEWED
        written = moment_of_ns(status.st_mtime_ns)
        found = _FACTS.search(start)
        return (found[1] if found else ""), abs(now - written) if written else RENEWED


def _facts(seen: Overview) -> str:
    """A fingerprint of the facts without the time of the last look."""
    timeless = replace(seen, health=replace(seen.health, last_scan=None))
    return hashlib.sha256(repr(timeless).encode("utf-8", "backslashreplace")).hexdigest()
