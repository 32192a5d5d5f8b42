"""The status page in a real browser: what it shows, fetches, lets run, and how it is used by thumb and by keyboard."""

import os
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes, urlsplit

import pytest

from watcher.status.model import Listed, Overview, ProductFile, ProductKind
from watcher.status.page_style import DAY, NIGHT
from watcher.terms import Finding, Level

PHONE, DESK = (390, 844), (1280, 800)
HOSTILE = "<script>document.title='ran'</script><img src=http://example.invalid/x onerror=\"document.title='ran'\">"
# what is drawn behind an element: the first background on the way up that is not see-through
BACKGROUND = """(element => { while (element) { const colour = getComputedStyle(element).backgroundColor;
  if (!colour.endsWith(', 0)')) return colour; element = element.parentElement } return 'none' })"""
TEXT_COLOURS = f"""[...document.querySelectorAll('body *')].filter(element =>
  [...element.childNodes].some(node => node.nodeType === 3 && node.data.trim())).map(element =>
  [getComputedStyle(element).color, {BACKGROUND}(element)].join(' on '))"""
STANDS_OVER = """[...document.querySelectorAll('body *')].filter(e => e.className !== 'unseen' && e.clientWidth
  && getComputedStyle(e).display !== 'inline' && e.scrollWidth > e.clientWidth + 1).map(e => e.outerHTML)"""

PageOf = Callable[[Overview], Path]


def _renamed(seen: Overview, name: str) -> Overview:
    """The same day with another name in every place that takes one."""
    finished = tuple(
        replace(
            order,
            folder=f"{number}{name}",
            card=name,
            note=name,
            paper=name,
            warnings=(name,),
            newer=(name,),
            files=(ProductFile(name="a_preview.png", kind=ProductKind.PREVIEW),),
        )
        for number, order in enumerate(seen.finished.entries)
    )
    reason = Finding(level=Level.HOLD, code="low-resolution", message=name)
    held = tuple(
        replace(order, folder=name, place=f"held/{name}", reasons=(reason, reason), ways_out=(name,), files=(name,))
        for order in seen.held.entries
    )
    waiting = tuple(replace(order, order=name, place=name, why=name, files=(name,)) for order in seen.waiting.entries)
    return replace(
        seen,
        name=name,
        notes=(name,),
        finished=Listed(entries=finished),
        held=Listed(entries=held),
        waiting=Listed(entries=waiting),
        left_alone=Listed(entries=(name,)),
    )


def _luminance(colour: str) -> float:
    """Relative luminance of `rgb(r, g, b)`. Source: WCAG 2.2, definition of relative luminance."""
    parts = [int(part) / 255 for part in colour.removeprefix("rgb(").removesuffix(")").split(",")]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(pair: str) -> float:
    """Source: WCAG 2.2, definition of contrast ratio."""
    dark, light = sorted(map(_luminance, pair.split(" on ")))
    return (light + 0.05) / (dark + 0.05)


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.tags.append(tag)


