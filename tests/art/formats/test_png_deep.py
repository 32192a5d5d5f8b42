"""PNG colours of 16 bits keep all of them, whatever keeps the file from passing through."""

import zlib

import numpy as np
import pytest

SHAPE = (9, 11)
WHITE = 65535


@pytest.fixture
def samples():
    """Samples whose two bytes differ, of so many channels."""

    def make(channels: int) -> np.ndarray:
        return np.random.default_rng(7).integers(1, WHITE, (*SHAPE, channels), np.uint16)

    return make


@pytest.fixture
def deep(png_of, opened):
    """The samples of the stream that a PNG of 16 bits becomes, and the art itself."""

    def made(samples, colour_type, extra=(), interlace=0):
        rows = adam7(samples) if interlace else unfiltered(samples)
        height, width, _ = samples.shape
        art = opened(png_of(width, height, 16, colour_type, rows, extra=extra, interlace=interlace))
        return unpacked(art.content.stream), art

    return made


def unfiltered(samples) -> bytes:
    """Rows without a filter, each with the byte that says so (ISO/IEC 15948 7.3, 9.2)."""
    return b"".join(b"\0" + row.astype(">u2").tobytes() for row in samples)


def adam7(samples) -> bytes:
    """The seven passes of ISO/IEC 15948 8.2: first column and row, step across and down."""
    passes = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
    parts = [samples[row::down, column::across] for column, row, across, down in passes]
    return b"".join(unfiltered(part) for part in parts if part.size)


def unpacked(stream) -> np.ndarray:
    """The samples in an image stream: each row less the one above, the first as it is."""
    assert stream.bits == 16
    rows = np.frombuffer(zlib.decompress(stream.data), np.uint8).reshape(stream.height_px, -1)[:, 1:]
    return (
        np.cumsum(rows, axis=0, dtype=np.uint8)
        .view(">u2")
        .reshape(stream.height_px, stream.width_px, stream.colours)
        .astype(int)
    )


def test_interlaced_colours(samples, deep):
    wanted = samples(3)
    found, art = deep(wanted, 2, interlace=1)
    assert np.array_equal(found, wanted)
    assert art.findings == ()


@pytest.mark.parametrize(("colour_type", "channels"), [(6, 3), (4, 1)])
def test_alpha_that_hides_nothing_is_dropped_without_loss(samples, deep, colour_type, channels):
    wanted = samples(channels)
    full = np.full((*SHAPE, 1), WHITE, np.uint16)
    found, art = deep(np.concatenate([wanted, full], axis=-1), colour_type)
    assert np.array_equal(found, wanted)
    assert "depth-reduced" not in {finding.code for finding in art.findings}


@pytest.mark.parametrize("colour_type", [6, 4])
def test_what_is_see_through_lies_on_white(samples, deep, colour_type):
    """ISO/IEC 15948 13.16: alpha x colour + (1 - alpha) x ground."""
    colours = samples(3 if colour_type == 6 else 1)
    alpha = samples(1)
    found, _ = deep(np.concatenate([colours, alpha], axis=-1), colour_type)
    share = alpha / WHITE
    assert np.abs(found - (share * colours + (1 - share) * WHITE)).max() <= 0.5 + 1e-6


def test_the_one_see_through_colour_becomes_white_and_its_neighbours_stay(samples, deep):
    """Alike in their upper bytes alone is not alike: tRNS names all 16 bits (11.3.2.1)."""
    colours = samples(3)
    colours[0, 0], colours[0, 1] = (0x1234, 0x5678, 0x9ABC), (0x1235, 0x5678, 0x9ABC)
    key = np.array([0x1234, 0x5678, 0x9ABC], ">u2").tobytes()
    found, _ = deep(colours, 2, extra=[(b"tRNS", key)])
    assert found[0, 0].tolist() == [WHITE] * 3
    assert np.array_equal(found.reshape(-1, 3)[1:], colours.reshape(-1, 3)[1:])
