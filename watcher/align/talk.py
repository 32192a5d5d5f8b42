"""How the conversation speaks and listens: any way to say a line and to ask for one."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

_Choice = TypeVar("_Choice")


class StoppedTalking(Exception):
    """The person has left, or there is nobody to ask."""


@dataclass(frozen=True, kw_only=True)
class Talk:
    """Somebody to talk to.

    Attributes:
        say: shows a line.
        listen: shows a question and gives the answer; EOFError when there is none.
    """

    say: Callable[[str], None]
    listen: Callable[[str], str]

    def ask(self, question: str) -> str:
        """The answer, without spaces around it.

        Raises:
            StoppedTalking: there is none.
        """
        try:
            return self.listen(f"{question} > ").strip()
        except EOFError:
            raise StoppedTalking from None

    def choose(self, question: str, choices: Mapping[str, _Choice]) -> _Choice:
        """One of some answers, whatever its capitals; asked again until it is one.

        Args:
            question: ends with the answers in square brackets.
            choices: what each answer means; an empty text is Enter alone.
        """
        while True:
            answer = self.ask(question).casefold()
            for words, choice in choices.items():
                if answer == words.casefold():
                    return choice
            listed = [words for words in choices if words]
            self.say(f"Please answer {', '.join(listed[:-1])} or {listed[-1]}.")
