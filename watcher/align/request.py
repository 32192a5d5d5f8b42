"""What a call of `print-folder align` asks for; without answers in it, a conversation."""

from dataclasses import dataclass, fields
from pathlib import Path

from watcher.align.turn.test_answers import Answers, Face, FirstPrinted, Letter, WhoseBack
from watcher.errors import WrongUsage
from watcher.terms import Duplex, Flip


@dataclass(frozen=True, kw_only=True)
class TurnOptions:
    """Answers of the turn test given as options; None for those that were not."""

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
        """Whether there is any."""
        return any(getattr(self, field.name) not in (None, False) for field in fields(self))

    def answers(self, duplex: Duplex) -> Answers:
        """The answers.

        Raises:
            WrongUsage: the one that decides is missing, or one is of the other kind of printer or tells nothing alone.
        """
        if self.arrow is None:
            raise WrongUsage("The turn test needs --arrow: the letter that lies behind the arrow.")
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
        self._check_none_is_lost()
        return Answers(
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

    def _check_none_is_lost(self) -> None:
        """An answer that tells nothing without another one is asked about, never dropped."""
        if self.stack_first is not None and self.stack_face is None:
            raise WrongUsage("--stack-first needs --stack-face too: whether the letters faced up or down.")
        if self.stack_face is not None and self.stack_first is None and self.first is None:
            raise WrongUsage("--stack-face needs --stack-first too: the letter whose edge went in first.")
        if self.printed_first not in (None, FirstPrinted.UNSEEN) and self.first is None:
            raise WrongUsage("--printed-first needs --first too: the letter at the 1.")


@dataclass(frozen=True, kw_only=True)
class AlignRequest:
    """What is wanted.

    Attributes:
        printer: its name.
        sheet: its name; None: the only one, or ask.
        turn: answers of the turn test.
        readings: of the register target, as typed.
        sheets_measured: how many sheets they come from, where they are averages.
        scans: of the register target: front and back of each sheet in turn.
        keep_doubtful: keep a correction although something speaks against it.
        show: only tell what is kept.
        forget: drop what is kept.
        proof: only write the target with the correction.
        print_only: only write the test sheets.
    """

    printer: str
    sheet: str | None = None
    turn: TurnOptions = TurnOptions()
    readings: tuple[str, ...] = ()
    sheets_measured: int | None = None
    scans: tuple[Path, ...] = ()
    keep_doubtful: bool = False
    show: bool = False
    forget: bool = False
    proof: bool = False
    print_only: bool = False

    @property
    def is_conversation(self) -> bool:
        """Whether the person is to be asked."""
        return not (
            self.turn.are_given
            or self.readings
            or self.scans
            or self.show
            or self.forget
            or self.proof
            or self.print_only
        )

    def check(self) -> None:
        """Refuse what contradicts itself.

        Raises:
            WrongUsage: see the messages.
        """
        alone = [name for name in ("show", "forget", "proof", "print_only") if getattr(self, name)]
        measures = bool(self.turn.are_given or self.readings or self.scans)
        if len(alone) > 1 or (alone and measures):
            raise WrongUsage(f"--{alone[0].replace('_', '-')} stands alone; leave the other answers out.")
        if self.readings and self.scans:
            raise WrongUsage("Give either --reading or --scans, not both.")
        if self.sheets_measured is not None and not self.readings:
            raise WrongUsage("--sheets-measured goes with --reading.")
        if self.keep_doubtful and not (self.readings or self.scans):
            raise WrongUsage("--keep-doubtful goes with --reading or --scans.")
        if len(self.scans) % 2:
            raise WrongUsage("--scans takes the front and the back of each sheet: an even number of files.")
