"""What lies in the inbox, laid out for pairing: what has rested, and strangers."""

import pytest

from tests.orders.an_order import art_of
from watcher.orders.usable import TAKEN


def test_what_has_rested_is_laid_out(drop, gather_now, make):
    drop("a_front.png", "a_back.png", **{"b.pdf": make.pdf(2), "c.zip": make.packed({"1.png": b"1"})})
    look = gather_now()
    assert {plan.name: (plan.fault, plan.missing, plan.arriving) for plan in look.plans} == {
        "a": (None, None, False),
        "b": (None, None, False),
        "c": (None, "back", False),
    }
    assert len(look.gathered.containers) == 2


def test_a_stranger_does_not_hold_the_order_beside_it(drop, gather_now):
    drop("a_front.png", "a_back.png", **{"a_front.psd": b"layers"})
    assert sorted(plan.fault is None for plan in gather_now().plans) == [False, True]


@pytest.mark.parametrize(
    "name",
    [
        "a_front (conflicted copy 2026-05-01).png",
        "a_front.sync-conflict-20260501-101112-ABCDEFG.png",
        "a_front (Case Conflict).png",
    ],
)
def test_a_conflict_copy_is_never_paired(drop, gather_now, name):
    drop("a_front.png", "a_back.png", name)
    plans = gather_now().plans
    (kept,) = (plan for plan in plans if plan.fault)
    assert [file.name for file in kept.files] == [name]
    assert "two versions were saved. Keep the one you mean." in kept.fault
    (pair,) = (plan for plan in plans if not plan.fault)
    assert art_of(pair) == {"front": "a_front.png", "back": "a_back.png"}


def test_folders_and_links_that_are_none_of_ours_are_left_alone(drop, inbox, gather_now, tmp_path):
    drop("holiday/photo.heic")
    (inbox / "link.png").symlink_to(tmp_path / "settings.toml")
    look = gather_now()
    assert look.plans == ()
    assert look.gathered.left_alone == (
        f"holiday: a folder that is no card's, without art in it. Put {TAKEN} into it, or take it away",
        "link.png: a link, a device or a folder that may not be read",
    )
