"""How many cards a sheet holds, by proven counts.

Source: the project's own table of cases, layout_counts.csv beside this file, where the best of any kind was proven by
two exact solvers (CP-SAT and HiGHS). And CP-SAT itself (ortools), a solver of another kind that knows
nothing of cuts: no pattern that can be cut holds more than the best of any kind.
"""

import csv
import random
from fractions import Fraction
from pathlib import Path

import pytest

from tests.layout.a_request import plain_request
from tests.long_form import LONG
from tests.outside.solver import cp_sat
from watcher.errors import NoCardFits
from watcher.layout.geometry import Margins, Size
from watcher.layout.guillotine import best_pattern
from watcher.layout.lay_out import lay_out
from watcher.layout.pattern import best_plain_grid
from watcher.terms import Flip

TABLE = Path(__file__).with_name("layout_counts.csv")
ROWS = list(csv.DictReader(line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[0] != "#"))
RANDOM_CASES = 200 if LONG else 12


def _mm(text):
    """`0.25in` or `3mm`; 1 in = 25.4 mm exactly."""
    return Fraction(text[:-2]) * (Fraction("25.4") if text.endswith("in") else 1)


def _count(row, *, mixed_turns, flip):
    request = plain_request(
        sheet=Size(_mm(row["sheet_w"]), _mm(row["sheet_h"])),
        trim=Size(_mm(row["card_w"]), _mm(row["card_h"])),
        bleed=_mm(row["bleed"]),
        least_bleed=_mm(row["bleed"]),
        gutter=_mm(row["gutter"]),
        unprintable=Margins.all_round(_mm(row["margin_all_sides"])),
        two_sided=flip is not None,
        flip=flip,
        mixed_turns=mixed_turns,
    )
    try:
        return lay_out(request).up
    except NoCardFits:
        return 0


def test_the_table_is_whole():
    assert len(ROWS) == 24


@pytest.mark.parametrize("flip", [None, *Flip])
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_best_that_can_be_cut_is_found(row, flip):
    assert _count(row, mixed_turns=True, flip=flip) == int(row["best_guillotine"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_without_mixed_turns_the_better_grid_is_found(row):
    assert _count(row, mixed_turns=False, flip=None) == max(int(row["grid_upright"]), int(row["grid_rotated"]))


def _most_of_any_kind(across, up, width, height):
    """The most rectangles, upright or turned, that fit without overlap, in whole units: proven by CP-SAT."""
    cp_model = cp_sat()
    model = cp_model.CpModel()
    xs, ys, here = [], [], []
    for _ in range(across * up // (width * height)):
        lies, turned = model.new_bool_var(""), model.new_bool_var("")
        dx, dy = width + (height - width) * turned, height + (width - height) * turned
        x, y = model.new_int_var(0, across, ""), model.new_int_var(0, up, "")
        x_end, y_end = model.new_int_var(0, across, ""), model.new_int_var(0, up, "")
        xs.append(model.new_optional_interval_var(x, dx, x_end, lies, ""))
        ys.append(model.new_optional_interval_var(y, dy, y_end, lies, ""))
        here.append(lies)
    model.add_no_overlap_2d(xs, ys)
    for first, second in zip(here, here[1:], strict=False):
        model.add_implication(second, first)
    model.maximize(sum(here))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 20
    status = solver.solve(model)
    return round(solver.objective_value) if status == cp_model.OPTIMAL else None


def test_a_pinwheel_that_cannot_be_cut_is_no_answer():
    """A pinwheel: 50 x 50 with 30 x 20 holds 4, of which only 3 can be parted edge to edge."""
    room, card = Size(Fraction(50), Fraction(50)), Size(Fraction(30), Fraction(20))
    assert _most_of_any_kind(50, 50, 30, 20) == 4
    assert best_pattern(room, card, Fraction(0)).up == 3


@pytest.mark.parametrize("seed", range(RANDOM_CASES))
def test_the_count_lies_between_the_grids_and_what_another_solver_proves(seed):
    pick = random.Random(seed)
    width, height, gutter = pick.randint(9, 20), pick.randint(9, 20), pick.randint(0, 3)
    across, up = pick.randint(20, 50), pick.randint(20, 50)
    most = _most_of_any_kind(across + gutter, up + gutter, width + gutter, height + gutter)
    if most is None:
        pytest.skip("the other solver did not finish")
    room, card = Size(Fraction(across), Fraction(up)), Size(Fraction(width), Fraction(height))
    ours = best_pattern(room, card, Fraction(gutter)).up
    assert best_plain_grid(room, card, Fraction(gutter)).up <= ours <= most
    assert most - ours <= 1  # at these sizes a pinwheel gains one at the most (our own measurement)
