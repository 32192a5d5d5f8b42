"""Job tickets as README's "Naming what you drop" gives them."""

import pickle
import time
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.errors import OrderHeld
from watcher.orders.job_ticket import TicketRefused, read_ticket
from watcher.orders.model import Repeat, Ticket
from watcher.orders.wishes import Wishes
from watcher.settings.amounts import Overs, OversKind
from watcher.terms import Sequencing

CARDS = ("invitation", "Tischkärtchen")


def _read(text: str) -> Ticket:
    return read_ticket(text.encode(), "menu.toml", CARDS)


def _faults(text: str) -> list[str]:
    with pytest.raises(TicketRefused) as refused:
        _read(text)
    return refused.value.faults


def test_every_key_is_read():
    ticket = _read(
        'quantity = 40\ncard = "invitation"\nsheet = "letter"\novers = "5 %"\ndue = 2026-12-24\nnote = "matt paper"\n'
    )
    wishes = Wishes(
        quantity=40,
        card="invitation",
        sheet="letter",
        overs=Overs(OversKind.PERCENT, Fraction(5)),
        due=date(2026, 12, 24),
        note="matt paper",
    )
    assert ticket == Ticket(wishes=wishes)


def test_a_repeat_takes_keys_of_its_own():
    ticket = _read('repeat = "spring menu"\nsheets_only = 2\nas_before = true\ndue = 2026-12-24\n')
    repeat = Repeat(order="spring menu", sheets_only=2, as_before=True)
    assert ticket == Ticket(repeat=repeat, wishes=Wishes(due=date(2026, 12, 24)))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("sheets_only = 2", 'sheets_only goes with repeat = "ORDER" alone'),
        ("as_before = true", 'as_before goes with repeat = "ORDER" alone'),
        ('repeat = "a"\ncard = "invitation"', "card and repeat exclude each other"),
        ('repeat = "a"\nas_before = true\nsheet = "letter"', "sheet and as_before exclude each other"),
        ('repeat = "a"\nsheets_only = 2\nquantity = 4', "sheets_only and quantity exclude each other"),
        ('repeat = "a"\nsheets_only = 2\novers = 1', "sheets_only and overs exclude each other"),
    ],
)
def test_keys_that_do_not_go_together_are_told(text, said):
    assert [fault[: len(said)] for fault in _faults(text)] == [said]


@pytest.mark.parametrize("path", ["../lantern", "archive/lantern", "/lantern", "..", ".hidden", "a\\\\b", "a\\u0000b"])
def test_a_path_is_no_order_to_repeat(path):
    assert "and no path" in _faults(f'repeat = "{path}"')[0]


@pytest.mark.parametrize("number", ["0", "-1", "10_001", "true", '"2"', "1.5"])
def test_sheets_are_counted_in_whole_sheets(number):
    assert "from 1 to 10,000" in _faults(f'repeat = "a"\nsheets_only = {number}')[0]


def test_what_is_not_said_stays_open():
    assert _read("") == Ticket()


def test_a_byte_order_mark_is_no_fault():
    assert read_ticket(b"\xef\xbb\xbfquantity = 3", "menu.toml", CARDS).wishes.quantity == 3


def test_a_date_in_quotes_is_a_date():
    assert _read('due = "2026-12-24"').wishes.due == date(2026, 12, 24)


@pytest.mark.parametrize("spelt", ["TISCHKÄRTCHEN", "Tischka\u0308rtchen", " tischkärtchen "])
def test_a_card_may_be_spelt_in_any_case_and_composition(spelt):
    assert _read(f'card = "{spelt}"').wishes.card == "Tischkärtchen"


@pytest.mark.parametrize("quantity", ["0", "-5", "1000001", "true", '"50"', "5.0", "[5]"])
def test_a_quantity_is_a_whole_number_from_one_to_a_million(quantity):
    (fault,) = _faults(f"quantity = {quantity}")
    assert fault.startswith("quantity is ")
    assert "whole number from 1 to 1000000" in fault


def test_the_largest_quantity_is_taken():
    assert _read("quantity = 1_000_000").wishes.quantity == 1_000_000


@pytest.mark.parametrize("due", ['"next week"', '"2026-13-01"', '"20261224"', "2026-12-24T10:00:00", "10:00:00", "5"])
def test_a_due_date_is_a_date(due):
    assert "write a date" in _faults(f"due = {due}")[0]


