"""`print-folder init`: a new print folder with settings to start from, asked for or taken from options."""

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from watcher.commands.options import NAME, word_option
from watcher.errors import WrongUsage
from watcher.terms import Duplex

if TYPE_CHECKING:
    from watcher.align.dialogue import Dialogue
    from watcher.settings.starter import Choices


class Starter(StrEnum):
    """Settings to start from."""

    HOME_LASER = "home-laser"
    HOME_INKJET = "home-inkjet"
    SHOP = "shop"


class WhoTurns(StrEnum):
    """Who turns the sheet for its back."""

    ME = "me"
    PRINTER = "printer"

    @property
    def duplex(self) -> Duplex:
        """Give the same as settings have it."""
        return Duplex.MANUAL if self is WhoTurns.ME else Duplex.AUTOMATIC


def init(
    folder: Annotated[
        Path | None,
        typer.Argument(metavar="DIR", help="Where the print folder is to be; without it print-folder in your home."),
    ] = None,
    starter: Annotated[
        str | None,
        word_option("--for", Starter, "What to start from."),
    ] = None,
    paper: Annotated[
        str | None, typer.Option(metavar="SIZE", help='The paper you print on: letter, A4, SRA3, "13 x 19 in".')
    ] = None,
    turns: Annotated[
        WhoTurns | None,
        word_option("--turns", WhoTurns, "Who turns the sheet for its back."),
    ] = None,
    start_at_login: Annotated[
        bool, typer.Option("--start-at-login", help="Let it start whenever you log in, where Linux has systemd.")
    ] = False,
    printer: Annotated[
        str | None,
        typer.Option("--printer", metavar="URI", help="Ask this printer, and fill the settings with what it says."),
    ] = None,
    fingerprint: Annotated[
        str | None,
        typer.Option("--fingerprint", metavar="DIGITS", help="The certificate of that printer, which you trust."),
    ] = None,
) -> None:
    """Make a new print folder with settings to start from."""
    from watcher.settings.starter import SETTINGS_NAME, Choices

    if fingerprint and not printer:
        raise WrongUsage("--fingerprint is of the printer that --printer names. Give both, or neither.")
    folder = (folder or Path.home() / "print-folder").absolute()
    settings = folder / SETTINGS_NAME
    choices = Choices(kind=starter, paper=paper, duplex=turns.duplex if turns else None)
    if start_at_login and settings.exists() and choices == Choices():
        print(f"{settings} is there already and stays as it is.")
    else:
        _make_folder(folder, choices, printer, fingerprint)
        print(f"Made {folder}. Look through {settings}, then: {NAME} check --settings {settings}")
    if start_at_login:
        from watcher.commands.start_at_login import install_unit

        for line in install_unit(settings):
            print(line)


def _make_folder(folder: Path, choices: "Choices", printer: str | None, fingerprint: str | None) -> None:
    """Make the print folder as chosen; at a terminal the person is asked for the rest, unless a printer is named."""
    from watcher.settings.load import load_settings
    from watcher.settings.starter import SETTINGS_NAME, refuse_taken, write_print_folder
    from watcher.settings.trusted import keep_yes

    refuse_taken(folder)
    if printer is None and sys.stdin is not None and sys.stdin.isatty():
        choices = _asked(choices)
    write_print_folder(folder, choices, _filled_in(choices, printer, fingerprint) if printer else None)
    if printer:
        keep_yes(load_settings(folder / SETTINGS_NAME))  # whoever names the printer here has said yes to it


def _asked(choices: "Choices") -> "Choices":
    """Ask the person at the terminal for what no option says; leaving makes nothing."""
    from watcher.align.dialogue import Dialogue, DialogueEnded

    try:
        return ask_choices(choices, Dialogue(say=print, listen=input))
    except DialogueEnded:
        print("\nNothing was made.")
        raise typer.Abort from None


def ask_choices(choices: "Choices", dialogue: "Dialogue") -> "Choices":
    """Ask three questions: paper, printer, who turns the sheet. What is chosen already is not asked.

    Raises:
        DialogueEnded: there is no answer.
    """
    from dataclasses import replace

    if choices.paper is None:
        choices = replace(choices, paper=_ask_paper(dialogue))
    if choices.kind is None:
        kinds = {"laser": Starter.HOME_LASER, "inkjet": Starter.HOME_INKJET, "press": Starter.SHOP}
        answers = {**kinds, **{word[0]: kind for word, kind in kinds.items()}, "": Starter.HOME_LASER}
        question = "Which printer? [laser, inkjet, press (a large printer of a print shop); Enter: laser]"
        choices = replace(choices, kind=dialogue.choose(question, answers))
    if choices.duplex is None:
        usual = WhoTurns.PRINTER if choices.kind == Starter.SHOP else WhoTurns.ME
        question = f"Who turns the sheet for its back? [me: I put the stack back in, printer; Enter: {usual}]"
        who = dialogue.choose(question, {**{str(one): one for one in WhoTurns}, "": usual})
        choices = replace(choices, duplex=who.duplex)
    return choices


def _ask_paper(dialogue: "Dialogue") -> str | None:
    from watcher.settings.starter import check_paper

    while True:
        answer = dialogue.ask("Which paper do you print on? [letter, A4, SRA3, 13 x 19 in; Enter: what is usual]")
        if not answer:
            return None
        try:
            check_paper(answer)
        except WrongUsage as error:
            dialogue.say(str(error))
            continue
        return answer


def _filled_in(choices: "Choices", printer: str, fingerprint: str | None) -> str:
    """The chosen settings with what a printer says in them; the printer is asked."""
    from watcher.outbox.printing.ipp_client import connect_unnamed
    from watcher.outbox.printing.new_settings import fill_in
    from watcher.settings.starter import chosen_text

    connection = connect_unnamed(printer, fingerprint)
    address, trusted = connection.transport.address, connection.transport.fingerprint
    return fill_in(chosen_text(choices), address.uri, connection.says(), trusted)
