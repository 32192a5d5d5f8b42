"""alignment.toml: what holds, what wins, and that nothing damaged ever moves a back."""

import os
import tomllib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from tests.long_form import LONG
from watcher.errors import ExitCode, SettingsRefused, WrongUsage
from watcher.layout.geometry import Point, Size
from watcher.layout.register.alignment import Correction, Terms
from watcher.settings.alignment import (
    check_alignments,
    correction_for,
    load_alignments,
    old_corrections,
    save_alignment,
)
from watcher.settings.alignment_file import Alignment, TurnTest, dump, parse
from watcher.settings.load import load_settings
from watcher.settings.model import Settings
from watcher.terms import Duplex, Flip

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
LETTER = Size(Fraction("215.9"), Fraction("279.4"))
BY_HAND = '\n[printers.laser.align.letter]\nshift = ["1.5 mm", "-0.25 in"]\nturn = 0.2\nscale = [1.001, 1]\n'


def measured(right: str = "0.8", **changes: object) -> Alignment:
    plain: dict[str, object] = {
        "printer": "laser",
        "sheet": "letter",
        "made_at": NOON,
        "correction": Correction(
            shift=Point(Fraction(right), Fraction("0.5")), turn_degrees=0.05, scale_x=1.0005, scale_y=0.9995
        ),
        "terms": Terms.ALL,
        "marks": 6,
        "sheets": 3,
        "read_by": "by light or pin",
        "residual_mm": 0.08,
        "residual_mark": 4,
        "scatter_mm": 0.1,
        "scatter_worst_mm": 0.2,
        "size": LETTER,
        "flip": Flip.LONG_EDGE,
        "duplex": Duplex.MANUAL,
    }
    return Alignment(**(plain | changes))


@pytest.fixture
def rewritten(shop: Path) -> Callable[..., Settings]:
    """The settings after a change of the file."""

    def change(old: str = "", new: str = "", more: str = "") -> Settings:
        file = shop / "settings.toml"
        file.write_text(file.read_text().replace(old, new) + more)
        return load_settings(file)

    return change


class TestInForce:
    def test_is_nothing_without_a_file(self, settings):
        assert correction_for(settings, "laser", "letter") is None
        check_alignments(settings)

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
    def test_is_not_waited_for_where_the_file_is_a_pipe(self, settings, shop):
        os.mkfifo(shop / "alignment.toml")
        with pytest.raises(SettingsRefused, match="is a pipe and no file"):
            correction_for(settings, "laser", "letter")

    def test_is_exactly_what_was_kept(self, settings):
        save_alignment(settings, measured())
        assert correction_for(settings, "laser", "letter") == measured().correction
        assert load_alignments(settings).current("laser", "letter") == measured()

    def test_is_of_its_printer_and_sheet_alone(self, settings):
        save_alignment(settings, measured())
        assert correction_for(settings, "laser", "a4") is None
        assert correction_for(settings, "press", "sra3") is None

    def test_is_found_whatever_the_capitals(self, settings):
        save_alignment(settings, measured(printer="LASER"))
        assert correction_for(settings, "Laser", "Letter") is not None

    def test_is_the_last_one_and_the_others_stay_as_history(self, settings):
        save_alignment(settings, measured("0.8"))
        save_alignment(settings, measured("0.3", made_at=NOON + timedelta(days=9)))
        assert correction_for(settings, "laser", "letter").shift.x == Fraction("0.3")
        assert len(load_alignments(settings).history("laser", "letter")) == 2

    def test_is_nothing_once_it_was_forgotten(self, settings):
        save_alignment(settings, measured())
        save_alignment(settings, measured(correction=None))
        assert correction_for(settings, "laser", "letter") is None
        check_alignments(settings)

    def test_is_what_a_person_wrote_where_there_is_that(self, settings, rewritten):
        save_alignment(settings, measured())
        found = correction_for(rewritten(more=BY_HAND), "laser", "letter")
        assert found == Correction(
            shift=Point(Fraction("1.5"), Fraction("-6.35")), turn_degrees=0.2, scale_x=1.001, scale_y=1.0
        )

    @pytest.mark.parametrize(("printer", "sheet"), [("ink", "letter"), ("laser", "legal")])
    def test_of_what_the_settings_do_not_know_is_wrong_usage(self, settings, printer, sheet):
        with pytest.raises(WrongUsage, match="There is no"):
            correction_for(settings, printer, sheet)