@pytest.mark.parametrize("overs", ["true", "-1", '"many"', "[1]", "1.5"])
def test_overs_are_what_the_settings_take(overs):
    assert _faults(f"overs = {overs}")[0].startswith("overs is ")


def test_an_unknown_card_is_told_with_those_that_are_known():
    assert "invitation, Tischkärtchen" in _faults('card = "poster"')[0]


def test_an_unknown_key_is_told_with_the_nearest_known_one():
    assert _faults("quantitty = 5") == ["quantitty is not known (did you mean quantity?)"]
    assert "a ticket takes quantity, card" in _faults("zzz = 5")[0]


def test_all_faults_come_at_once_in_one_line():
    text = 'quantity = 0\ncard = "poster"\nsheet = ""\novers = "x"\ndue = 1\nnote = 5\nrepeat = false\npaper = "matt"\n'
    assert len(_faults(text)) == 8
    with pytest.raises(OrderHeld, match="^menu.toml: quantity is 0 .*; card is .*Correct the ticket") as refused:
        _read(text)
    assert "\n" not in str(refused.value)


def test_control_signs_and_line_ends_leave_the_note():
    assert _read('note = "two\\nlines\\u001b[31m \\u202e here"').wishes.note == "two lines [31m here"
    assert _read('note = " "').wishes.note is None


def test_a_note_has_at_most_500_signs():
    assert len(_read(f'note = "{"x" * 500}"').wishes.note) == 500
    assert "use at most 500 signs; this one has 501" in _faults(f'note = "{"x" * 501}"')[0]


def test_a_fault_of_the_form_tells_the_line():
    assert _faults("quantity = 5\nnote = open")[0].startswith("line 2 cannot be read")
    assert _faults('quantity = 5\nnote = "open')[0].startswith("it ends too early")


def test_a_number_of_thousands_of_digits_is_no_crash():
    assert "cannot be read" in _faults("quantity = " + "9" * 6000)[0]


def test_other_text_than_utf8_is_refused():
    with pytest.raises(TicketRefused, match="UTF-8"):
        read_ticket("note = 'café'".encode("latin-1"), "menu.toml", CARDS)


def test_a_ticket_has_at_most_64_kilobytes():
    with pytest.raises(TicketRefused, match="65,537 bytes; 65,536 is the most"):
        read_ticket(b"#" * 65_537, "menu.toml", CARDS)


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 60_000, "a = " + "{b=" * 20_000, "a" + ".a" * 30_000 + " = 1", "[a" + ".a" * 900 + "]"]
)
def test_deep_nesting_is_no_crash_and_takes_no_time(text):
    began = time.perf_counter()
    assert _faults(text)
    assert time.perf_counter() - began < 5


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_no_bytes_crash(data):
    said = ""
    try:
        assert isinstance(read_ticket(data, "menu.toml", CARDS), Ticket)
    except TicketRefused as refused:
        said = str(refused)
    assert "\n" not in said


def test_a_refusal_passes_between_processes():
    refused = TicketRefused("menu.toml", ["one", "two"])
    assert str(pickle.loads(pickle.dumps(refused))) == str(refused)


# -- several designs ---------------------------------------------------------------------------------------------------


def test_designs_are_a_number_or_pages_in_turn():
    assert (_read("designs = 24").designs, _read("designs = 24").in_turn) == (24, False)
    assert (_read('designs = "pages"').designs, _read('designs = "pages"').in_turn) == (None, True)


def test_the_sequence_and_the_designs_wanted_are_read():
    ticket = _read('sequence = "stacks"\nonly = [17, 3, 17]')
    assert (ticket.wishes.sequence, ticket.wishes.only) == (Sequencing.STACKS, (3, 17))
    assert _read("only = 17").wishes.only == (17,)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("designs = 0", "designs is 0 (write how many, from 1 to 500"),
        ("designs = 501", "from 1 to 500"),
        ("designs = true", 'or "pages": fronts and backs in turn'),
        ('designs = "page"', "write how many"),
        ('sequence = "piles"', 'use "across" or "stacks"'),
        ("sequence = 1", 'use "across" or "stacks"'),
        ("only = []", "only is a list (write the numbers of the designs in brackets, such as [17] or [3, 17])"),
        ("only = [0]", "such as [17]"),
        ("only = [true]", "such as [17]"),
        ('only = ["17"]', "such as [17]"),
        ("only = [1.0]", "such as [17]"),
    ],
)
def test_what_is_no_word_about_designs_is_refused(text, part):
    (fault,) = _faults(text)
    assert part in fault
