"""Compare a turn test with settings.toml: what agrees, and which lines a person should write there."""

from dataclasses import dataclass

from watcher.align.turn.turning import Reload, Turning
from watcher.settings.faults import show, show_heading
from watcher.settings.printer import PrinterSettings
from watcher.terms import Duplex, Flip

KEYS = ("flip", "dialog_flip", "feed", "lead", "guide", "reload", "backs_order")


@dataclass(frozen=True, kw_only=True)
class Advice:
    """What a turn test means for the settings of a printer.

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
    """Give what the settings of a printer should say after a turn test."""
    flip, reload = _flip_and_reload(turning, printer)
    found = {
        "flip": flip,
        "dialog_flip": _dialog_flip(turning, printer),
        "feed": turning.feed,
        "lead": turning.lead,
        "guide": turning.guide,
        "reload": reload.words if reload else None,
        "backs_order": turning.order,
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
    """Give flip and reload; with manual duplex the flip in the settings stays, and the stack goes in to suit it."""
    if not turning.reloads:
        return turning.flip, None
    wanted = printer.flip or turning.reloads[0].flip
    return wanted, turning.reload_for(wanted)


def _chosen(turning: Turning, printer: PrinterSettings) -> Flip | None:
    """Give the edge chosen in the print dialog; the one that was asked for, where the person does not say."""
    return turning.chosen or printer.chosen_flip


def _dialog_flip(turning: Turning, printer: PrinterSettings) -> Flip | None:
    """Give the edge to choose in the print dialog, where it differs from the flip or the settings have one."""
    if printer.duplex is Duplex.MANUAL:
        return None
    chosen = _chosen(turning, printer)
    return chosen if chosen is not turning.flip or printer.dialog_flip else None


def _instead(turning: Turning, printer: PrinterSettings) -> dict[str, str]:
    if turning.flip is None or not turning.reloads or printer.flip in (None, turning.flip):
        return {}
    return {"flip": str(turning.flip), "reload": turning.reloads[0].words}


def _notes(turning: Turning, printer: PrinterSettings, write: dict[str, str]) -> list[str]:
    notes = []
    if printer.duplex is Duplex.AUTOMATIC:
        notes += _notes_on_dialog(turning, printer, write)
    elif "flip" in write and printer.flip is not None and not turning.reloads:
        notes.append("Or leave settings.toml as it is and put the stack in with the other end first, for every order.")
    if printer.duplex is Duplex.AUTOMATIC and turning.lead is None and turning.feed is not None:
        notes.append(
            "Which edge leads while the front is printed stays open, for the sheet did not show which side came first. "
            "That is no harm: it only helps at the cutter."
        )
    if printer.duplex is Duplex.MANUAL and turning.order is None and printer.backs_order is None:
        notes.append(
            "In which order the sheets of a stack come stays open: print the turn test with both of its sheets to know "
            "it. Until then orders whose sheets differ ask you to look."
        )
    if reload_changes(turning, printer):
        notes.append("Put the stack in as this reload says, and do the turn test once more to see it come true.")
    return notes


def _notes_on_dialog(turning: Turning, printer: PrinterSettings, write: dict[str, str]) -> list[str]:
    """Say what to choose in the print dialog from now on, and what else would be right."""
    if not {"flip", "dialog_flip"} & set(write):
        return []
    chosen = _chosen(turning, printer)
    if chosen is None or turning.flip is None:
        return ["From now on leave the two-sided setting in the print dialog as it was for this test."]
    notes = [f"From now on choose the {chosen.words} in the print dialog, as for this test; every order says so too."]
    if chosen is not turning.flip:
        notes.append(f"Chosen there: the {chosen.words}. The sheet turned on the {turning.flip.words}: they differ.")
    if printer.flip not in (None, turning.flip):
        told = printer.chosen_flip
        notes.append(
            f"Or keep flip = {show(str(printer.flip))}: "
            + (
                f"choose the {told.words} in the print dialog"
                if told is not None and told is not chosen
                else f"write dialog_flip = {show(str(chosen.other))} and choose the {chosen.other.words}"
            )
            + ", and print the turn test again."
        )
    return notes


def reload_changes(turning: Turning, printer: PrinterSettings) -> bool:
    """Whether the stack must go in differently from how it went in for the test."""
    return bool(turning.reloads) and turning.flip is not (printer.flip or turning.reloads[0].flip)


def _same(has: object, wanted: str) -> bool:
    return has is not None and " ".join(str(has).casefold().split()) == wanted.casefold()


def as_lines(printer_name: str, write: dict[str, str], now: dict[str, str]) -> list[str]:
    """Give the lines for settings.toml under their heading, with the present value as a comment."""
    lines = [show_heading(("printers", printer_name))]
    for key, value in sorted(write.items(), key=lambda line: KEYS.index(line[0])):
        line = f"{key} = {show(value)}"
        lines.append(f"{line:<48}# now {show(now[key])}" if key in now else line)
    return lines