class TestMeasuredOtherwise:
    """A correction holds for the size and the turning it was measured with."""

    CHANGES = [
        ('size = "letter"', 'size = "A4"', "215.9 x 279.4 mm, but the settings now have 210 x 297 mm"),
        ('[printers.laser]\nflip = "long-edge"', '[printers.laser]\nflip = "short-edge"', "long edge.*short edge"),
        ('duplex = "manual"', 'duplex = "automatic"', "manual duplex.*automatic duplex"),
    ]

    @pytest.mark.parametrize(("old", "new", "words"), CHANGES)
    def test_it_is_a_plain_error_and_no_shift(self, settings, rewritten, old, new, words):
        save_alignment(settings, measured())
        changed = rewritten(old, new)
        for refuse in (lambda: correction_for(changed, "laser", "letter"), lambda: check_alignments(changed)):
            with pytest.raises(SettingsRefused, match=words) as refused:
                refuse()
            assert str(refused.value).startswith("alignment.toml: ")
            assert "forget" in str(refused.value)

    def test_all_of_them_are_told_at_once(self, settings, rewritten):
        save_alignment(settings, measured())
        save_alignment(settings, measured(sheet="a4", size=Size(Fraction(210), Fraction(297))))
        with pytest.raises(SettingsRefused) as refused:
            check_alignments(rewritten('[printers.laser]\nflip = "long-edge"', '[printers.laser]\nflip = "short-edge"'))
        assert len(refused.value.faults) == 2

    def test_what_a_person_wrote_makes_it_harmless(self, settings, rewritten):
        save_alignment(settings, measured())
        check_alignments(rewritten('size = "letter"', 'size = "A4"', BY_HAND))

    def test_a_size_in_fractions_of_an_inch_is_still_the_same(self, rewritten):
        """The file has decimals: a third of an inch does not end."""
        settings = rewritten('size = "letter"', 'size = "8 1/3 x 11 in"')
        save_alignment(settings, measured(size=settings.sheets["letter"].size))
        assert correction_for(settings, "laser", "letter") is not None


DAMAGED = [
    b"\xff\xfe nothing",
    b"[[alignments]",
    b"[[alignments]]\n",
    b"alignments = 3\n",
    b"[settings]\nx = 1\n",
    b"[[turn_tests]]\nprinter = 3\n",
    b"x" * 1_100_000,
]
CHANGED = [
    ("shift_mm = [\n    0.8,", "shift_mm = [\n    nan,"),
    ("shift_mm = [\n    0.8,", "shift_mm = [\n    99.0,"),
    ("shift_mm = [\n    0.8,", 'shift_mm = [\n    "0.8",'),
    ("turn_degrees = 0.05", "turn_degrees = inf"),
    ("turn_degrees = 0.05", "turn_degrees = 45.0"),
    ("    1.0005,", "    3.0,"),
    ("scale = [", "scala = ["),
    ('flip = "long-edge"', 'flip = "sideways"'),
    ("made_at = 2026-05-01 12:00:00+00:00", "made_at = 2026-05-01"),
    ("marks = 6", "marks = []"),
    ('terms = "shift, turn and scale"', 'terms = "magic"'),
]


