"""`ORDER_ticket.toml` has exactly the keys that other programs rely on, and numbers that are exact enough to cut by."""

import time
import tomllib
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.orders.an_order import an_order
from watcher.archive.effective_settings import EffectiveSettings
from watcher.archive.order_ticket import Decided, RunPart, ticket_text
from watcher.archive.ticket_reader import read_ticket_file
from watcher.art.model import Art, CardFace, Fit, ImageStream, Raster, VectorPage
from watcher.layout.cuts.plan import plan_cuts
from watcher.layout.geometry import Box, Size
from watcher.orders.model import ArtSource
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.terms import Finding, Level, MakeBleed, Side, Turn
from watcher.work.arrange import lay_out_order

SETTINGS = """
[cards.invitation]
trim = "5 x 7 in"
bleed = "0.125 in"
sheet = "letter"
[cards.tag]
trim = "85 x 55 mm"
sides = 1
sheet = "letter"
[cards.id]
trim = "85.60 x 53.98 mm"
sides = 1
sheet = "letter"
[cards.tent]
trim = "3.5 x 2 in"
fold = "top"
sides = 1
sheet = "letter"
[sheets.letter]
size = "letter"
printer = "office"
[printers.office]
flip = "long-edge"
"""

# The keys as they were promised, in that order. Keys may be added: `name`, `order_sha256`, `member`, `page`, `side`.
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
PLACE = ["number", "x_mm", "y_mm", "turn", "back_x_mm", "back_y_mm", "back_turn"]


@pytest.fixture
def settings(tmp_path) -> Settings:
    (tmp_path / "settings.toml").write_text(SETTINGS)
    return load_settings(tmp_path / "settings.toml")


def _face(side: Side, **art: Any) -> CardFace:
    stream = ImageStream(
        data=b"", filter="/FlateDecode", predictor=15, width_px=1575, height_px=2175, bits=8, colours=3
    )
    plain = {"file": f"a_{side}.png", "sha256": "ab" * 32, "extent": Size(Fraction(1575), Fraction(2175))}
    plain |= {"width_px": 1575, "height_px": 2175, "content": Raster(stream=stream)}
    fit = Fit(
        box=Box(*map(Fraction, (0, 0, 1, 1))), bleed=Fraction(0), make_bleed=MakeBleed.NONE, ppi=Fraction(30001, 100)
    )
    return CardFace(art=Art(side=side, **{**plain, **art}), fit=fit)


@pytest.fixture
def decide(settings) -> Callable[..., Decided]:
    """An order of a card, decided."""

    def decided(card_name: str = "invitation", **changes: Any) -> Decided:
        card = settings.card(card_name)
        sheet = settings.sheet_for(card)
        made_with = EffectiveSettings(
            card=card,
            sheet=sheet,
            printer=settings.printer_for(sheet),
            cutter=settings.cutter_for(sheet),
            sha256="cd" * 32,
        )
        asked = {key: changes.pop(key) for key in ("due", "note") if key in changes}
        order = an_order("A", quantity=25, overs="1 sheet", **asked)
        layout, count = lay_out_order(made_with, order.wishes)
        sides = list(Side)[: card.sides]
        plain: dict[str, Any] = {
            "folder": "a",
            "order": order,
            "settings": made_with,
            "count": count,
            "layout": layout,
            "faces": [_face(side) for side in sides],
            "sources": [ArtSource(side=side, file=f"a_{side}.png", sha256="ab" * 32) for side in sides],
            "findings": [],
            "made_at": "2026-05-01T10:11:12+02:00",
            "software": "print-folder-watcher 0.1.0",
            "order_sha256": "ef" * 32,
        }
        return Decided(**{**plain, **changes})

    return decided


def _read(decided: Decided) -> dict[str, Any]:
    return tomllib.loads(ticket_text(decided).decode("utf-8"))


# -- the keys ----------------------------------------------------------------------------------------------------------


def test_every_key_of_the_design_is_there_and_no_other(decide):
    found = _read(decide())
    assert set(found) == {*TOP, *ADDED, "libraries", "sheet", "card_size", "art", "places", "findings", "settings"}
    assert list(found["sheet"]) == SHEET
    assert list(found["card_size"]) == CARD_SIZE
    assert [list(art) for art in found["art"]] == [ART, ART]
    assert all(list(place) == PLACE for place in found["places"])


