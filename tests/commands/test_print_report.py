"""`print-folder print` gives a folder the name that asks for printing, and says what came of it."""

import pytest

from watcher.commands.print_report import ask_for, exit_code_of
from watcher.errors import ExitCode, WrongUsage
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes


@pytest.fixture
def made(print_folder, drop_pair, once):
    """A print folder with one order, whose printer has an address at which nobody answers."""
    file = print_folder / "settings.toml"
    text = file.read_text().replace("[printers.office]", '[printers.office]\nqueue = "ipp://127.0.0.1:9/ipp/print"')
    file.write_text(text)
    keep_yes(load_settings(file))
    drop_pair(print_folder / "inbox", "lantern_x4")
    once(print_folder)
    return load_settings(file)


def test_the_folder_gets_the_name_that_asks(made) -> None:
    ask_for(made, "LANTERN", 3)
    assert (made.folders.outbox / "lantern print 3").is_dir()


def test_a_printer_that_is_off_is_told_and_is_no_success(made, once, capsys) -> None:
    asked = ask_for(made, "lantern", None)
    once(made.folder)
    assert exit_code_of(made, asked) is ExitCode.HELD
    assert (
        "lantern: 3 sheets wait. The printer office (ipp://127.0.0.1:9/ipp/print) does not" in capsys.readouterr().out
    )
    with pytest.raises(WrongUsage, match=r"does not answer: [^.]*\.$"):
        ask_for(made, "lantern", None)


def test_an_order_that_is_not_there_names_those_that_are(made) -> None:
    with pytest.raises(WrongUsage, match="There lie: lantern"):
        ask_for(made, "lamp", None)


def test_a_printer_without_an_address_is_wrong_usage(made) -> None:
    file = made.folder / "settings.toml"
    file.write_text(file.read_text().replace('queue = "ipp://127.0.0.1:9/ipp/print"', ""))
    with pytest.raises(WrongUsage, match="Write queue ="):
        ask_for(load_settings(file), "lantern", None)
    assert (made.folders.outbox / "lantern").is_dir()
