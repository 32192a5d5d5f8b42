"""The status page as text and as a file: valid, safe whatever things are called, written when something changed."""

import base64
import hashlib
import os
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from html.parser import HTMLParser
from itertools import pairwise, product
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes, urlsplit

import pytest

from watcher.records.health import Health
from watcher.records.plain_text import one_line
from watcher.status import page_style as status_style
from watcher.status.model import (
    FinishedOrder,
    HeldOrder,
    Listed,
    OrderInHand,
    Overview,
    PaperToPull,
    ProductFile,
    ProductKind,
    Progress,
    WaitingOrder,
)
from watcher.status.page import StatusPage, render
from watcher.status.page_parts import MOST_SHOWN
from watcher.terms import Finding, Level

NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
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


def finished(folder: str = "lantern", **more: Any) -> FinishedOrder:
    kinds = {
        "_sheets.pdf": ProductKind.SHEETS,
        "_instructions.pdf": ProductKind.INSTRUCTIONS,
        "_preview.png": ProductKind.PREVIEW,
    }
    order = FinishedOrder(
        folder=folder,
        words="50 cards = 25 sheets, plus 1 spare",
        sheets=26,
        sheet="letter",
        size="215.9 x 279.4 mm",
        paper="white card stock",
        card="invitation",
        due=date(2026, 12, 24),
        note="two piles",
        made=NOW,
        warnings=("lantern_front.png is a little soft.",),
        newer=("lantern-2",),
        files=tuple(ProductFile(name=folder + suffix, kind=kind) for suffix, kind in kinds.items()),
    )
    return replace(order, **more)


def reasons(*messages: str) -> tuple[Finding, ...]:
    return tuple(Finding(level=Level.HOLD, code="low-resolution", message=message) for message in messages)


def held(folder: str = "menu", **more: Any) -> HeldOrder:
    order = HeldOrder(
        folder=folder,
        place=f"held/{folder}",
        reasons=reasons("menu_back.png is 82 ppi; 150 ppi is needed."),
        ways_out=("Put the mended files into inbox.", 'Or rename this folder to "menu ok".'),
        since=NOW,
        may_be_accepted=True,
        is_accepted=False,
        files=("menu_back.png",),
    )
    return replace(order, **more)


def waiting(order: str = "market", **more: Any) -> WaitingOrder:
    entry = WaitingOrder(
        order=order,
        place="inbox",
        missing="back",
        arriving=False,
        why="waits for its back",
        since=NOW,
        held_after=NOW + timedelta(minutes=15),
        files=("market_front.png",),
    )
    return replace(entry, **more)


EMPTY = Overview(
    name="shop",
    health=Health(at_work=True, last_scan=NOW),
    notes=(),
    waiting=Listed(),
    making=Listed(),
    held=Listed(),
    finished=Listed(),
    paper=(),
    left_alone=Listed(),
)


def day(name: str = "lantern") -> Overview:
    """Something of everything, under one name."""
    return replace(
        EMPTY,
        notes=(name,),
        waiting=Listed(entries=(waiting(name, place=name, why=name, files=(name,)),)),
        making=Listed(entries=(OrderInHand(order=name, card=name, progress=Progress.MAKING, since=NOW),)),
        held=Listed(entries=(held(name, reasons=reasons(name, name), ways_out=(name,), files=(name,)),)),
        finished=Listed(entries=(finished(name, card=name, note=name, paper=name, warnings=(name,), newer=(name,)),)),
        paper=(PaperToPull(sheet=name, size="", paper=name, sheets=26, orders=1),),
        left_alone=Listed(entries=(name,)),
    )


