"""A ticket that was written is read back, and one that cannot be read is none."""

import time

import pytest

from tests.archive.decided_order import read
from watcher.archive.order_ticket import ticket_text
from watcher.archive.ticket_reader import read_ticket_file
from watcher.orders.model import ArtSource
from watcher.terms import Side


def test_a_ticket_is_read_back(decide, tmp_path):
    (tmp_path / "a_ticket.toml").write_bytes(ticket_text(decide()))
    assert read_ticket_file(tmp_path / "a_ticket.toml") == read(decide())


def test_names_that_are_no_text_make_a_ticket_that_can_be_read(decide, tmp_path):
    source = ArtSource(side=Side.FRONT, file="caf\udce9.png", sha256="ab" * 32)
    (tmp_path / "a_ticket.toml").write_bytes(ticket_text(decide("tag", sources=[source])))
    (art,) = read_ticket_file(tmp_path / "a_ticket.toml")["art"]
    assert art["file"] == r"caf\udce9.png"


@pytest.mark.parametrize("data", [b"order = ", b"\xff\xfe", b"a = " + b"[" * 20_000, b"# " + bytes(2_000_000)])
def test_a_ticket_that_cannot_be_read_is_none(tmp_path, data):
    (tmp_path / "a_ticket.toml").write_bytes(data)
    assert read_ticket_file(tmp_path / "a_ticket.toml") is None


def test_no_ticket_and_a_link_to_one_are_none(decide, tmp_path):
    (tmp_path / "real.toml").write_bytes(ticket_text(decide()))
    (tmp_path / "a_ticket.toml").symlink_to(tmp_path / "real.toml")
    assert read_ticket_file(tmp_path / "a_ticket.toml") is None
    assert read_ticket_file(tmp_path / "none.toml") is None


@pytest.mark.parametrize("dots", [100, 1_000, 4_000, 400_000])
def test_a_hostile_ticket_takes_no_long(tmp_path, dots):
    """Keys of many dots, line after line: the reader of the standard library takes time in the square of them."""
    line = "a." * dots
    (tmp_path / "a_ticket.toml").write_text("".join(f"{line}k{number} = 1\n" for number in range(500_000 // dots)))
    start = time.perf_counter()
    read_ticket_file(tmp_path / "a_ticket.toml")
    assert time.perf_counter() - start < 5
