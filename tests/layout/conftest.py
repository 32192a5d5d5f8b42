"""What the layout tests share: requests to lay out, drawn at random or made by hand."""

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import reject
from hypothesis import strategies as st

from tests.layout.a_request import plain_request
from watcher.errors import NoCardFits
from watcher.layout.geometry import Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.layout.model import Layout, LayoutRequest
from watcher.terms import Backs, Duplex, Feed, Flip, Prefer

SHEETS_MM = ["215.9 279.4", "279.4 215.9", "210 297", "297 210", "320 450", "330.2 482.6", "250 250", "152.4 228.6"]

MakeRequest = Callable[..., LayoutRequest]


@pytest.fixture(scope="session")
def make_request() -> MakeRequest:
    """A request for 5 x 7 in, two-sided, on letter with a quarter inch rim; any attribute changed by its name."""
    return plain_request


def _tenths(low: int, high: int) -> st.SearchStrategy[Fraction]:
    return st.integers(low * 10, high * 10).map(lambda tenths: Fraction(tenths, 10))


def _margins(draw: Callable[..., Any]) -> Margins:
    return Margins(*(draw(_tenths(0, 14)) for _ in range(4)))


@pytest.fixture(scope="session")
def draw_request() -> Callable[[st.DataObject], LayoutRequest]:
    """Any everyday request, odd margins included; not each of them has room for a card."""

    def draw_one(data: st.DataObject) -> LayoutRequest:
        draw = data.draw
        width, height = (Fraction(side) for side in draw(st.sampled_from(SHEETS_MM)).split())
        bleed = draw(st.sampled_from([Fraction(0), Fraction(2), Fraction(3), Fraction("3.175")]))
        two_sided = draw(st.booleans())
        return plain_request(
            sheet=Size(width, height),
            trim=Size(draw(_tenths(25, 130)), draw(_tenths(25, 130))),
            bleed=bleed,
            least_bleed=draw(st.sampled_from([bleed, bleed / 2, Fraction(0)])),
            gutter=draw(st.sampled_from([2 * bleed, bleed, Fraction(0), Fraction("0.7"), Fraction(9)])),
            unprintable=_margins(draw),
            unprintable_back=draw(st.sampled_from([None, _margins(draw)])),
            two_sided=two_sided,
            flip=draw(st.sampled_from(Flip)) if two_sided else None,
            duplex=draw(st.sampled_from(Duplex)),
            feed=draw(st.sampled_from(Feed)),
            backs=draw(st.sampled_from(Backs)),
            mixed_turns=draw(st.booleans()),
            prefer=draw(st.sampled_from(Prefer)),
            cards_wanted=draw(st.integers(1, 200)),
        )

    return draw_one


@pytest.fixture(scope="session")
def draw_layout(draw_request: Callable[[st.DataObject], LayoutRequest]) -> Callable[[st.DataObject], Layout]:
    """The layout of any everyday request that has room for a card."""

    def draw_one(data: st.DataObject) -> Layout:
        try:
            return lay_out(draw_request(data))
        except NoCardFits:
            reject()

    return draw_one
