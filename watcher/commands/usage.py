"""Say in our words what is wrong with a command line, in place of the command-line library's own sentences."""

import re
from collections.abc import Callable


def say_usage(message: str) -> str:
    """Give our sentence for what the command-line library says is wrong."""
    for pattern, sentence in _SENTENCES.items():
        if found := re.match(pattern, message, re.DOTALL):
            return sentence(*found.groups())
    return "The command is not understood."


def _too_many(words: str) -> str:
    return f"{words}: {'some words' if ' ' in words else 'one word'} too many."


def _near(words: str) -> str:
    """Name the words that may have been meant: ` Did you mean retry or repeat?`."""
    return f" Did you mean {' or '.join(word.strip(chr(39)) for word in words.split(', '))}?"


# The sentences of typer 0.29 (core.py, _click/parser.py, _click/core.py and _click/exceptions.py) and ours for them.
# tests/commands/test_usage.py gets every one of them from the library.
_SENTENCES: dict[str, Callable[..., str]] = {
    r"No such command '(.*?)'\. Did you mean (.*)\?$": lambda word, near: f"There is no command {word}.{_near(near)}",
    r"No such command '(.*)'": lambda word: f"There is no command {word}.",
    r"No such option: (\S+) \(Possible options: (.*)\)$": lambda word, near: f"There is no option {word}.{_near(near)}",
    r"No such option: (\S+)": lambda word: f"There is no option {word}.",
    r"Missing argument '\{?\[?(.*?)\]?\}?'": lambda name: f"{name} is missing: write it behind the command.",
    r"Missing option '(.*?)'": lambda name: f"{name} is missing.",
    r"Option '(.*?)' requires an argument": lambda name: f"{name} needs a value behind it.",
    r"Option '(.*?)' requires (\d+) arguments": lambda name, count: f"{name} needs {count} values behind it.",
    r"Option '(.*?)' does not take a value": lambda name: f"{name} stands alone: leave out what is joined to it.",
    r"Got unexpected extra argument\(s\) \((.*)\)": _too_many,
    r"Missing command": lambda: "No command was given.",
    r"Invalid value for '(.*?)'": lambda name: f"What was written for {name} cannot be used.",
}