class TestMarkUp:
    def test_is_taken_as_it_is_written(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        """A browser mends what is not valid: then it has other elements than the file, or drops to quirks."""
        page = page_of(busy)
        browser.open(page)
        written = _Tags()
        written.feed(page.read_text(encoding="utf-8"))
        shown = browser.ask("[...document.querySelectorAll('*')].map(element => element.localName)")
        assert shown == written.tags
        assert browser.ask("document.compatMode") == "CSS1Compat"

    @pytest.mark.parametrize("empty", [True, False])
    def test_has_landmarks_and_headings_for_a_screen_reader(
        self, browser: Any, page_of: PageOf, busy: Overview, idle: Overview, empty: bool
    ) -> None:
        browser.open(page_of(idle if empty else busy))
        nodes = browser.call("Accessibility.getFullAXTree")["nodes"]
        roles = {node["role"]["value"] for node in nodes if not node["ignored"]}
        assert {"banner", "main", "contentinfo", "heading"} <= roles
        assert empty or {"navigation", "region"} <= roles
        levels = browser.ask("[...document.querySelectorAll('h1, h2, h3, h4')].map(heading => +heading.localName[1])")
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False))

    def test_names_every_link_and_picture_for_itself(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        browser.open(page_of(busy))
        nodes = browser.call("Accessibility.getFullAXTree")["nodes"]
        for role, least in (("link", 6), ("image", 1)):
            names = [node["name"]["value"] for node in nodes if node["role"]["value"] == role]
            assert len(names) >= least
            assert all(names)
            assert len(set(names)) == len(names)


class TestWhatItFetches:
    def test_is_itself_and_nothing_else(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        """A phone that opens the page from a synced folder shows no file beside it."""
        page = page_of(busy)
        browser.open(page)
        loaded = "Promise.all([...document.images].map(image => image.decode()))"
        browser.call("Runtime.evaluate", expression=loaded, awaitPromise=True)
        assert browser.ask("[...document.images].map(image => image.naturalWidth)") == [80, 80, 80, 80, 700]
        assert [address for address in browser.requested if not address.startswith("data:")] == [page.as_uri()]
        assert browser.said == []

    @pytest.mark.skipif(os.name != "posix", reason="names that are no UTF-8")
    @pytest.mark.parametrize(
        "folder",
        [
            "a#b?c%20d",
            "%2e%2e",
            "http:x",
            'a\'b "c" & <d>',
            os.fsdecode(b"caf\xe9"),
            "\u05e9\u05dc\u05d5\u05dd",
            "a\nb",
        ],
    )
    def test_of_an_oddly_named_order_is_there(self, browser: Any, page_of: PageOf, busy: Overview, folder: str) -> None:
        card = ProductFile(name=f"{folder}_card.png", kind=ProductKind.CARD)
        order = replace(busy.finished.entries[0], folder=folder, files=(card,))
        browser.open(page_of(replace(busy, finished=Listed(entries=(order,)))))
        address = browser.ask("[...document.links].find(link => link.textContent.startsWith('The card')).href")
        assert Path(os.fsdecode(unquote_to_bytes(urlsplit(address).path))).is_file()

    def test_is_never_more_because_of_a_name(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        named = _renamed(busy, HOSTILE.replace("/", "\u2215"))
        page = page_of(replace(named, notes=(HOSTILE,), left_alone=Listed(entries=(HOSTILE,))))
        browser.open(page)
        assert browser.ask("document.title") != "ran"
        assert browser.ask("document.scripts.length") == 0
        assert browser.ask("document.images.length") == 5
        assert [address for address in browser.requested if not address.startswith("data:")] == [page.as_uri()]


class TestPolicy:
    """What the page's own policy does should anything slip in all the same."""

    def test_lets_no_script_run(self, browser: Any, page_of: PageOf, idle: Overview) -> None:
        browser.open(page_of(idle))
        browser.ask(
            "const s = document.createElement('script'); s.textContent = 'document.title = 1'; document.body.append(s)"
        )
        assert browser.ask("document.title") != "1"
        assert (
            browser.ask(
                "document.body.setAttribute('onclick', 'document.title = 1'); document.body.click(); document.title"
            )
            != "1"
        )

    @pytest.mark.parametrize("tag", ["img", "iframe", "script"])
    def test_lets_nothing_remote_in(self, browser: Any, page_of: PageOf, idle: Overview, tag: str) -> None:
        browser.open(page_of(idle))
        refused = (
            "new Promise(done => {"
            " document.addEventListener('securitypolicyviolation', event => done(event.blockedURI));"
            f" const late = document.createElement('{tag}'); late.src = 'http://127.0.0.1:9/x';"
            " document.body.append(late) })"
        )
        answer = browser.call("Runtime.evaluate", expression=refused, awaitPromise=True, returnByValue=True)
        assert answer["result"]["value"].startswith("http://127.0.0.1:9")

    def test_lets_no_style_in_but_its_own(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        browser.open(page_of(busy))
        browser.ask("document.body.insertAdjacentHTML('beforeend', '<p id=late style=\"color: rgb(1, 2, 3)\">x</p>')")
        assert browser.ask("getComputedStyle(document.getElementById('late')).color") != "rgb(1, 2, 3)"
        assert browser.ask("getComputedStyle(document.querySelector('main')).display") == "grid"


class TestLook:
    @pytest.mark.parametrize(
        "name",
        [None, "w" * 80, "\u05e9\u05dc\u05d5\u05dd " * 16, "\u202egnp.tnorf", "a\u0301" * 40],
        ids=["ordinary", "long", "from right to left", "turned round", "accents"],
    )
    def test_needs_no_scrolling_sideways(self, browser: Any, page_of: PageOf, busy: Overview, name: str | None) -> None:
        """Down to 320 CSS pixels. Source: WCAG 2.2, 1.4.10."""
        browser.open(page_of(_renamed(busy, name) if name else busy))
        for width in (1280, 1000, 768, 390, 320):
            browser.resize(width)
            assert browser.ask("document.documentElement.scrollWidth") <= width
            assert browser.ask(STANDS_OVER) == []

    @pytest.mark.parametrize("size", [PHONE, DESK])
    @pytest.mark.parametrize("dark", [False, True])
    def test_follows_the_scheme_of_the_device(
        self, browser: Any, page_of: PageOf, busy: Overview, size: tuple[int, int], dark: bool
    ) -> None:
        browser.open(page_of(busy), width=size[0], height=size[1], dark=dark)
        picture = browser.picture()
        assert picture.size == size
        assert "#{:02x}{:02x}{:02x}".format(*picture.getpixel((2, 2))) == (NIGHT if dark else DAY).desk
        assert len(picture.getcolors(1 << 24)) > 50  # there is something on it

    @pytest.mark.parametrize("dark", [False, True])
    def test_has_contrast_enough_in_all_that_is_shown(
        self, browser: Any, page_of: PageOf, busy: Overview, dark: bool
    ) -> None:
        """4.5 to 1 for text. Source: WCAG 2.2, 1.4.3."""
        browser.open(page_of(replace(busy, notes=("a note",))), dark=dark)
        pairs = set(browser.ask(TEXT_COLOURS))
        assert len(pairs) > 5
        assert {pair: _contrast(pair) for pair in pairs if _contrast(pair) < 4.5} == {}

    def test_puts_what_needs_somebody_on_the_first_screen_of_a_phone(
        self, browser: Any, page_of: PageOf, busy: Overview
    ) -> None:
        browser.open(page_of(busy), width=PHONE[0], height=PHONE[1])
        tile = "document.querySelector('.jump a[href=\"#held\"]')"
        assert browser.ask(f"{tile}.textContent") == "1 needs your answer"
        assert browser.ask(f"{tile}.getBoundingClientRect().bottom") < PHONE[1]

    @pytest.mark.parametrize("size", [PHONE, DESK])
    def test_has_no_box_with_nothing_in_it(
        self, browser: Any, page_of: PageOf, busy: Overview, idle: Overview, size: tuple[int, int]
    ) -> None:
        hollow = "[...document.querySelectorAll('article, section, main, .thumb')].filter(e => !e.textContent.trim()"
        for seen in (busy, idle):
            browser.open(page_of(seen), width=size[0], height=size[1])
            assert browser.ask(f"{hollow} && !e.querySelector('img')).length") == 0


class TestUse:
    def test_by_thumb_finds_targets_large_enough(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        """44 by 44 CSS pixels. Source: WCAG 2.2, 2.5.5 (the larger of its two target sizes)."""
        browser.open(page_of(busy), width=PHONE[0], height=PHONE[1])
        boxes = browser.ask("[...document.links].map(a => a.getBoundingClientRect()).map(b => [b.width, b.height])")
        assert len(boxes) >= 6
        assert all(width >= 44 and height >= 44 for width, height in boxes)

    @pytest.mark.parametrize("size", [PHONE, DESK])
    def test_by_keyboard_goes_through_every_link_in_reading_order_and_shows_where(
        self, browser: Any, page_of: PageOf, busy: Overview, size: tuple[int, int]
    ) -> None:
        browser.open(page_of(busy), width=size[0], height=size[1])
        links = browser.ask("[...document.links].map(link => link.href)")
        for link in links:
            browser.press_tab()
            assert browser.ask("document.activeElement.href") == link
            assert browser.ask("getComputedStyle(document.activeElement).outlineWidth") == "3px"

    def test_of_a_jump_leads_to_its_part(self, browser: Any, page_of: PageOf, busy: Overview) -> None:
        browser.open(page_of(busy), width=PHONE[0], height=PHONE[1])
        targets = "[...document.querySelectorAll('.jump a')].map(a => document.querySelector(a.hash)?.localName)"
        assert browser.ask(targets) == ["section"] * 6
