"""`print-folder remove` asks before it takes an order away."""

import pytest

from watcher.commands.remove import _confirmed
from watcher.errors import WrongUsage


def answers(monkeypatch, *given):
    left = list(given)

    def listen(_):
        if not left:
            raise EOFError
        return left.pop(0)

    monkeypatch.setattr("builtins.input", listen)


@pytest.mark.parametrize(("given", "yes"), [("y", True), (" YES ", True), ("n", False), ("no", False), ("", False)])
def test_yes_is_yes_and_enter_alone_is_no(monkeypatch, given, yes):
    answers(monkeypatch, given)
    assert _confirmed() is yes


def test_another_answer_is_asked_for_again_in_our_words(monkeypatch, capsys):
    answers(monkeypatch, "perhaps", "y")
    assert _confirmed() is True
    assert capsys.readouterr().out == "Please answer y or n.\n"


def test_nobody_there_ends_it(monkeypatch):
    answers(monkeypatch)
    with pytest.raises(WrongUsage, match="nothing was removed.*remove ORDER --yes"):
        _confirmed()
