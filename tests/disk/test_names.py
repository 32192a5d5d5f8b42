"""Names that are free, short enough by themselves, and short enough with their folders before them."""

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.disk import (
    cut_name,
    fitting_file_name,
    fitting_order_name,
    free_name,
    longer_name,
    names,
    unshortened_name,
)

# -- free names --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("taken", "free"),
    [(set(), "a"), ({"a"}, "a-2"), ({"a", "a-2", "a-3"}, "a-4"), ({"a-2"}, "a"), ({"a", "a-3"}, "a-2")],
)
def test_the_first_free_name_is_given(taken, free):
    """A name that is taken gets `-2`, `-3` and so on."""
    assert free_name("a", taken.__contains__) == free


@given(st.sets(st.sampled_from(["a", *(f"a-{number}" for number in range(2, 12))])))
def test_a_free_name_is_never_taken(taken):
    assert free_name("a", taken.__contains__) not in taken


# -- names that are too long -------------------------------------------------------------------------------------------


@given(st.text(max_size=300), st.integers(0, 255))
def test_a_name_is_cut_by_bytes_and_never_in_a_sign(name, most):
    name = name.encode("utf-8", "ignore").decode()
    cut = cut_name(name, most)
    assert name.startswith(cut)
    assert len(cut.encode()) <= most
    assert cut == name or len(name[: len(cut) + 1].encode()) > most


@pytest.mark.parametrize(
    ("name", "longer"),
    [
        ("a_front.png", "a_front 2.png"),
        ("a", "a 2"),
        ("n" * 251 + ".png", "n" * 249 + " 2.png"),
        ("春" * 83 + ".jpeg", "春" * 82 + " 2.jpeg"),  # 254 bytes
        ("a." + "b" * 253, "a." + "b" * 251 + " 2"),
        (os.fsdecode(b"\xff" * 251 + b".png"), os.fsdecode(b"\xff" * 249 + b" 2.png")),
    ],
)
def test_what_is_added_to_a_name_stands_before_its_ending_and_255_bytes_hold_it(name, longer):
    assert longer_name(name, " 2") == longer
    assert len(os.fsencode(longer)) <= 255


# -- paths that are too long -------------------------------------------------------------------------------------------

SHOP = Path("C:/Users/anna/Documents/print-folder")  # 36 signs, as long as such a place usually is
FOLDERS = [SHOP / "outbox", SHOP / "archive"]
LONG = "lantern walk in november " * 8
ENDS = ["_x50_front.png", "_x50_back.png", "_layout-12_1-fronts.pdf", "_instructions.pdf"]


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(names, "MOST_PATH_SIGNS", 240)


@pytest.mark.parametrize("name", ["lantern", "n" * 60])
def test_usual_names_stay_as_they_are(windows, name):
    assert fitting_order_name(name, FOLDERS) == name
    assert fitting_file_name(f"{name}_x50_front.png", FOLDERS) == f"{name}_x50_front.png"


@pytest.mark.parametrize("folder", FOLDERS)
def test_every_path_of_the_longest_order_has_at_most_240_signs(windows, folder):
    order = fitting_order_name(LONG, FOLDERS)
    inside = [*(order + end for end in ENDS), *(fitting_file_name(LONG + end, FOLDERS) for end in ENDS[:2])]
    assert max(len(str(folder / f".{order}-12.part" / name)) for name in inside) <= 240


def test_a_file_whose_name_is_shortened_keeps_quantity_side_and_ending(windows):
    assert fitting_file_name(LONG + "_x50_front.png", FOLDERS).endswith("_x50_front.png")


def test_a_shortened_name_ends_neither_with_a_dot_nor_a_space(windows):
    name = fitting_order_name("n" * 50 + " ." * 50, FOLDERS)
    assert name.rstrip(" .") == name


def test_no_letter_is_parted_from_its_accents(windows):
    name = fitting_order_name("e\u0301" * 150, FOLDERS)
    assert set(name[1::2]) == {"\u0301"}
    assert len(name) % 2 == 0


@given(st.text("abc ", min_size=1, max_size=200), st.sampled_from(ENDS[:2]))
def test_with_the_name_of_its_order_a_shortened_name_is_whole_again(order, end):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(names, "MOST_PATH_SIGNS", 240)
        assert unshortened_name(fitting_file_name(order + end, FOLDERS), order) == order + end


@pytest.mark.parametrize("name", ["front.png", "other_front.png", "lantern walk_front.png"])
def test_a_name_that_was_not_shortened_is_given_as_it_is(name):
    assert unshortened_name(name, LONG) == name
