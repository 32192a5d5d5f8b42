"""What errors carry beside their message."""

import pickle
from pathlib import Path

from watcher.errors import ArtUnreadable, ExitCode, PrinterGone, PrinterRefused, SettingsRefused


def test_unreadable_art_survives_the_way_from_a_worker():
    error = pickle.loads(pickle.dumps(ArtUnreadable("a.png", "is cut off")))

    assert (str(error), error.file) == ("a.png is cut off. Export it again.", "a.png")


def test_refused_settings_list_each_fault_on_a_line():
    error = SettingsRefused(Path("x/settings.toml"), ["a is 1", "b is 2"])

    assert str(error) == "settings.toml: a is 1\nsettings.toml: b is 2"
    assert error.exit_code is ExitCode.USAGE


def test_a_printer_that_is_gone_has_heard_nothing_unless_it_is_said():
    assert not PrinterGone("off").may_have_heard
    assert PrinterGone("broke off", may_have_heard=True).may_have_heard


def test_a_refusal_tells_the_printers_status_and_words():
    error = PrinterRefused("no", status=0x40B, words="Unsupported")

    assert (error.status, error.words, error.may_have_heard) == (0x40B, "Unsupported", False)
