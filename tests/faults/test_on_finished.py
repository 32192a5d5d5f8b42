"""The shop's own command as the service calls it: once for each order, its words as they are, and never in the way."""

import ast
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from watcher import steps
from watcher.outbox import finished

Drop = Callable[..., None]
LIMIT_S = 20.0
# Writes its words as a line of a file; the file's name is the last of them but for the sheets.
TELL = "import os, sys; open(os.path.join(r'{}', 'told'), 'a').write(repr(sys.argv[1:]) + chr(10))"


@pytest.fixture
def call(driven, say_yes) -> Callable[[str], None]:
    """Set `on_finished` to a piece of Python that is given the sheets, and say yes to it."""

    def set_command(code: str) -> None:
        file = driven.folder / "settings.toml"
        command = f"on_finished = ['{sys.executable}', '-c', '''{code}''', '; rm -rf .', '$(id)', '{{sheets}}']"
        file.write_text(file.read_text().replace("[service]", f"[service]\n{command}"))
        say_yes(driven.folder)

    return set_command


def soon(driven, condition: Callable[[], object]) -> None:
    """Let the service go on until the command has done something, in real time."""
    end = time.monotonic() + LIMIT_S
    while not condition():
        assert time.monotonic() < end, "it never came"
        driven.step(0.01)
        time.sleep(0.01)


def told(driven) -> list[list[str]]:
    file = driven.folder.parent / "told"
    return [ast.literal_eval(line) for line in file.read_text().splitlines()] if file.exists() else []


def test_it_is_given_each_sheet_file_as_one_word_whatever_the_order_is_called(
    driven, call: Callable, drop_pair: Drop
) -> None:
    """No shell ever reads a name."""
    name = "a; touch hacked $(touch hacked) `id` 'x' && b"
    call(TELL.format(driven.folder.parent))
    driven.start()
    drop_pair(driven.folder / "inbox", name)
    soon(driven, lambda: told(driven))
    [order] = driven.orders
    assert told(driven) == [["; rm -rf .", "$(id)", str(driven.folder / "outbox" / order / f"{order}_sheets.pdf")]]
    assert not list(driven.folder.rglob("hacked*"))
    assert not Path("hacked").exists()


def test_it_is_called_once_for_each_order_and_not_for_what_is_held(driven, call: Callable, drop_pair: Drop) -> None:
    call(TELL.format(driven.folder.parent))
    driven.start()
    drop_pair(driven.folder / "inbox", "one")
    drop_pair(driven.folder / "inbox", "two")
    drop_pair(driven.folder / "inbox", "bad", size=(100, 138))
    soon(driven, lambda: len(told(driven)) == 2 and driven.held)
    driven.go_on(30)
    assert sorted(Path(words[-1]).name for words in told(driven)) == ["one_sheets.pdf", "two_sheets.pdf"]


def test_a_printer_without_duplex_gets_both_files_one_after_the_other(driven, call: Callable, drop_pair: Drop) -> None:
    call(TELL.format(driven.folder.parent))
    file = driven.folder / "settings.toml"
    file.write_text(file.read_text().replace('flip = "long-edge"', 'flip = "long-edge"\nduplex = "manual"'))
    driven.start()
    drop_pair(driven.folder / "inbox")
    soon(driven, lambda: len(told(driven)) == 2)
    assert [Path(words[2]).name for words in told(driven)] == ["lantern_1-fronts.pdf", "lantern_2-backs.pdf"]


@pytest.mark.parametrize("code", ["raise SystemExit(3)", "import os; os.kill(os.getpid(), 9)"])
def test_its_failure_is_logged_and_harms_no_order(driven, call: Callable, drop_pair: Drop, code: str) -> None:
    call(code)
    driven.start()
    drop_pair(driven.folder / "inbox", "one")
    soon(driven, lambda: "on_finished for one ended with code" in (driven.folder / "state/service.log").read_text())
    drop_pair(driven.folder / "inbox", "two")
    driven.go_on(30)
    assert (driven.orders, driven.held, driven.pauses) == (["one", "two"], [], [])


def test_an_order_whose_delivery_was_cut_short_by_a_crash_calls_it_at_the_next_start(
    driven, call: Callable, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before: such an order was delivered, but nobody was told."""
    call(TELL.format(driven.folder.parent))
    drop_pair(driven.folder / "inbox")
    driven.start()

    class Crash(BaseException):
        pass

    def die(step: steps.Step) -> None:
        if step is steps.Step.PUBLISHED:
            raise Crash

    with monkeypatch.context() as patch:
        patch.setattr("watcher.outbox.publish.reached", die)
        with pytest.raises(Crash):
            driven.go_on(30)
    driven.service.shop.journal.close()
    driven.service._let_go()
    assert told(driven) == []
    driven.start()
    soon(driven, lambda: told(driven))
    driven.go_on(20)
    assert len(told(driven)) == 1


def test_it_is_ended_at_its_limit_and_the_orders_go_on_meanwhile(
    driven, call: Callable, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finished, "LIMIT_S", 2.0)
    pids = driven.folder.parent / "pids"
    call(f"import os, time; open(r'{pids}', 'a').write(str(os.getpid()) + chr(10)); time.sleep(600)")
    driven.start()
    drop_pair(driven.folder / "inbox", "one")
    soon(driven, lambda: pids.exists() and pids.read_text().endswith("\n"))
    drop_pair(driven.folder / "inbox", "two")
    driven.go_on(20)
    assert driven.orders == ["one", "two"]
    soon(driven, lambda: not driven.service.making.commands.under_way)
    for pid in pids.read_text().split():
        with pytest.raises(ProcessLookupError):  # not even a zombie
            os.kill(int(pid), 0)


def test_a_service_that_is_asked_to_stop_gives_it_a_few_seconds_more(
    driven, call: Callable, drop_pair: Drop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before: up to its own limit of a minute."""
    monkeypatch.setattr("watcher.service.loop.HURRY_S", 0.2)
    call("import time; time.sleep(600)")
    driven.start()
    for name in ("one", "two", "three", "four", "five"):  # more than run at once
        drop_pair(driven.folder / "inbox", name)
    driven.go_on(20)
    driven.service.ask_to_stop()
    driven.service.scheduling.stop(driven.service.commands_s)
    assert not driven.service.making.commands.under_way
    said = (driven.folder / "state/service.log").read_text().splitlines()
    assert sum("had not come to its end when the program stopped, and was ended; it is" in line for line in said) == 4
    assert sum("was not started: the program stops" in line for line in said) == 1


def test_once_gives_it_all_of_its_time(driven) -> None:
    """Nobody has asked it to stop: it has nothing else to do."""
    driven.start()
    assert driven.service.commands_s == finished.LIMIT_S
    driven.service.ask_to_stop()
    assert driven.service.commands_s < 5
