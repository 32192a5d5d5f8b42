"""Every picture format that is taken has an opener, and the opener is for that format."""

import pytest

from watcher.art.formats.openers import OPENERS
from watcher.inbox.formats import PICTURES, format_of


def test_every_picture_format_has_an_opener():
    assert set(OPENERS) == set(PICTURES)


@pytest.mark.parametrize("kind", PICTURES, ids=lambda kind: kind.name)
def test_an_opener_reads_the_size_before_anything_is_decoded(picture, saved, kind):
    data = saved(picture(40, 30), OPENERS[kind].reader.format)
    head = OPENERS[kind].read_head("a", data, None)
    assert format_of(data) is kind
    assert (head.width_px, head.height_px, head.bits) == (40, 30, 8)