class TestDamage:
    @pytest.mark.parametrize("data", DAMAGED, ids=range(len(DAMAGED)))
    def test_is_a_plain_error_with_the_way_out(self, settings, shop, data):
        (shop / "alignment.toml").write_bytes(data)
        for refuse in (lambda: correction_for(settings, "laser", "letter"), lambda: check_alignments(settings)):
            with pytest.raises(SettingsRefused, match="alignment.toml: is damaged.*delete it and align") as refused:
                refuse()
            assert refused.value.exit_code is ExitCode.USAGE
            assert "\n" not in str(refused.value)

    @pytest.mark.parametrize(("old", "new"), CHANGED)
    def test_of_a_single_value_is_found(self, settings, shop, old, new):
        save_alignment(settings, measured())
        file = shop / "alignment.toml"
        assert old in file.read_text()
        file.write_text(file.read_text().replace(old, new, 1))
        with pytest.raises(SettingsRefused, match="is damaged"):
            correction_for(settings, "laser", "letter")

    @given(st.data())
    @hypothesis_settings(
        max_examples=500 if LONG else 25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
    )
    def test_of_any_letter_gives_a_correction_within_bounds_or_a_plain_error(self, settings, shop, data):
        text = bytearray(dump_of(measured()))
        for _ in range(data.draw(st.integers(1, 3))):
            text[data.draw(st.integers(0, len(text) - 1))] = data.draw(st.integers(0, 255))
        (shop / "alignment.toml").write_bytes(bytes(text[: data.draw(st.integers(len(text) // 2, len(text)))]))
        try:
            found = correction_for(settings, "laser", "letter")
        except SettingsRefused:
            return
        assert found is None or max(abs(found.shift.x), abs(found.shift.y)) <= 50

    def test_is_not_overwritten_by_a_new_measurement(self, settings, shop):
        (shop / "alignment.toml").write_bytes(b"[[alignments]")
        with pytest.raises(SettingsRefused):
            save_alignment(settings, measured())
        assert (shop / "alignment.toml").read_bytes() == b"[[alignments]"

    def test_of_rights_is_told_as_such(self, settings, shop):
        (shop / "alignment.toml").mkdir()
        with pytest.raises(SettingsRefused, match="cannot be opened"):
            correction_for(settings, "laser", "letter")


def dump_of(*alignments: Alignment) -> bytes:
    from watcher.settings.alignment_file import Alignments

    return dump(Alignments(alignments=alignments))


class TestFile:
    def test_has_what_a_person_may_want_to_know(self, settings, shop):
        save_alignment(settings, measured())
        (body,) = tomllib.loads((shop / "alignment.toml").read_text())["alignments"]
        assert body["made_at"] == NOON
        assert (body["sheets"], body["marks"], body["residual_mm"], body["scatter_mm"]) == (3, 6, 0.08, 0.1)
        assert (body["shift_mm"], body["turn_degrees"], body["scale"]) == ([0.8, 0.5], 0.05, [1.0005, 0.9995])

    def test_is_written_whole_or_not_at_all(self, settings, shop, monkeypatch):
        save_alignment(settings, measured())
        before = (shop / "alignment.toml").read_bytes()
        monkeypatch.setattr("os.fsync", lambda _: (_ for _ in ()).throw(OSError(28, "no space")))
        with pytest.raises(OSError, match="no space"):
            save_alignment(settings, measured("0.1"))
        assert (shop / "alignment.toml").read_bytes() == before

    def test_leaves_settings_alone(self, settings, shop):
        before = (shop / "settings.toml").read_bytes()
        save_alignment(settings, measured())
        assert (shop / "settings.toml").read_bytes() == before

    def test_keeps_the_newest_fifty_of_a_printer_and_sheet(self):
        many = [measured(made_at=NOON + timedelta(days=day)) for day in range(60)]
        kept = parse(dump_of(measured(sheet="a4"), *many))
        assert [one.made_at for one in kept.history("laser", "letter")] == [one.made_at for one in many[10:]]
        assert len(kept.history("laser", "a4")) == 1

    def test_holds_turn_tests_beside_it(self, settings):
        test = TurnTest(printer="laser", made_at=NOON, found={"flip": "long-edge", "lead": "top"})
        save_alignment(settings, test)
        save_alignment(settings, measured())
        assert load_alignments(settings).last_turn_test("Laser") == test


class TestOld:
    def test_corrections_are_mentioned_after_90_days(self, settings):
        save_alignment(settings, measured())
        assert old_corrections(settings, NOON + timedelta(days=90)) == ()
        (line,) = old_corrections(settings, NOON + timedelta(days=91))
        assert line == (
            "The correction of laser on letter is 91 days old: measure it again, print-folder align laser --sheet "
            "letter."
        )

    def test_that_are_not_used_are_not_mentioned(self, settings, rewritten):
        save_alignment(settings, measured())
        assert old_corrections(rewritten(more=BY_HAND), NOON + timedelta(days=91)) == ()
