"""Say lines to a person and ask questions, on a terminal or wherever else lines can be shown and read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

_Choice = TypeVar("_Choice")

YES_NO = {"y": True, "yes": True, "n": False, "no": False}


class DialogueEnded(Exception):
    """The person has left, or there is nobody to ask."""


@dataclass(frozen=True, kw_only=True)
class Dialogue:
    """A person who can be told and asked something.

    Attributes:
        say: shows a line.
        listen: shows a question and gives the answer; EOFError when there is none.
    """

    say: Callable[[str], None]
    listen: Callable[[str], str]

    def ask(self, question: str) -> str:
        """Ask a question and give the answer, without spaces around it.

        Raises:
            DialogueEnded: there is no answer.
        """
        try:
            return self.listen(f"{question} > ").strip()
        except EOFError:
            raise DialogueEnded from None

    def choose(self, question: str, choices: Mapping[str, _Choice]) -> _Choice:
        """Ask until the answer is one of the choices, ignoring case, and give what that choice means.

        Args:
            question: ends with the choices in square brackets.
            choices: what each answer means; an empty text is Enter alone.

        Raises:
            DialogueEnded: there is no answer.
        """
        while True:
            answer = self.ask(question).casefold()
            for words, choice in choices.items():
                if answer == words.casefold():
                    return choice
            listed = [words for words in choices if words]
            self.say(f"Please answer {', '.join(listed[:-1])} or {listed[-1]}.")
