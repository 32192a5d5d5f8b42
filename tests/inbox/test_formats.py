"""The table of formats: each is told by its ending and by its first bytes, and named for people."""

import pytest

from watcher.inbox import formats


@pytest.mark.parametrize("one", formats.FORMATS, ids=lambda one: one.name)
def test_each_ending_names_one_format(one):
    assert [formats.format_with(ending) for ending in one.endings] == [one] * len(one.endings)
    assert formats.named_format(f"spring menu.front.{one.endings[0].upper()}") is one


@pytest.mark.parametrize("name", ["menu", "menu.", ".png", "menu.gif", "menu.png.part"])
def test_other_names_promise_no_format(name):
    assert formats.named_format(name) is None


@pytest.mark.parametrize("one", [one for one in formats.FORMATS if one.starts], ids=lambda one: one.name)
def test_first_bytes_tell_the_format_once_all_of_them_are_there(one):
    for start in one.starts:
        assert formats.format_of(start + b"more") is one
        assert formats.format_of(start[:-1]) is None
        assert one.may_start(start[:-1])


def test_any_length_may_stand_in_a_webp_files_start():
    assert formats.format_of(b"RIFF\x01\xff\0\x7fWEBPVP8 ") is formats.WEBP
    assert formats.format_of(b"RIFF\x01\xff\0\x7fWAVEfmt ") is None


def test_formats_are_listed_for_people():
    assert formats.say_formats((formats.PNG, formats.JPEG, formats.PDF), "or") == "PNG, JPEG or PDF"
    assert formats.say_formats([formats.PDF], "or") == "PDF"


def test_what_must_be_looked_into_is_known_by_its_ending():
    assert {"zip", "pdf", "tif", "tiff"} == formats.HAVE_AN_INSIDE
