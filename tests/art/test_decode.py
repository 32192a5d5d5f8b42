"""The only way from bytes to art: what is refused, and how it is named."""

import pytest


def test_the_bytes_decide_which_picture_it_is(picture, saved, opened):
    assert opened(saved(picture(), "JPEG"), "png").width_px == 40


@pytest.mark.parametrize(
    ("data", "ending", "said"),
    [
        (b"x", "gif", "is not a kind of file that can be printed; PNG, JPEG, TIFF, WebP and PDF are taken"),
        (b"x", "toml", "is not a kind of file that can be printed"),
        (b"\0" * 50, "png", "is empty"),
        (b"%PDF-1.7", "png", "is really a PDF; PNG, JPEG, TIFF, WebP and PDF are taken. Name it .pdf."),
        (b"GIF89a" + bytes(20), "jpg", "is really a GIF picture"),
        (b"hello", "png", "is damaged or not complete, or not a picture at all"),
    ],
)
def test_what_is_no_art_is_refused_by_name(refusal, data, ending, said):
    assert said in refusal(data, ending)
