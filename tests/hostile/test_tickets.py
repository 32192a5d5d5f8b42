"""Job tickets that ask for the impossible or are no tickets at all. Form: TOML 1.0."""

import time

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from watcher.inbox.zip_members import MOST_TICKET_BYTES
from watcher.orders.job_ticket import TicketRefused, read_ticket
from watcher.orders.model import Ticket

WHOLE_NUMBER = ("whole number from 1 to 1000000",)
TOO_DEEP = ("too deeply",)

TICKETS = {
    "million": (b"quantity = 1000000000000", WHOLE_NUMBER),
    "negative": (b"quantity = -1", WHOLE_NUMBER),
    "zero": (b"quantity = 0", WHOLE_NUMBER),
    "fraction": (b"quantity = 1.5", WHOLE_NUMBER),
    "endless": (b"quantity = inf", WHOLE_NUMBER),
    "no number": (b"quantity = nan", WHOLE_NUMBER),
    "word": (b'quantity = "50"', WHOLE_NUMBER),
    "yes": (b"quantity = true", WHOLE_NUMBER),
    "list": (b"quantity = [1, 2]", WHOLE_NUMBER),
    "table": (b"[quantity]\nx = 1", WHOLE_NUMBER),
    "very long number": (b"quantity = 0x" + b"f" * 60_000, WHOLE_NUMBER),
    "very long number too": (b"quantity = " + b"9" * 60_000, ("a value cannot be read",)),
    "deep list": (b"quantity = " + b"[" * 30_000, TOO_DEEP),
    "deep table": (b"quantity = " + b"{a=" * 15_000, TOO_DEEP),
    "deep key": (b"a." * 30_000 + b"b = 1", TOO_DEEP),
    "path": (b'repeat = "../../../etc/passwd"', ("repeat",)),
    "root path": (b'repeat = "/etc/passwd"', ("repeat",)),
    "sheet path": (b'sheet = "../../state"', ("sheet",)),
    "card path": (b'card = "../tag"', ("write one of invitation, tag",)),
    "unknown": (b"quantiy = 5", ("did you mean quantity",)),
    "unknown escape": (b'"\\u001b[2J\\u202e" = 5', ("\\x1b[2j\\u202e",)),
    "overs": (b'overs = "1e999 %"', ("overs",)),
    "overs too": (b"overs = 999999999999", ("overs",)),
    "overs percent": (b'overs = "99999999999999 %"', ("overs",)),
    "due": (b"due = 9999-99-99", ("cannot be read",)),
    "due time": (b"due = 2026-01-01T00:00:00Z", ("year-month-day",)),
    "long note": (b'note = "' + b"n" * 5000 + b'"', ("at most 500",)),
    "twice": (b"quantity = 1\nquantity = 2", ("stands in it twice",)),
    "not text": (b"quantity = 1 # \xff\xfe", ("utf-8",)),
    "page": (b"<html><script>alert(1)</script>", ("cannot be read",)),
    "large": (b"# " + b"x" * 70_000, ("65,536 is the most",)),
}


@pytest.fixture(scope="module")
def outcome(run_over, bad, drawn):
    return run_over(
        bad(name=f"{name}.toml", data=data, also={f"{name}.png": drawn(f"#{number:02x}5080")})
        for number, (name, (data, _)) in enumerate(TICKETS.items())
    )


@pytest.mark.parametrize("name", TICKETS)
def test_it_is_held_with_its_true_reason(outcome, bad, name):
    data, words = TICKETS[name]
    assert outcome.shop.wrong_with(bad(name=name, data=data), (f"{name}.toml", *words)) is None


def test_everything_else_is_unharmed(outcome):
    outcome.assert_promises()


VALUES = st.one_of(
    st.integers(),
    st.floats(),
    st.booleans(),
    st.text(max_size=30),
    st.dates(),
    st.lists(st.integers(), max_size=3),
).map(lambda value: str(value).lower() if isinstance(value, bool | int | float | list) else f'"{value}"')
LINES = st.tuples(st.sampled_from(["quantity", "card", "sheet", "overs", "due", "note", "repeat", "x"]), VALUES)


@given(st.lists(LINES, max_size=8).map(lambda lines: "\n".join(f"{key} = {value}" for key, value in lines)))
def test_whatever_is_written_is_read_or_refused_in_one_line(text):
    _read(text.encode("utf-8", "surrogatepass"))


@given(st.binary(max_size=300))
@example(b"quantity = 0x" + b"f" * 9000)
@example(b"\xef\xbb\xbfquantity = 1_0_0")
def test_whatever_the_bytes_are_they_are_read_or_refused_in_one_line(data):
    _read(data)


def _read(data):
    try:
        ticket = read_ticket(data, "a.toml", ["tag"])
    except TicketRefused as refused:
        said = str(refused)
    else:
        assert isinstance(ticket, Ticket)
        assert 0 <= ticket.wishes.quantity <= 1_000_000
        return
    assert said.startswith("a.toml: ")
    assert "\n" not in said


SLOW = {
    "dots": b"a." * 490 + b"a=1\n" + b"b." * 490 + b"b=1",
    "tables": b"".join(b"[t%d]\n" % number for number in range(8000)),
    "tables in a list": b"[[t]]\n" * 9000,
    "keys": b"".join(b"k%d=1\n" % number for number in range(7000)),
    "inline": b"x={" + b",".join(b"k%d=1" % number for number in range(7000)) + b"}",
    "list": b"x=[" + b"1," * 32_000 + b"]",
    "escapes": b'x="' + b"\\n" * 32_000 + b'"',
    "line ends": b'x="""' + b"\\\n" * 32_000 + b'"""',
    "underscores": b"x=" + b"1_" * 2000 + b"1",
    "fraction": b"x=0." + b"1" * 64_000,
    "times": b"x=[" + b"2026-01-01T00:00:00.000001+01:00," * 1800 + b"]",
    "comments": b"#\n" * 32_000,
    "blanks": b" " * 65_000,
    "quotes": b'"' * 65_000,
}


@pytest.mark.parametrize("name", SLOW)
def test_no_ticket_takes_long_to_read(name):
    """Tickets are read by the service itself, so the worst that fits into one must take no time to speak of."""
    assert len(SLOW[name]) <= MOST_TICKET_BYTES
    begun = time.process_time()
    _read(SLOW[name])
    assert time.process_time() - begun < 2.0
