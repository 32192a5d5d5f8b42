"""What orders cost; worked out by hand in cents."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watcher.orders.cost import Cost, cost_of, shared_cost, summed

EUR = {"money": "EUR"}


def test_paper_counts_by_the_sheet_and_print_by_the_side():
    """26 sheets at 0.12 are 3.12; 52 sides at 0.035 are 1.82."""
    cost = cost_of(26, 2, price=Decimal("0.12"), click=Decimal("0.035"), **EUR)
    assert cost == Cost(paper=Decimal("3.12"), printing=Decimal("1.82"), money="EUR")
    assert cost.words == "paper 3.12 + print 1.82 = 4.94 EUR"


@pytest.mark.parametrize(
    ("price", "click", "words"), [("0.10", None, "paper 0.30"), (None, "0.1", "print 0.30"), ("0", None, "paper 0.00")]
)
def test_what_has_no_price_is_not_told(price, click, words):
    cost = cost_of(3, 1, price=price and Decimal(price), click=click and Decimal(click))
    assert cost is not None
    assert cost.words == words


def test_without_any_price_there_is_no_cost():
    assert cost_of(3, 2, price=None, click=None, **EUR) is None


def test_half_a_cent_is_rounded_up():
    cost = cost_of(1, 1, price=Decimal("0.125"), click=Decimal("0.135"))
    assert (cost.paper, cost.printing) == (Decimal("0.13"), Decimal("0.14"))


@given(cents=st.integers(0, 10**7), shares=st.lists(st.integers(1, 500), min_size=1, max_size=9))
def test_shares_add_up_to_the_last_cent_and_are_within_a_cent_of_right(cents, shares):
    whole = Cost(paper=Decimal(cents) / 100, printing=None, **EUR)
    parts = [part.paper for part in shared_cost(whole, shares)]
    assert sum(parts) == whole.paper
    assert all(
        abs(part - whole.paper * share / sum(shares)) < Decimal("0.01")
        for part, share in zip(parts, shares, strict=True)
    )


def test_each_money_is_summed_by_itself():
    costs = [cost_of(1, 1, price=Decimal("0.1"), click=None, money=money) for money in ("EUR", "USD", "EUR")]
    assert [cost.words for cost in summed(costs)] == ["paper 0.20 EUR", "paper 0.10 USD"]
