"""A yes holds for what was shown, in this print folder, on this computer, and for nothing else."""

import shutil

import pytest

from watcher.errors import ExitCode, PrinterRefused
from watcher.settings.load import load_settings
from watcher.settings.secret import secret_file
from watcher.settings.trusted import (
    FILE_NAME,
    NotTrusted,
    check_places,
    check_printer,
    is_command_trusted,
    is_new,
    keep_yes,
    not_trusted,
    secret_trouble,
    trust_notes,
)

COMMAND = '[service]\non_finished = ["lp", "{sheets}"]\n'
QUEUE = 'queue = "ipp://192.168.1.20/ipp/print"'


@pytest.fixture
def with_command(changed):
    return changed({}, COMMAND)


def wanting(settings):
    return [one.key for one in not_trusted(settings)]


def test_a_command_waits_for_a_yes_and_has_it_from_then_on(with_command):
    assert wanting(with_command) == ["service.on_finished"]
    assert not is_command_trusted(with_command)
    keep_yes(with_command)
    assert is_command_trusted(load_settings(with_command.path))


def test_without_a_command_there_is_nothing_to_ask(load):
    assert is_command_trusted(load())
    assert trust_notes(load()) == ()


def test_another_word_is_another_command(changed, with_command):
    keep_yes(with_command)
    assert wanting(changed({}, COMMAND.replace("lp", "sh"))) == ["service.on_finished"]


def test_a_yes_to_an_earlier_command_is_void_though_its_file_is_put_back(changed, with_command):
    keep_yes(with_command)
    kept = with_command.folders.state / FILE_NAME
    earlier = kept.read_bytes()
    keep_yes(changed({}, COMMAND.replace("lp", "sh")))
    kept.write_bytes(earlier)
    assert wanting(changed({}, COMMAND)) == ["service.on_finished"]


def test_without_state_it_is_asked_again(with_command):
    keep_yes(with_command)
    shutil.rmtree(with_command.folders.state)
    assert wanting(with_command) == ["service.on_finished"]


@pytest.mark.parametrize(
    "content", [b"", b"\xff", b"yes = 5", b"[yes]\n'service.on_finished' = [5, '\xc3\xa9']", b"[" * 9999]
)
def test_a_damaged_file_is_no_yes(with_command, content):
    keep_yes(with_command)
    (with_command.folders.state / FILE_NAME).write_bytes(content)
    assert wanting(with_command) == ["service.on_finished"]


def test_a_yes_in_one_print_folder_is_none_in_another(with_command, tmp_path):
    keep_yes(with_command)
    other = tmp_path / "other"
    shutil.copytree(with_command.folders.state, other / "state")
    shutil.copy(with_command.path, other)
    assert wanting(load_settings(other / "settings.toml")) == ["service.on_finished"]


def test_a_secret_that_others_can_read_makes_every_yes_void_and_is_said(with_command):
    keep_yes(with_command)
    secret_file(with_command.folder).chmod(0o644)
    assert wanting(with_command) == ["service.on_finished"]
    assert secret_trouble(with_command) == trust_notes(with_command)[-1]
    assert "can be read by others" in trust_notes(with_command)[-1]


def test_a_printer_that_nobody_said_yes_to_is_refused_by_name(changed):
    settings = changed({"printers.laser": QUEUE})
    with pytest.raises(PrinterRefused, match="The printer laser is not used: ipp://192.168.1.20/ipp/print.*trust"):
        check_printer(settings.printers["laser"], settings)
    keep_yes(settings)
    check_printer(settings.printers["laser"], settings)


def test_places_elsewhere_keep_the_service_from_its_start_with_one_line(changed, tmp_path):
    settings = changed({}, f'{COMMAND}[folders]\nstate = "{tmp_path.parent}/notes"')
    with pytest.raises(NotTrusted) as refused:
        check_places(settings)
    assert refused.value.exit_code is ExitCode.USAGE
    said = str(refused.value)
    assert f"folders.state is {tmp_path.parent}/notes" in said
    assert said.endswith(f"print-folder trust --settings {settings.path}")
    assert "\n" not in said
    keep_yes(settings)
    check_places(settings)


def test_new_and_changed_are_told_apart(changed, with_command):
    assert is_new(not_trusted(with_command)[0], with_command)
    keep_yes(with_command)
    settings = changed({}, COMMAND.replace("lp", "sh"))
    assert not is_new(not_trusted(settings)[0], settings)


def test_while_a_new_yes_is_written_the_earlier_one_holds(changed, with_command, monkeypatch):
    """The service may ask in any moment; a crash between the two writings leaves nobody without what he had."""
    keep_yes(with_command)
    seen = []

    class Died(BaseException):
        pass

    def write(*_):
        seen.append(wanting(with_command))
        raise Died

    monkeypatch.setattr("watcher.settings.trusted.write_secret", write)
    with pytest.raises(Died):
        keep_yes(with_command)
    assert seen == [[]]
    assert wanting(with_command) == []
