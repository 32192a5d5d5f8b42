"""The overview as JSON."""

import json
import os
from dataclasses import replace
from datetime import datetime

import pytest

from watcher.status.json_output import to_json
from watcher.status.model import Listed, Overview

NOW = "2026-11-25T14:05:00+00:00"


def test_gives_all_that_is_known_under_stable_keys(full_day: Overview) -> None:
    assert json.loads(json.dumps(to_json(full_day))) == {
        "print_folder": "shop",
        "service": {"at_work": True, "last_look": NOW, "paused": "the disk is full"},
        "notes": ["The journal is damaged."],
        "waiting": [
            {
                "order": "market",
                "place": "inbox",
                "missing": "back",
                "arriving": False,
                "why": "waits for its back",
                "since": NOW,
                "held_after": "2026-11-25T14:20:00+00:00",
                "made_after": None,
                "files": ["market_front.png"],
                "due": None,
                "cards": None,
            }
        ],
        "making": [
            {
                "order": "tide",
                "card": "postcard",
                "progress": "making",
                "since": NOW,
                "until": None,
                "due": None,
                "cards": None,
            }
        ],
        "held": [
            {
                "folder": "menu",
                "place": "held/menu",
                "reasons": ["It is too small.", "It is the wrong shape."],
                "findings": [
                    {"code": "low-resolution", "level": "hold", "side": "back", "message": "It is too small."},
                    {"code": "wrong-shape", "level": "hold", "side": None, "message": "It is the wrong shape."},
                ],
                "ways_out": ["Put the mended files into inbox.", 'Or rename this folder to "menu ok".'],
                "since": NOW,
                "may_be_accepted": True,
                "is_accepted": False,
                "files": ["menu_back.png"],
                "needs": "art",
                "pictures": [],
                "is_ours": True,
                "held_as": None,
                "due": None,
                "cards": None,
            }
        ],
        "finished": [
            {
                "folder": "lantern",
                "order": "lantern",
                "quantity_from_card": False,
                "words": "50 cards = 25 sheets, plus 1 spare",
                "sheets": 26,
                "sheet": "letter",
                "size": "215.9 x 279.4 mm",
                "paper": "white card stock",
                "card": "invitation",
                "up": 2,
                "waste_percent": 24.94,
                "repeat_of": "lamp",
                "second_side": "printed side down, top edge first; sheet 26 goes in first",
                "orders": [],
                "due": "2026-12-24",
                "note": "two piles",
                "made": NOW,
                "warnings": ["lantern_front.png is a little soft."],
                "newer": ["lantern-2"],
                "files": {"sheets": "lantern_sheets.pdf"},
                "printing": None,
            }
        ],
        "printed": [],
        "paper": [
            {"sheet": "letter", "size": "215.9 x 279.4 mm", "paper": "white card stock", "sheets": 26, "orders": 1}
        ],
        "left_alone": ["holiday: a folder that is no card's"],
        "more": {"waiting": 0, "making": 0, "held": 4, "finished": 0, "printed": 0, "left_alone": 0},
    }


def test_has_the_same_keys_when_there_is_nothing(full_day: Overview, nothing: Overview) -> None:
    assert to_json(nothing).keys() == to_json(full_day).keys()
    assert to_json(nothing)["service"] == {"at_work": False, "last_look": None, "paused": None}


@pytest.mark.parametrize(
    ("name", "written"),
    [("one\ntwo", "one\ntwo"), ("\u05e9\u05dc", "\u05e9\u05dc"), (os.fsdecode(b"caf\xe9"), r"caf\xe9")],
)
def test_keeps_names_as_they_are_and_is_unicode_all_the_same(full_day: Overview, name: str, written: str) -> None:
    """Source: RFC 8259 8.2: what a lone surrogate means is not to be relied on."""
    order = replace(full_day.finished.entries[0], folder=name)
    text = json.dumps(to_json(replace(full_day, finished=Listed(entries=(order,)))), ensure_ascii=False)
    assert json.loads(text.encode("utf-8"))["finished"][0]["folder"] == written


def test_times_can_be_read_back(full_day: Overview) -> None:
    assert datetime.fromisoformat(to_json(full_day)["held"][0]["since"]) == full_day.held.entries[0].since
