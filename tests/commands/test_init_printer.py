"""`print-folder init --printer` writes the settings of a new print folder from what a printer says."""

import pytest

from tests.run_command import run_command
from tests.virtual_printer import A4, LETTER, Paper, needs_a_virtual_printer, virtual_printer, written_attributes
from watcher.settings.load import load_settings

UNSCALED = {"print-scaling-supported": "keyword none,fit"}
NOBODY = "ipp://127.0.0.1:1/ipp/print"


@pytest.fixture
def laser(tmp_path):
    """A virtual printer with letter in its tray, which leaves 11.68 mm at one end."""
    sheets = [Paper(size=LETTER, margins=(635, 635, 1168, 635), source="main"), Paper(size=A4)]
    with virtual_printer(tmp_path / "printer", written_attributes(sheets, sheets[:1], more=UNSCALED)) as printer:
        yield printer


@pytest.fixture
def run(monkeypatch, capsys, tmp_path):
    """Run a command in this process; gives exit code, output and errors."""
    monkeypatch.chdir(tmp_path)

    def call(*words):
        return run_command(monkeypatch, capsys, *words)

    return call


@needs_a_virtual_printer
def test_a_new_print_folder_is_filled_from_a_printer_and_agrees_with_it(run, laser, tmp_path):
    code, out, _ = run("init", tmp_path / "shop", "--for", "shop", "--printer", laser.uri)
    assert code == 0, out

    code, out, _ = run("check", "--printers", "--settings", tmp_path / "shop" / "settings.toml")
    assert code == 0, out
    assert "Virtual, ready" in out
    assert 'size = "letter"' in (tmp_path / "shop" / "settings.toml").read_text()


@pytest.mark.parametrize("address", [NOBODY, "192.168.1.20"])
def test_a_printer_that_cannot_be_asked_leaves_no_folder(run, address, tmp_path):
    code, _, err = run("init", tmp_path / "shop", "--printer", address)

    assert code != 0
    assert len(err.strip().splitlines()) == 1
    assert not (tmp_path / "shop").exists()


@needs_a_virtual_printer
def test_a_new_print_folder_trusts_a_certificate_on_the_owners_word(run, laser, tmp_path):
    words = ["init", tmp_path / "shop", "--for", "shop", "--printer", laser.encrypted_uri]
    _, _, err = run(*words)
    digits = err.rpartition("--fingerprint ")[2].strip()

    assert run(*words, "--fingerprint", digits)[0] == 0
    assert load_settings(tmp_path / "shop" / "settings.toml").printers["press"].fingerprint == digits


@pytest.mark.parametrize("words", [[], ["--printer", NOBODY]])
def test_a_certificate_without_an_encrypted_printer_is_wrong_usage(run, words, tmp_path):
    code, _, err = run("init", tmp_path / "shop", *words, "--fingerprint", "0f" * 32)

    assert code == 2
    assert "--fingerprint" in err
    assert not (tmp_path / "shop").exists()
