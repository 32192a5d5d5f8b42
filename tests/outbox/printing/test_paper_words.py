"""Papers, trays and rims in words."""

from fractions import Fraction

from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.media import Media
from watcher.outbox.printing.paper_words import known_sizes, listed, lying, rim_line, size_words

A4 = Size(Fraction(210), Fraction(297))


def test_a_sheet_has_its_name_and_its_size():
    assert size_words(A4) == "A4 (210 x 297 mm)"
    assert size_words(Size(Fraction(305), Fraction(457))) == "12 x 18 (305 x 457 mm)"
    assert size_words(Size(Fraction(200), Fraction(300))) == "200 x 300 mm"


def test_what_lies_in_a_printer_is_told_with_tray_and_stock():
    told = [Media(size=A4, source="tray-1", kind="stationery"), Media(size=None, source="tray-2")]

    assert lying(told) == "A4 (210 x 297 mm), stationery in tray-1; paper of an unknown size in tray-2"
    assert lying([]) == "nothing that it tells"


def test_known_sizes_are_told_once_and_not_without_end():
    many = [Media(size=Size(Fraction(200 + number), Fraction(300))) for number in range(20)]

    assert known_sizes([Media(size=A4), Media(size=A4, source="x")]) == "A4"
    assert known_sizes(many).endswith(" and 8 more")


def test_a_range_of_sizes_is_told_from_end_to_end():
    assert known_sizes([Media(size=A4, up_to=Size(Fraction(330), Fraction(488)))]) == "210 x 297 mm to 330 x 488 mm"


def test_words_of_a_printer_stay_on_their_line():
    assert listed(["a\nb", "c"], " or ") == '"a\\nb" or "c"'


def test_a_rim_is_written_as_settings_read_it():
    assert rim_line(Margins.all_round(Fraction("4.23"))) == '"4.23 mm"'
    assert rim_line(Margins(*map(Fraction, ("1", "2.5", "3", "4")))) == '["1 mm", "2.5 mm", "3 mm", "4 mm"]'
