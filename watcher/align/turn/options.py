"""The answers of the turn test as options of a command, checked for what they can tell."""

from dataclasses import dataclass, fields

from watcher.align.turn.turning import Face, FirstPrinted, Letter, TurnAnswers, WhoseBack
from watcher.errors import WrongUsage
from watcher.terms import Duplex, Flip


@dataclass(frozen=True, kw_only=True)
class TurnOptions:
    """The options of `print-folder align PRINTER turn`; None for those that were not given.

    Attributes:
        arrow: the letter behind the arrow.
        one_face: arrow and letters are on the same face.
        first, guide: the letters at the edges with the pencilled 1 and 2.
        printed_first, chosen: automatic duplex only; see `TurnAnswers`.
        stack_face, stack_first, first_sheet: manual duplex only; see `TurnAnswers`.
    """

    arrow: Letter | None = None
    one_face: bool = False
    first: Letter | None = None
    guide: Letter | None = None
    printed_first: FirstPrinted | None = None
    stack_face: Face | None = None
    stack_first: Letter | None = None
    first_sheet: WhoseBack | None = None
    chosen: Flip | None = None

    @property
    def are_given(self) -> bool:
        """Whether any option is given."""
        return any(getattr(self, field.name) not in (None, False) for field in fields(self))

    def answers(self, duplex: Duplex) -> TurnAnswers:
        """Give the answers for a printer.

        Args:
            duplex: who turns the sheet.

        Raises:
            WrongUsage: the one that decides is missing, or one is for the other kind of printer or tells nothing alone.
        """
        if self.arrow is None:
            raise WrongUsage("The turn test needs --arrow: the letter that lies behind the arrow.")
        self._check_duplex(duplex)
        self._check_pairs()
        return TurnAnswers(
            arrow=self.arrow,
            one_face=self.one_face,
            lead=self.first,
            guide=self.guide,
            first_printed=self.printed_first or FirstPrinted.UNSEEN,
            stack_face=self.stack_face,
            stack_lead=self.stack_first,
            own_back=None if self.first_sheet is None else self.first_sheet is WhoseBack.FIRST,
            chosen=self.chosen,
        )

    def _check_duplex(self, duplex: Duplex) -> None:
        by_hand = {
            "--stack-face": self.stack_face,
            "--stack-first": self.stack_first,
            "--first-sheet": self.first_sheet,
        }
        by_printer = {"--printed-first": self.printed_first, "--chosen": self.chosen}
        strange, who = (by_hand, "the printer turns") if duplex is Duplex.AUTOMATIC else (by_printer, "you turn")
        for option, value in strange.items():
            if value is not None:
                raise WrongUsage(f"{option} does not go with this printer: by the settings {who} the sheet.")

    def _check_pairs(self) -> None:
        """Refuse an answer that tells nothing without another one, instead of ignoring it."""
        if self.stack_first is not None and self.stack_face is None:
            raise WrongUsage("--stack-first needs --stack-face too: whether the letters faced up or down.")
        if self.stack_face is not None and self.stack_first is None and self.first is None:
            raise WrongUsage("--stack-face needs --stack-first too: the letter whose edge went in first.")
        if self.printed_first not in (None, FirstPrinted.UNSEEN) and self.first is None:
            raise WrongUsage("--printed-first needs --first too: the letter at the 1.")
