"""What an order will take, from the heads of its files: the formulas were measured, the sizes here are drawn."""

import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from tests.orders.an_order import an_order
from watcher.orders.memory_need import ANY_ORDER_BYTES, memory_need
from watcher.orders.model import OF_ALL, ArtSource, Order, Repeat
from watcher.terms import Side

PIXELS = 2000 * 3000
TWO_FLAT_SIDES = 2 * 2 * PIXELS  # of PNG or JPEG: two bytes for each pixel


def draw(file: Path) -> Path:
    """A side of six million pixels in one colour, so that its file is next to nothing."""
    Image.new("L", (2000, 3000), 200).save(file)
    return file


def order_of(*names: str, design: int | None = None, member_of: str | None = None) -> Order:
    art = tuple(
        ArtSource(
            side=Side.FRONT,
            file=member_of or name,
            sha256="",
            member=name if member_of else None,
            member_name=name if member_of else None,
            design=at if design is None else design,
        )
        for at, name in enumerate(names, 1)
    )
    return replace(an_order("lantern", 1), art=art)


def need(order: Order, folder: Path) -> float:
    return memory_need(order, folder, folder / "archive") - ANY_ORDER_BYTES


def test_two_sides_take_what_their_pixels_and_their_files_take(tmp_path: Path):
    sizes = [draw(tmp_path / name).stat().st_size for name in ("a.png", "b.png")]
    assert need(order_of("a.png", "b.png", design=1), tmp_path) == TWO_FLAT_SIDES + 2 * sum(sizes)


def test_what_is_packed_again_takes_more_than_what_passes_through(tmp_path: Path):
    draw(tmp_path / "a.png"), draw(tmp_path / "a.tif")
    stored = 2 * ((tmp_path / "a.tif").stat().st_size)
    assert (
        need(order_of("a.tif"), tmp_path) - stored
        == 2 * need(order_of("a.png"), tmp_path) - 4 * (tmp_path / "a.png").stat().st_size
    )


def test_of_many_designs_one_is_open_at_a_time(tmp_path: Path):
    for name in "abcd":
        draw(tmp_path / f"{name}.jpg")
    one, four = order_of("a.jpg"), order_of("a.jpg", "b.jpg", "c.jpg", "d.jpg")
    stored = 2 * (tmp_path / "a.jpg").stat().st_size
    assert need(four, tmp_path) == need(one, tmp_path) + 3 * stored


def test_what_all_designs_share_stays_open_beside_each(tmp_path: Path):
    draw(tmp_path / "a.jpg"), draw(tmp_path / "b.jpg")
    own, shared = order_of("a.jpg").art[0], order_of("b.jpg", design=OF_ALL).art[0]
    both = replace(order_of("a.jpg"), art=(own, shared))
    assert need(both, tmp_path) == need(order_of("a.jpg", "b.jpg", design=1), tmp_path)


def test_art_in_a_zip_is_measured_in_it(tmp_path: Path):
    draw(tmp_path / "a.png")
    with zipfile.ZipFile(tmp_path / "set.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.write(tmp_path / "a.png", "a.png")
    assert need(order_of("a.png", member_of="set.zip"), tmp_path) == need(order_of("a.png"), tmp_path)


def test_a_repeat_takes_what_the_art_in_the_archive_takes(tmp_path: Path):
    (tmp_path / "archive/lantern").mkdir(parents=True)
    draw(tmp_path / "archive/lantern/a.png"), draw(tmp_path / "a.png")
    (tmp_path / "archive/lantern/lantern.ticket.toml").touch()
    again = replace(order_of(), art=(), repeat=Repeat(order="lantern"))
    assert need(again, tmp_path) == need(order_of("a.png"), tmp_path)


@pytest.mark.parametrize("member_of", [None, "gone.zip"])
def test_what_cannot_be_read_keeps_no_order_from_its_turn(tmp_path: Path, member_of: str | None):
    assert need(order_of("gone.png", member_of=member_of), tmp_path) == pytest.approx(30_000_000)


def test_a_damaged_zip_keeps_no_order_from_its_turn(tmp_path: Path):
    (tmp_path / "set.zip").write_bytes(b"PK\x03\x04" + bytes(100))
    assert need(order_of("a.png", member_of="set.zip"), tmp_path) == pytest.approx(30_000_000)
    with zipfile.ZipFile(tmp_path / "set.zip", "w") as packed:
        packed.writestr("b.png", b"b")
    assert need(order_of("a.png", member_of="set.zip"), tmp_path) == pytest.approx(30_000_000)
