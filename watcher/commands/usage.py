"""What is wrong with a command line, in our words: the library's sentences never reach the shop owner."""

import re

# What typer 0.29 says, and what we say of it; tests/commands/test_usage.py asks the library for every one of them.
_SENTENCES = {
    r"No such command '(.*?)'.* Did you mean '?(.*?)'?\?": "There is no command {0}. Did you mean {1}?",
    r"No such command '(.*?)'": "There is no command {0}.",
    r"No such option: (\S+).*?(--[\w-]+)": "There is no option {0}. Did you mean {1}?",
    r"No such option: (\S+)": "There is no option {0}.",
    r"Missing argument '(.*?)'": "{0} is missing: write it behind the command.",
    r"Missing option '(.*?)'": "{0} is missing.",
    r"Option '(.*?)' requires an argument": "{0} needs a value behind it.",
    r"Option '(.*?)' requires (\d+) arguments": "{0} needs {1} values behind it.",
    r"Option '(.*?)' does not take a value": "{0} stands alone: leave out what is joined to it.",
    r"Got unexpected extra arguments?(?:\(s\))? \((.*)\)": "{0}: one word too many.",
    r"Missing command": "No command was given.",
    r"Invalid value for '(.*?)'": "What was written for {0} cannot be used.",
}


def say_usage(message: str) -> str:
    """Give our sentence for what the command-line library says."""
    for pattern, sentence in _SENTENCES.items():
        if found := re.search(pattern, message):
            return sentence.format(*found.groups())
    return "The command is not understood."
