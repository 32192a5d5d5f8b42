"""What a dropped file holds, above all a ZIP."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from watcher.errors import ArtUnreadable
from watcher.inbox.found import Found
from watcher.inbox.inspection import inspect_file
from watcher.inbox.scan import Identity, SeenFile
from watcher.inbox.unpack import unfold
from watcher.terms import Side

WORDS = SimpleNamespace(front=("front", "recto"), back=("back", "verso"))


def _unfold(path: Path) -> tuple[Found, ...]:
    file = SeenFile(path=path, folder=None, name=path.name, identity=Identity.of(path.lstat()))
    inside = inspect_file(path) if path.suffix in (".zip", ".pdf") else None
    return unfold(file, inside, WORDS)


@pytest.fixture
def unfold_zip(make_zip) -> Callable[..., tuple[Found, ...]]:
    """Pack files of these names (their bytes are their names) and unfold the ZIP."""
    return lambda *names, name="spring.zip": _unfold(make_zip(*((one, one.encode()) for one in names), name=name))


def _says(found: tuple[Found, ...]) -> list[tuple[str, Side | None, int | None]]:
    return [(one.parts.order, one.parts.side, one.parts.quantity) for one in found]


def _refusal(unfold_zip, *names: str, **options: str) -> str:
    with pytest.raises(ArtUnreadable) as refused:
        unfold_zip(*names, **options)
    assert refused.value.file.endswith(".zip")
    return str(refused.value)


# -- files that are one thing ------------------------------------------------------------------------------------------


def test_an_image_is_itself(tmp_path):
    (tmp_path / "moon_x3_back.png").write_bytes(b"art")
    (found,) = _unfold(tmp_path / "moon_x3_back.png")
    assert (found.parts.order, found.parts.side, found.pages, found.member) == ("moon", Side.BACK, None, None)
    assert found.shown == "moon_x3_back.png"
    assert not found.is_ticket


def test_a_ticket_is_a_ticket(tmp_path):
    (tmp_path / "moon.toml").write_bytes(b"quantity = 3")
    (found,) = _unfold(tmp_path / "moon.toml")
    assert found.is_ticket


def test_a_pdf_brings_its_number_of_pages(tmp_path, pdf_bytes):
    (tmp_path / "moon.pdf").write_bytes(pdf_bytes(2))
    (found,) = _unfold(tmp_path / "moon.pdf")
    assert found.pages == 2


# -- a ZIP of named files ----------------------------------------------------------------------------------------------


def test_files_named_for_an_order_keep_their_names(unfold_zip):
    found = unfold_zip("moon_front.png", "sun_x5_back.png", "sun.toml", name="week.zip")
    assert _says(found) == [("moon", Side.FRONT, None), ("sun", Side.BACK, 5), ("sun", None, None)]
    assert [one.shown for one in found][:1] == ["moon_front.png in week.zip"]


def test_a_quantity_on_the_zip_is_that_of_its_one_order(unfold_zip):
    """A person who writes x50 on the ZIP means 50; printing one card would be a wrong guess."""
    found = unfold_zip("spring_front.png", "spring_back.png", name="spring_x50.zip")
    assert [one.parts.quantity for one in found] == [50, 50]


def test_a_quantity_on_a_zip_of_several_orders_is_refused(unfold_zip):
    said = _refusal(unfold_zip, "moon_front.png", "sun_front.png", name="week_x50.zip")
    assert said.startswith("week_x50.zip gives a quantity in its own name but holds more than one order.")


def test_a_quantity_on_the_zip_that_is_none_is_a_fault_of_every_order(unfold_zip):
    found = unfold_zip("1.png", "2.png", name="spring_x0.zip")
    assert all(one.parts.fault and "asks for 0 cards" in one.parts.fault for one in found)


def test_the_zip_and_its_member_may_give_the_same_quantity(unfold_zip):
    found = unfold_zip("spring_x50_front.png", "spring_back.png", name="spring_x50.zip")
    assert [(one.parts.quantity, one.parts.fault) for one in found] == [(50, None), (50, None)]


def test_the_zip_and_its_member_that_differ_in_quantity_are_a_fault(unfold_zip):
    found = unfold_zip("spring_x40_front.png", "spring_back.png", name="spring_x50.zip")
    assert found[0].parts.fault == (
        "spring_x40_front.png asks for 40 cards, but spring_x50.zip for 50; make them the same, or leave one out"
    )


# -- a ZIP of pages ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "names", [("1.png", "2.png"), ("01.png", "02.jpg"), ("front.png", "back.png"), ("Recto.png", "VERSO.png")]
)
def test_two_pages_take_the_zips_name(unfold_zip, names):
    assert _says(unfold_zip(*names, name="Spring menu_x20.zip")) == [
        ("Spring menu", Side.FRONT, 20),
        ("Spring menu", Side.BACK, 20),
    ]


def test_the_order_of_packing_does_not_matter(unfold_zip):
    found = unfold_zip("2.png", "1.png")
    assert {one.shown: one.parts.side for one in found} == {
        "1.png in spring.zip": Side.FRONT,
        "2.png in spring.zip": Side.BACK,
    }


@pytest.mark.parametrize(("page", "side"), [("1.png", Side.FRONT), ("2.png", Side.BACK), ("back.png", Side.BACK)])
def test_a_lone_page_is_the_side_it_says(unfold_zip, page, side):
    (found,) = unfold_zip(page)
    assert (found.parts.order, found.parts.side) == ("spring", side)


@pytest.mark.parametrize("page", ["1.png", "back.png"])
def test_a_lone_page_may_take_its_side_from_the_zip(unfold_zip, page):
    (found,) = unfold_zip(page, name="spring_back.zip")
    assert (found.parts.order, found.parts.side, found.parts.page_number) == ("spring", Side.BACK, None)


def test_a_ticket_of_any_name_goes_with_the_pages(unfold_zip):
    found = unfold_zip("1.png", "2.png", "job.toml")
    assert [one.parts.order for one in found] == ["spring"] * 3
    assert found[2].is_ticket


def test_a_browsers_copy_of_the_zip_is_known_as_one(unfold_zip):
    assert [one.parts.copy for one in unfold_zip("1.png", "2.png", name="spring (1).zip")] == [1, 1]


def test_a_zip_that_is_called_by_a_side_word_names_no_order(unfold_zip):
    (found,) = unfold_zip("1.png", name="front.zip")
    assert found.parts.bare_side


@pytest.mark.parametrize("names", [("1.png", "2.png", "3.png"), ("01.png", "2.jpg", "10.png"), ("2.png", "3.png")])
def test_other_numbers_than_one_and_two_are_pages_whose_card_tells_what_they_are(unfold_zip, names):
    """Numbered images are as many designs; only the card knows whether one side is wanted."""
    found = unfold_zip(*names, name="Guests_x2.zip")
    assert {(one.parts.order, one.parts.side, one.parts.quantity) for one in found} == {("Guests", None, 2)}
    assert [one.parts.page_number for one in found] == [int(name.partition(".")[0]) for name in names]


def test_a_quantity_on_a_zip_of_numbered_names_under_one_ticket_is_that_of_their_order(unfold_zip):
    found = unfold_zip("moon_01.png", "moon_02.png", "moon.toml", name="all_x4.zip")
    assert {one.parts.quantity for one in found} == {4}


@pytest.mark.parametrize(
    ("names", "name", "part"),
    [
        (("1.png", "2.png", "back.png"), "spring.zip", "holds 1.png, 2.png, back.png; as one order it can hold"),
        (("1.png", "2.png", "3.png"), "spring_back.zip", "is called a back and holds 1.png, 2.png, 3.png"),
        (("3.png",), "spring.zip", "holds 3.png"),
        (("1.png", "front.png"), "spring.zip", "holds 1.png, front.png"),
        (("front.png", "recto.png"), "spring.zip", "holds front.png, recto.png"),
        (("1.png", "2.png"), "spring_front.zip", "is called a front and holds 1.png, 2.png"),
        (("back.png",), "spring_front.zip", "is called a front and holds back.png"),
        (("2.png",), "spring_front.zip", "is called a front and holds 2.png"),
        (("1.png", "a.toml", "b.toml"), "spring.zip", "holds 1.png and 2 job tickets"),
        (tuple(f"{n}.png" for n in range(1, 9)), "spring_front.zip", "4.png, 5.png and 3 more"),
        (("1.png", "2.png", "3.png", "a.toml", "b.toml"), "spring.zip", "3.png and 2 job tickets"),
    ],
)
def test_pages_that_are_no_front_and_back_are_refused(unfold_zip, names, name, part):
    assert part in _refusal(unfold_zip, *names, name=name)


@pytest.mark.parametrize("page", ["1.png", "front.png"])
def test_pages_beside_named_files_are_refused(unfold_zip, page):
    said = _refusal(unfold_zip, "moon_front.png", page)
    assert f"holds {page} beside files that are named for an order. Name every file ORDER_front" in said


@pytest.mark.parametrize("names", [("1\n.png", "2.png", "back.png"), ("1\n.png", "moon_front.png")])
def test_a_refusal_forges_no_line(unfold_zip, names):
    """A member may be called anything; a second line in a message would be a forged one."""
    said = _refusal(unfold_zip, *names)
    assert "holds 1\\n.png" in said
    assert "\n" not in said