def test_what_was_decided_is_told(decide):
    """25 cards, 2-up, one sheet more: 13 + 1 sheets, 2 cards over (issue's own example: 13 sheets)."""
    found = _read(decide())
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
    found = _read(decide())
    assert [(place["x_mm"], place["y_mm"], place["turn"]) for place in found["places"]] == [
        (19.05, 142.875, 90),
        (19.05, 9.525, 90),
    ]
    assert [(place["back_x_mm"], place["back_y_mm"], place["back_turn"]) for place in found["places"]] == [
        (19.05, 142.875, 270),
        (19.05, 9.525, 270),
    ]


def test_a_one_sided_order_has_no_backs(decide):
    found = _read(decide("tag"))
    assert all(list(place) == PLACE[:4] for place in found["places"])
    assert found["flip"] == "none"
    assert [art["side"] for art in found["art"]] == ["front"]


def test_due_and_note_are_told_when_there_are_any(decide):
    found = _read(decide(due="2026-12-24", note='matt, "heavy"\n'))
    assert (found["due"], found["note"]) == ("2026-12-24", 'matt, "heavy"\n')


def _part(layout, own, layouts=(4, 1)) -> RunPart:
    """Places by number, each on a layout."""
    places = tuple((number, layout.places[place - 1]) for number, place in own)
    return RunPart(run="run-2026-11-25", orders=("a", "b"), layouts=layouts, places=places, printed=9)


def test_an_order_that_shares_its_sheets_names_the_run_and_its_own_places(decide):
    """`run` and `run_sheets` are there; with several layouts each place says on which it lies."""
    layout = decide().layout
    found = _read(decide(run=_part(layout, [(1, 1), (1, 2), (2, 1)])))
    assert (found["run"], found["run_sheets"], found["run_orders"]) == ("run-2026-11-25", 5, ["a", "b"])
    assert (found["up"], found["sheets"], found["printed"], found["run_layouts"]) == (2, 5, 9, [4, 1])
    assert [(place["layout"], place["number"]) for place in found["places"]] == [(1, 1), (1, 2), (2, 1)]


def test_a_run_of_one_layout_does_not_number_it(decide):
    found = _read(decide(run=_part(decide().layout, [(1, 2)], layouts=(7,))))
    assert (found["up"], found["sheets"], found["run_sheets"]) == (1, 7, 7)
    assert "run_layouts" not in found
    assert [list(place) for place in found["places"]] == [PLACE]


def test_sheets_on_which_the_order_does_not_lie_are_not_its_own(decide):
    found = _read(decide(run=_part(decide().layout, [(2, 1)])))
    assert (found["sheets"], found["run_sheets"]) == (1, 5)


def test_each_stroke_of_the_cut_plan_is_told(decide):
    """5 x 7 in 2-up on letter; the parts at the gauge first."""
    decided = decide()
    cuts = _read(replace(decided, cuts=plan_cuts(decided.layout)))["cuts"]
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
    for cut in _read(replace(decided, cuts=plan_cuts(decided.layout)))["cuts"]:
        assert len(cut["pieces"]) == len(cut["gives"])
        assert len(set(cut["pieces"])) == len(cut["pieces"])


def test_a_folded_card_tells_its_fold_and_both_sizes(decide):
    """3.5 x 2 in folded at the top: 3.5 x 4 in opened out; 1 in = 25.4 mm."""
    found = _read(decide("tent"))
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
    lengths = _lengths(_read(decide(card)))
    assert len(lengths) > 6
    assert all(type(length) is float for length in lengths)


@pytest.mark.parametrize("card", ["invitation", "tag", "id"])
def test_places_have_at_least_four_decimals_where_they_need_them(decide, card):
    decided = decide(card)
    for place, told in zip(decided.layout.places, _read(decided)["places"], strict=True):
        assert abs(Fraction(str(told["x_mm"])) - place.front.trim.left) <= Fraction(1, 20_000)
        assert abs(Fraction(str(told["y_mm"])) - place.front.trim.bottom) <= Fraction(1, 20_000)


