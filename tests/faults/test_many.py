"""Hundreds of orders dropped at once, with rubbish among them: each order made once, each piece of rubbish held.

The short form drops 4 orders, the long one (PRINT_FOLDER_LONG=1) 500.
"""

import hashlib
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from tests.long_form import LONG

Draw = Callable[..., Path]
Drop = Callable[..., None]
ORDERS = 500 if LONG else 4

# What is dropped -> what is said of it.
REASONS = {
    "words": "is not a kind of file that can be printed",
    "twice_front (conflicted copy 2026-05-01)": "is a copy that a sync program made",
    "cut": "is not complete",
    "flipped": "flipped_front.png",
    "liar": "liar_front.png",
    "packed": "packed.zip",
    "three": "has 3 pages",
    "half": "half_front.png has waited",
    "unsure": "The quantities differ",
    "wrong": "quantity",
    "blurred": "px",
    "sideless": "does not say which side it is",
}


@pytest.fixture
def drop_rubbish(print_folder: Path, draw_card: Draw, drop_pair: Drop) -> Callable[[], None]:
    """Each kind under a name of its own."""
    inbox = print_folder / "inbox"

    def drop() -> None:
        (inbox / "words.docx").write_bytes(b"words")
        draw_card(inbox / "twice_front (conflicted copy 2026-05-01).png", word="twice")
        cut = draw_card(inbox / "cut_front.png", word="cut")
        cut.write_bytes(cut.read_bytes()[:-20])
        drop_pair(inbox, "flipped")
        flip_bits(inbox / "flipped_front.png", 100)
        (inbox / "liar_front.png").write_bytes(b"I am no picture at all")
        draw_card(inbox / "liar_back.png", word="liar")
        with zipfile.ZipFile(inbox / "packed.zip", "w") as archive:
            archive.write(draw_card(print_folder.parent / "1.png"), "1.png")
        flip_bits(inbox / "packed.zip", 200)
        three = pypdf.PdfWriter()
        for _ in range(3):
            three.add_blank_page(width=378, height=522)
        three.write(inbox / "three.pdf")
        draw_card(inbox / "half_front.png", word="half")
        draw_card(inbox / "unsure_x5_front.png")
        draw_card(inbox / "unsure_x6_back.png")
        drop_pair(inbox, "wrong")
        (inbox / "wrong.toml").write_text("quantity = -5\n")
        drop_pair(inbox, "blurred", size=(60, 83))
        draw_card(inbox / "sideless.png")

    return drop


def flip_bits(file: Path, at: int) -> None:
    data = bytearray(file.read_bytes())
    for index in range(at, at + 40):
        data[index] ^= 0x55
    file.write_bytes(data)


def digests(folder: Path) -> set[str]:
    return {hashlib.sha256(file.read_bytes()).hexdigest() for file in folder.rglob("*") if file.is_file()}


@pytest.mark.timeout(1800 if LONG else 240)
def test_hundreds_of_orders_at_once_with_rubbish_among_them(
    print_folder: Path, running, drop_pair: Drop, drop_rubbish: Callable[[], None]
) -> None:
    file = print_folder / "settings.toml"
    waits = 'read_back = false\nwait_for_other_side = "2 s"\ngive_up = "2 s"\nevents = "native"\nrescan = "2 s"'
    file.write_text(file.read_text().replace('events = "polling"', waits).replace('"0 s"', '"1 s"', 1))
    drop_rubbish()
    names = [f"order{number}" for number in range(ORDERS)]
    for number, name in enumerate(names):
        drop_pair(print_folder / "inbox", name, colour=f"#{number % 250:02x}{number // 250:02x}88")
    dropped = digests(print_folder / "inbox")
    art = shutil.copytree(print_folder / "inbox", print_folder.parent / "before")
    service = running()
    done = [print_folder / f"outbox/{name}/{name}_ticket.toml" for name in names]
    held = [print_folder / f"held/{name}/held.toml" for name in REASONS]
    service.wait_for(lambda: all(path.exists() for path in [*done, *held]), "all of it", 1500)
    service.wait_for(lambda: not list((print_folder / "archive").glob(".taking-*")), "the end of the deliveries")
    assert service.stop() == 0
    assert sorted(path.name for path in (print_folder / "outbox").iterdir() if path.is_dir()) == sorted(names)
    assert sorted(path.name for path in (print_folder / "archive").iterdir()) == sorted(names)
    assert sorted(path.name for path in (print_folder / "held").iterdir()) == sorted(REASONS)
    for name, reason in REASONS.items():
        why = " ".join((print_folder / f"held/{name}/why.txt").read_text().split())
        assert reason in why, name
    for name in names:
        for side in ("front", "back"):
            kept = print_folder / f"archive/{name}/{name}_{side}.png"
            assert kept.read_bytes() == (art / kept.name).read_bytes()
    assert dropped <= digests(print_folder / "archive") | digests(print_folder / "held")
    assert not [path for path in (print_folder / "inbox").rglob("*") if path.is_file()]
    lines = (print_folder / "outbox/log.txt").read_text().splitlines()
    assert len(lines) == len(names) + len(REASONS)
