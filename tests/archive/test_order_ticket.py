"""`ORDER_ticket.toml` has exactly the keys that other programs rely on, and numbers that are exact enough to cut by."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.archive.decided_order import PLACE, face_of, read
from watcher.archive.order_ticket import ticket_text
from watcher.art.model import VectorPage
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Size
from watcher.orders.model import ArtSource
from watcher.terms import Finding, Level, Side, Turn

# The keys that each version has, in their order. Keys may be added: `name`, `order_sha256`, `member`, `page`, `side`.
TOP = [
    "order",
    "card",
    "quantity",
    "overs",
    "up",
    "sheets",
    "flip",
    "duplex",
    "backs",
    "made_at",
    "software",
    "settings_sha256",
]
ADDED = ["name", "order_sha256", "waste_percent", "overs_asked", "printed_as", "printed_on"]
SHEET = ["name", "width_mm", "height_mm"]
CARD_SIZE = ["trim_width_mm", "trim_height_mm", "bleed_mm"]
ART = ["side", "file", "sha256", "width_px", "height_px", "ppi"]


# -- the keys ----------------------------------------------------------------------------------------------------------


def test_every_key_of_the_design_is_there_and_no_other(decide):
    found = read(decide())
    assert set(found) == {*TOP, *ADDED, "libraries", "sheet", "card_size", "art", "places", "findings", "settings"}
    assert list(found["sheet"]) == SHEET
    assert list(found["card_size"]) == CARD_SIZE
    assert [list(art) for art in found["art"]] == [ART, ART]
    assert all(list(place) == PLACE for place in found["places"])


def test_what_was_decided_is_told(decide):
    """25 cards, 2-up, one sheet more: 13 + 1 sheets, 2 cards over (by hand: 25 / 2, rounded up, is 13)."""
    found = read(decide())
    assert [found[key] for key in TOP] == [
        "a",
        "invitation",
        25,
        2,
        2,
        14,
        "long-edge",
        "automatic",
        "head-to-head",
        "2026-05-01T10:11:12+02:00",
        "print-folder-watcher 0.1.0",
        "cd" * 32,
    ]


def test_places_are_those_of_common_practice(decide):
    """Two 5 x 7 in cards on letter, turned: common practice, no source."""
    found = read(decide())
    assert [(place["x_mm"], place["y_mm"], place["turn"]) for place in found["places"]] == [
        (19.05, 142.875, 90),
        (19.05, 9.525, 90),
    ]
    assert [(place["back_x_mm"], place["back_y_mm"], place["back_turn"]) for place in found["places"]] == [
        (19.05, 142.875, 270),
        (19.05, 9.525, 270),
    ]


def test_a_one_sided_order_has_no_backs(decide):
    found = read(decide("tag"))
    assert all(list(place) == PLACE[:4] for place in found["places"])
    assert found["flip"] == "none"
    assert [art["side"] for art in found["art"]] == ["front"]


def test_due_and_note_are_told_when_there_are_any(decide):
    found = read(decide(due="2026-12-24", note='matt, "heavy"\n'))
    assert (found["due"], found["note"]) == ("2026-12-24", 'matt, "heavy"\n')


def test_each_stroke_of_the_cut_plan_is_told(decide):
    """5 x 7 in 2-up on letter; the parts at the gauge first."""
    decided = decide()
    cuts = read(replace(decided, cuts=plan_cuts(decided.layout)))["cuts"]
    assert [list(cut) for cut in cuts] == [["number", "pieces", "against", "gauge_mm", "gives"]] * 6
    assert cuts[0] == {
        "number": 1,
        "pieces": ["sheet"],
        "against": "left",
        "gauge_mm": 196.85,
        "gives": [["A", "waste"]],
    }
    assert [cut["gives"] for cut in cuts[4:]] == [[["E", "card 1"]], [["card 2", "waste"]]]


def test_pieces_cut_together_are_told_in_the_order_of_what_they_give(decide):
    decided = decide("tag")
    for cut in read(replace(decided, cuts=plan_cuts(decided.layout)))["cuts"]:
        assert len(cut["pieces"]) == len(cut["gives"])
        assert len(set(cut["pieces"])) == len(cut["pieces"])


def test_a_folded_card_tells_its_fold_and_both_sizes(decide):
    """3.5 x 2 in folded at the top: 3.5 x 4 in opened out; 1 in = 25.4 mm."""
    found = read(decide("tent"))
    assert found["card_size"] == {
        "trim_width_mm": 88.9,
        "trim_height_mm": 101.6,
        "bleed_mm": 0.0,
        "fold": "top",
        "folded_width_mm": 88.9,
        "folded_height_mm": 50.8,
    }
    assert found["backs"] == "head-to-toe"


# -- numbers -----------------------------------------------------------------------------------------------------------


def _lengths(found: Any) -> list[object]:
    if isinstance(found, dict):
        here = [value for key, value in found.items() if key.endswith("_mm")]
        return here + [one for value in found.values() for one in _lengths(value)]
    return [one for value in found for one in _lengths(value)] if isinstance(found, list) else []


@pytest.mark.parametrize("card", ["invitation", "tag", "id"])
def test_every_length_is_a_float_even_when_it_is_whole(decide, card):
    """A reader in a language with kinds of numbers must find one kind."""
    lengths = _lengths(read(decide(card)))
    assert len(lengths) > 6
    assert all(type(length) is float for length in lengths)


@pytest.mark.parametrize("card", ["invitation", "tag", "id"])
def test_places_have_at_least_four_decimals_where_they_need_them(decide, card):
    decided = decide(card)
    for place, told in zip(decided.layout.places, read(decided)["places"], strict=True):
        assert abs(Fraction(str(told["x_mm"])) - place.front.trim.left) <= Fraction(1, 20_000)
        assert abs(Fraction(str(told["y_mm"])) - place.front.trim.bottom) <= Fraction(1, 20_000)


def test_inch_sizes_are_told_exactly(decide):
    """8.5 x 11 in, 5 x 7 in, 1/8 in: 1 in = 25.4 mm."""
    found = read(decide())
    assert (found["sheet"]["width_mm"], found["sheet"]["height_mm"]) == (215.9, 279.4)
    assert list(found["card_size"].values()) == [127.0, 177.8, 3.175]


def test_resolution_is_told_to_a_tenth(decide):
    assert [art["ppi"] for art in read(decide())["art"]] == [300.0, 300.0]


# -- art ---------------------------------------------------------------------------------------------------------------


def test_a_pdf_page_has_its_size_in_millimetres(decide):
    page = VectorPage(pdf=b"", page=1, view=Box(*map(Fraction, (0, 0, 1, 1))), turn=Turn.NONE, unit=Fraction(1))
    face = face_of(Side.FRONT, extent=Size(Fraction(85), Fraction(55)), width_px=None, height_px=None, content=page)
    face = replace(face, fit=replace(face.fit, ppi=None))
    source = ArtSource(side=Side.FRONT, file="a.pdf", sha256="ab" * 32, page=1)
    (art,) = read(decide("tag", faces=[face], sources=[source]))["art"]
    assert art == {
        "side": "front",
        "file": "a.pdf",
        "sha256": "ab" * 32,
        "page": 2,  # people count from 1
        "width_mm": 85.0,
        "height_mm": 55.0,
    }


def test_a_member_of_a_zip_is_told_by_the_name_it_has_there(decide):
    source = ArtSource(side=Side.FRONT, file="a.zip", sha256="ab" * 32, member="set/1.png", member_name="1.png")
    (art,) = read(decide("tag", sources=[source]))["art"]
    assert (art["file"], art["member"]) == ("a.zip", "set/1.png")


def test_findings_are_told_with_level_code_and_message(decide):
    findings = [
        Finding(level=Level.WARN, code="low-resolution", message="200 ppi; 225 is wanted.", side=Side.BACK),
        Finding(level=Level.NOTE, code="marks-left-out", message="No room."),
    ]
    assert read(decide(findings=findings))["findings"] == [
        {"level": "warn", "code": "low-resolution", "message": "200 ppi; 225 is wanted.", "side": "back"},
        {"level": "note", "code": "marks-left-out", "message": "No room."},
    ]


def test_the_same_decisions_make_the_same_bytes(decide):
    assert ticket_text(decide()) == ticket_text(decide())
