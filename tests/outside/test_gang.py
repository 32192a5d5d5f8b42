"""Gang runs against published and proven counts, and against a solver of another kind.

Sources: gang.csv beside this file (its head names them); CP-SAT (ortools)
on random small runs, which knows nothing of run lengths in boxes.
"""

import csv
import math
import random
from fractions import Fraction
from pathlib import Path

import pytest

from tests.long_form import LONG
from tests.outside.solver import cp_sat
from watcher.layout.gang.choice import choose_gang
from watcher.layout.gang.plan import plan_gang

TABLE = Path(__file__).with_name("gang.csv")
ROWS = list(csv.DictReader(line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[0] != "#"))
RANDOM_RUNS = 40 if LONG else 3


def test_the_table_is_whole():
    assert [row["id"] for row in ROWS] == ["G01", "G03", "G04", "G05", "G11", "G12", "G13"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_proven_counts_are_found(row):
    wanted = [int(cards) for cards in row["quantities"].split()]
    plan = plan_gang(wanted, int(row["slots"]), int(row["layouts_allowed"]), most_work=400_000)
    assert plan.sheets == int(row["sheets"])
    assert plan.overs == int(row["overs_cards"])
    assert plan.blanks == int(row["blank_slots"])
    assert int(row["lower_bound_sheets"]) <= plan.lower_bound <= int(row["sheets"])


@pytest.mark.parametrize(
    ("quantity", "up", "percent", "spare", "cards_first", "sheets_first"),
    [(250, 8, 5, 2, 35, 36), (100, 9, 10, 1, 14, 15), (500, 12, 3, 3, 46, 47)],
)
def test_overs_count_cards_first(quantity, up, percent, spare, cards_first, sheets_first):
    """Both are in use (common practice, no source); ours is the first, for a run as for an order made singly."""
    share = 1 + Fraction(percent, 100)
    plan = plan_gang([math.ceil(quantity * share)], up, 1)
    assert plan.sheets + spare == cards_first
    assert math.ceil(math.ceil(Fraction(quantity, up)) * share) + spare == sheets_first


class _Model:
    """A gang run as whole-number equations: places times run lengths give cards enough."""

    def __init__(self, wanted, up, forms, *, may_leave_out=False):
        self.model, self.wanted = cp_sat().CpModel(), wanted
        most = max(wanted)
        self.runs = [self.model.new_int_var(0, most, "") for _ in range(forms)]
        self.single = [self.model.new_bool_var("") if may_leave_out else 0 for _ in wanted]
        places = [[self.model.new_int_var(0, up, "") for _ in range(forms)] for _ in wanted]
        self.printed = []
        for order, cards in enumerate(wanted):
            products = []
            for slots, run in zip(places[order], self.runs, strict=True):
                product = self.model.new_int_var(0, up * most, "")
                self.model.add_multiplication_equality(product, [slots, run])
                products.append(product)
            self.printed.append(sum(products))
            self.model.add(sum(products) >= cards - cards * self.single[order])
        for form in range(forms):
            self.model.add(sum(slots[form] for slots in places) <= up)
        for longer, shorter in zip(self.runs, self.runs[1:], strict=False):
            self.model.add(longer >= shorter)
        alone = [-(-cards // up) * left for cards, left in zip(wanted, self.single, strict=True)]
        self.sheets = sum(self.runs) + sum(alone)

    def least(self, what):
        self.model.minimize(what)
        solver = cp_sat().CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 20
        assert solver.solve(self.model) == cp_sat().OPTIMAL
        return round(solver.objective_value)


def _random_run(seed):
    pick = random.Random(seed)
    return [pick.randint(3, 40) for _ in range(pick.randint(2, 4))], pick.randint(4, 8)


@pytest.mark.parametrize("forms", [1, 2, 3])
@pytest.mark.parametrize("seed", range(RANDOM_RUNS))
def test_another_solver_finds_nothing_better(seed, forms):
    wanted, up = _random_run(seed)
    plan, model = plan_gang(wanted, up, forms), _Model(wanted, up, forms)
    assert plan.sheets == model.least(model.sheets)
    model.model.add(model.sheets == plan.sheets)
    assert plan.overs == model.least(sum(model.printed) - sum(wanted))


@pytest.mark.parametrize("forms", [1, 2])
@pytest.mark.parametrize("seed", range(RANDOM_RUNS))
def test_another_solver_chooses_no_better_orders(seed, forms):
    wanted, up = _random_run(seed)
    choice, model = choose_gang(wanted, up, forms), _Model(wanted, up, forms, may_leave_out=True)
    assert choice.sheets == model.least(model.sheets)
    model.model.add(model.sheets == choice.sheets)
    assert len(choice.singly) == len(wanted) - model.least(len(wanted) - sum(model.single))
