"""What lies in held and is found there: halves by their other side, folders renamed ok."""

import shutil

import pytest

from tests.orders.an_order import art_of


def test_a_half_set_aside_is_found_by_its_other_side(lone_front, drop, gather_now, held):
    drop("a_back.png")
    (plan,) = gather_now().plans
    assert art_of(plan) == {"front": "a_front.png", "back": "a_back.png"}
    assert [piece.found.file.path.parent for piece in plan.pieces][0] == held / "a"


def test_it_stays_where_it_is_until_then(lone_front, gather_now):
    assert gather_now().plans == ()


@pytest.mark.parametrize("name", ["a_front.png", "b_back.png", "a.toml", "tag/a_back.png", "a.png"])
def test_it_is_found_by_nothing_else(lone_front, drop, gather_now, name):
    drop(**{name: b"quantity = 3"}) if name.endswith("toml") else drop(name)
    (plan,) = gather_now().plans
    assert all("held" not in str(file.path) for file in plan.files)


def test_a_whole_new_pair_leaves_an_older_half_where_it_is(lone_front, drop, gather_now, make):
    """The person sent both again: the new front is meant, and two fronts would be held."""
    drop("a_back.png", **{"a_front.png": make.png("a newer front")})
    (plan,) = gather_now().plans
    assert (plan.fault, plan.missing) == (None, None)
    assert all("held" not in str(file.path) for file in plan.files)


def test_a_back_set_aside_is_found_by_a_one_page_pdf(drop, set_aside_now, gather_now, make):
    """A PDF of one page is a front, without a side word too."""
    drop("a_back.png")
    set_aside_now()
    drop(**{"a.pdf": make.pdf(1)})
    (plan,) = gather_now().plans
    assert (art_of(plan), plan.missing) == ({"front": "a.pdf", "back": "a_back.png"}, None)


def test_a_half_in_a_zip_is_found_again(drop, set_aside_now, gather_now, make):
    drop(**{"a.zip": make.packed({"1.png": b"1"})})
    set_aside_now()
    drop(**{"a (1).zip": make.packed({"2.png": b"2"})})
    (plan,) = gather_now().plans
    assert (art_of(plan), plan.missing) == ({"front": "a.zip", "back": "a (1).zip"}, None)


def test_a_ticket_set_aside_is_found_by_any_art_of_its_name(drop, set_aside_now, gather_now):
    drop(**{"tag/a.toml": b"quantity = 5"})
    set_aside_now()
    drop("tag/a.png")
    (plan,) = gather_now().plans
    assert (plan.wishes.quantity, plan.missing) == (5, None)


def test_a_mended_side_finds_the_other_one_of_its_order(drop, set_aside_now, gather_now, held):
    """`why.txt` says: put the mended files into the inbox under the same names. The sound front is not sent again."""
    drop("a_front.png", "a_back.png")
    set_aside_now()
    drop("a_back.png")
    (plan,) = gather_now().plans
    assert art_of(plan) == {"front": "a_front.png", "back": "a_back.png"}
    assert {str(piece.side): piece.found.file.path.parent.name for piece in plan.pieces} == {
        "front": "a",
        "back": "inbox",
    }


@pytest.mark.parametrize("name", ["b_back.png", "a.toml", "tag/a_back.png"])
def test_what_is_no_mended_file_finds_nothing(drop, set_aside_now, gather_now, name):
    drop("a_front.png", "a_back.png")
    set_aside_now()
    drop(**{name: b"quantity = 3"}) if name.endswith("toml") else drop(name)
    assert all("held" not in str(file.path) for plan in gather_now().plans for file in plan.files)


def test_a_folder_renamed_ok_in_held_is_taken_there(drop, set_aside_now, gather_now, held):
    drop("tag/a.png")
    set_aside_now(soft=True)
    (held / "a").rename(held / "A OK")
    (plan,) = gather_now().plans
    assert (plan.accepted, plan.wishes.card) == (True, "tag")


def test_one_renamed_ok_with_a_file_missing_is_waited_for(drop, set_aside_now, gather_now, held):
    drop("a_front.png", "a_back.png")
    set_aside_now(soft=True)
    (held / "a").rename(held / "a ok")
    (held / "a ok" / "a_back.png").unlink()
    assert gather_now().plans == ()


def test_one_renamed_ok_whose_files_are_still_coming_is_waited_for(drop, set_aside_now, gather_now, held, make):
    """A sync program may do a renaming as new files that arrive slowly."""
    drop("tag/a.png")
    set_aside_now(soft=True)
    (held / "a").rename(held / "a ok")
    (held / "a ok" / "a.png").write_bytes(make.png()[:-10])
    look = gather_now()
    assert look.plans == ()
    assert look.gathered.arriving == ("a.png",)


@pytest.mark.parametrize("name", [".DS_Store", "Thumbs.db", "desktop.ini", "~lock", "a.png.part"])
def test_what_file_managers_add_to_a_held_folder_is_no_file_of_the_order(drop, set_aside_now, gather_now, held, name):
    drop("a_front.png", "a_back.png")
    set_aside_now(soft=True)
    folder = (held / "a").rename(held / "a ok")
    (folder / name).write_bytes(b"x")
    (plan,) = gather_now().plans
    assert len(plan.files) == 2
    (folder / "a_back.png").unlink()
    assert gather_now().plans == ()  # nor does it stand for one that is missing


def test_links_in_a_held_folder_are_not_followed(drop, set_aside_now, gather_now, held, tmp_path):
    drop("tag/a.png")
    set_aside_now(soft=True)
    folder = (held / "a").rename(held / "a ok")
    (folder / "b.png").symlink_to(tmp_path / "menu-back.png")
    (plan,) = gather_now().plans
    assert [file.name for file in plan.files] == ["a.png"]


def test_without_a_held_folder_nothing_comes_back(gather_now, held):
    shutil.rmtree(held)
    assert gather_now().plans == ()
