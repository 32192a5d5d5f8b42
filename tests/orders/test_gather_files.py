"""Files one by one: whose inside must be known first, that cannot be used, that are not whole, that may not be read."""

import os

import pytest

from watcher.orders.usable import TAKEN


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
    assert plan.fault == f"{name} is not a kind of file that can be printed. Export {TAKEN}."
    assert plan.fault_code == "file-unusable"


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
