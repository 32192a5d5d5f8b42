"""`print-folder trust` lists what wants a yes in plain words, asks, and keeps the answer."""

import sys
from pathlib import Path

import pytest

from tests.run_command import run_command
from watcher.settings.load import load_settings
from watcher.settings.trusted import not_trusted

COMMAND = 'on_finished = ["lp", "-d", "office", "{sheets}"]'


@pytest.fixture
def shop(print_folder):
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace("[service]", f"[service]\n{COMMAND}"))
    return print_folder


@pytest.fixture
def run(shop, monkeypatch, capsys):
    """Run the command; `answer`: what the person at the terminal says, None: there is nobody."""

    def call(*words, answer=None):
        monkeypatch.setattr(sys.stdin, "isatty", lambda: answer is not None, raising=False)
        monkeypatch.setattr("builtins.input", lambda _: answer)
        code, out, err = run_command(monkeypatch, capsys, *words, "--settings", shop / "settings.toml")
        return code, out + err

    return call


def wanting(shop: Path) -> list[str]:
    return [one.key for one in not_trusted(load_settings(shop / "settings.toml"))]


def test_it_lists_asks_and_keeps_the_yes(run, shop):
    code, said = run("trust", answer="y")
    assert code == 0
    assert "  new: service.on_finished, the command after each order: lp -d office '{sheets}'" in said
    assert wanting(shop) == []
    assert "has a yes: service.on_finished" in run("trust", answer="n")[1]


@pytest.mark.parametrize("answer", ["n", "", "no"])
def test_no_and_enter_keep_nothing(run, shop, answer):
    assert run("trust", answer=answer)[0] == 1
    assert wanting(shop) == ["service.on_finished"]


def test_without_a_terminal_it_asks_nobody_and_takes_a_word_for_it(run, shop):
    code, said = run("trust")
    assert (code, "print-folder trust --yes" in said) == (2, True)
    assert wanting(shop) == ["service.on_finished"]
    assert run("trust", "--yes")[0] == 0
    assert wanting(shop) == []


def test_what_was_changed_since_is_called_so(run, shop):
    run("trust", "--yes")
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('"lp"', '"sh"'))
    assert "changed: service.on_finished" in run("trust", "--show")[1]
    assert wanting(shop) == ["service.on_finished"]


def test_of_a_long_command_nothing_is_cut_off_and_nothing_reorders_the_line(run, shop):
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('"-d", "office"', f'"{"x" * 5000}\\u202Eend"'))
    said = run("trust", "--show")[1]
    assert "x" * 5000 + r"\u202eend" in said


def test_settings_that_want_nothing_are_told_so(run, shop):
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace(COMMAND, ""))
    code, said = run("trust", answer="n")
    assert (code, "nothing in these settings wants a yes" in said) == (0, True)


def test_check_and_status_name_the_command_and_the_way_out(run, shop):
    for word in ("check", "status"):
        code, said = run(word)
        assert (code, "is not run: lp -d office" in said, "print-folder trust" in said) == (code, True, True), said
    assert run("check")[0] == 1


def test_places_elsewhere_are_refused_by_every_command_that_works_and_shown_by_the_others(run, shop):
    file = shop / "settings.toml"
    file.write_text(f'[folders]\narchive = "{shop.parent}/elsewhere"\n{file.read_text()}')
    for words in (["once"], ["orders"], ["retry", "lantern"], ["gang"]):
        code, said = run(*words)
        assert (code, len(said.splitlines())) == (2, 1), said
        assert f"folders.archive is {shop.parent}/elsewhere" in said
    assert run("check")[0] == 2
    assert "folders.archive is …/elsewhere" in run("status")[1]
    assert not (shop.parent / "elsewhere").exists()
