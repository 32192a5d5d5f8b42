"""What the turn test means for settings.toml: what agrees, and exactly which lines a person should write there."""

from dataclasses import dataclass

from watcher.align.turn_test import Reload, Turning
from watcher.settings.faults import show, show_heading
from watcher.settings.model import PrinterSettings
from watcher.terms import Duplex, Flip

KEYS = ("flip", "feed", "lead", "guide", "reload")


@dataclass(frozen=True, kw_only=True)
class Advice:
    """The settings of a printer beside what its sheet shows.

    Attributes:
        wanted: all that the settings should say, by key.
        write: lines to write under the printer's heading, by key; empty when all agrees.
        now: what the settings have for these keys now, where they have anything.
        agrees: keys that are right as they are.
        instead: another set of lines that is right too, or none: with manual duplex the stack can go either way.
        notes: whole sentences on what cannot be told by lines.
    """

    wanted: dict[str, str]
    write: dict[str, str]
    now: dict[str, str]
    agrees: tuple[str, ...]
    instead: dict[str, str]
    notes: tuple[str, ...]


def advise(turning: Turning, printer: PrinterSettings) -> Advice:
    """What to write, if anything."""
    flip, reload = _flip_and_reload(turning, printer)
    found = {
        "flip": flip,
        "feed": turning.feed,
        "lead": turning.lead,
        "guide": turning.guide,
        "reload": reload.words if reload else None,
    }
    has = {key: getattr(printer, key) for key in found}
    wanted = {key: str(value) for key, value in found.items() if value is not None}
    write = {key: value for key, value in wanted.items() if not _same(has[key], value)}
    return Advice(
        wanted=wanted,
        write=write,
        now={key: str(has[key]) for key in write if has[key] is not None},
        agrees=tuple(key for key in wanted if key not in write),
        instead=_instead(turning, printer),
        notes=tuple(_notes(turning, printer, write)),
    )


def _flip_and_reload(turning: Turning, printer: PrinterSettings) -> tuple[Flip | None, Reload | None]:
    """By hand the flip that is set stays, and the stack goes in so that it comes true."""
    if not turning.reloads:
        return turning.flip, None
    wanted = printer.flip or turning.reloads[0].flip
    return wanted, turning.reload_for(wanted)


def _instead(turning: Turning, printer: PrinterSettings) -> dict[str, str]:
    if turning.flip is None or not turning.reloads or printer.flip in (None, turning.flip):
        return {}
    return {"flip": str(turning.flip), "reload": turning.reloads[0].words}


def _notes(turning: Turning, printer: PrinterSettings, write: dict[str, str]) -> list[str]:
    notes = []
    if printer.duplex is Duplex.AUTOMATIC and "flip" in write:
        notes.append("From now on leave the two-sided setting in the print dialog as it was for this test.")
    if "flip" in write and printer.flip is not None and not turning.reloads:
        notes.append(
            "Or leave settings.toml as it is, choose the other edge in the print dialog, and print the turn test again."
            if printer.duplex is Duplex.AUTOMATIC
            else "Or leave settings.toml as it is and put the stack in with the other end first, for every order."
        )
    if printer.duplex is Duplex.AUTOMATIC and turning.lead is None and turning.feed is not None:
        notes.append(
            "Which edge leads while the front is printed stays open, for the sheet did not show which side came first. "
            "That is no harm: it only helps at the cutter."
        )
    if reload_changes(turning, printer):
        notes.append("Put the stack in as this reload says, and do the turn test once more to see it come true.")
    return notes


def reload_changes(turning: Turning, printer: PrinterSettings) -> bool:
    """Whether the stack must go in otherwise than it went in for the test."""
    return bool(turning.reloads) and turning.flip is not (printer.flip or turning.reloads[0].flip)


def _same(has: object, wanted: str) -> bool:
    return has is not None and " ".join(str(has).casefold().split()) == wanted.casefold()


def as_lines(printer_name: str, write: dict[str, str], now: dict[str, str]) -> list[str]:
    """The lines as they belong into settings.toml, under their heading, with what stands there now as a remark."""
    lines = [show_heading(("printers", printer_name))]
    for key, value in sorted(write.items(), key=lambda line: KEYS.index(line[0])):
        line = f"{key} = {show(value)}"
        lines.append(f"{line:<48}# now {show(now[key])}" if key in now else line)
    return lines
