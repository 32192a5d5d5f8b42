"""What the paper and the print of an order cost, in the shop's own prices: exact decimals, never binary fractions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


@dataclass(frozen=True, kw_only=True)
class Cost:
    """What an order costs, to a hundredth.

    Attributes:
        paper: of all its sheets; None where the price of a sheet is not known.
        printing: of all printed sides; None where the price of a side is not known.
        money: what the prices are in, as the settings have it; empty where they do not say.
    """

    paper: Decimal | None
    printing: Decimal | None
    money: str = ""

    @property
    def total(self) -> Decimal:
        """The sum of the prices that are known."""
        return (self.paper or Decimal(0)) + (self.printing or Decimal(0))

    @property
    def words(self) -> str:
        """Write the cost for people: `paper 3.12 + print 1.82 = 4.94 EUR`; of one price alone `paper 3.12 EUR`."""
        known = [("paper", self.paper), ("print", self.printing)]
        parts = " + ".join(f"{name} {amount:.2f}" for name, amount in known if amount is not None)
        whole = f" = {self.total:.2f}" if None not in (self.paper, self.printing) else ""
        return f"{parts}{whole} {self.money}".rstrip()


def cost_of(sheets: int, sides: int, *, price: Decimal | None, click: Decimal | None, money: str = "") -> Cost | None:
    """Give what an order costs; None where neither price is known.

    Args:
        sheets: of paper, spares and all.
        sides: printed on each, 1 or 2.
        price: of one sheet.
        click: of one printed side.
        money: what both are in.
    """
    if price is None and click is None:
        return None
    return Cost(
        paper=None if price is None else _cents(price * sheets),
        printing=None if click is None else _cents(click * sheets * sides),
        money=money,
    )


def shared_cost(cost: Cost, shares: Sequence[int]) -> tuple[Cost, ...]:
    """Share what sheets cost among the orders that lie on them; the parts add up to the whole, to the last cent.

    Args:
        cost: of all sheets.
        shares: how much of them each order has: its places on all sheets.
    """
    papers, prints = (_shared(amount, shares) for amount in (cost.paper, cost.printing))
    return tuple(
        Cost(paper=paper, printing=printing, money=cost.money) for paper, printing in zip(papers, prints, strict=True)
    )


def summed(costs: Iterable[Cost]) -> tuple[Cost, ...]:
    """Sum what orders cost, each money by itself, in the order of their names."""
    by_money: dict[str, list[Cost]] = {}
    for cost in costs:
        by_money.setdefault(cost.money, []).append(cost)
    return tuple(
        Cost(paper=_sum(cost.paper for cost in of_it), printing=_sum(cost.printing for cost in of_it), money=money)
        for money, of_it in sorted(by_money.items())
    )


def _sum(amounts: Iterable[Decimal | None]) -> Decimal | None:
    known = [amount for amount in amounts if amount is not None]
    return sum(known, Decimal(0)) if known else None


def _shared(amount: Decimal | None, shares: Sequence[int]) -> list[Decimal | None]:
    """By largest remainder: whole cents each, and the cents that are left to those who were cut the most."""
    if amount is None:
        return [None] * len(shares)
    cents, whole = int(amount / CENT), sum(shares)
    parts = [cents * share // whole for share in shares]
    rests = sorted(range(len(shares)), key=lambda at: (-(cents * shares[at] % whole), at))
    for at in rests[: cents - sum(parts)]:
        parts[at] += 1
    return [part * CENT for part in parts]


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)