class TestMarkUp:
    @pytest.mark.parametrize("seen", [EMPTY, day()], ids=["empty", "busy"])
    def test_is_well_formed_with_every_id_once(self, seen: Overview) -> None:
        page = read(render(seen, NOW))
        ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
        assert len(ids) == len(set(ids))
        targets = [href[1:] for href in page.attributes("a", "href") if href.startswith("#")]
        assert targets
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
        page = read(render(day("lantern"), NOW))
        assert page.attributes("img", "alt") == ["Preview of lantern: the finished sheet"]
        assert page.attributes("img", "loading") == ["lazy"]

    def test_has_no_script_no_form_no_frame_and_nothing_from_elsewhere(self) -> None:
        page = read(render(day(), NOW))
        tags = {tag for tag, _ in page.tags}
        assert not tags & {"script", "form", "iframe", "object", "embed", "link", "base", "svg"}
        assert not [name for _, attrs in page.tags for name in attrs if name.startswith("on") or name == "style"]
        for address in [*page.attributes("a", "href"), *page.attributes("img", "src")]:
            assert urlsplit(address)[:2] == ("", "")
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
        assert set(parts["img-src"].split()) == {"'self'", "file:"}
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
        assert page.attributes("img", "alt") == [f"Preview of {one_line(name)}: the finished sheet"]

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
        (address,) = page.attributes("img", "src")
        assert urlsplit(address)[:2] + urlsplit(address)[3:] == ("", "", "", "")
        wanted = [os.fsencode(folder), os.fsencode(f"{folder}_preview.png")]
        assert [unquote_to_bytes(part) for part in address.split("/")] == wanted


class TestWords:
    @pytest.mark.parametrize(
        "said",
        [
            "Nothing waits in the inbox.",
            "Nothing is being made.",
            "Nothing is held.",
            "Nothing lies finished in the outbox.",
            "No paper is needed: there is nothing to print.",
            "Nothing in the inbox is left alone.",
        ],
    )
    def test_of_an_empty_part_say_that_it_is_empty(self, said: str) -> None:
        assert said in read(render(EMPTY, NOW)).text

    def test_of_a_held_order_give_every_reason_and_every_way_out(self) -> None:
        messages = ("It is too small.", "It is the wrong shape.")
        order = held(reasons=reasons(*messages))
        text = " ".join(read(render(replace(EMPTY, held=Listed(entries=(order,))), NOW)).text)
        for said in (*messages, *order.ways_out, "held/menu", "Held since  Wed 25 Nov, 14:05"):
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
        assert len(page.attributes("img", "src")) == MOST_SHOWN
        assert "and 12 more, older: each in its folder in the outbox" in page.text
        assert "112" in page.text


def luminance(colour: str) -> float:
    """Source: WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Source: WCAG 2.2, definition of contrast ratio."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


class TestColours:
    def test_are_measured_with_the_formula_of_the_standard(self) -> None:
        """Worked values: black on white is 21:1 (WCAG 2.2); #767676 is the lightest grey that passes (from memory)."""
        assert contrast("#000000", "#ffffff") == pytest.approx(21)
        assert contrast("#767676", "#ffffff") > 4.5 > contrast("#777777", "#ffffff")

    @pytest.mark.parametrize("scheme", [status_style.DAY, status_style.NIGHT], ids=["day", "night"])
    def test_of_text_have_4_5_to_1_on_every_background(self, scheme: status_style.Scheme) -> None:
        """Source: WCAG 2.2, 1.4.3 (AA)."""
        for text, ground in product(status_style.TEXTS, status_style.BACKGROUNDS):
            assert contrast(getattr(scheme, text), getattr(scheme, ground)) >= 4.5, (text, ground)

    @pytest.mark.parametrize("scheme", [status_style.DAY, status_style.NIGHT], ids=["day", "night"])
    def test_of_outlines_have_3_to_1(self, scheme: status_style.Scheme) -> None:
        """Source: WCAG 2.2, 1.4.11 (AA)."""
        for outline, ground in product(status_style.OUTLINES, status_style.BACKGROUNDS):
            assert contrast(getattr(scheme, outline), getattr(scheme, ground)) >= 3, (outline, ground)

    def test_are_all_in_the_two_schemes_and_used_as_they_are_meant(self) -> None:
        rules = status_style.STYLE.rpartition("} }")[2]
        assert not re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsl", rules)
        assert set(re.findall(r"[; {]color: var\(--(\w+)\)", rules)) <= set(status_style.TEXTS)
        assert set(re.findall(r"background: var\(--(\w+)\)", rules)) <= set(status_style.BACKGROUNDS)
        assert set(re.findall(r"outline: [^;]*var\(--(\w+)\)", rules)) <= set(status_style.OUTLINES)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "status.html"


