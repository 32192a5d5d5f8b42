"""What the instruction pages keep from order to order: it never shows in their bytes, whatever came before."""

import itertools
import random
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.instructions.an_order import FACTS, INCH, LETTER, changed, finishing, two_up
from tests.long_form import in_long_form
from watcher.instructions import cut_section
from watcher.instructions import style as instruction_style
from watcher.instructions.page import write_instructions
from watcher.instructions.page_facts import Instructions
from watcher.layout.geometry import Box, Size
from watcher.layout.model import Face, Place
from watcher.terms import Finding, Level, Marks, Turn


def many_up() -> Instructions:
    """2 x 3 in, thirty on 13 x 19 in with gutters: a cut table that flows over two pages."""
    size = Size(2 * INCH, 3 * INCH)
    places = [
        Box.at(Fraction(12) + column * Fraction(54), Fraction(15) + row * Fraction(80), size)
        for row, column in itertools.product(range(5), range(6))
    ]
    faces = [Face(trim=box, bleed_box=box.grown(Fraction(1)), turn=Turn.NONE) for box in places]
    layout = replace(
        two_up(Size(13 * INCH, 19 * INCH)),
        trim=size,
        places=tuple(Place(number=number, front=face, back=face) for number, face in enumerate(faces, start=1)),
    )
    return changed(
        FACTS, order="many", layout=layout, up=30, trim=size, sheet=layout.sheet, finishing=finishing(layout)
    )


NOTED = Finding(level=Level.NOTE, code="bleed-made", message="Bleed was made by mirroring its edge. " * 4)
NO_ASCII = {"order": "\u03b1\u03b2\u03b3 \u2026", "note": "\u0416\u0443\u043a \u00bd \u2013 \u2154"}
ORDERS: dict[str, Instructions] = {
    "plain": FACTS,
    "another order of the same card": changed(FACTS, order="paper-boat", quantity=80, base_sheets=40, note="blue"),
    "letters of another alphabet": changed(FACTS, **NO_ASCII),
    "without marks": changed(FACTS, marks=Marks.NONE, findings=(NOTED,) * 3),
    "long": changed(FACTS, findings=(NOTED,) * 12),
    "many cuts": many_up(),
    "many cuts and a note": changed(many_up(), note="a word for the cutter. " * 30),
}  # fmt: skip


def forget() -> None:
    for kept in (instruction_style.paragraph, cut_section._drawing, cut_section._cut_table):
        kept.cache_clear()


@pytest.fixture(scope="module")
def alone() -> dict[str, bytes]:
    """Each written with nothing kept before."""
    written = {}
    for name, facts in ORDERS.items():
        forget()
        written[name] = write_instructions(facts)
    return written


@pytest.mark.parametrize("seed", [0, 1, *in_long_form(2, 3, 4, 5)])
def test_the_bytes_do_not_depend_on_what_was_written_before(alone: dict[str, bytes], seed: int) -> None:
    forget()
    names = random.Random(seed).choices(list(ORDERS), k=20)
    assert [name for name in names if write_instructions(ORDERS[name]) != alone[name]] == []


def test_what_was_put_off_to_the_next_page_can_be_put_off_in_the_next_document(alone: dict[str, bytes]) -> None:
    """Reportlab notes on a part that it did not fit, and would refuse it the second time."""
    forget()
    assert [len(write_instructions(ORDERS["many cuts"])) for _ in range(3)] == [len(alone["many cuts"])] * 3
    assert len(alone["many cuts"]) > 20_000


def test_the_same_card_again_is_drawn_from_what_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    forget()
    write_instructions(FACTS)
    drawn: list[Any] = []
    right = instruction_style.NumberedPages.said
    monkeypatch.setattr(
        instruction_style.NumberedPages, "said", lambda page, draw: (drawn.append(draw), right(page, draw))[1]
    )
    write_instructions(changed(FACTS, order="paper-boat"))
    assert len(drawn) == 1  # its name


def test_letters_of_its_own_are_never_kept_for_others(alone: dict[str, bytes]) -> None:
    """Codes of letters besides the usual ones differ from document to document."""
    forget()
    write_instructions(ORDERS["letters of another alphabet"])
    assert write_instructions(FACTS) == alone["plain"]
    assert FACTS.layout.sheet == LETTER
