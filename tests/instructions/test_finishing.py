"""What is said of cutting, folding, marks and envelopes before the pile is under the knife."""

from fractions import Fraction

import pytest

from watcher.instructions.finishing import finishing_findings, mark_findings, plan_finishing, play_in_envelope
from watcher.layout.geometry import Size
from watcher.layout.marks.sheet_marks import SheetMarks
from watcher.orders.wishes import Wishes
from watcher.settings.load import load_settings
from watcher.settings.to_toml import SheetSetup
from watcher.terms import CutterKind, Edge, Level
from watcher.work.arrange import lay_out_order

INCH = Fraction("25.4")
SETTINGS = """
[cards.card]
trim = "4 x 5 in"
sheet = "letter"
{card}
[sheets.letter]
size = "letter"
printer = "laser"
{sheet}
[printers.laser]
flip = "long-edge"
{printer}
[cutters.mine]
{cutter}
"""


@pytest.fixture
def planned(tmp_path):
    """The finishing of a card of 4 x 5 in on letter and what is said of it, with lines added to the settings."""

    def plan(card="", sheet="", printer="", cutter=""):
        path = tmp_path / "settings.toml"
        path.write_text(SETTINGS.format(card=card, sheet=sheet, printer=printer, cutter=cutter))
        settings = load_settings(path)
        card_settings = settings.card("card")
        sheet_settings = settings.sheet_for(card_settings)
        setup = SheetSetup(
            card=card_settings,
            sheet=sheet_settings,
            printer=settings.printer_for(sheet_settings),
            cutter=settings.cutter_for(sheet_settings),
        )
        layout, _ = lay_out_order(setup, Wishes(quantity=10))
        finishing = plan_finishing(setup, layout)
        return finishing, finishing_findings(finishing, layout, sheet_settings.grain)

    return plan


def _codes(planned):
    return [finding.code for finding in planned[1]]


def test_a_plain_card_has_nothing_to_be_said(planned):
    finishing, findings = planned()
    assert findings == ()
    assert finishing.cutter is CutterKind.GUILLOTINE


def test_the_edges_of_the_turn_test_are_the_first_at_the_gauge(planned):
    finishing, _ = planned(printer='lead = "bottom"\nguide = "right"')
    assert {stroke.against for stroke in finishing.plan.strokes if stroke.to_the_mark} == {Edge.BOTTOM, Edge.RIGHT}


@pytest.mark.parametrize(
    ("fold", "grain", "codes"),
    [
        ("left", "short", ["fold-across-grain"]),
        ("left", "long", []),
        ("top", "long", ["fold-across-grain"]),
        ("top", "short", []),
    ],
)
def test_a_fold_across_the_grain_is_a_warning(planned, fold, grain, codes):
    """8 x 5 in and 4 x 10 in opened out, upright on a portrait letter sheet; a fold along the grain is right."""
    assert _codes(planned(card=f'fold = "{fold}"', sheet=f'grain = "{grain}"\nunprintable = "0.1 in"')) == codes


def test_a_flat_card_has_no_fold_to_crack(planned):
    assert _codes(planned(sheet='grain = "short"')) == []


@pytest.mark.parametrize(
    ("envelope", "codes"),
    [("4.25 x 5.25 in", []), ("5.25 x 4.25 in", []), ("3.9 x 6 in", ["envelope-too-small"]),
     ("4.02 x 5.25 in", ["envelope-tight"])],
)  # fmt: skip
def test_the_envelope_is_compared_with_the_card(planned, envelope, codes):
    assert _codes(planned(card=f'envelope = "{envelope}"')) == codes


def test_a_folded_card_goes_into_its_envelope_folded(planned):
    sheet = 'unprintable = "0.1 in"'
    assert _codes(planned(card='fold = "left"\nenvelope = "4.25 x 5.25 in"', sheet=sheet)) == []


def test_what_does_not_fit_says_by_how_much(planned):
    (finding,) = planned(card='envelope = "3.9 x 6 in"')[1]
    assert finding.level is Level.WARN
    assert "it is about 3/32 in (2.54 mm) too large" in finding.message


@pytest.mark.parametrize(
    ("card", "envelope", "play"),
    [((5, 7), ("5.25", "7.25"), ("0.25", "0.25")), (("4.25", "5.5"), ("4.375", "5.75"), ("0.125", "0.25")),
     ((7, 5), ("5.25", "7.25"), ("0.25", "0.25")), ((5, 7), (4, 8), (-1, 1))],
)  # fmt: skip
def test_play_in_an_envelope(card, envelope, play):
    """The rule of envelope makers: card + 1/4 in, for an A2 envelope + 1/8 and 1/4 in (ebaprinting.com)."""
    sizes = [Size(*(Fraction(side) * INCH for side in size)) for size in (card, envelope)]
    found = play_in_envelope(*sizes)
    assert sorted((found.width / INCH, found.height / INCH)) == sorted(Fraction(side) for side in play)


def test_cards_too_small_for_the_clamp_are_told(planned):
    (finding,) = planned(card='safe = "1 mm"', sheet='cutter = "mine"', cutter='least_gauge = "110 mm"')[1]
    assert (finding.level, finding.code) == (Level.WARN, "gauge-too-short")
    assert "this guillotine holds about 4 11/32 in (110 mm)" in finding.message


def test_marks_that_found_no_room_are_named_by_their_place():
    lines = ((True, Fraction(20)), (True, Fraction("6.35")), (False, Fraction(100)), (True, Fraction(20)))
    (finding,) = mark_findings(SheetMarks(marks=(), unmarked=lines), crosses=False)
    assert (finding.level, finding.code) == (Level.NOTE, "marks-left-out")
    assert finding.message.startswith(
        "4 of the lines to cut have no mark, for there is no room: at 6.35, 20 mm from the"
    )
    assert "and 100 mm from the bottom edge of the front" in finding.message


@pytest.mark.parametrize(("count", "end"), [(8, "7, 8 mm"), (9, "7, 8, \N{HORIZONTAL ELLIPSIS} mm")])
def test_of_many_lines_the_first_eight_are_named(count, end):
    """Eight fit a line of the page; our own choice."""
    lines = tuple((True, Fraction(number)) for number in range(1, count + 1))
    (finding,) = mark_findings(SheetMarks(marks=(), unmarked=lines), crosses=False)
    assert f"at 1, 2, 3, 4, 5, 6, {end} from the left edge of the front." in finding.message


def test_score_marks_words_and_crosses_that_found_no_room_are_told():
    marks = SheetMarks(marks=(), folds_unmarked=1, scores_unlabelled=True)
    codes = [finding.code for finding in mark_findings(marks, crosses=True)]
    assert codes == ["score-marks-left-out", "score-words-left-out", "crosses-left-out"]


def test_crosses_that_nobody_asked_for_are_not_missed():
    assert mark_findings(SheetMarks(marks=()), crosses=False) == ()
