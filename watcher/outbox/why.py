"""The text of `why.txt` in a held folder: what happened, what can be done, what lies there."""

import textwrap

from watcher.orders.both_sides import said_of_sides
from watcher.orders.folders import asks_again
from watcher.orders.held_note import ACCEPTED, HeldNote
from watcher.orders.model import DESIGNS
from watcher.records.plain_text import one_line
from watcher.records.timestamps import say_stamp
from watcher.terms import HeldFor

_PARAGRAPH = textwrap.TextWrapper(
    width=96, initial_indent="  - ", subsequent_indent="    ", break_on_hyphens=False, break_long_words=False
)  # a file's name is never parted
_HEADING = {
    HeldFor.ART: "was set aside on",
    HeldFor.YES: "waits for a yes since",
    HeldFor.FAULT: "was set aside on",
}
_SHOWS = {
    HeldFor.ART: "shows the art, and marks where.",
    HeldFor.YES: "marks what to look at before you send it.",
    HeldFor.FAULT: "shows the art.",
}
_NOT_YOURS = "  (made by the program)"


def why_text(note: HeldNote) -> str:
    """Write the text of `why.txt`: what happened, what to do, what lies here."""
    return "\n".join(
        [
            f"{one_line(note.order)} {_HEADING[note.needs]} {say_stamp(note.since)}.",
            "",
            "Why",
            *(_PARAGRAPH.fill(said.finding.message) for said in said_of_sides(note.reasons)),
            *(_PARAGRAPH.fill(f"{one_line(name)} {_SHOWS[note.needs]}") for name in note.spot_pictures),
            "",
            "What you can do",
            *(_PARAGRAPH.fill(way) for way in ways_out(note)),
            "",
            "In this folder",
            *(f"  {one_line(file.name)}" for file in note.files),
            *(f"  {one_line(name)}{_NOT_YOURS}" for name in note.pictures),
            "",
        ]
    )


def ways_out(note: HeldNote) -> list[str]:
    """List what the person can do about a held order in the file app; "this folder" is the held one."""
    if note.needs is HeldFor.YES:
        return _ways_to_a_yes(note)
    if note.needs is HeldFor.FAULT:
        return _ways_past_the_check(note) if note.soft else _ways_out_of_a_fault()
    if note.replaced:
        return ["Delete this folder, if you no longer want it.", "Or move it back into the inbox: it is tried again."]
    ways = _ways_in_this_folder(note) if note.came_in else _ways_through_the_inbox(note)
    if note.soft:
        ways.append(
            f'Or rename this folder to "{one_line(note.folder)}{ACCEPTED}": it is made anyway, just as is said above.'
        )
    ways.append("Or delete this folder, if you no longer want it.")
    return ways


def _ways_through_the_inbox(note: HeldNote) -> list[str]:
    """What can be done with files that were dropped by themselves."""
    into = f"inbox/{one_line(note.inbox_folder)}" if note.inbox_folder else "inbox"
    if note.is_unclear:
        return [
            "Do what is said above with the files in this folder, then move the whole folder back into the inbox.",
            f"Or put the files, named so, into {into}, and delete this folder.",
        ]
    if note.is_unusable:
        return [f"Put what is to be printed into {into}, as is said above, and delete this folder."]
    if not note.missing:
        return [
            f"Put the mended files into {into}, under the same names.{_the_rest(note)}",
            "Or put them into this folder, in place of those that are here, and move the whole folder back into the"
            " inbox: it is tried again.",
        ]
    if note.missing == DESIGNS:
        way = f"Put the files that are missing into {into}, under names like the others: they find this order."
    elif note.missing == "art":
        way = f"Put the art into {into}: it finds this job ticket by itself."
    else:
        way = (
            f"Put the {note.missing} into {into}, under the name that is said above: the two find each other by"
            " themselves."
        )
    return [way, "Or move this whole folder back into the inbox: it waits there once more for what is missing."]


def _ways_in_this_folder(note: HeldNote) -> list[str]:
    """What can be done with an order that came as a folder."""
    if asks_again(note.came_in):
        return [
            'Rename this folder to "again ORDER", with the right name of the order (and x40 for 40 of it), and move it'
            " into the inbox."
        ]
    if note.missing:
        what = f"Put the {'rest' if note.missing == DESIGNS else note.missing} into this folder"
    elif note.is_unclear:
        what = "Do what is said above with the files in this folder"
    else:
        what = "Put the mended files into this folder, in place of those that are here"
    return [f"{what}, then move the whole folder back into the inbox: it is tried again."]


def _the_rest(note: HeldNote) -> str:
    if len(note.files) < 2:
        return ""
    return (
        " The rest is taken from this folder when nothing newer of it has come after a while; when you send no more,"
        " move this folder back into the inbox as well: it is made at once."
    )


def _ways_to_a_yes(note: HeldNote) -> list[str]:
    into = f"inbox/{one_line(note.inbox_folder)}" if note.inbox_folder else "inbox"
    to_send = [one_line(name) for name in note.pictures if name not in note.spot_pictures]
    shown = " and ".join(to_send) or "the art"
    mended = f"put the changed files into {into}, under the same names.{_the_rest(note)}"
    if note.came_in:
        mended = (
            "put the changed files into this folder, in place of those that are here, and move the whole folder back"
            " into the inbox."
        )
    return [
        f"Send {shown} to the customer.",
        f'When it is right, rename this folder to "{one_line(note.folder)}{ACCEPTED}": it is made.',
        f"When it is not, {mended}",
        "Or delete this folder, if it is no longer wanted.",
    ]


def _ways_past_the_check(note: HeldNote) -> list[str]:
    picture = one_line(note.pictures[0]) if note.pictures else "the sheet"
    sheets = [one_line(name) for name in note.pictures if name.endswith(".pdf")]
    return [
        f"Open {picture} and {' and '.join(sheets) or 'the sheet'}. The card on the sheet must be the right one, whole,"
        " the right way round and in its place.",
        f'When it is right, rename this folder to "{one_line(note.folder)}{ACCEPTED}": the order is made, and its log'
        " line, its ticket and its instructions say that a person overruled the check.",
        "When it is wrong, keep this folder and show it to whoever looks after the program. The same art saved as PNG"
        " may go through meanwhile.",
        "Or delete this folder, if you no longer want it.",
    ]


def _ways_out_of_a_fault() -> list[str]:
    return [
        "Move this whole folder back into the inbox: it is tried again as it is.",
        "When it comes back, your files are most likely sound: keep this folder and show it to whoever looks after"
        " the program. The same art saved as PNG may go through meanwhile.",
        "Or delete this folder, if you no longer want it.",
    ]
