"""Orders in folders among the files of the inbox: what keeps a folder waiting, and what holds it."""

import pytest


def test_a_folder_may_be_called_like_its_card(drop, gather_now, inbox):
    (inbox / "tag/tag").mkdir(parents=True)
    drop("tag/tag/1.png")
    (plan,) = gather_now().plans
    assert (plan.name, plan.folder, plan.fault) == ("tag", "tag", None)


@pytest.mark.parametrize("name", [".front.png.Ab3dEf", "back.png.part", "back.png.crdownload"])
def test_a_folder_that_is_still_filled_waits(drop, gather_now, name):
    drop("dinner/1.png", f"dinner/{name}")
    look = gather_now(quiet_s=2.0, stuck_s=1.0)
    assert look.plans == ()
    assert [folder.name for folder in look.gathered.arriving_folders] == ["dinner"]


def test_a_folder_must_rest_as_a_whole_even_when_its_files_are_whole(drop, gather_now):
    drop("dinner/front.png", "dinner/back.png")
    assert gather_now(quiet_s=2.0, stuck_s=1.0).plans == ()
    assert len(gather_now(quiet_s=2.0, stuck_s=3.0).plans) == 1


def test_what_cannot_be_printed_holds_the_whole_folder(drop, gather_now):
    drop("dinner/front.png", "dinner/back.png", "dinner/notes.docx")
    (plan,) = gather_now().plans
    assert plan.fault.startswith("dinner holds notes.docx, which is not a kind of file that can be printed.")
    assert len(plan.files) == 3
