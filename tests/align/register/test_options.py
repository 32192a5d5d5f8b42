"""Readings and scans as options: what goes together."""

from pathlib import Path

import pytest

from watcher.align.register.options import RegisterOptions
from watcher.errors import WrongUsage

PAIR = (Path("a.png"), Path("b.png"))


def test_nothing_given_is_a_conversation():
    RegisterOptions().check()
    assert not RegisterOptions().are_given


@pytest.mark.parametrize("options", [{"readings": ("1:0,0",), "sheets_measured": 3}, {"scans": PAIR * 3}])
def test_what_goes_together_is_taken(options):
    RegisterOptions(**options, keep_doubtful=True).check()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"readings": ("1:0,0",), "scans": PAIR}, "either --reading or --scans"),
        ({"scans": PAIR, "sheets_measured": 2}, "goes with --reading"),
        ({"keep_doubtful": True}, "goes with --reading or --scans"),
        ({"scans": (*PAIR, Path("c.png"))}, "an even number"),
    ],
)
def test_what_contradicts_itself_is_refused(options, said):
    with pytest.raises(WrongUsage, match=said):
        RegisterOptions(**options).check()
