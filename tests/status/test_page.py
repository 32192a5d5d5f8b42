"""The status page as text: valid, and safe whatever things are called."""

import base64
import hashlib
import os
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from urllib.parse import unquote_to_bytes, urlsplit

import pytest

from tests.status.a_day import EMPTY, NOW, day, finished, held, reasons, waiting
from watcher.records.health import Health
from watcher.records.plain_text import one_line
from watcher.status import page_style as status_style
from watcher.status.model import (
    Listed,
    Overview,
)
from watcher.status.page import render
from watcher.status.page_parts import MOST_SHOWN

# Source: HTML Living Standard 13.1.2, void elements

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}


HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "--><svg onload=alert(1)>",
    "</style></title><b>",
    "a & b &lt; &#60;",
    "javascript:alert(1)",
    "\u05e9\u05dc\u05d5\u05dd",
    "\u202egnp.tnorf",
    "one\ntwo\r\x00\x1b[31m",
    os.fsdecode(b"caf\xe9"),
]


class StrictParser(HTMLParser):
    """Reads a page and refuses what a browser would have to mend: tags that do not match, attributes without quotes."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(set(names)) == len(names), f"an attribute twice in {tag}"
        quoted = re.sub(r'="[^"]*"', "", self.get_starttag_text() or "")
        assert not set(quoted) & {"=", "'"}, f"an attribute without quotes in {tag}"
        self.tags.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> with nothing open"
        assert self.open.pop() == tag, f"</{tag}> ends another"

    def handle_data(self, data: str) -> None:
        self.text.append(data)

    def attributes(self, tag: str, name: str) -> list[str]:
        return [attrs[name] for found, attrs in self.tags if found == tag and name in attrs]


def read(page: str) -> StrictParser:
    assert page.startswith("<!DOCTYPE html>\n")
    parser = StrictParser()
    parser.feed(page)
    parser.close()
    assert not parser.open
    return parser


class TestMarkUp:
    @pytest.mark.parametrize("seen", [EMPTY, day()], ids=["empty", "busy"])
    def test_is_well_formed_with_every_id_once(self, seen: Overview) -> None:
        page = read(render(seen, NOW))
        ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
        assert len(ids) == len(set(ids))
        targets = [href[1:] for href in page.attributes("a", "href") if href.startswith("#")]
        assert bool(targets) is (seen is not EMPTY)
        assert set(targets) <= set(ids)
        assert set(page.attributes("section", "aria-labelledby")) <= set(ids)

    @pytest.mark.parametrize("seen", [EMPTY, day()], ids=["empty", "busy"])
    def test_has_headings_in_order_one_language_and_one_main_part(self, seen: Overview) -> None:
        page = read(render(seen, NOW))
        levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
        assert levels.count(1) == 1
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))
        assert page.attributes("html", "lang") == ["en"]
        assert [tag for tag, _ in page.tags].count("main") == 1

    def test_has_a_text_for_every_picture(self) -> None:
        """One that stands beside the name says nothing of its own. Source: HTML Living Standard 4.8.4.4.6."""
        page = read(render(day("lantern"), NOW))
        assert page.attributes("img", "alt") == ["", "", "The art of lantern, with the spots marked"]

    def test_has_no_script_no_form_no_frame_and_nothing_from_elsewhere(self) -> None:
        page = read(render(day(), NOW))
        tags = {tag for tag, _ in page.tags}
        assert not tags & {"script", "form", "iframe", "object", "embed", "link", "base", "svg"}
        assert not [name for _, attrs in page.tags for name in attrs if name.startswith("on") or name == "style"]
        assert all(urlsplit(address)[:2] == ("", "") for address in page.attributes("a", "href"))
        assert all(address.startswith("data:image/") for address in page.attributes("img", "src"))
        assert "url(" not in status_style.STYLE
        assert "@import" not in status_style.STYLE

    def test_carries_a_policy_that_allows_its_own_style_sheet_alone(self) -> None:
        """Source: W3C Content Security Policy Level 3, 2.3.1 (hash-source)."""
        text = render(day(), NOW)
        style = text.partition("<style>")[2].partition("</style>")[0]
        digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
        (policy,) = [p for p in read(text).attributes("meta", "content") if "default-src" in p]
        parts = dict(part.strip().split(" ", 1) for part in policy.split(";"))
        assert parts["default-src"] == "'none'"
        assert parts["style-src"] == f"'sha256-{digest}'"
        assert set(parts["img-src"].split()) == {"data:", "'self'", "file:"}
        assert "script-src" not in parts


class TestNames:
    @pytest.mark.parametrize("name", HOSTILE)
    def test_make_no_mark_up(self, name: str) -> None:
        def shape(seen: Overview) -> list[tuple[str, list[str]]]:
            return [(tag, sorted(attrs)) for tag, attrs in read(render(seen, NOW)).tags]

        assert shape(day(name)) == shape(day("lantern"))

    @pytest.mark.parametrize("name", HOSTILE)
    def test_are_shown_as_they_are_on_one_line(self, name: str) -> None:
        page = read(render(day(name), NOW))
        assert page.text.count(one_line(name)) >= 12
        assert page.attributes("img", "alt")[-1] == f"The art of {one_line(name)}, with the spots marked"

    @pytest.mark.parametrize("name", HOSTILE)
    def test_are_encoded_in_the_file_so_that_it_is_utf_8(self, name: str) -> None:
        assert render(day(name), NOW).encode("utf-8")

    @pytest.mark.parametrize(
        "folder",
        [*HOSTILE, "a#b", "what?", "100% ok", "%41", "a b", 'say "hi"', "http:x", "//host", "..a", "caf\u00e9"],
    )
    def test_lead_to_their_files(self, folder: str) -> None:
        """Source: RFC 3986 3.3: a relative reference has no colon in its first segment, and no query or fragment."""
        folder = folder.replace("/", "\u2215").replace("\0", "")
        page = read(render(replace(EMPTY, finished=Listed(entries=(finished(folder),))), NOW))
        address = page.attributes("a", "href")[-1]
        assert urlsplit(address)[:2] + urlsplit(address)[3:] == ("", "", "", "")
        wanted = [os.fsencode(folder), os.fsencode(f"{folder}_instructions.pdf")]
        assert [unquote_to_bytes(part) for part in address.split("/")] == wanted


class TestWords:
    def test_of_an_empty_shop_say_how_to_begin(self) -> None:
        text = " ".join(read(render(EMPTY, NOW)).text)
        assert "Nothing waits, and there is nothing to print." in text
        assert "Put art into the inbox" in text

    def test_are_no_words_of_software(self) -> None:
        text = " ".join(read(render(day(), NOW)).text).replace(status_style.STYLE, "").casefold()
        for word in ("service", "state", "native", "polling", "journal", "worker"):
            assert not re.search(rf"\b{word}\b", text)

    def test_of_a_held_order_give_every_reason_and_every_way_out(self) -> None:
        messages = ("It is too small.", "It is the wrong shape.")
        order = held(reasons=reasons(*messages))
        text = " ".join(read(render(replace(EMPTY, held=Listed(entries=(order,))), NOW)).text)
        for said in (*messages, *order.ways_out, "held/menu", "Held, needs your answer, since  Wed 25 Nov, 14:05"):
            assert said in text

    def test_of_an_accepted_order_ask_for_nothing_more(self) -> None:
        text = render(replace(EMPTY, held=Listed(entries=(held(is_accepted=True),))), NOW)
        assert "made at the next look" in text
        assert "What you can do" not in text

    def test_of_a_lone_half_say_what_is_missing_and_until_when(self) -> None:
        text = " ".join(read(render(replace(EMPTY, waiting=Listed(entries=(waiting(),))), NOW)).text)
        assert "Waits for its back" in text
        assert "Set aside after  Wed 25 Nov, 14:20  if nothing more comes." in text

    def test_of_a_pause_give_the_reason_at_the_top(self) -> None:
        seen = replace(EMPTY, health=Health(at_work=True, last_scan=NOW, paused="the disk is full"))
        text = " ".join(read(render(seen, NOW)).text)
        assert "the disk is full. It goes on by itself" in text.partition("Held")[0]

    def test_of_another_year_say_which(self) -> None:
        assert "Thu 24 Dec 2026" in render(day(), NOW.replace(year=2027))

    def test_of_too_much_give_the_first_and_count_the_rest(self) -> None:
        many = tuple(finished(f"order {number}") for number in range(MOST_SHOWN + 7))
        page = read(render(replace(EMPTY, finished=Listed(entries=many, more=5)), NOW))
        assert [tag for tag, _ in page.tags].count("article") == MOST_SHOWN
        assert "and 12 more, older: each in its folder in the outbox" in page.text
        assert "112" in page.text
