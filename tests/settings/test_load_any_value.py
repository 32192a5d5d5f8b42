"""Whatever value stands anywhere in the settings: it is taken, or refused in plain words."""

from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from tests.long_form import LONG

VALUES = st.recursive(
    st.none().map(lambda _: "true")
    | st.integers(-(10**9), 10**9).map(str)
    | st.floats(-100, 100).map(repr)
    | st.sampled_from(
        ['"5 x 7 in"', '"3 mm"', '"crop"', '"A2"', '""', "1979-05-27", "nan", "{}", "'letter'", '"-1 s"']
    ),
    lambda inner: st.lists(inner, max_size=4).map(lambda parts: f"[{', '.join(parts)}]"),
    max_leaves=4,
)
KEYS = {
    "cards.invitation": [
        "trim",
        "bleed",
        "least_bleed",
        "safe",
        "sides",
        "backs",
        "sheet",
        "quantity",
        "overs",
        "paper_edge",
    ],
    "sheets.letter": [
        "size",
        "unprintable",
        "unprintable_back",
        "gutter",
        "marks",
        "slug",
        "prefer",
        "paper",
        "printer",
    ],
    "printers.laser": [
        "flip",
        "dialog_flip",
        "duplex",
        "feed",
        "lead",
        "guide",
        "reload",
        "backs_order",
        "output_profile",
        "align",
    ],
    "service": ["quiet", "events", "workers", "on_finished"],
    "folders": ["inbox", "outbox", "state"],
    "names": ["front", "back"],
}
PLACES = st.sampled_from([(table, key) for table, keys in KEYS.items() for key in keys])


@given(st.dictionaries(PLACES, VALUES, max_size=8))
@hypothesis_settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=1000 if LONG else 50
)
def test_any_value_anywhere_is_taken_or_refused_in_plain_words(faults_in, written):
    """Nothing but SettingsRefused comes out, one line a fault, and nothing of the library that checks types."""
    tables = {table: [f"{key} = {value}" for (of, key), value in written.items() if of == table] for table in KEYS}
    text = "\n".join(f"[{table}]\n" + "\n".join(lines) for table, lines in tables.items())
    foreign = ("pydantic", "http", "input", "validat", "use another value", "cannot be read")

    for fault in faults_in(text):
        assert "\n" not in fault
        assert not any(word in fault.lower() for word in foreign)