@pytest.fixture
def update(file: Path) -> Callable[..., bool]:
    """Update the page at a time, which then is the time of the file too; gives whether a new file was written."""

    def at(page: StatusPage, seen: Overview, now: datetime, **how: Any) -> bool:
        before = file.stat().st_ino if file.exists() else None
        page.update(seen, now, **how)
        if file.stat().st_ino == before:
            return False
        os.utime(file, (now.timestamp(), now.timestamp()))
        return True

    return at


class TestFile:
    def test_is_written_whole_and_leaves_nothing_beside_it(self, file: Path, update: Callable[..., bool]) -> None:
        assert update(StatusPage(file), day(), NOW)
        assert file.read_text("utf-8") == render(day(), NOW)
        assert [path.name for path in file.parent.iterdir()] == ["status.html"]

    def test_stays_as_it_is_while_nothing_has_changed(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        assert not update(page, day(), NOW + timedelta(minutes=14))

    def test_stays_as_it_is_while_only_the_clock_goes_on(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        later = NOW + timedelta(minutes=14)
        assert not update(page, replace(day(), health=Health(at_work=True, last_scan=later)), later)

    def test_is_renewed_after_a_quarter_of_an_hour(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        assert update(page, day(), NOW + timedelta(minutes=15))

    def test_is_written_again_when_something_changed(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        paused = replace(day(), health=Health(at_work=True, last_scan=NOW, paused="the disk is full"))
        assert update(page, paused, NOW + timedelta(seconds=2))

    def test_is_written_at_most_once_a_second(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, EMPTY, NOW)
        assert not update(page, day(), NOW + timedelta(seconds=0.9))
        assert not page.update(day(), NOW + timedelta(seconds=0.9))  # and says so
        assert update(page, day(), NOW + timedelta(seconds=1.1))

    def test_is_written_at_once_when_it_is_now_or_never(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, EMPTY, NOW)
        assert update(page, day(), NOW + timedelta(seconds=0.1), at_once=True)

    def test_of_an_earlier_run_counts(self, file: Path, update: Callable[..., bool]) -> None:
        """`once` from a timer does not wake a sync program every minute."""
        update(StatusPage(file), day(), NOW)
        assert not update(StatusPage(file), day(), NOW + timedelta(minutes=1))

    def test_that_somebody_deleted_comes_back(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, day(), NOW)
        file.unlink()
        assert update(page, day(), NOW + timedelta(seconds=5))

    def test_is_written_although_the_clock_was_set_back(self, file: Path, update: Callable[..., bool]) -> None:
        page = StatusPage(file)
        update(page, EMPTY, NOW)
        assert update(page, day(), NOW - timedelta(hours=1))

    def test_follows_no_link(self, file: Path) -> None:
        other = file.with_name("other.txt")
        other.write_text("mine")
        file.symlink_to(other)
        StatusPage(file).update(day(), NOW)
        assert other.read_text() == "mine"
        assert not file.is_symlink()

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
    def test_waits_for_nobody_who_put_a_pipe_in_its_place(self, file: Path) -> None:
        os.mkfifo(file)
        assert StatusPage(file).update(day(), NOW)
        assert file.is_file()

    def test_that_cannot_be_written_is_an_error_of_the_disk(self, file: Path) -> None:
        file.mkdir()
        with pytest.raises(OSError, match="status"):
            StatusPage(file).update(day(), NOW)
