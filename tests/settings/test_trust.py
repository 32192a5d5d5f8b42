"""What in the settings wants a yes: commands, addresses, and every path that leads out of the print folder."""

from pathlib import Path

import pytest

from watcher.settings.card import CardSettings
from watcher.settings.folders import FolderSettings
from watcher.settings.model import Settings
from watcher.settings.printer import PrinterSettings
from watcher.settings.trust import Without, paths_in, things_to_trust

QUEUE = 'queue = "ipp://192.168.1.20/ipp/print"'


def wanted(settings: Settings) -> dict[str, str]:
    return {one.key: one.value for one in things_to_trust(settings)}


def test_settings_that_stay_in_their_folder_want_no_yes(load):
    assert things_to_trust(load()) == ()


@pytest.mark.parametrize("name", list(FolderSettings.model_fields))
def test_each_folder_elsewhere_wants_one(changed, name, tmp_path):
    settings = changed({}, f'[folders]\n{name} = "{tmp_path.parent}/elsewhere"')
    (one,) = things_to_trust(settings)
    assert (one.key, one.value, one.without) == (
        f"folders.{name}",
        f"{tmp_path.parent.resolve()}/elsewhere",
        Without.NOT_STARTED,
    )


@pytest.mark.parametrize("written", ["../other", "inbox/../../other", "~/other", "link/inner"])
def test_a_path_is_followed_to_its_end(changed, tmp_path, written):
    (tmp_path / "link").symlink_to(tmp_path.parent)
    assert list(wanted(changed({}, f'[folders]\noutbox = "{written}"'))) == ["folders.outbox"]


def test_a_folder_that_is_a_link_wants_one_though_nothing_is_written(load, tmp_path):
    elsewhere = tmp_path.parent.resolve() / "elsewhere"
    (tmp_path / "state").symlink_to(elsewhere)
    (one,) = things_to_trust(load())
    assert (one.key, one.value) == ("folders.state", str(elsewhere))
    assert one.shown == f"{tmp_path}/state, which is {elsewhere}"


def test_a_path_that_comes_back_into_the_folder_wants_none(changed, tmp_path):
    assert wanted(changed({}, f'[folders]\noutbox = "{tmp_path}/x/../out"')) == {}


def test_common_art_and_profile_elsewhere_want_one_each(changed, tmp_path, press_icc):
    (tmp_path.parent / "press.icc").write_bytes(press_icc)
    lines = {"cards.invitation": 'common_back = "../b.png"', "printers.laser": 'output_profile = "../press.icc"'}
    assert list(wanted(changed(lines))) == ["cards.invitation.common_back", "printers.laser.output_profile"]


def test_no_kind_of_path_is_forgotten():
    """Every field that holds a path is in one of these tables; a new table of settings is looked through too."""
    paths = {
        (table.__name__, name)
        for table in (CardSettings, FolderSettings, PrinterSettings)
        for name, field in table.model_fields.items()
        if "Path" in str(field.annotation)
    }
    everywhere = {
        (table.__name__, name)
        for table in CardSettings.__mro__[1].__subclasses__()
        if table is not Settings
        for name, field in table.model_fields.items()
        if "Path" in str(field.annotation)
    }
    assert paths == everywhere
    assert ("PrinterSettings", "login_file") in paths


@pytest.mark.parametrize(
    "more", ['fingerprint = "{}"'.format("0f" * 32), 'login_file = "~/.login"', 'login_file = "/x/login"']
)
def test_an_address_goes_with_its_certificate_and_its_login(changed, more):
    """Whoever could change one of them alone would have the login sent elsewhere."""
    queue = QUEUE.replace("ipp:", "ipps:")
    alone, both = (wanted(changed({"printers.laser": lines})) for lines in (queue, f"{queue}\n{more}"))
    assert list(alone) == list(both) == ["printers.laser.queue"]
    assert alone != both


def test_a_cluster_wants_one_where_it_is_used(changed):
    address = 'scheduler = "tcp://10.0.0.5:8786"'
    assert wanted(changed({}, f'[service]\nengine = "dask"\n{address}')) == {"service.scheduler": "tcp://10.0.0.5:8786"}


def test_words_of_a_command_are_shown_apart(changed):
    (one,) = things_to_trust(changed({}, '[service]\non_finished = ["sh", "-c", "a b", "{sheets}"]'))
    assert one.shown == "sh -c 'a b' '{sheets}'"
    assert one.without is Without.NOT_DONE


@pytest.mark.parametrize("word", ["{}/print.sh", "--script={}/print.sh"])
def test_a_script_in_the_print_folder_can_have_no_yes(changed, tmp_path, word):
    """Whoever can write there could change what it does."""
    (tmp_path / "print.sh").write_text("echo")
    (one,) = things_to_trust(changed({}, f'[service]\non_finished = ["sh", "{word.format(tmp_path)}"]'))
    assert one.fault
    assert "print.sh, which it uses, lies in the print folder" in one.fault


def test_a_script_elsewhere_and_sheets_are_no_fault(changed, tmp_path):
    (tmp_path.parent / "print.sh").write_text("echo")
    (one,) = things_to_trust(changed({}, f'[service]\non_finished = ["{tmp_path.parent}/print.sh", "{{sheets}}"]'))
    assert one.fault is None


def test_all_paths_of_the_settings_are_given(changed, tmp_path):
    settings = changed({"cards.invitation": 'common_back = "b.png"', "printers.laser": f'{QUEUE}\nlogin_file = "/l"'})
    assert {tmp_path / "b.png", Path("/l"), tmp_path / "state"} <= set(paths_in(settings))
