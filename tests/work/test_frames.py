"""Messages pass as `multiprocessing.connection` writes and reads them, through memory that is given back."""

import multiprocessing
import os
import sys

import pytest

from watcher.work.frames import read_frame, read_to_end, write_frame

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="its pipes have no file numbers")

SIZES = [1, 16_384, 16_385, 100_000]  # a header goes by itself before more than 16,384 bytes


@pytest.fixture
def ends():
    ours, theirs = multiprocessing.Pipe()
    with ours, theirs:
        yield ours, theirs


@pytest.mark.parametrize("size", SIZES)
def test_what_a_connection_sends_is_read(ends, size):
    ours, theirs = ends
    ours.send_bytes(b"x" * size)
    assert read_frame(theirs.fileno()) == b"x" * size


@pytest.mark.parametrize("size", SIZES)
def test_what_is_sent_is_read_by_a_connection(ends, size):
    ours, theirs = ends
    write_frame(theirs.fileno(), b"x" * size)
    assert ours.recv_bytes() == b"x" * size


@pytest.mark.parametrize("sent", [b"", b"\x00\x00", b"\x00\x00\x00\x09half", b"\xff\xff\xff\xff"])
def test_a_sender_that_is_gone_is_the_end(sent):
    read, write = os.pipe()
    os.write(write, sent)
    os.close(write)
    with pytest.raises(EOFError):
        read_frame(read)
    os.close(read)


def test_no_more_is_read_than_there_is_room_for():
    read, write = os.pipe()
    os.write(write, b"0123456789")
    assert read_to_end(read, 4) == b"0123"
    os.close(write)
    assert read_to_end(read, 100) == b"456789"
    os.close(read)


def test_while_nothing_comes_something_else_is_done():
    read, write = os.pipe()
    calls: list[int] = []

    def end_at_the_third() -> None:
        calls.append(1)
        if len(calls) == 3:
            os.close(write)

    os.write(write, b"early")
    assert read_to_end(read, 100, meanwhile=end_at_the_third, every_s=0.001) == b"early"
    assert len(calls) == 3
    os.close(read)
