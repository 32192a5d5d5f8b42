"""Which annotations of a page are printed, which show something, and what is counted of them."""

import pytest
from pypdf import PageObject
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

from watcher.art.pdf import annotations
from watcher.art.pdf.annotations import (
    count_annotations,
    is_drawn_nowhere,
    is_printed,
    look_of,
    odd_letters,
    should_show,
)

# Flags by their values. Source: ISO 32000-1 Table 165.
INVISIBLE, HIDDEN, PRINT, NO_VIEW = 1, 2, 4, 32


def noted(kind="Stamp", flags=PRINT, *, look=False, **entries):
    made = DictionaryObject({NameObject("/Subtype"): NameObject(f"/{kind}"), NameObject("/F"): NumberObject(flags)})
    if look:
        made[NameObject("/AP")] = DictionaryObject({NameObject("/N"): StreamObject()})
    made.update({NameObject(f"/{key}"): value for key, value in entries.items()})
    return made


@pytest.mark.parametrize(
    ("kind", "flags", "printed"),
    [
        ("Stamp", PRINT, True),
        ("Stamp", 0, False),
        ("Stamp", PRINT | HIDDEN, False),
        ("Stamp", PRINT | NO_VIEW, True),
        ("Stamp", PRINT | INVISIBLE, True),
        ("OfNoStandard", PRINT | INVISIBLE, False),
    ],
)
def test_the_flags_say_what_is_printed(kind, flags, printed):
    assert is_printed(noted(kind, flags), frozenset()) is printed


def test_what_lies_on_a_layer_that_is_off_is_not_printed():
    stamp = noted(OC=IndirectObject(7, 0, None))
    assert (is_printed(stamp, frozenset({8})), is_printed(stamp, frozenset({7}))) == (True, False)


def test_a_field_shows_something_once_it_is_filled_be_it_in_its_parent():
    parent = DictionaryObject({NameObject("/V"): TextStringObject("Ann")})
    assert not should_show(noted("Widget"))
    assert should_show(noted("Widget", Parent=parent))
    assert is_drawn_nowhere(noted("Widget", Parent=parent))
    assert not is_drawn_nowhere(noted("Widget", look=True, Parent=parent))


def test_a_link_shows_its_frame_unless_that_has_no_width():
    """A frame of one point where nothing is said. Source: ISO 32000-1 Table 164, /Border."""
    border = ArrayObject(NumberObject(number) for number in (0, 0, 0))
    assert (should_show(noted("Link")), should_show(noted("Link", Border=border))) == (True, False)


def test_each_annotation_is_counted_once_as_what_it_is():
    listed = [
        noted("Widget", look=True),
        noted("Stamp", look=True),
        noted("Text", look=True),
        noted("Circle"),
        noted("Square", 0),
        noted("Popup", look=True),
    ]
    page = PageObject()
    page[NameObject("/Annots")] = ArrayObject(listed)
    found = count_annotations(page, frozenset())
    assert (found.fields, found.comments, found.remarks) == (1, 1, 1)
    assert (found.without_look, found.left_out) == (("Circle",), 1)
    assert len(list(annotations.annotations_of(page))) == 5


def test_letters_beyond_the_usual_encoding_are_told_once_each():
    """The euro sign is in it. Source: ISO 32000-1 Annex D.2."""
    assert odd_letters(noted("Widget", V=TextStringObject("\u20acA\u0416\u0416\u03b1"))) == "\u0416\u03b1"
    assert odd_letters(noted("FreeText", Contents=TextStringObject("caf\u00e9"))) == ""


@pytest.mark.parametrize(
    ("entries", "shows"),
    [
        ({"FT": NameObject("/Tx"), "V": TextStringObject("")}, False),
        ({"FT": NameObject("/Btn"), "V": NameObject("/Off")}, False),
        ({"FT": NameObject("/Btn"), "V": NameObject("/Yes")}, True),
        ({"FT": NameObject("/Sig"), "V": TextStringObject("signed")}, False),
        ({"FT": NameObject("/Tx"), "MK": DictionaryObject({NameObject("/BC"): ArrayObject([NumberObject(0)])})}, True),
        ({"FT": NameObject("/Tx"), "MK": DictionaryObject({NameObject("/BG"): ArrayObject()})}, False),
    ],
)
def test_an_empty_field_shows_its_frame_or_ground_alone(entries, shows):
    """Source: ISO 32000-1 Table 189: an array of no colour is no ground."""
    assert should_show(noted("Widget", **entries)) is shows


@pytest.mark.parametrize(("flags", "shows"), [(1 << 16, True), (0, False)])
def test_only_a_push_button_shows_its_word(flags, shows):
    """Bit position 17 of the flags. Source: ISO 32000-1 Table 226."""
    look = DictionaryObject({NameObject("/CA"): TextStringObject("Send")})
    assert should_show(noted("Widget", FT=NameObject("/Btn"), Ff=NumberObject(flags), MK=look)) is shows


def test_the_look_is_that_of_the_state_a_box_is_in():
    ticked, empty = StreamObject(), StreamObject()
    looks = DictionaryObject({NameObject("/Yes"): ticked, NameObject("/Off"): empty})
    box = noted("Widget", AP=DictionaryObject({NameObject("/N"): looks}))
    assert look_of(box) is empty
    box[NameObject("/V")] = NameObject("/Yes")
    assert look_of(box) is ticked
    box[NameObject("/AS")] = NameObject("/Off")  # the state wins over the value: Table 164
    assert look_of(box) is empty
    box[NameObject("/AS")] = NameObject("/Other")
    assert look_of(box) is None
    assert not is_drawn_nowhere(box)


@pytest.mark.parametrize(("width", "shows"), [(0, False), (2, True)])
def test_the_style_of_a_frame_wins_over_its_old_entry(width, shows):
    """Source: ISO 32000-1 12.5.4: /BS is taken, and /Border not."""
    border = ArrayObject(NumberObject(number) for number in (0, 0, 2 - width))
    style = DictionaryObject({NameObject("/W"): NumberObject(width)})
    assert should_show(noted("Link", Border=border, BS=style)) is shows


def test_what_a_viewer_hides_is_not_told_as_left_out():
    page = PageObject()
    flags = (0, HIDDEN, NO_VIEW)
    page[NameObject("/Annots")] = ArrayObject([*(noted("Stamp", one, look=True) for one in flags), noted("Link", 0)])
    assert count_annotations(page, frozenset()).left_out == 1