def test_inch_sizes_are_told_exactly(decide):
    """8.5 x 11 in, 5 x 7 in, 1/8 in: 1 in = 25.4 mm."""
    found = _read(decide())
    assert (found["sheet"]["width_mm"], found["sheet"]["height_mm"]) == (215.9, 279.4)
    assert list(found["card_size"].values()) == [127.0, 177.8, 3.175]


def test_resolution_is_told_to_a_tenth(decide):
    assert [art["ppi"] for art in _read(decide())["art"]] == [300.0, 300.0]


# -- art ---------------------------------------------------------------------------------------------------------------


def test_a_pdf_page_has_its_size_in_millimetres(decide):
    page = VectorPage(pdf=b"", page=1, view=Box(*map(Fraction, (0, 0, 1, 1))), turn=Turn.NONE, unit=Fraction(1))
    face = _face(Side.FRONT, extent=Size(Fraction(85), Fraction(55)), width_px=None, height_px=None, content=page)
    face = replace(face, fit=replace(face.fit, ppi=None))
    source = ArtSource(side=Side.FRONT, file="a.pdf", sha256="ab" * 32, page=1)
    (art,) = _read(decide("tag", faces=[face], sources=[source]))["art"]
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
    (art,) = _read(decide("tag", sources=[source]))["art"]
    assert (art["file"], art["member"]) == ("a.zip", "set/1.png")


def test_findings_are_told_with_level_code_and_message(decide):
    findings = [
        Finding(level=Level.WARN, code="low-resolution", message="200 ppi; 225 is wanted.", side=Side.BACK),
        Finding(level=Level.NOTE, code="marks-left-out", message="No room."),
    ]
    assert _read(decide(findings=findings))["findings"] == [
        {"level": "warn", "code": "low-resolution", "message": "200 ppi; 225 is wanted.", "side": "back"},
        {"level": "note", "code": "marks-left-out", "message": "No room."},
    ]


def test_the_same_decisions_make_the_same_bytes(decide):
    assert ticket_text(decide()) == ticket_text(decide())


# -- read back ---------------------------------------------------------------------------------------------------------


def test_a_ticket_is_read_back(decide, tmp_path):
    (tmp_path / "a_ticket.toml").write_bytes(ticket_text(decide()))
    assert read_ticket_file(tmp_path / "a_ticket.toml") == _read(decide())


def test_names_that_are_no_text_make_a_ticket_that_can_be_read(decide, tmp_path):
    source = ArtSource(side=Side.FRONT, file="caf\udce9.png", sha256="ab" * 32)
    (tmp_path / "a_ticket.toml").write_bytes(ticket_text(decide("tag", sources=[source])))
    (art,) = read_ticket_file(tmp_path / "a_ticket.toml")["art"]
    assert art["file"] == r"caf\udce9.png"


@pytest.mark.parametrize("data", [b"order = ", b"\xff\xfe", b"a = " + b"[" * 20_000, b"# " + bytes(2_000_000)])
def test_a_ticket_that_cannot_be_read_is_none(tmp_path, data):
    (tmp_path / "a_ticket.toml").write_bytes(data)
    assert read_ticket_file(tmp_path / "a_ticket.toml") is None


def test_no_ticket_and_a_link_to_one_are_none(decide, tmp_path):
    (tmp_path / "real.toml").write_bytes(ticket_text(decide()))
    (tmp_path / "a_ticket.toml").symlink_to(tmp_path / "real.toml")
    assert read_ticket_file(tmp_path / "a_ticket.toml") is None
    assert read_ticket_file(tmp_path / "none.toml") is None


@pytest.mark.parametrize("dots", [100, 1_000, 4_000, 400_000])
def test_a_hostile_ticket_takes_no_long(tmp_path, dots):
    """Keys of many dots, line after line: the reader of the standard library takes time in the square of them."""
    line = "a." * dots
    (tmp_path / "a_ticket.toml").write_text("".join(f"{line}k{number} = 1\n" for number in range(500_000 // dots)))
    start = time.perf_counter()
    read_ticket_file(tmp_path / "a_ticket.toml")
    assert time.perf_counter() - start < 5
