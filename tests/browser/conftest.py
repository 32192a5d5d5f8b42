"""A headless browser driven over its DevTools pipe, and a status page with something of everything to show in it.

Protocol: chromedevtools.github.io/devtools-protocol; with `--remote-debugging-pipe` each message is JSON ended by a
zero byte, read by the browser from descriptor 3 and written to 4.
"""

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from tests.status.a_day import EMPTY
from watcher.records.health import Health
from watcher.status.finished import paper_to_pull
from watcher.status.model import (
    FinishedOrder,
    HeldOrder,
    Listed,
    OrderInHand,
    Overview,
    Picture,
    ProductFile,
    ProductKind,
    Progress,
    WaitingOrder,
)
from watcher.status.page import FILE_NAME, render
from watcher.terms import Finding, Level

NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
SWITCHES = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-pipe",
)
WAIT_S = 20.0
# the browser wants its pipes as descriptors 3 and 4: this puts them there and becomes the browser
LAUNCH = (
    "import os, sys; os.dup2(int(sys.argv[1]), 3); os.dup2(int(sys.argv[2]), 4); os.execv(sys.argv[3], sys.argv[3:])"
)
NOW = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)


class Browser:
    """One page in a headless browser."""

    def __init__(self, program: str, profile: Path) -> None:
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 20) for end in (to_read, to_write)]  # clear of 3 and 4
        os.close(to_read)
        os.close(to_write)
        words = [sys.executable, "-c", LAUNCH, *map(str, ends), program, *SWITCHES, f"--user-data-dir={profile}"]
        self._process = subprocess.Popen(
            [*words, "about:blank"], pass_fds=ends, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        for end in ends:
            os.close(end)
        self._left, self._number = b"", 0
        self._session: str | None = None
        self.requested: list[str] = []
        self.said: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log", "Accessibility"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        """Ask for something and wait for the answer."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._message()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer["error"]
                return dict(answer["result"])
            self._note(answer)

    def until(self, event: str) -> None:
        """Wait for an event."""
        while True:
            answer = self._message()
            self._note(answer)
            if answer.get("method") == event:
                return

    def _message(self) -> dict[str, Any]:
        deadline = time.monotonic() + WAIT_S
        while b"\0" not in self._left:
            ready, _, _ = select.select([self._read], [], [], max(0.0, deadline - time.monotonic()))
            piece = os.read(self._read, 1 << 20) if ready else b""
            if not piece:
                raise TimeoutError("the browser says nothing")
            self._left += piece
        message, _, self._left = self._left.partition(b"\0")
        return dict(json.loads(message))

    def _note(self, event: dict[str, Any]) -> None:
        params = event.get("params", {})
        if event.get("method") == "Network.requestWillBeSent":
            self.requested.append(params["request"]["url"])
        elif event.get("method") == "Log.entryAdded":
            self.said.append(params["entry"]["text"])

    def open(self, page: Path, *, width: int = 1280, height: int = 800, dark: bool = False) -> None:
        """Show a page; a narrow one as a phone shows it."""
        self.resize(width, height)
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.call("Emulation.setEmulatedMedia", features=[scheme])
        self.requested, self.said = [], []
        self.call("Page.navigate", url=page.as_uri())
        self.until("Page.loadEventFired")

    def resize(self, width: int, height: int = 844) -> None:
        """Make the window so large; a narrow one behaves like a phone's."""
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 600
        )

    def ask(self, expression: str) -> Any:
        """The value of an expression in the page (the page's own policy does not bind the tool)."""
        return self.call("Runtime.evaluate", expression=expression, returnByValue=True)["result"].get("value")

    def press_tab(self) -> None:
        """Press the tabulator key."""
        for kind in ("keyDown", "keyUp"):
            self.call("Input.dispatchKeyEvent", type=kind, key="Tab", code="Tab", windowsVirtualKeyCode=9)

    def picture(self, *, whole: bool = False) -> Image.Image:
        """A screenshot of the window, or of the whole page."""
        data = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole, **self._clip(whole))
        return Image.open(BytesIO(base64.b64decode(data["data"]))).convert("RGB")

    def _clip(self, whole: bool) -> dict[str, Any]:
        if not whole:
            return {}
        size = self.call("Page.getLayoutMetrics")["cssContentSize"]
        return {"clip": {"x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1}}

    def close(self) -> None:
        """End the browser."""
        try:
            self._session = None
            self.call("Browser.close")
            self._process.wait(WAIT_S)
        except (OSError, TimeoutError, subprocess.TimeoutExpired):
            self._process.kill()
            self._process.wait()
        finally:
            os.close(self._read)
            os.close(self._write)


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """A headless browser; without one the test is left out."""
    program = next(filter(None, map(shutil.which, NAMES)), None)
    if program is None:
        pytest.skip("no Chromium here (Debian: apt-get install chromium)")
    browser = Browser(program, tmp_path_factory.mktemp("profile"))
    yield browser
    browser.close()


def _finished(folder: str, words: str, sheets: int, sheet: str, paper: str, **more: Any) -> FinishedOrder:
    manual = more.pop("manual", False)
    kinds = {
        **(
            {ProductKind.FRONTS: "_1-fronts.pdf", ProductKind.BACKS: "_2-backs.pdf"}
            if manual
            else {ProductKind.SHEETS: "_sheets.pdf"}
        ),
        ProductKind.INSTRUCTIONS: "_instructions.pdf",
        ProductKind.PREVIEW: "_preview.png",
        ProductKind.TICKET: "_ticket.toml",
    }
    order = FinishedOrder(
        folder=folder,
        words=words,
        sheets=sheets,
        sheet=sheet,
        size="215.9 x 279.4 mm",
        paper=paper,
        card="invitation",
        due=None,
        note="",
        made=NOW - timedelta(hours=2),
        warnings=(),
        newer=(),
        files=tuple(ProductFile(name=folder + suffix, kind=kind) for kind, suffix in kinds.items()),
        front=_picture("JPEG", (80, 112), folder),
    )
    return replace(order, **more)


def _picture(kind: str, size: tuple[int, int], word: str) -> Picture:
    drawn, packed = Image.new("RGB", size, "#dfe7ef"), BytesIO()
    ImageDraw.Draw(drawn).text((6, size[1] // 2), word, fill="black")
    drawn.save(packed, kind)
    letters = base64.b64encode(packed.getvalue()).decode()
    return Picture(kind=f"image/{kind.lower()}", letters=letters, mark=word)


@pytest.fixture
def busy() -> Overview:
    """A print folder on a full day."""
    finished = (
        _finished(
            "lantern-walk",
            "50 cards = 25 sheets, plus 1 spare",
            26,
            "letter",
            "white card stock, 300 g",
            due=date(2026, 11, 27),
            note="two envelopes a pile",
        ),
        _finished(
            "soup-thanks",
            "25 cards = 13 sheets, plus 1 spare",
            14,
            "letter-by-hand",
            "cream felt card, 250 g",
            manual=True,
            warnings=("soup-thanks_front.png has 210 ppi; 300 ppi is better. It is printed a little soft.",),
            newer=("soup-thanks-2",),
        ),
        _finished("menu#4 100% \u201cfinal\u201d?", "12 cards = 6 sheets", 6, "letter", "white card stock, 300 g"),
    )
    held = (
        HeldOrder(
            folder="harvest-menu",
            place="held/harvest-menu",
            reasons=(
                Finding(
                    level=Level.HOLD,
                    code="low-resolution",
                    message="harvest-menu_back.png is 408 x 555 px, 82 ppi at 127 x 177.8 mm with bleed; 150 ppi is"
                    " needed. Export it at 788 x 1088 px or more.",
                ),
                Finding(
                    level=Level.HOLD,
                    code="wrong-shape",
                    message="harvest-menu_front.png is not the shape of the card: 0.9 % too wide.",
                ),
            ),
            ways_out=(
                "Put the mended files into inbox, under the same names, and delete this folder.",
                "Or move this whole folder back into the inbox: it is tried again as it is.",
                'Or rename this folder to "harvest-menu ok": it is made anyway, just as is said above.',
                "Or delete this folder, if you no longer want it.",
            ),
            since=NOW - timedelta(minutes=40),
            may_be_accepted=True,
            is_accepted=False,
            files=("harvest-menu_front.png", "harvest-menu_back.png"),
            front=_picture("JPEG", (80, 112), "menu"),
            spots=_picture("PNG", (700, 560), "harvest-menu"),
        ),
    )
    waiting = (
        WaitingOrder(
            order="night-market",
            place="inbox/invitation",
            missing="back",
            arriving=False,
            why="waits for its back",
            since=NOW - timedelta(minutes=4),
            held_after=NOW + timedelta(minutes=11),
            files=("night-market_x30_front.png",),
        ),
    )
    return Overview(
        name="shop",
        health=Health(at_work=True, last_scan=NOW),
        notes=(),
        waiting=Listed(entries=waiting),
        making=Listed(entries=(OrderInHand(order="tide-table", card="postcard", progress=Progress.MAKING, since=NOW),)),
        held=Listed(entries=held),
        finished=Listed(entries=finished),
        paper=paper_to_pull(finished),
        left_alone=Listed(entries=("old stuff: a folder that is no card's",)),
    )


@pytest.fixture
def idle() -> Overview:
    """A print folder in which there is nothing."""
    return replace(EMPTY, health=Health(at_work=False))


def _write_product(outbox: Path, order: FinishedOrder) -> None:
    (outbox / order.folder).mkdir(exist_ok=True)
    for file in order.files:
        path = outbox / order.folder / file.name
        if file.kind is ProductKind.PREVIEW:
            picture = Image.new("RGB", (640, 427), "white")
            pen = ImageDraw.Draw(picture)
            for left in (40, 360):
                pen.rectangle((left, 40, left + 240, 387), outline="#888888", fill="#dfe7ef")
                pen.text((left + 90, 200), order.folder, fill="black")
            picture.save(path)
        else:
            path.write_bytes(b"%PDF-1.4\n")


@pytest.fixture
def page_of(tmp_path: Path) -> Any:
    """Write the status page of an overview, with its products, into an outbox; gives the page."""

    def write(seen: Overview) -> Path:
        outbox = tmp_path / "out box"
        outbox.mkdir(exist_ok=True)
        for order in seen.finished.entries:
            _write_product(outbox, order)
        (outbox / FILE_NAME).write_text(render(seen, NOW), encoding="utf-8")
        return outbox / FILE_NAME

    return write
