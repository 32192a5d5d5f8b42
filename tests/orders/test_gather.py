"""What lies in the inbox, laid out for pairing: what has rested, what is not whole, strangers."""

import os

import pytest

from tests.orders.an_order import art_of

# -- the inbox ---------------------------------------------------------------------------------------------------------


def test_what_has_rested_is_laid_out(drop, gather_now, make):
    drop("a_front.png", "a_back.png", **{"b.pdf": make.pdf(2), "c.zip": make.packed({"1.png": b"1"})})
    look = gather_now()
    assert {plan.name: (plan.fault, plan.missing, plan.arriving) for plan in look.plans} == {
        "a": (None, None, False),
        "b": (None, None, False),
        "c": (None, "back", False),
    }
    assert len(look.gathered.containers) == 2


def test_an_inside_that_is_not_known_is_asked_for_and_waited_for(drop, gather_now, make):
    """Its back may be the other half of what lies beside it."""
    drop("a_front.png", **{"a.zip": make.packed({"back.png": b"1"})})
    look = gather_now(known=False)
    assert [file.name for file in look.gathered.to_look] == ["a.zip"]
    assert look.by_name["a"].arriving


def test_an_inside_that_cannot_be_used_is_a_fault(drop, gather_now, make):
    drop(**{"a.zip": make.packed({"a.psd": b"1"})})
    fault = gather_now().by_name["a"].fault
    assert fault.startswith("a.zip holds a.psd, which cannot be used")


def test_a_zip_whose_pages_belong_to_no_order_is_a_fault(drop, gather_now, make):
    drop(**{"a.zip": make.packed({"1.png": b"1", "2.png": b"2", "front.png": b"3"})})
    (plan,) = gather_now().plans
    assert "holds 1.png, 2.png, front.png" in plan.fault
    assert [file.name for file in plan.files] == ["a.zip"]


@pytest.mark.parametrize("name", ["notes.txt", "a_front.gif", "a_front", "a.ai", "a_front.png.exe"])
def test_a_kind_that_is_not_taken_is_a_fault_that_lists_those_that_are(drop, gather_now, name):
    drop(**{name: b"something"})
    (plan,) = gather_now().plans
    assert plan.fault == f"{name} is not a kind of file that can be printed. Export PNG, JPEG, TIFF, WebP, PDF or ZIP."
    assert plan.fault_code == "file-unusable"


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
        "holiday: a folder that is no card's, without art in it. Put PNG, JPEG, TIFF, WebP, PDF or ZIP into it, or take"
        " it away",
        "link.png: a link, a device or a folder that may not be read",
    )


# -- files that are not whole -----------------------------------------------------------------------------------------


def test_a_file_that_is_not_whole_is_waited_for(drop, gather_now, make):
    drop("a_back.png", **{"a_front.png": make.png()[:-10]})
    look = gather_now(stuck_s=599.0)
    assert look.by_name["a"].arriving
    assert look.gathered.arriving == ("a_front.png",)
    assert [plan.fault for plan in look.plans] == [None]


def test_a_file_that_is_never_whole_is_given_up(drop, gather_now, make):
    drop("a_back.png", **{"a_front.png": make.png()[:-10]})
    faults = [plan.fault for plan in gather_now(stuck_s=600.0).plans]
    assert faults == [None, "a_front.png is not complete: its end is missing. Export or copy it again."]


def test_a_file_that_has_not_rested_is_waited_for_however_long(drop, gather_now, make):
    drop(**{"a_front.png": make.png()[:-10], "a_back.png": make.png()[:-10]})
    look = gather_now(quiet_s=1e9, stuck_s=1e6)
    assert look.plans == ()
    assert sorted(look.gathered.arriving) == ["a_back.png", "a_front.png"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_is_left_alone_and_said(drop, gather_now):
    (path,) = drop("a_front.png")
    path.chmod(0)
    look = gather_now(stuck_s=600.0)
    assert look.gathered.left_alone == ("a_front.png: may not be read; give the program the right to read it",)


def test_a_file_that_may_not_be_read_is_said_as_root_too(drop, gather_now, make, monkeypatch):
    drop(**{"a_front.png": make.png()[:-10]})
    monkeypatch.setattr(os, "access", lambda *_: False)
    look = gather_now(stuck_s=600.0)
    assert look.plans == ()
    assert look.gathered.left_alone == ("a_front.png: may not be read; give the program the right to read it",)
