"""Check the label of a scanned page: is it of this printer, sheet, turning and drawing, and are both of one run?"""

from collections.abc import Sequence

from watcher.align.register.label import VERSION, Label, Use, label_of
from watcher.align.register.label_in_scan import Unread
from watcher.align.register.target import Target
from watcher.align.words import describe_turning
from watcher.layout.register.alignment import Correction
from watcher.settings.alignment import command_for
from watcher.terms import Side


def label_fault(
    file: str, label: Label | Unread, target: Target, known: Sequence[Target], correction: Correction | None
) -> str | None:
    """Say why a page cannot be used for a target, with the way out; None when it can.

    Args:
        file: name of the scan.
        label: what its dots say.
        target: what is being measured.
        known: the targets of all printers and sheets in the settings, to name what it is instead.
        correction: the one in force, which a proof must have been printed with.
    """
    again = f"Print the target anew and scan that: {command_for(target.printer, target.sheet_name)} print"
    if label is Unread.ABSENT:
        return (
            f"{file} has none of the dots by which a target says what it is: it was printed by an earlier version of "
            f"this program, and cannot be told from a proof or another sheet's target. {again}"
        )
    if label is Unread.UNCLEAR:
        return (
            f"The dots by which the target says what it is cannot be read on {file}: both rows of them are covered, "
            f"dirty or blurred. Scan it again, whole and clean, at 300 ppi. If that does not help: {again}"
        )
    if label.version != VERSION:
        return f"{file} was printed by another version of this program. {again}"
    wanted = label_of(target, label.side, label.run, correction if label.use is Use.PROOF else None)
    if (label.printer, label.sheet) != (wanted.printer, wanted.sheet):
        return _of_another(file, label, target, known, again)
    if (label.flip, label.duplex) != (wanted.flip, wanted.duplex):
        return (
            f"{file} was printed when the settings had: {describe_turning(label.flip, label.duplex)}. Now they have: "
            f"{describe_turning(target.flip, target.duplex)}. {again}"
        )
    if label.use is Use.PROOF and correction is None:
        return f"{file} is a proof of a correction, but none is in force now. {again}"
    if label.drawn != wanted.drawn:
        return _drawn_otherwise(file, label, target, again)
    return None


def _of_another(file: str, label: Label, target: Target, known: Sequence[Target], again: str) -> str:
    """Give the message for a page of another printer or sheet, named where the settings know it."""
    found = next((one for one in known if _names(one) == (label.printer, label.sheet)), None)
    if found is None:
        return (
            f"{file} is of a printer or a sheet that the settings do not have, or had under another name; wanted is "
            f"{_named(target)}. {again}"
        )
    return (
        f"{file} is the {label.use} of {_named(found)}, not of {_named(target)}. To measure that one: "
        f"{command_for(found.printer, found.sheet_name)} register --scans FRONT BACK"
    )


def _names(target: Target) -> tuple[int, int]:
    label = label_of(target, Side.FRONT, 0)
    return label.printer, label.sheet


def _named(target: Target) -> str:
    return f"{target.printer} on {target.sheet_name}"


def _drawn_otherwise(file: str, label: Label, target: Target, again: str) -> str:
    if label.use is Use.PROOF:
        command = command_for(target.printer, target.sheet_name)
        return (
            f"{file} is the proof of another correction than the one in force now, or the size or the unprintable rim "
            f"of {target.sheet_name} has changed since. Print a new proof and scan that: {command} proof"
        )
    return (
        f"{file} was printed when {target.sheet_name} had another size or another unprintable rim in the settings. "
        f"{again}"
    )


def pair_fault(files: tuple[str, str], labels: tuple[Label, Label], command: str) -> str | None:
    """Say why two pages are not the two sides of one sheet; None when they are, as far as their labels tell."""
    one, other = labels
    if one.use is not other.use:
        return (
            f"{files[0]} is of a {one.use}, but {files[1]} of a {other.use}: they are not of one sheet. Scan the front "
            "and the back of the same sheet."
        )
    if one.run != other.run:
        return (
            f"{files[0]} is of run {one.run}, but {files[1]} of run {other.run}: they are not of one sheet. Scan front "
            "and back of the same sheet; its run stands in the title of both. If the two sides of one sheet say "
            f"different runs, print both files of one call anew: {command} print"
        )
    return None
