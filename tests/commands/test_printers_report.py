"""`print-folder check` asks the printers that have a queue."""

import pytest

from tests.a_shop import LEAST
from tests.stand_in_printer import stand_in
from tests.virtual_printer import A4, LETTER, Paper, needs_a_virtual_printer, virtual_printer, written_attributes
from watcher.commands.printers_report import ask_printers, describe_with_printers
from watcher.errors import ExitCode
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes

UNSCALED = {"print-scaling-supported": "keyword none,fit"}
NOBODY = "ipp://127.0.0.1:1/ipp/print"


@pytest.fixture
def settings(tmp_path):
    """Load the settings with the printer's lines added."""

    def load(*lines):
        file = tmp_path / "settings.toml"
        file.write_text("\n".join([LEAST, *lines]))
        keep_yes(load_settings(file))
        return load_settings(file)

    return load


@pytest.fixture
def laser(tmp_path):
    """A virtual printer with letter in its tray, which leaves 11.68 mm at one end."""
    sheets = [Paper(size=LETTER, margins=(635, 635, 1168, 635), source="main"), Paper(size=A4)]
    with virtual_printer(tmp_path / "printer", written_attributes(sheets, sheets[:1], more=UNSCALED)) as printer:
        yield printer


def test_a_printer_that_is_off_is_one_plain_line_and_nothing_else(settings):
    loaded = settings(f'queue = "{NOBODY}"')

    (line,) = ask_printers(loaded)

    assert (line.text, line.exit_code) == (
        f"The printer laser ({NOBODY}) does not answer: it is off, or nothing prints at that port.",
        ExitCode.WELL,
    )


def test_the_cards_are_described_all_the_same(settings):
    lines = list(describe_with_printers(settings(f'queue = "{NOBODY}"')))

    assert any(line.text.startswith("invitation: ") for line in lines)
    assert "does not answer" in lines[-1].text
    assert all(line.is_well for line in lines)


def test_settings_without_a_queue_ask_nobody(settings):
    loaded = settings()

    assert not any("printer" in line.text for line in list(describe_with_printers(loaded))[-1:])
    (line,) = ask_printers(loaded)
    assert 'Write it into [printers.laser]: queue = "ipps://HOST/ipp/print"' in line.text
    assert line.exit_code is ExitCode.USAGE


def test_a_login_file_that_others_can_read_is_one_line(settings, tmp_path):
    login = tmp_path.parent / f"{tmp_path.name}-login"
    login.write_text("anna\nsecret\n")
    login.chmod(0o644)

    (line,) = ask_printers(settings(f'queue = "{NOBODY}"', f'login_file = "{login}"'))

    assert "can be read by others" in line.text


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({}, "ready"),
        ({"printer-state": 4}, "at work"),
        ({"printer-state-reasons": "media-needed"}, "ready (it wants paper)"),
        ({"printer-state": 5, "printer-state-reasons": ["media-jam-error", "media-jam"]}, "stopped: paper jam"),
        ({"printer-state": 5, "printer-state-reasons": "marker-supply-empty-error"}, "stopped: out of ink or toner"),
        ({"printer-is-accepting-jobs": False}, "not ready: it takes no jobs now"),
    ],
)
def test_how_it_is_in_plain_words(settings, told, said):
    with stand_in(attributes=told) as printer:
        first = next(iter(ask_printers(settings(f'queue = "{printer.uri}"')))).text
    assert first == f"laser: Stand-in, {said}"


@needs_a_virtual_printer
def test_what_differs_is_told_sheet_by_sheet(settings, laser):
    lines = list(ask_printers(settings(f'queue = "{laser.uri}"')))

    assert [line.text for line in lines] == [
        "laser: Virtual, ready",
        "  in it lies letter (215.9 x 279.4 mm) in main",
        "  letter: the printer leaves 11.68 mm at the bottom (settings: 6.35 mm) blank. Write into [sheets.letter]:"
        ' unprintable = ["6.35 mm", "6.35 mm", "11.68 mm", "6.35 mm"]',
    ]
    assert max(line.exit_code for line in lines) is ExitCode.HELD


@needs_a_virtual_printer
def test_a_printer_that_agrees_says_so(settings, laser):
    file = settings(f'queue = "{laser.uri}"').path
    file.write_text(
        file.read_text().replace(
            'size = "letter"', 'size = "letter"\nunprintable = ["6.35 mm", "6.35 mm", "11.68 mm", "6.35 mm"]'
        )
    )

    lines = list(ask_printers(load_settings(file)))

    assert lines[-1].text == "  nothing differs from the settings"
    assert all(line.is_well for line in lines)
